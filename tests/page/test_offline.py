"""Without a connection: the last answers, said to be old."""

from collections.abc import Iterator

import pytest

from noonhold_service.process.app import create_ready_app
from noonhold_service.settings import Settings
from tests.live import listening
from tests.page.conftest import Page
from tests.page.test_answer import BUSY


@pytest.fixture
def tidy(page: Page) -> Iterator[Page]:
    """Return the page, and take its worker and caches away afterwards."""
    yield page
    page.browser.complaints()


def test_the_last_answer_opens_without_the_service_and_is_said_to_be_old(tidy: Page) -> None:
    page = tidy
    controlled = "return Boolean(navigator.serviceWorker?.controller)"
    with listening(create_ready_app(Settings())) as address:
        page.open(BUSY, address)
        page.wait(lambda: page.run(controlled))
        page.open(BUSY, address)  # once more, through the worker: now everything is kept
        page.wait(lambda: page.text("#danger"))
        said = page.text("#sentence")
        assert not page.run("return document.getElementById('old').checkVisibility()")
    page.open(BUSY, address)
    assert page.state() == "answered"
    assert page.text("#sentence") == said
    assert page.text("#old").startswith("Old answer, of ")
    assert "Never leave a person" in page.text("#caution-short")
    page.put("set_point_c", "21.5")
    page.wait(lambda: "does not answer" in page.text("#trouble"))
