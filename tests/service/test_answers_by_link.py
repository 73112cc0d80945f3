"""An answer by its address alone: the same content, nothing stored, and bounded."""

import base64
import zlib
from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient

from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.description.study_examples import YEARS
from noonhold_service.http.question_token import token_of
from noonhold_service.settings import Settings, SettingsError
from tests.service.test_hostile_input import problem

DAY: dict[str, Any] = REQUESTS["typical_day"].document
Maker = Callable[..., FlaskClient]


@pytest.mark.parametrize(
    ("address", "document"), [("/v1/projections", DAY), ("/v1/years", YEARS["year"].document)]
)
def test_the_address_of_an_answer_gives_it_again(
    client: FlaskClient, with_settings: Maker, address: str, document: dict[str, Any]
) -> None:
    asked = client.post(address, json=document)
    link = asked.headers["Content-Location"]
    assert link.endswith(".json") and len(link) < 1000
    # Another process knows nothing of the first request.
    found = with_settings().get(link)
    assert found.data == asked.data and found.headers["ETag"] == asked.headers["ETag"]
    assert found.headers["Cache-Control"].startswith("public")
    assert "Accept" not in found.headers.get("Vary", "").replace("Accept-Encoding", "")
    again = client.get(link, headers={"If-None-Match": found.headers["ETag"]})
    assert again.status_code == 304
    svg = client.get(link.removesuffix("json") + "svg")
    assert svg.mimetype == "image/svg+xml" and "<svg" in svg.text
    assert svg.headers["Cross-Origin-Resource-Policy"] == "cross-origin"
    assert client.get(link.removesuffix("json") + "png").data[:4] == b"\x89PNG"


def test_a_picture_names_its_own_address(client: FlaskClient) -> None:
    asked = client.post("/v1/projections", json=DAY, headers={"Accept": "image/svg+xml"})
    assert asked.headers["Content-Location"].endswith(".svg")
    part = client.post("/v1/projections?fields=summary", json=DAY)
    assert "Content-Location" not in part.headers


def test_a_question_too_long_for_an_address_has_none(with_settings: Maker) -> None:
    client = with_settings(max_token=100)
    assert "Content-Location" not in client.post("/v1/projections", json=DAY).headers
    problem(client.get(f"/v1/answers/{token_of('p', DAY)}.json"), 413, "too-large")


def packed(text: bytes) -> str:
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    return base64.urlsafe_b64encode(packer.compress(text) + packer.flush()).decode().rstrip("=")


@pytest.mark.parametrize(
    "token", ["x", "p", "p!!!", "pAAAA", "q" + packed(b"{}"), "p" + packed(b"{"),
              "p" + packed(b"{}")[:-2], "p" + packed(b'{"a":NaN}')]
)  # fmt: skip
def test_what_carries_no_question_is_not_found(client: FlaskClient, token: str) -> None:
    problem(client.get(f"/v1/answers/{token}.json"), 404, "not-found")


def test_what_unpacks_to_more_than_a_body_may_have_is_refused(client: FlaskClient) -> None:
    bomb = "p" + packed(b" " * 3_900_000)
    assert len(bomb) < 6000
    problem(client.get(f"/v1/answers/{bomb}.json"), 413, "too-large")


def test_faults_of_the_question_are_told(client: FlaskClient) -> None:
    token = token_of("p", {**DAY, "rig": "none"})
    told = problem(client.get(f"/v1/answers/{token}.svg"), 422, "invalid-document")
    assert told["errors"][0]["pointer"] == "/rig"
    problem(client.get(f"/v1/answers/{token}.gif"), 404, "not-found")


def test_a_card_may_be_framed_by_whom_the_operator_names(
    client: FlaskClient, with_settings: Maker
) -> None:
    token = token_of("p", DAY)
    card = client.get(f"/v1/card?token={token}")
    assert card.status_code == 200 and card.mimetype == "text/html"
    assert "frame-ancestors 'none'" in card.headers["Content-Security-Policy"]
    summary = client.post("/v1/projections", json=DAY).get_json()
    assert summary["summary"]["sentence"] in card.text and summary["cautions"][0] in card.text
    assert f"answers/{token}.svg" in card.text and "<script" not in card.text
    open_to = with_settings(frame_ancestors=("https://rigs.example",))
    policy = open_to.get(f"/v1/card?token={token}").headers["Content-Security-Policy"]
    assert policy.endswith("frame-ancestors https://rigs.example")
    problem(client.get("/v1/card?token=zzz"), 404, "not-found")
    problem(client.get("/v1/card"), 422, "invalid-query")


def test_a_name_is_text_in_a_card(client: FlaskClient) -> None:
    rig = {**REQUESTS["own_hours"].document["rig"], "name": "<script>alert(1)</script>"}
    token = token_of("p", {**DAY, "rig": rig})
    place = {k: v for k, v in DAY["place"].items() if k != "shade"}
    token = token_of("p", {**DAY, "rig": rig, "place": place})
    card = client.get(f"/v1/card?token={token}")
    assert card.status_code == 200, card.text
    assert "<script>" not in card.text and "&lt;script&gt;" in card.text


def test_who_may_frame_is_checked_at_the_start() -> None:
    with pytest.raises(SettingsError, match="FRAME_ANCESTORS"):
        Settings(frame_ancestors=("https://a.example; script-src *",))
