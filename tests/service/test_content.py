import csv
import gzip
import io
import json
from typing import Any
from xml.etree import ElementTree

import matplotlib.image
import pytest
from flask.testing import FlaskClient

from noonhold.verdict import CAUTIONS
from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.description.study_examples import STUDY_REQUESTS

REQUEST = REQUESTS["typical_day"].document


def ask(client: FlaskClient, accept: str, **headers: str) -> Any:
    return client.post("/v1/projections", json=REQUEST, headers={"Accept": accept, **headers})


def test_csv_has_verdict_and_cautions_above_and_the_hours_below(
    client: FlaskClient, typical_day: dict[str, Any]
) -> None:
    response = ask(client, "text/csv")
    assert response.content_type == "text/csv; charset=utf-8"
    lines = response.text.split("\r\n")
    comments = [line for line in lines if line.startswith("#")]
    assert comments == [f"# {t}" for t in (typical_day["summary"]["sentence"], *CAUTIONS)]
    header, *rows = csv.reader(line for line in lines[len(comments) :] if line)
    assert header == list(typical_day["hours"])
    for name, cells in zip(header, zip(*rows, strict=True), strict=True):
        told = typical_day["hours"][name]
        assert list(cells) == ["" if each is None else str(each) for each in told]


def test_svg_is_xml_with_the_verdict_and_the_caution(
    client: FlaskClient, typical_day: dict[str, Any]
) -> None:
    response = ask(client, "image/svg+xml")
    assert response.mimetype == "image/svg+xml"
    texts = " ".join(ElementTree.fromstring(response.data).itertext())  # noqa: S314 - our own
    words = " ".join(texts.split())
    assert " ".join(typical_day["summary"]["sentence"].split()[:6]) in words
    assert "Heat in a closed vehicle can kill" in words
    assert response.data == ask(client, "image/svg+xml").data
    assert b"http-equiv" not in response.data and b"<script" not in response.data


def test_png_is_a_picture(client: FlaskClient) -> None:
    response = ask(client, "image/png")
    assert response.mimetype == "image/png"
    assert matplotlib.image.imread(io.BytesIO(response.data)).shape == (760, 900, 4)


@pytest.mark.parametrize(
    ("accept", "mimetype"),
    [
        ("*/*", "application/json"),
        ("", "application/json"),
        ("text/html, */*;q=0.1", "application/json"),
        ("text/csv;q=0.9, application/json;q=0.5", "text/csv"),
        ("text/*", "text/csv"),
    ],
)
def test_the_best_liked_form_is_sent(client: FlaskClient, accept: str, mimetype: str) -> None:
    response = ask(client, accept)
    assert (response.status_code, response.mimetype) == (200, mimetype)
    assert "Accept" in response.headers["Vary"]


@pytest.mark.parametrize("accept", ["text/html", "application/xml", "application/json;q=0", "x"])
def test_no_form_that_is_liked(client: FlaskClient, accept: str) -> None:
    response = ask(client, accept)
    assert response.status_code == 406
    assert response.mimetype == "application/problem+json"
    assert "text/csv" in response.get_json()["detail"]


def test_gzip_where_it_is_welcome(client: FlaskClient) -> None:
    plain, packed = ask(client, "*/*"), ask(client, "*/*", **{"Accept-Encoding": "gzip"})
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(packed.data) == plain.data
    assert packed.headers["ETag"] == f"W/{plain.headers['ETag']}"
    assert "Accept-Encoding" in plain.headers["Vary"]
    refused = ask(client, "*/*", **{"Accept-Encoding": "gzip;q=0"})
    assert "Content-Encoding" not in refused.headers


def test_the_same_request_gives_the_same_bytes_and_tag(client: FlaskClient) -> None:
    first, second = ask(client, "*/*"), ask(client, "*/*")
    assert first.data == second.data
    assert first.headers["ETag"] == second.headers["ETag"]
    assert first.headers["Cache-Control"] == "private, max-age=300"


@pytest.mark.parametrize("encoding", ["", "gzip"])
def test_who_has_it_is_told_so(client: FlaskClient, encoding: str) -> None:
    headers = {"Accept-Encoding": encoding}
    first = client.get("/v1/stations", headers=headers)
    again = client.get("/v1/stations", headers={**headers, "If-None-Match": first.headers["ETag"]})
    assert (first.status_code, again.status_code, again.data) == (200, 304, b"")
    assert first.headers["Cache-Control"] == "public, max-age=300"


@pytest.mark.parametrize("path", ["/healthz", "/metrics", "/v1/rigs/none"])
def test_what_changes_is_never_kept(client: FlaskClient, path: str) -> None:
    assert client.get(path).headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize("path", ["/", "/docs", "/v1/rigs", "/v1/none", "/problems/busy"])
def test_every_answer_is_safe_to_open(client: FlaskClient, path: str) -> None:
    headers = client.get(path).headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    policy = headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none';")
    assert "frame-ancestors 'none'" in policy and "http" not in policy
    assert "script-src 'unsafe-inline'" not in policy


def test_the_documentation_comes_from_here_alone(client: FlaskClient) -> None:
    page = client.get("/docs")
    assert page.mimetype == "text/html"
    links = [part.split('"')[0] for part in page.text.split('="')[1:]]
    addresses = [each for each in links if each.startswith(("/", "http", "//"))]
    assert len(addresses) >= 5
    assert all(each.startswith("/") and not each.startswith("//") for each in addresses)
    for address in addresses:
        with client.get(address) as response:
            assert response.status_code == 200, address
    assert "<script>" not in page.text and "onload" not in page.text


def test_a_request_id_comes_back(client: FlaskClient) -> None:
    given = client.get("/healthz", headers={"X-Request-ID": "abc-123"})
    assert given.headers["X-Request-ID"] == "abc-123"
    made = client.get("/healthz", headers={"X-Request-ID": "a b<script>"}).headers["X-Request-ID"]
    assert len(made) == 32 and json.dumps(made) == f'"{made}"'


def test_a_post_whose_answer_is_known_gets_304(client: FlaskClient) -> None:
    first = ask(client, "*/*")
    again = ask(client, "*/*", **{"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    assert again.headers["ETag"] == first.headers["ETag"]
    packed = {"Accept-Encoding": "gzip", "If-None-Match": "W/" + first.headers["ETag"]}
    assert ask(client, "*/*", **packed).status_code == 304
    assert ask(client, "*/*", **{"If-None-Match": '"other"'}).status_code == 200


@pytest.mark.parametrize(
    "path",
    ["/docs/swagger-ui.css", "/docs/swagger-ui-bundle.js", "/page/index.html", "/openapi.json"],
)
def test_files_are_packed(client: FlaskClient, path: str) -> None:
    with client.get(path) as plain, client.get(path, headers={"Accept-Encoding": "gzip"}) as packed:
        assert packed.headers["Content-Encoding"] == "gzip"
        assert gzip.decompress(packed.data) == plain.data
        assert len(packed.data) < 0.4 * len(plain.data)
        known = {"Accept-Encoding": "gzip", "If-None-Match": packed.headers["ETag"]}
    with client.get(path, headers=known) as again:
        assert again.status_code == 304


def test_the_summary_of_a_day_fits_a_kilobyte(client: FlaskClient) -> None:
    document = REQUESTS["typical_day"].document
    whole = client.post("/v1/projections", json=document)
    short = client.post("/v1/projections?fields=summary", json=document)
    assert short.get_json() == {"summary": whole.get_json()["summary"]}
    assert len(short.data) < 2048 < len(whole.data)
    some = client.post("/v1/projections?fields=days,summary,station", json=document).get_json()
    assert list(some) == ["summary", "station", "days"]


@pytest.mark.parametrize("name", STUDY_REQUESTS)
def test_every_study_has_a_summary(client: FlaskClient, name: str) -> None:
    path, example = STUDY_REQUESTS[name]
    response = client.post(f"{path}?fields=summary", json=example.document)
    assert response.status_code == 200
    assert 0 < len(response.data) < 2048
    assert "assumptions" not in response.get_json()


@pytest.mark.parametrize("query", ["fields=colour", "fields=", "fields=a,,b", "field=summary"])
def test_a_part_that_no_answer_has(client: FlaskClient, query: str) -> None:
    response = client.post(f"/v1/projections?{query}", json=REQUESTS["hot_day"].document)
    assert response.status_code == 422
    assert response.get_json()["type"] == "/problems/invalid-query"


def test_parts_are_of_json_alone(client: FlaskClient) -> None:
    headers = {"Accept": "text/csv"}
    response = client.post(
        "/v1/projections?fields=days", json=REQUESTS["hot_day"].document, headers=headers
    )
    assert response.status_code == 422


def test_a_fan_alone_warms_the_cabin_and_the_description_knows_it(client: FlaskClient) -> None:
    described = client.get("/openapi.json").get_json()["components"]["schemas"]
    lowest = {
        name: schema["properties"][figure]["minimum"]
        for name, schema in described.items()
        for figure in ("cooling_wh",)
        if figure in schema.get("properties", {}) and "minimum" in schema["properties"][figure]
    }
    assert {"Figures", "Day", "Totals"} & set(lowest), lowest
    assert all(value <= -385 for value in lowest.values()), lowest
