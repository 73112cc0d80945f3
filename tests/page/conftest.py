"""The page in a headless browser, before one application for all its tests."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from typing import Any
from urllib.parse import urlsplit

import pytest
from selenium.webdriver.remote.webelement import WebElement

from noonhold_service.process.app import create_ready_app
from noonhold_service.settings import Settings
from tests.browser import Browser
from tests.browser import browser as browser
from tests.live import listening

PATIENCE_S = 60.0


class Page:
    """The page in a browser's window.

    Parameters
    ----------
    address : str
        Of the service.
    """

    def __init__(self, browser: Browser, address: str) -> None:
        self.browser, self.address = browser, address
        self.driver = browser.driver

    def open(self, fragment: str = "", address: str | None = None) -> None:
        """Load the page again with a scenario in its link, and wait for an answer or a trouble."""
        self.browser.open("about:blank")
        self.browser.open(f"{address or self.address}/{fragment}")
        self.wait(lambda: self.state() in ("answered", "trouble"))
        self.open_parts()

    def open_parts(self) -> None:
        """Unfold the parts of the question."""
        self.run("document.querySelectorAll('details.part').forEach((each) => each.open = true)")

    def wait(self, true: Callable[[], Any]) -> Any:
        """Return the first value that counts as true."""
        end = time.monotonic() + PATIENCE_S
        while not (found := true()):
            assert time.monotonic() < end, (
                f"waited in vain; the page says {self.text('body')[:600]}"
            )
            time.sleep(0.02)
        return found

    def run(self, script: str, *arguments: Any) -> Any:
        """Return what a script returns."""
        return self.driver.execute_script(script, *arguments)

    def state(self) -> str:
        """Return answered, asking or trouble; empty before the first question."""
        return str(self.run("return document.documentElement.dataset.state ?? ''"))

    def answers(self) -> int:
        """Return how many answers there were."""
        return int(self.run("return Number(document.documentElement.dataset.answers ?? 0)"))

    def text(self, selector: str) -> str:
        """Return an element's text with plain spaces, hidden or not."""
        script = "return document.querySelector(arguments[0])?.textContent ?? ''"
        return str(self.run(script, selector)).replace("\xa0", " ")

    def find(self, selector: str) -> WebElement:
        """Return an element that can be seen."""
        return self.browser.wait_for(selector)

    def put(self, name: str, value: str) -> None:
        """Set a field as a person would, without waiting."""
        self.run(
            """
            const field = document.getElementById('question').elements[arguments[0]];
            field.value = arguments[1];
            const one = field instanceof RadioNodeList
              ? [...field].find((each) => each.value === arguments[1]) : field;
            one.dispatchEvent(new Event('input', {bubbles: true}));
            """,
            name,
            value,
        )

    def say(self, name: str, value: str) -> None:
        """Set a field and wait for the next answer."""
        before = self.answers()
        self.put(name, value)
        self.next_answer(before)

    def next_answer(self, before: int) -> None:
        """Wait for an answer beyond those there were."""
        self.wait(lambda: self.answers() > before and self.state() == "answered")

    def value(self, name: str) -> str:
        """Return a field's value."""
        script = "return document.getElementById('question').elements[arguments[0]].value"
        return str(self.run(script, name))

    def figures(self) -> list[str]:
        """Return everything that the answer says in numbers: sentence, figures, hours."""
        return [self.text("#sentence"), self.text("#figures"), self.text("#table tbody")]

    def show_hours(self) -> None:
        """Open the table of the hours."""
        self.run("document.getElementById('table').closest('details').open = true")
        self.wait(lambda: self.text("#table tbody"))

    def emulate(self, width: int = 1280, height: int = 900, dark: bool = False) -> None:
        """Give the window a size and the system a liking."""
        size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [scheme]})

    def strangers(self) -> set[str]:
        """Return the origins, other than the service's own, that were asked since the opening."""
        hosts = {urlsplit(each).netloc for each in self.browser.requested()}
        return hosts - {urlsplit(self.address).netloc, ""}


@pytest.fixture(scope="session")
def address() -> Iterator[str]:
    """Return the address of a service with the sample rigs and stations."""
    with listening(create_ready_app(Settings())) as found:
        yield found


@pytest.fixture
def page(browser: Browser, address: str) -> Page:
    """Return the page, not opened yet, in a window of usual size with nothing remembered."""
    found = Page(browser, address)
    found.emulate()
    browser.open(f"{address}/page/mark.svg")
    found.run("localStorage.clear(); sessionStorage.clear()")
    return found
