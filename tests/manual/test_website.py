"""The ten lines of the website, in a browser."""

from pathlib import Path

from selenium.webdriver.support.wait import WebDriverWait

from tests.browser import Browser
from tests.manual.page_blocks import pairs
from tests.manual.page_run import page_run
from tests.manual.test_pages import DOCS


def test_the_page_of_ten_lines_shows_the_sentence_and_the_caution(
    browser: Browser, tmp_path: Path
) -> None:
    with page_run(tmp_path) as run:
        for block, _ in pairs(DOCS / "use" / "website.md"):
            run.run(block)
        browser.open(f"http://127.0.0.1:{run.ports['8000']}/")
        said = browser.wait_for("#said")
        WebDriverWait(browser.driver, 60.0).until(lambda _: "One moment" not in said.text)
        assert "°C" in said.text and "Heat in a closed vehicle" in said.text
