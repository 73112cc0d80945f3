"""The rig's document, faults at their fields, the link, units, keyboard."""

import json
from urllib.parse import parse_qs, urlsplit

from selenium.webdriver.common.keys import Keys

from tests.page.conftest import Page
from tests.page.test_answer import BUSY

RIG = "document.getElementById('rig-text')"


def write_rig(page: Page, text: str) -> None:
    page.run(
        f"{RIG}.value = arguments[0]; {RIG}.dispatchEvent(new Event('input', {{bubbles: true}}))",
        text,
    )


def own_rig(page: Page) -> str:
    """Take a copy of the sample rig, and return its text."""
    before = page.answers()
    page.find("#rig-copy").click()
    page.next_answer(before)
    page.run("document.getElementById('rig-document').open = true")
    return str(page.run(f"return {RIG}.value"))


def test_a_bad_rig_shows_each_fault_where_it_was_written(page: Page) -> None:
    page.open("#day=typical&month=1")
    rig = json.loads(own_rig(page))
    rig["battery"]["usable_energy_wh"] = 5
    rig["shell"]["panels"][2]["layers"][1]["thicknes_m"] = 0.02
    del rig["cooler"]["airflow_m3_h"]
    text = json.dumps(rig, indent=2)
    write_rig(page, text)
    page.wait(lambda: len(page.browser.all("#rig-says li")) >= 3)
    said = [each.text for each in page.browser.all("#rig-says li")]
    lines = text.split("\n")
    for pointer, sought in (
        ("/battery/usable_energy_wh", '"usable_energy_wh": 5'),
        ("/shell/panels/2/layers/1/thicknes_m", '"thicknes_m"'),
    ):
        (told,) = [each for each in said if pointer in each]
        number = int(told.removeprefix("Line ").split(":")[0])
        assert sought in lines[number - 1]
        assert f"✗{number}" in page.text("#rig-margin")
    (kwh,) = [each for each in said if "usable_energy_wh" in each]
    assert "multiply by 1000" in kwh
    assert any("airflow_m3_h" in each for each in said)
    # The fault leads to its place, and the page does not show an old verdict as if it were new.
    page.run(
        """
        [...document.querySelectorAll('#rig-says button')]
          .find((each) => each.textContent.includes('usable')).click();
        """
    )
    start, end = page.run(f"return [{RIG}.selectionStart, {RIG}.selectionEnd]")
    assert text[start:end] == "5"
    assert "Holds" not in page.text("#bar")
    rig["battery"]["usable_energy_wh"] = 5000
    rig["cooler"]["airflow_m3_h"] = 400
    del rig["shell"]["panels"][2]["layers"][1]["thicknes_m"]
    before = page.answers()
    write_rig(page, json.dumps(rig))
    page.next_answer(before)
    assert page.text("#rig-says") == ""


def test_text_that_is_no_json_is_told_by_line(page: Page) -> None:
    page.open("#day=typical&month=1")
    own_rig(page)
    write_rig(page, '{\n  "name": "box",\n  shell: {}\n}')
    page.wait(lambda: page.text("#rig-says"))
    assert page.text("#rig-says").startswith("Line 3: This is not JSON yet")


def test_a_fault_of_the_question_stands_at_its_field(page: Page) -> None:
    page.open(BUSY)
    page.put("low_c", "60")
    page.wait(lambda: page.text("#fault-low_c"))
    assert "cannot exceed high_c" in page.text("#fault-low_c")
    field = page.find("#low_c")
    assert field.get_attribute("aria-invalid") == "true"
    assert field.get_attribute("aria-describedby") == "fault-low_c"
    page.say("low_c", "25")
    assert page.text("#fault-low_c") == ""
    page.put("set_point_c", "")
    assert page.text("#fault-set_point_c") == "needs a number"


def test_the_link_gives_the_same_answer_in_another_window(page: Page) -> None:
    page.open(BUSY)
    page.say("set_point_c", "22.5")
    page.show_hours()
    said, address = page.figures(), page.driver.current_url
    assert parse_qs(urlsplit(address).fragment)["set_point_c"] == ["22.5"]
    page.open(f"#{urlsplit(address).fragment}")
    page.show_hours()
    assert page.figures() == said
    assert page.driver.current_url == address


def test_the_link_holds_a_rig_of_ones_own(page: Page) -> None:
    page.open(BUSY)
    rig = json.loads(own_rig(page))
    rig["name"], rig["battery"]["usable_energy_wh"] = "Größer & better", 7777
    before = page.answers()
    write_rig(page, json.dumps(rig, ensure_ascii=False))
    page.next_answer(before)
    said, address = page.text("#sentence") + page.text("#context"), page.driver.current_url
    assert "Größer & better" in said
    page.open(f"#{urlsplit(address).fragment}")
    assert page.text("#sentence") + page.text("#context") == said
    assert json.loads(page.run(f"return {RIG}.value")) == rig


def test_a_link_with_nonsense_still_answers(page: Page) -> None:
    page.open("#day=never&where=moon&set_point_c=warm&cool_from=soon&rig=none&month=13&shade=x")
    assert page.state() == "answered"
    assert page.value("month") == "1"
    assert page.value("set_point_c") == "24"


def test_units_are_those_of_the_reader_and_remembered(page: Page) -> None:
    page.open(BUSY)
    page.show_hours()
    celsius = page.figures()
    body = page.text("#curl")
    page.run(
        """
        for (const [id, value] of [['reading-temperature', 'F'], ['reading-measures', 'us']]) {
          const field = document.getElementById(id);
          field.value = value;
          field.dispatchEvent(new Event('change', {bubbles: true}));
        }
        """
    )
    assert page.value("set_point_c") == "75.2"
    assert page.value("elevation_m") == "328"
    assert page.value("drive_speed_km_h") == "49.7"
    assert "°C" not in page.text("#found") + page.text("#verdict")
    assert page.figures() != celsius
    assert page.text("#curl") == body, "the units of the reader never reach the question"
    page.say("set_point_c", "77")
    assert json.loads(page.text("#curl").split("-d '")[1][:-1])["operation"]["set_point_c"] == 25
    page.open(BUSY)
    assert page.value("set_point_c") == "75.2"
    assert "°F" in page.text("#figures")


def test_everything_is_reached_and_used_by_keyboard(page: Page) -> None:
    page.open("#day=typical&month=1&day_of_month=3&driving=no")
    page.wait(lambda: page.browser.all("#changes button"))
    keyboard = page.driver.switch_to.active_element
    keyboard.send_keys(Keys.TAB)
    seen: list[str] = []
    for _ in range(90):
        here = page.run(
            "const e = document.activeElement; return e.id || e.textContent.trim().slice(0, 30)"
        )
        if here in seen[:1]:
            break
        seen.append(here)
        page.driver.switch_to.active_element.send_keys(Keys.TAB)
    assert seen[0] == "Skip to the answer"
    for name in (
        "reading-temperature",
        "rig",
        "rig-copy",
        "station",
        "month",
        "cool_from",
        "set_point_c",
        "shade",
        "panel",
        "covers",
        "driving",
        "hour",
        "bounds",
        "take-csv",
        "take-print",
    ):
        assert name in seen, f"{name} is not reached by the tabulator"
    assert seen.index("rig") < seen.index("month") < seen.index("shade") < seen.index("hour")
    # And used: an arrow in a list of choices asks again.
    before, sentence = page.answers(), page.text("#context")
    page.run("document.querySelector('input[name=day]:checked').focus()")
    page.driver.switch_to.active_element.send_keys(Keys.ARROW_DOWN)
    page.next_answer(before)
    assert page.text("#context") != sentence
    assert page.run("return getComputedStyle(document.activeElement).outlineStyle") != "none"
