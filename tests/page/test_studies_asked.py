"""Studies on the page: sizes, the day's plan, a logger's file."""

import json
from pathlib import Path

from tests.page.conftest import Page

FRAGMENT = "#day=typical&month=1&rig=flatbed_cabin&station=hills_dellivarn"
EXAMPLE = Path(__file__).parents[2] / "openapi" / "examples" / "calibration.request.json"


def show(page: Page, part: str) -> None:
    page.run("document.getElementById(arguments[0]).open = true", part)


def choose(page: Page, field: str, value: str) -> None:
    page.run("document.getElementById(arguments[0]).value = arguments[1]", field, value)


def test_a_size_is_found_and_taken(page: Page) -> None:
    page.open(FRAGMENT)
    show(page, "sizing-part")
    choose(page, "sizing-sure", "nominal")
    page.find("#sizing-ask").click()
    page.wait(lambda: page.text("#sizing-says") not in ("", "Trying sizes…"))
    assert "battery" in page.text("#sizing-says").lower()
    choose(page, "sizing-what", "battery_and_array")
    page.find("#sizing-ask").click()
    page.wait(lambda: page.browser.all("#sizing-table tbody tr"))
    dots = page.browser.all("#sizing-picture circle")
    assert len(dots) == len(page.browser.all("#sizing-table tbody tr"))
    button = page.find("#sizing-table button")
    assert button.accessible_name.startswith("Take ")
    before = page.answers()
    button.click()
    page.next_answer(before)
    assert page.value("rig") == "own"
    assert "Flatbed cabin, changed" in page.text("#context")


def test_a_plan_is_found_taken_and_dropped(page: Page) -> None:
    page.open(FRAGMENT)
    show(page, "plan-part")
    page.find("#plan-ask").click()
    page.wait(lambda: page.browser.all("#plan-table tbody tr"))
    assert "As asked:" in page.text("#plan-says")
    before = page.answers()
    page.find("#plan-take button").click()
    page.next_answer(before)
    planned = json.loads(page.text("#curl").split("-d '")[1][:-1])["operation"]
    assert planned == json.loads(page.run("return new URLSearchParams(location.hash).get('plan')"))
    assert page.run("return document.getElementById('plan-taken').checkVisibility()")
    page.say("set_point_c", "25")
    assert not page.run("return document.getElementById('plan-taken').checkVisibility()")
    asked = json.loads(page.text("#curl").split("-d '")[1][:-1])["operation"]
    assert asked["set_point_c"] == 25
    assert asked != planned


def test_a_loggers_file_gives_a_calibrated_rig(page: Page, tmp_path: Path) -> None:
    asked = json.loads(EXAMPLE.read_text("utf-8"))
    log, place = asked["log"], asked["place"]
    heads = {"cabin_temperature": "Inside (°F)", "outdoor_temperature": "Outside (°F)"}
    heads |= {"array_power_w": "Solar W", "cooler_power_w": "AC W", "load_power_w": "Load W"}
    heads |= {"state_of_charge": "SOC %"}
    rows = [";".join(["Date", *heads.values()])]
    for k, time in enumerate(log["times"]):
        cells = []
        for name in heads:
            value = log["columns"][name][k]
            value = value * 1.8 + 32 if "temperature" in name else value
            value = value * 100 if name == "state_of_charge" else value
            cells.append(f"{value:.2f}".replace(".", ","))
        stamp = f"{time[8:10]}.{time[5:7]}.{time[:4]} {time[11:16]}"
        rows.append(";".join([stamp, *cells]))
    path = tmp_path / "logger.csv"
    path.write_text("\n".join(rows), "utf-8")
    page.open(
        "#rig=plywood_teardrop&where=point&day=like&date=2026-01-20&timezone=Etc/GMT%2B8"
        f"&latitude={place['latitude']}&longitude={place['longitude']}&elevation_m=400"
        "&heading_deg=45&policy=off&people=0&dew_point_c=8&covers=open&set_point_c=23"
    )
    show(page, "log-part")
    page.find("#log-file").send_keys(str(path))
    page.wait(lambda: f"{len(log['times'])} rows" in page.text("#log-says"))
    chosen = "const f = document.getElementById(arguments[0]); return f.selectedOptions[0].text"
    assert page.run(chosen, "log-time") == "Date"
    assert page.run(chosen, "log-unit") == "Fahrenheit"
    for name, head in heads.items():
        assert page.run(chosen, f"log-{name}") == head
    page.find("#log-fit").click()
    page.wait(lambda: page.text("#log-says") != "Fitting…")
    assert "intervals fitted" in page.text("#log-says")
    assert "shell conductance" in page.text("#log-factors")
    assert "cabin temperature" in page.text("#log-residuals")
    before = page.answers()
    page.find("#log-take button").click()
    page.next_answer(before)
    assert page.value("rig") == "own"
