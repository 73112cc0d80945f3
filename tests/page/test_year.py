"""The year by its days, and questions side by side."""

import re

from selenium.webdriver.common.keys import Keys

from tests.page.conftest import Page

FRAGMENT = "#day=typical&month=1&rig=flatbed_cabin&station=hills_dellivarn"


def show(page: Page, part: str) -> None:
    page.run("document.getElementById(arguments[0]).open = true", part)


def test_a_day_of_the_calendar_opens_it(page: Page) -> None:
    page.open(FRAGMENT)
    show(page, "year-part")
    page.wait(lambda: page.browser.all("#year button"))
    days = page.browser.all("#year button")
    assert len(days) == 365
    assert re.search(r"\d+ of 365 days need cooling", page.text("#year-says"))
    assert {each.text for each in days} <= set("●◐▲▽·")
    assert len(page.browser.all("#months tbody tr")) == 12
    name = days[40].accessible_name
    assert name.startswith("10 Feb: ")
    before = page.answers()
    days[40].click()
    page.next_answer(before)
    assert page.value("day") == "date"
    assert page.value("day_of_month") == "10"
    assert "10 Feb of a typical year" in page.text("#context")
    # Only the day is another one: the year stays, and arrows go through it.
    page.run("document.querySelector('#year button').focus()")
    page.driver.switch_to.active_element.send_keys(Keys.ARROW_RIGHT, Keys.ARROW_DOWN)
    assert page.driver.switch_to.active_element.accessible_name.startswith("2 Feb: ")


def test_questions_stand_side_by_side_and_are_kept(page: Page) -> None:
    page.open(FRAGMENT)
    show(page, "beside-part")
    page.find("#beside-keep").click()
    page.wait(lambda: "kWh" in page.text("#beside tbody"))
    page.run(
        "const f = document.getElementById('beside-rig'); f.value = 'plywood_teardrop';"
        "f.dispatchEvent(new Event('change', {bubbles: true}))"
    )
    page.wait(lambda: page.text("#beside thead").count(" at Dellivarn, ") == 2)
    heads = page.text("#beside thead")
    assert "Flatbed cabin at Dellivarn" in heads
    assert "Plywood teardrop at Dellivarn" in heads
    page.wait(lambda: "…" not in page.text("#beside tbody"))
    page.open("#day=week")
    show(page, "beside-part")
    page.wait(lambda: page.text("#beside thead").count(" at Dellivarn, ") == 2)
    page.find("#beside button[aria-label^='Take away: Flatbed']").click()
    assert "Flatbed" not in page.text("#beside thead")
