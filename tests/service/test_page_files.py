"""Who gets the page at ``/``, and what is served of its files."""

import pytest
from flask.testing import FlaskClient

BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"


def test_a_browser_gets_the_page_and_a_program_the_links(client: FlaskClient) -> None:
    page = client.get("/", headers={"Accept": BROWSER})
    assert page.mimetype == "text/html"
    assert "Accept" in page.headers["Vary"]
    for accept in ({}, {"Accept": "*/*"}, {"Accept": "application/json"}):
        links = client.get("/", headers=accept)
        assert links.mimetype == "application/json"
        assert "Accept" in links.headers["Vary"]
        assert client.get(links.get_json()["links"]["page"]).mimetype == "text/html"


def test_the_page_may_load_and_ask_nothing_but_this_service(client: FlaskClient) -> None:
    policy = client.get("/page/").headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "script-src 'self';" in policy
    assert "style-src 'self';" in policy
    assert "unsafe" not in policy
    assert "http" not in policy


@pytest.mark.parametrize("name", ["../app.py", "%2e%2e/app.py", "none.js", "vendor", "/etc/passwd"])
def test_nothing_else_is_served(client: FlaskClient, name: str) -> None:
    assert client.get(f"/page/{name}").status_code == 404


def test_a_file_is_asked_for_anew_but_not_sent_again(client: FlaskClient) -> None:
    first = client.get("/page/vendor/uPlot.min.css")
    assert first.headers["Cache-Control"] == "no-cache"
    again = client.get(
        "/page/vendor/uPlot.min.css", headers={"If-None-Match": first.headers["ETag"]}
    )
    assert again.status_code == 304


def test_every_address_that_is_posted_to_is_named_at_the_root(client: FlaskClient) -> None:
    links = set(client.get("/").get_json()["links"].values())
    paths = client.get("/openapi.json").get_json()["paths"]
    assert {path for path, operations in paths.items() if "post" in operations} <= links
