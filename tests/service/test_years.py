"""A year over HTTP: the batch's own year, in every form, and what it sums up."""

import csv
import io
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from noonhold_service.description.study_examples import YEARS
from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings
from tests.engine.document_samples import changed, without

REQUEST = YEARS["year"].document


@pytest.fixture(scope="module")
def answer(app: Flask) -> dict[str, Any]:
    response = app.test_client().post("/v1/years", json=REQUEST)
    assert response.status_code == 200, response.text
    found: dict[str, Any] = response.get_json()
    return found


def test_months_and_summary_are_those_of_the_days(answer: dict[str, Any]) -> None:
    days, summary = answer["days"], answer["summary"]
    assert {len(column) for column in days.values()} == {365}
    for word in ("holds", "narrowly", "fails"):
        assert summary[word] == days["verdict"].count(word)
        assert summary[word] == sum(month[word] for month in answer["months"])
    assert summary["days_needing_cooling"] == sum(days["needs_cooling"])
    failing = {d[:2] for d, v in zip(days["day"], days["verdict"], strict=True) if v == "fails"}
    assert summary["best_months"] == [m for m in range(1, 13) if f"{m:02d}" not in failing]
    longest = run = 0
    for verdict, needs in zip(days["verdict"], days["needs_cooling"], strict=True):
        run = run + 1 if verdict == "fails" and needs else 0
        longest = max(longest, run)
    assert summary["longest_failing_run_d"] == longest
    assert summary["lowest_charge"] == min(days["lowest_charge"])


def test_the_days_as_csv_are_the_same(client: FlaskClient, answer: dict[str, Any]) -> None:
    response = client.post("/v1/years", json=REQUEST, headers={"Accept": "text/csv"})
    rows = list(csv.DictReader(io.StringIO(response.text)))
    assert [row["verdict"] for row in rows] == answer["days"]["verdict"]
    assert [row["day"] for row in rows] == answer["days"]["day"]


@pytest.mark.parametrize(
    ("form", "start"), [("image/svg+xml", b"<?xml"), ("image/png", b"\x89PNG")]
)
def test_the_picture_of_the_year(client: FlaskClient, form: str, start: bytes) -> None:
    response = client.post("/v1/years", json=REQUEST, headers={"Accept": form})
    assert (response.status_code, response.mimetype) == (200, form)
    assert response.data.startswith(start)


def test_the_summary_is_short(client: FlaskClient, answer: dict[str, Any]) -> None:
    response = client.post("/v1/years?fields=summary", json=REQUEST)
    assert response.get_json() == {"summary": answer["summary"]}
    assert len(response.data) < 1024


def test_without_a_name_the_nearest_station_is_taken(
    client: FlaskClient, answer: dict[str, Any]
) -> None:
    response = client.post("/v1/years?fields=station,summary", json=without(REQUEST, "/station"))
    assert response.get_json()["station"]["id"] == answer["station"]["id"]


def test_legal_time_is_left_and_told(client: FlaskClient, answer: dict[str, Any]) -> None:
    request = changed(REQUEST, ("/place/timezone", "America/Denver"))
    found = client.post("/v1/years", json=request).get_json()
    assert any("standard time" in note for note in found["notes"])
    assert found["summary"] == answer["summary"]


def test_faults_and_limits(client: FlaskClient) -> None:
    bad = changed(REQUEST, ("/days", 3), ("/comfort/limit", 99))
    told = client.post("/v1/years", json=bad)
    assert told.status_code == 422
    assert {each["pointer"] for each in told.get_json()["errors"]} == {"/days", "/comfort/limit"}
    small = create_app(Settings(max_sizing_days=31)).test_client()
    assert small.post("/v1/years", json=REQUEST).get_json()["type"] == "/problems/limit-exceeded"
    far = changed(without(REQUEST, "/station"), ("/place/latitude", 50), ("/place/longitude", 8))
    assert client.post("/v1/years", json=far).get_json()["type"] == "/problems/no-weather"
