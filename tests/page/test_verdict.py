"""The verdict's three states, its horizons, what would mend it, and places far from stations."""

import json
import re
from typing import Any

from selenium.webdriver.common.by import By

from tests.page.conftest import Page
from tests.page.test_answer import BUSY

FAR = "#where=point&latitude={latitude}&longitude=100&day=typical&month=7"
# Every answer to a projection is changed before the page sees it.
CHANGED = """
    const real = window.fetch;
    window.change = (answer) => answer;
    window.fetch = async (path, options) => {
      const response = await real(path, options);
      if (!String(path).includes('/v1/projections') || !response.ok) return response;
      const answer = await response.json();
      const deep = (into, from) => {
        for (const [name, value] of Object.entries(from)) {
          const part = value && typeof value === 'object' && !Array.isArray(value);
          if (part && into[name]) deep(into[name], value); else into[name] = value;
        }
        return into;
      };
      return new Response(JSON.stringify(deep(answer, window.instead ?? {})), response);
    };
"""


def changed(page: Page, instead: dict[str, Any], field: str = "set_point_c") -> None:
    """Have the next answer say something else, too."""
    page.run(CHANGED)
    page.run("window.instead = arguments[0]", instead)
    page.say(field, "25")


def failing(page: Page, **more: Any) -> None:
    remedies = [
        {
            "lever": "set_point",
            "sentence": "With the set point at 24.5 °C it holds.",
            "verdict": "holds",
            "value": 24.5,
            "unit": "degC",
        },
        {
            "lever": "cooling_start",
            "sentence": "With cooling from 07:00 on it holds narrowly.",
            "verdict": "narrowly",
            "value": 7.0,
            "unit": "h",
        },
        {
            "lever": "battery",
            "sentence": "With a battery of 9000 Wh it holds.",
            "verdict": "holds",
            "value": 9000.0,
            "unit": "W h",
        },
    ]
    summary = {"verdict": "fails", "first_cause": "measure", "remedies": remedies, **more}
    changed(page, {"summary": summary, "remedies": remedies})


def test_the_sentence_is_the_services_own_in_the_readers_degrees(page: Page) -> None:
    page.open(BUSY)
    changed(page, {"summary": {"sentence": "Stays at or below 27 °C today; it takes 1.3 kWh."}})
    assert page.text("#sentence") == "Stays at or below 27 °C today; it takes 1.3 kWh."
    page.run(
        "const f = document.getElementById('reading-temperature'); f.value = 'F';"
        "f.dispatchEvent(new Event('change', {bubbles: true}))"
    )
    assert page.text("#sentence") == "Stays at or below 80.6 °F today; it takes 1.3 kWh."


def test_the_states_differ_by_word_and_mark(page: Page) -> None:
    page.open(BUSY)
    seen = set()
    for verdict, cause, words in (
        ("holds", None, "Holds"),
        ("narrowly", None, "Holds narrowly"),
        ("fails", "measure", "Fails: the set point is too high for this limit"),
        ("fails", "energy_balance", "Fails: the day uses more energy than it gives"),
    ):
        changed(page, {"summary": {"verdict": verdict, "first_cause": cause}})
        mark, said = page.text("#stamp").split(" ", 1)
        assert said == words
        seen.add(mark)
    assert len(seen) == 4


def test_today_day_after_day_and_the_stay_stand_under_the_sentence(page: Page) -> None:
    page.open(BUSY)
    failure = {"day": 3, "date": None, "first_cause": "energy_balance", "first_failure_hour": 17.66}
    changed(
        page,
        {
            "summary": {
                "sustained": {
                    "verdict": "fails",
                    "reason": None,
                    "daily_balance_wh": -1300.0,
                    "settled_charge": None,
                    "first_failure": failure,
                },
                "stay": {
                    "days": 3,
                    "most_days": 14,
                    "charge_on_arrival": 1.0,
                    "first_failure": {**failure, "day": 4},
                },
            },
            "chance": 0.83,
        },
    )
    names = [each.text for each in page.browser.all("#horizons dt")]
    assert names == ["Today", "Day after day", "Arriving full"]
    said = page.text("#horizons")
    assert "each day uses 1.3 kWh more than it gives; fails on day 3 at 17:40" in said
    assert "3 days" in said
    assert "fails on day 4 at 17:40" in said
    assert page.text("#chance") == "Chance of holding: 83 %"


def test_the_service_gives_all_three_horizons(page: Page) -> None:
    page.open("#day=typical&month=1")
    names = [each.text for each in page.browser.all("#horizons dt")]
    assert names == ["Today", "Day after day", "Arriving full"]
    assert all(len(each.text) > 4 for each in page.browser.all("#horizons dd"))


def test_a_day_that_holds_but_not_for_long_says_what_would_make_it_last(page: Page) -> None:
    page.open("#day=typical&month=1")
    lasting = {
        "lever": "arrays",
        "sentence": "With arrays of 1800 W in all it holds day after day.",
        "verdict": "holds",
        "value": 1800.0,
        "unit": "W",
    }
    summary = {"verdict": "holds", "first_cause": None, "remedies": [], "lasting_remedies": []}
    changed(page, {"summary": summary})
    assert not page.browser.all("#remedies-part")[0].is_displayed()
    changed(page, {"summary": summary | {"lasting_remedies": [lasting]}}, field="limit_c")
    assert lasting["sentence"] in page.find("#remedies-part").text


def test_a_remedy_that_is_a_field_is_applied_by_its_button(page: Page) -> None:
    page.open(BUSY)
    failing(page)
    part = page.find("#remedies-part")
    assert "What would mend it" in part.text
    assert "With a battery of 9000 Wh it holds." in part.text
    buttons = part.find_elements(By.TAG_NAME, "button")
    names = [each.accessible_name.replace("\xa0", " ") for each in buttons]
    assert names == [
        "Apply: With the set point at 24.5 °C it holds.",
        "Apply: With cooling from 07:00 on it holds narrowly.",
        "Apply: With a battery of 9000 Wh it holds.",
    ]
    before = page.answers()
    buttons[1].click()
    page.next_answer(before)
    assert page.value("cool_from") == "07:00"
    assert page.value("covers_from") == "07:00", "what began with the cooling still does"
    page.say("cool_from", "09:00")
    before = page.answers()
    page.find("#remedies button").click()
    page.next_answer(before)
    assert page.value("set_point_c") == "24.5"
    before = page.answers()
    page.browser.all("#remedies button")[2].click()
    page.next_answer(before)
    assert page.value("rig") == "own"
    assert '"usable_energy_wh": 9000' in page.text("#curl")


def test_what_holds_and_lasts_needs_no_remedy(page: Page) -> None:
    page.open(BUSY)
    nothing = {"first_cause": None, "remedies": [], "lasting_remedies": []}
    changed(page, {"summary": {"verdict": "holds", **nothing}})
    assert not page.run("return document.getElementById('remedies-part').checkVisibility()")


def test_figures_have_margins_with_their_hours(page: Page) -> None:
    page.open(BUSY)
    said = page.text("#figures")
    assert re.search(
        r"Warmest it feels inside.+at \d\d:\d\d, \d+\.\d °C (under|over) the lim", said
    )
    assert re.search(r"Battery lowest.+at \d\d:\d\d, .+Wh (above|under) the reserve", said)
    assert re.search(r"Cooling (to spare|short)\d+ Wat \d\d:\d\d", said)
    assert re.search(r"no solar wasted|Wh wasted", said)


def test_far_from_every_station_a_day_is_proposed(page: Page) -> None:
    for latitude, months, least_high in (("33", "07", 30), ("-33", "01", 30), ("75", "07", 0)):
        page.open(FAR.format(latitude=latitude))
        assert page.state() == "trouble"
        assert "Too far from every station" in page.text("#trouble")
        assert "Too far to use: enter the day's weather." in page.text("#site-facts")
        assert "allow_far" not in page.text("#curl")
        before = page.answers()
        page.find("#trouble button").click()
        page.next_answer(before)
        assert page.value("date")[5:7] == months
        assert float(page.value("high_c")) > least_high
        assert "A proposal from latitude and season" in page.text("#day-facts")
        request = json.loads(page.text("#curl").split("-d '")[1][:-1])
        assert set(request["weather"]) == {"hot_day"}
        page.say("high_c", str(float(page.value("high_c")) + 1.0))
        assert "A proposal" not in page.text("#day-facts")
    page.browser.complaints()


def test_near_the_equator_the_present_month_is_proposed(page: Page) -> None:
    page.open(FAR.format(latitude="3"))
    before = page.answers()
    page.find("#trouble button").click()
    page.next_answer(before)
    assert page.value("date")[:7] == page.run("return new Date().toISOString().slice(0, 7)")
    page.browser.complaints()


def test_coordinates_name_no_station(page: Page) -> None:
    page.open("#day=typical&month=1&where=point&latitude=-35.2&longitude=-120.6&elevation_m=600")
    assert page.state() == "answered"
    request = json.loads(page.text("#curl").split("-d '")[1][:-1])
    assert "station" not in request["weather"]["typical_year"]


def test_battery_and_cabin_settle_together(page: Page) -> None:
    page.open("#day=typical&month=1")
    assert '"state_of_charge": "settled"' in page.text("#curl")
    page.say("inside", "outdoor")
    assert page.value("battery") == "number"
    assert '"state_of_charge": 0.9' in page.text("#curl")
    page.say("battery", "settled")
    assert page.value("inside") == "settled"
    assert '"state_of_charge": "settled"' in page.text("#curl")


def test_minutes_to_danger_stand_beside_the_people(page: Page) -> None:
    page.open(BUSY)
    page.wait(lambda: page.text("#danger"))
    said = page.text("#danger")
    assert re.match(r"If the cooler stops \(at the worst moment, \d\d:\d\d\): inside", said)
    assert re.search(r"35 °C after \d+ min", said)
    assert "not an allowance" in said


def test_the_question_folds_to_one_line_and_opens_by_part(page: Page) -> None:
    for width, folded in ((360, True), (1280, False)):
        page.emulate(width=width, height=740)
        page.open(BUSY)
        assert page.run("return document.getElementById('rig').checkVisibility()") != folded
        line = page.find("#fold-says").text.replace("\xa0", " ")
        assert line.startswith("Flatbed cabin at 34.10° S")
        assert line.endswith("20 Jan, 42 °C at its hottest, 09:00 to 20:00, 24 °C")
        if folded:
            page.find("#fold-says").click()
        part = page.find("#part-cool > summary")
        part.click()
        assert not page.run("return document.getElementById('set_point_c').checkVisibility()")
        assert "09:00 to 20:00, 24 °C, 2 people" in part.text.replace("\xa0", " ")
        part.click()
        assert page.run("return document.getElementById('set_point_c').checkVisibility()")


def test_differences_and_shares_are_written_as_what_they_are(page: Page) -> None:
    page.open(BUSY)
    page.run(
        "const f = document.getElementById('reading-temperature'); f.value = 'F';"
        "f.dispatchEvent(new Event('change', {bubbles: true}))"
    )
    told = {
        "The set point 2 °C higher; 27 °C.": "The set point 3.6 °F higher; 80.6 °F.",
        "It is 0.5 K over the limit of 27 degC.": "It is 0.9 °F over the limit of 80.6 °F.",
        "Between 20 to 25 °C, 2.5 kW.": "Between 68 °F to 77 °F, 2.5 kW.",
    }
    for said, shown in told.items():
        changed(page, {"summary": {"sentence": said}})
        assert page.text("#sentence") == shown
    for share, shown in ((0.995, "99.5 %"), (1.0, "100 %"), (0.002, "0.2 %"), (0.0, "0 %")):
        changed(page, {"summary": {"lowest_charge": share}})
        assert f"Battery lowest{shown}" in page.text("#figures")
