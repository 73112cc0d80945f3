"""A rig of one's own: its form, its drawing, its document, and where it is kept."""

import json
from typing import Any

from tests.page.conftest import Page

FRAGMENT = "#day=typical&month=1&rig=flatbed_cabin"
DOCUMENT = "return document.getElementById('rig-text').value"


def enter(page: Page, field: str, value: str) -> None:
    """Fill a field of the form by its label, and wait for the answer."""
    before = page.answers()
    page.run(
        """
        const [words, value] = arguments;
        const label = [...document.querySelectorAll('#rig-fields label')]
          .find((each) => each.textContent === words);
        const input = document.getElementById(label.htmlFor);
        input.value = value;
        for (const kind of ['input', 'change']) {
          input.dispatchEvent(new Event(kind, {bubbles: true}));
        }
        """,
        field,
        value,
    )
    page.next_answer(before)


def document(page: Page) -> Any:
    return json.loads(page.run(DOCUMENT))


def press(page: Page, name: str) -> None:
    (button,) = [
        each
        for each in page.browser.all("#rig-own button")
        if each.is_displayed() and each.accessible_name == name
    ]
    button.click()


def begin(page: Page) -> None:
    page.open(FRAGMENT)
    page.say("rig", "own:new")
    page.wait(lambda: page.browser.all("#rig-fields input"))


def test_the_form_writes_a_short_rig_and_its_drawing_follows(page: Page) -> None:
    begin(page)
    drawn = page.find("#rig-drawing")
    assert "2.60 m long, 1.90 m wide, 1.90 m high, 1 windows" in drawn.accessible_name.replace(
        "\xa0", " "
    )
    enter(page, "Length", "3.4")
    enter(page, "Battery, usable", "6")
    enter(page, "Roof", "plywood_xps_mm")
    rig = document(page)
    assert rig["outer_size"]["length_m"] == 3.4
    assert rig["battery_kwh"] == 6
    assert rig["roof"] == {"plywood_xps_mm": 25}
    assert "3.40 m long" in page.find("#rig-drawing").accessible_name.replace("\xa0", " ")
    before = page.answers()
    press(page, "Add a window")
    page.next_answer(before)
    assert len(document(page)["windows"]) == 2
    assert "usually about 2.5 kWh" in page.text("#rig-fields")


def test_the_whole_document_is_a_click_away_and_leads_back(page: Page) -> None:
    begin(page)
    short = document(page)
    before = page.answers()
    press(page, "Write it out in full")
    page.next_answer(before)
    whole = document(page)
    assert whole["shell"]["box"]["length_m"] < short["outer_size"]["length_m"]
    before = page.answers()
    press(page, "Back to the short form")
    page.next_answer(before)
    assert document(page) == short
    # What is changed in the whole document stays, whatever the form changes beside it.
    before = page.answers()
    press(page, "Write it out in full")
    page.next_answer(before)
    whole["battery"]["charge_efficiency"] = 0.91
    before = page.answers()
    page.run(
        "const f = document.getElementById('rig-text'); f.value = arguments[0];"
        "f.dispatchEvent(new Event('input', {bubbles: true}))",
        json.dumps(whole),
    )
    page.next_answer(before)
    enter(page, "Battery, usable", "4321")
    whole["battery"]["usable_energy_wh"] = 4321
    assert document(page) == whole


def test_a_fault_stands_at_its_field(page: Page) -> None:
    begin(page)
    page.run(
        "const f = document.getElementById('rig-field-battery_kwh'); f.value = '9000';"
        "f.dispatchEvent(new Event('input', {bubbles: true}))"
    )
    page.wait(lambda: page.text("#rig-field-battery_kwh-fault"))
    assert page.find("#rig-field-battery_kwh").get_attribute("aria-invalid") == "true"
    enter(page, "Battery, usable", "3")
    assert not page.find("#rig-field-battery_kwh").get_attribute("aria-invalid")


def test_own_rigs_are_kept_duplicated_and_forgotten(page: Page) -> None:
    begin(page)
    enter(page, "Name", "Weekender")
    press(page, "Keep it in this browser")
    enter(page, "Battery, usable", "5")
    before = page.answers()
    press(page, "Duplicate")
    page.next_answer(before)
    names = "return [...document.querySelectorAll('#rig option')].map((each) => each.text)"
    page.wait(lambda: "Weekender, copy" in page.run(names))
    page.open(FRAGMENT)
    assert {"Weekender", "Weekender, copy"} <= set(page.run(names))
    page.say("rig", "own:1")
    assert document(page)["battery_kwh"] == 5
    press(page, "Forget it")
    assert "Weekender" not in page.run(names)
    assert document(page)["battery_kwh"] == 5, "it is still here until another is chosen"
