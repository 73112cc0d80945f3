"""A headless Chromium that sees nothing but loopback, and reports what it complains of and reaches.

Import the fixture where it is needed (``from tests.browser import browser as browser`` in a
``conftest.py``). ``.ci/run`` installs the browser and sets ``TESTS_NEED_ALL_TOOLS``, so that there
its absence is a failure; at home, where nobody asked for a browser, its tests are left out.
"""

import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.remote.webelement import WebElement
from selenium.webdriver.support.wait import WebDriverWait

FLAGS = (
    "--headless=new",
    "--no-sandbox",  # its sandbox does not work for root, as which CI runs
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--window-size=1280,1000",
    # Whatever a page may ask for: no name but loopback's is found.
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
)


def tool(*names: str) -> str:
    """Return the path of the first program of these names that is installed.

    Where there is none, the calling test is left out, or failed where all tools are needed.
    """
    found = next(filter(None, map(shutil.which, names)), None)
    if found is None:
        said = f"{names[0]} is not installed (see .ci/run)"
        # A person may run the tests without a browser or node; CI may not.
        pytest.fail(said) if os.environ.get("TESTS_NEED_ALL_TOOLS") else pytest.skip(said)
    return found


class Browser:
    """One window.

    Parameters
    ----------
    driver : selenium.webdriver.Chrome
        With logs of the console and of the network.
    """

    def __init__(self, driver: webdriver.Chrome) -> None:
        self.driver = driver

    def open(self, address: str) -> None:
        """Go to an address; what was logged before is forgotten."""
        self.complaints()
        self.requested()
        self.driver.get(address)

    def wait_for(self, selector: str, seconds: float = 30.0) -> WebElement:
        """Return the first element of a CSS selector, once it can be seen."""

        def seen(driver: Any) -> Any:
            found = driver.find_elements(By.CSS_SELECTOR, selector)
            return next((each for each in found if each.is_displayed()), False)

        element: WebElement = WebDriverWait(self.driver, seconds).until(seen, selector)
        return element

    def all(self, selector: str) -> list[WebElement]:
        """Return all elements of a CSS selector."""
        return self.driver.find_elements(By.CSS_SELECTOR, selector)

    def complaints(self) -> list[str]:
        """Return the console's warnings and errors since the last call."""
        entries: Any = self.driver.get_log("browser")
        return [f"{e['level']}: {e['message']}" for e in entries if e["level"] not in _HARMLESS]

    def requested(self) -> list[str]:
        """Return the addresses that were asked for since the last call.

        Those within the page (data:, blob:) and the browser's own first window are left out.
        """
        log: Any = self.driver.get_log("performance")
        messages = [json.loads(each["message"])["message"] for each in log]
        addresses = [
            str(each["params"]["request"]["url"])
            for each in messages
            if each["method"] == "Network.requestWillBeSent"
        ]
        inner = ("data", "blob", "chrome")
        return [each for each in addresses if urlsplit(each).scheme not in inner]

    def save_picture(self, path: Path) -> None:
        """Save what the window shows, as PNG."""
        self.driver.save_screenshot(str(path))


_HARMLESS = ("INFO", "DEBUG")


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """Return a window of a browser with a profile of its own; it starts in about two seconds."""
    options = webdriver.ChromeOptions()
    options.binary_location = tool("chromium", "chromium-browser", "google-chrome")
    for flag in (*FLAGS, f"--user-data-dir={tmp_path_factory.mktemp('profile')}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    service = webdriver.ChromeService(executable_path=tool("chromedriver"))
    driver = webdriver.Chrome(options=options, service=service)
    try:
        yield Browser(driver)
    finally:
        driver.quit()
