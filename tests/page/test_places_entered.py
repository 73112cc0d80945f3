"""Places entered: coordinates in any common form, stations by name."""

from typing import Any

from tests.page.conftest import Page

FORMS = {
    "40.015, -105.27": (40.015, -105.27),
    "40.015 -105.27": (40.015, -105.27),
    "-33,9; 18,4": (-33.9, 18.4),
    "40.015° N, 105.27° W": (40.015, -105.27),
    "40°00'54\"N 105°16'12\"W": (40.015, -105.27),
    "N 40° 00.9' W 105° 16.2'": (40.015, -105.27),
    "52,52° N 13,4° O": (52.52, 13.4),
    "33.9 S, 18.4 E": (-33.9, 18.4),
    "geo:40.015,-105.27?z=12": (40.015, -105.27),
    "https://maps.example/@40.015,-105.27,12z": (40.015, -105.27),
    "https://maps.example/?q=40.015,-105.27": (40.015, -105.27),
    "https://maps.example/#map=12/40.015/-105.27": (40.015, -105.27),
    "lat: 40.015 lon: -105.27": (40.015, -105.27),
    "91, 0": None,
    "somewhere": None,
}
READ = """
    const [texts, done] = arguments;
    import('/page/coordinates.js').then((m) => done(texts.map((each) => m.coordinatesIn(each))));
"""


def test_coordinates_are_read_in_common_forms(page: Page) -> None:
    page.browser.open(f"{page.address}/page/")
    found: Any = page.driver.execute_async_script(READ, list(FORMS))
    read = [each and (each["latitude"], each["longitude"]) for each in found]
    assert dict(zip(FORMS, read, strict=True)) == FORMS


def test_a_pasted_place_is_asked_about(page: Page) -> None:
    page.open("#day=typical&month=1&where=point&latitude=-35&longitude=-120&elevation_m=10")
    before = page.answers()
    page.run(
        "const f = document.getElementById('pasted'); f.value = arguments[0];"
        "f.dispatchEvent(new Event('input', {bubbles: true}))",
        "35°15'36\"S 120°30'36\"W",
    )
    page.wait(lambda: page.value("latitude") == "-35.26")
    page.next_answer(before)
    assert page.value("longitude") == "-120.51"
    assert float(page.value("elevation_m")) > 100, "the nearest station's height"


def test_a_station_is_found_by_its_name(page: Page) -> None:
    page.open("#day=typical&month=1")
    field = page.find("#station-search")
    field.send_keys("quellh")
    page.wait(lambda: page.text("#search-says") == "1 station found.")
    before = page.answers()
    field.send_keys("\ue007")
    page.next_answer(before)
    assert page.value("station") == "coast_quellhaven"


def test_the_map_has_coasts_and_borders(page: Page) -> None:
    page.open("#where=point&day=like&latitude=36&longitude=-121&elevation_m=10")
    page.wait(lambda: page.browser.all("#map .coast"))
    line = page.run("return document.querySelector('#map .coast').getAttribute('d')")
    assert line.count("M") > 3
