"""The page of documentation as a browser shows it."""

from urllib.parse import urlsplit

from flask import Flask

from tests.browser import Browser
from tests.live import listening


def test_the_page_shows_every_operation_and_reaches_nobody_else(
    app: Flask, browser: Browser
) -> None:
    paths = app.test_client().get("/openapi.json").get_json()["paths"]
    operations = sum(len(set(path) - {"parameters"}) for path in paths.values())
    with listening(app) as address:
        browser.open(f"{address}/docs")
        browser.wait_for(".opblock")
        assert len(browser.all(".opblock")) == operations
        browser.wait_for(".opblock-post .opblock-summary-control").click()
        assert "charge" in browser.wait_for(".opblock-post .opblock-body").text.lower()
        requested = browser.requested()
        assert browser.complaints() == []
    assert f"{address}/openapi.json" in requested
    assert {urlsplit(each).netloc for each in requested} == {urlsplit(address).netloc}
