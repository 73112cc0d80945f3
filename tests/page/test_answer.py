"""The answer beside the question."""

import json
import re
import shlex

from tests.page.conftest import Page

# A scenario in which every field of the question has a say.
BUSY = (
    "#rig=flatbed_cabin&where=point&latitude=-34.1&longitude=-120.7&elevation_m=100"
    "&day=like&date=2026-01-20&high_c=42&low_c=26&dew_point_c=8&cloud=0.1&heading_deg=90"
    "&cool_from=09:00&cool_to=20:00&set_point_c=24&inside=number&inside_c=35&charge=0.7"
    "&shade=cabin&shade_from=14:00&shade_to=19:00&panel=hours&covers=inside&driving=off"
    "&people=2&policy=low_then_high&limit_c=27"
)
# One after the other, each still with a say after those before it.
OTHERWISE = {
    "heading_deg": "180",
    "elevation_m": "2000",
    "latitude": "-20",
    "longitude": "-118",
    "timezone": "Etc/GMT+9",
    "date": "2026-06-20",
    "high_c": "39",
    "low_c": "22",
    "dew_point_c": "18",
    "cloud": "60",
    "set_point_c": "26",
    "people": "5",
    "cool_from": "10:00",
    "cool_to": "19:30",
    "policy": "low_only",
    "charge": "60",
    "inside_c": "22",
    "shade_from": "11:00",
    "shade_to": "15:00",
    "shade_depth": "30",
    "shade": "all",
    "panel_from": "12:00",
    "panel_to": "13:30",
    "panel": "in",
    "covers_from": "12:00",
    "covers_to": "17:00",
    "covers": "open",
    "drive_from": "06:00",
    "drive_to": "11:00",
    "drive_speed_km_h": "20",
    "driving": "no",
    "limit_c": "24.5",
    "measure": "heat_index",
    "rig": "lined_panel_van",
}
# Fields of other kinds of day and place, each with what makes it count.
ELSEWHERE = {
    "where": (
        "#day=typical&month=1&where=point&latitude=-35.2&longitude=-120.6&elevation_m=600",
        "station",
    ),
    "station": ("#day=typical&month=1", "coast_quellhaven"),
    "day": ("#day=typical&month=3", "week"),
    "month": ("#day=typical&month=1", "7"),
    "day_of_month": ("#day=date&month=1&day_of_month=3", "20"),
    "battery": ("#battery=settled&day=typical&month=1", "number"),
    "inside": ("#inside=settled&day=typical&month=1", "outdoor"),
    "limit_vote": ("#measure=pmv&limit_vote=0.5&day=typical&month=1", "-0.4"),
}


def test_there_is_an_answer_without_any_input(page: Page) -> None:
    page.open()
    assert page.state() == "answered"
    assert re.search(r"[●◐▲▽] (Holds|Holds narrowly|Fails: .+)$", page.text("#stamp"))
    assert re.search(r"\d\d:\d\d", page.text("#sentence"))
    assert "kill" in page.text("#cautions")
    assert len(page.browser.all("#temperatures canvas")) == 1
    assert len(page.browser.all("#charge-chart canvas")) == 1
    assert len(page.browser.all("#power-chart canvas")) == 1
    assert "The cooler stops at" in page.text("#charge-words")
    assert "reserve" in page.text("#charge-key")
    assert "Outdoors from" in page.text("#temperatures-words")
    assert "The battery begins with" in page.text("#charge-words")
    assert page.browser.complaints() == []
    assert page.strangers() == set()


def test_each_control_changes_the_answer(page: Page) -> None:
    page.open(BUSY)
    page.show_hours()
    names = set(
        page.run("return [...document.getElementById('question').elements].map((e) => e.name)")
    )
    assert names - {""} == OTHERWISE.keys() | ELSEWHERE.keys()
    unmoved, before = [], page.figures()
    for name, value in OTHERWISE.items():
        page.say(name, value)
        after = page.figures()
        if after == before:
            unmoved.append(name)
        before = after
    for name, (fragment, value) in ELSEWHERE.items():
        page.open(fragment)
        page.show_hours()
        before = page.figures()
        page.say(name, value)
        if page.figures() == before:
            unmoved.append(name)
    assert unmoved == []


def test_the_curl_line_and_the_files_give_the_same_answer(page: Page) -> None:
    page.open(BUSY)
    words = shlex.split(page.text("#curl"))
    assert words[:2] == ["curl", "-s"]
    body = json.loads(words[words.index("-d") + 1])
    answer = page.driver.execute_async_script(
        """
        const done = arguments[2];
        fetch(arguments[0], {
          method: 'POST', body: arguments[1], headers: {'Content-Type': 'application/json'},
        }).then((response) => response.json()).then(done);
        """,
        words[words.index("-s") + 1],
        json.dumps(body),
    )
    lowest = f"{100 * answer['summary']['lowest_charge']:.0f} %"
    assert lowest in page.text("#figures")
    # What the buttons fetch is caught where the browser would save it.
    page.run(
        """
        window.taken = {};
        let content;
        URL.createObjectURL = (blob) => { content = blob.text(); return 'about:blank'; };
        HTMLAnchorElement.prototype.click = function () {
          content.then((text) => { window.taken[this.download] = text; });
        };
        """
    )
    for kind in ("csv", "png", "json"):
        page.find(f"#take-{kind}").click()
        page.wait(lambda k=kind: page.run(f"return 'noonhold.{k}' in window.taken"))
    files = page.run("return window.taken")
    assert json.loads(files["noonhold.json"]) == answer
    assert files["noonhold.csv"].count("\n") > 24
    assert files["noonhold.png"][1:4] == "PNG"


def test_a_week_is_told_day_by_day(page: Page) -> None:
    page.open("#day=week")
    assert "days that hold" in page.text("#horizons")
    assert len(page.browser.all("#days tbody tr")) == 7
    page.show_hours()
    assert len(page.browser.all("#table tbody tr")) == 7 * 24


def test_what_would_change_the_answer_is_compared_and_can_be_tried(page: Page) -> None:
    page.open(BUSY)
    page.wait(lambda: page.browser.all("#changes tbody tr"))
    rows = [each.text for each in page.browser.all("#changes tbody tr")]
    assert 3 <= len(rows) <= 6
    assert all(re.search("better|worse", each) for each in rows)
    before, sentence = page.answers(), page.figures()
    page.find("#changes button").click()
    page.next_answer(before)
    assert page.figures() != sentence


def test_how_far_it_can_be_trusted_is_told_on_request(page: Page) -> None:
    page.open(BUSY)
    assert page.text("#bounds-says") == ""
    page.find("#bounds").click()
    page.wait(lambda: "trials" in page.text("#bounds-says"))
    assert re.search(r"Holds in \d+ % of \d+ trials", page.text("#bounds-says"))
    assert "eight of ten" in page.text("#temperatures-key")
    page.find("#bounds").click()
    assert page.text("#bounds-says") == ""


def test_an_hour_can_be_read_by_keyboard(page: Page) -> None:
    page.open(BUSY)
    slider = page.find("#hour")
    first = page.text("#hour-says")
    slider.send_keys("\ue014")  # right
    assert page.text("#hour-says") != first
    assert page.text("#hour-says").startswith("13:00 to 14:00: outdoors")
    # Beside the cursor of each chart stand the same hour's values.
    said = [each.text for each in page.browser.all(".at-cursor")]
    assert len(said) == 3
    assert "outdoors" in said[0]
    assert re.search(r"charge\s*\d+", said[1])
    assert "W" in said[2]
