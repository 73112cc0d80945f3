"""The HTML map in a browser: what it shows, by keyboard, in the dark, on a small screen."""

import math
from pathlib import Path

import numpy as np
import pytest
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from noonhold.pictures.map_stations import Look
from noonhold.quantities import Cause
from noonhold_batch.maps.map_geojson import Asked
from noonhold_batch.maps.map_html import map_page
from noonhold_batch.maps.map_points import Point, RigPoints
from noonhold_batch.results.summaries import DaysSummary
from tests.browser import Browser
from tests.browser import browser as browser

AXE = Path(__file__).parents[1] / "page" / "vendor" / "axe.min.js"
ASKED = Asked("first day", "Where does the first day hold?")
NAMES = ("Northwell", '<b>Tags & quotes"</b>', "Westhook", "Coldtop", "Lostfile", "Closely")


def summary(share: float, energy: int, narrow: int = 0) -> DaysSummary:
    needing = 0 if math.isnan(share) else 100
    held = round(100 * share) if needing else 0
    made = dict.fromkeys(DaysSummary.__dataclass_fields__, 0.0)
    return DaysSummary(
        **made
        | {
            "share": share,
            "narrow_share": narrow / 100,
            "days_needing_cooling": needing,
            "holding_days": held,
            "narrow_days": narrow,
            "longest_failing_run_d": 7,
            "first_energy": energy,
            "first_operation": 0,
            "first_capacity": needing - held - energy,
            "first_cause": Cause.NONE if held == needing else Cause.ENERGY_BALANCE,
        }
    )


def points(rig: str, shift: float) -> RigPoints:
    found = [
        Point(NAMES[0].lower(), NAMES[0], "North", -34.0, -121.0, 90.0, Look.HOLDS,
              summary(1.0, 0), "", "all year"),
        Point("closely", NAMES[5], "North", -33.6, -122.0, 90.0, Look.NARROWLY,
              summary(1.0, 0, 30), "", "all year"),
        Point("tags", NAMES[1], "North", -34.6, -120.1, 90.0, Look.ENERGY,
              summary(0.25 + shift, 60, 5), "", "Oct-Apr"),
        Point("westhook", NAMES[2], "West", -35.2, -123.4, 5.0, Look.CAPACITY,
              summary(0.5, 0), "", "none"),
        Point("coldtop", NAMES[3], "Top", -33.1, -119.2, 3000.0, Look.NO_NEED,
              summary(math.nan, 0), "", "all year"),
        Point("lostfile", NAMES[4], "Top", -35.9, -119.9, 300.0, Look.NO_VERDICT, None,
              "5000 of 8760 rows", ""),
    ]  # fmt: skip
    return RigPoints(rig, tuple(found), ("nowhere",))


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the address of a map of two rigs."""
    out = tmp_path_factory.mktemp("map") / "map.html"
    maps = [points("box", 0.0), points("van", 0.1)]
    line = np.array([[-124.0, -36.0], [-119.0, -33.0]])
    titles = {"box": "Little <box>", "van": "Van"}
    out.write_text(map_page(maps, titles, ASKED, "How days were judged.", [line]), encoding="utf-8")
    return out.as_uri()


def script(browser: Browser, text: str) -> object:
    return browser.driver.execute_script(text)


def test_every_station_is_there_and_nothing_is_asked_for(browser: Browser, page: str) -> None:
    browser.open(page)
    browser.wait_for("g.station")
    assert len(browser.all("g.station")) == len(NAMES)
    assert len(browser.all("path.bound")) == 1
    assert len(browser.all("#legend li")) == 6
    shown = {each.text for each in browser.all("g.station text")}
    assert shown == {"100", "100 (30)", "25 (5)", "50"}
    assert browser.driver.title == ASKED.question
    assert browser.all("h1")[0].text == ASKED.question
    said = browser.driver.find_element(By.ID, "said").text
    assert said.startswith("How days were judged.") and said.endswith("stand: 1.")
    assert "can kill people" in browser.driver.find_element(By.ID, "cautions").text
    assert browser.complaints() == []
    assert [each for each in browser.requested() if not each.startswith("file:")] == []


def test_the_keyboard_reaches_and_hears_each_station(browser: Browser, page: str) -> None:
    browser.open(page)
    browser.wait_for("#rig").click()
    told = []
    browser.driver.find_element(By.ID, "rig").send_keys(Keys.ESCAPE)
    for _ in NAMES:
        browser.driver.switch_to.active_element.send_keys(Keys.TAB)
        told.append(browser.driver.find_element(By.ID, "told").text)
    order = (0, 5, 1, 2, 3, 4)
    for place, text in zip(order, told, strict=True):
        assert NAMES[place] in text
    assert "first day: 100 % of 100 dates that need cooling hold. Best months: all year" in told[0]
    assert "100 (30) % of 100 dates that need cooling hold (in brackets: narrowly)." in told[1]
    assert "75 fail; the energy ran out first on 60" in told[2]
    assert "no date needs cooling" in told[4]
    assert "no verdict. 5000 of 8760 rows" in told[5]


def test_another_rig_is_another_map_and_table(browser: Browser, page: str) -> None:
    browser.open(page)
    rig = browser.wait_for("#rig")
    rig.send_keys("Van")
    assert "35 (5)" in {each.text for each in browser.all("g.station text")}
    script(browser, "document.querySelector('details').open = true")
    rows = [each.text for each in browser.all("#table tr")]
    assert len(rows) == 1 + len(NAMES)
    assert rows[3].startswith(NAMES[1]) and "100 30 5 65 Oct-Apr" in rows[3]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 360])
def test_axe_finds_nothing(browser: Browser, page: str, scheme: str, width: int) -> None:
    features = [{"name": "prefers-color-scheme", "value": scheme}]
    size = {"width": width, "height": 740, "deviceScaleFactor": 1, "mobile": False}
    browser.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": features})
    browser.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    try:
        browser.open(page)
        browser.wait_for("g.station")
        script(browser, "document.querySelector('details').open = true")
        script(browser, AXE.read_text("utf-8"))
        found = browser.driver.execute_async_script(
            "const done = arguments[0]; axe.run().then((r) => done([r.violations, r.incomplete]))"
        )
    finally:
        browser.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
        browser.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    violations, unsure = found
    assert [(each["id"], [n["target"] for n in each["nodes"]]) for each in violations] == []
    # It cannot see behind words in a drawing, nor words that are scrolled out of a small screen.
    # `test_words_stand_out_in_light_and_dark` measures the first; the second are seen on a large.
    assert {each["id"] for each in unsure} <= {"color-contrast"}
    if width == 1280:
        targets = [n["target"][0] for each in unsure for n in each["nodes"]]
        assert [each for each in targets if "text[" not in each] == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_in_light_and_dark(browser: Browser, page: str, scheme: str) -> None:
    features = [{"name": "prefers-color-scheme", "value": scheme}]
    browser.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": features})
    try:
        browser.open(page)
        browser.wait_for("g.station")
        ink, paper = (
            colour(str(script(browser, f"return getComputedStyle(document.body).{name}")))
            for name in ("color", "backgroundColor")
        )
        words = colour(
            str(
                script(browser, "return getComputedStyle(document.querySelector('#map text')).fill")
            )
        )
        land = colour(
            str(
                script(
                    browser,
                    "return getComputedStyle(document.querySelector('#map')).backgroundColor",
                )
            )
        )
    finally:
        browser.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    assert (paper < 0.2) == (scheme == "dark")
    for one, other in ((ink, paper), (words, land)):
        # WCAG 2.2, 1.4.3 (AA): 4.5 to 1
        assert (max(one, other) + 0.05) / (min(one, other) + 0.05) >= 4.5


def colour(css: str) -> float:
    """Return the relative luminance of WCAG 2.2 of ``rgb(r, g, b)``."""
    parts = np.array([float(part) for part in css[css.index("(") + 1 : -1].split(",")[:3]]) / 255
    linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return float(linear @ np.array([0.2126, 0.7152, 0.0722]))


def test_a_small_screen_needs_no_sideways_scrolling(browser: Browser, page: str) -> None:
    small = {"width": 360, "height": 740, "deviceScaleFactor": 1, "mobile": True}
    browser.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", small)
    try:
        browser.open(page)
        browser.wait_for("g.station")
        assert script(browser, "return document.documentElement.scrollWidth") == 360
        size = script(
            browser,
            "return document.querySelector('g.station text').getBoundingClientRect().height",
        )
        assert isinstance(size, int | float) and size >= 10
    finally:
        browser.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    assert browser.complaints() == []
