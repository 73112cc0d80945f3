"""Rigs at many stations: a line each, the same as a year's, bounded, and never ended by one."""

import json
from collections.abc import Callable
from threading import Event, Thread
from typing import Any

import pytest
from flask.testing import FlaskClient

from noonhold_service.description.study_examples import SURVEYS
from tests.engine.document_samples import changed, without
from tests.service.test_hostile_input import problem

REQUEST: dict[str, Any] = SURVEYS["survey"].document
SHADE = {"from": "06:00", "to": "20:00", "beam_blocked": 0.9, "diffuse_blocked": 0.5}
NDJSON = "application/x-ndjson"
Maker = Callable[..., FlaskClient]


def lines_of(client: FlaskClient, document: Any) -> list[dict[str, Any]]:
    response = client.post("/v1/surveys", json=document)
    assert response.status_code == 200, response.text
    assert response.mimetype == NDJSON
    return [json.loads(line) for line in response.text.splitlines()]


def test_a_month_is_a_row_a_station_with_progress(client: FlaskClient) -> None:
    lines = lines_of(client, REQUEST)
    kinds = [each["kind"] for each in lines]
    assert kinds == ["begin", *["row", "progress"] * 3, "end"]
    assert lines[0]["rows"] == 3 and lines[0]["cautions"] and lines[0]["expected_s"] > 0
    assert [each["done"] for each in lines if each["kind"] == "progress"] == [1, 2, 3]
    rows = [each for each in lines if each["kind"] == "row"]
    assert [each["station"]["id"] for each in rows] == REQUEST["stations"]
    for row in rows:
        assert row["days"] == 31 == row["holds"] + row["narrowly"] + row["fails"]
    # The desert is hot in January, the high mountain is not.
    assert rows[0]["mean_outdoor_high_c"] > 35 > 25 > rows[2]["mean_outdoor_high_c"]
    assert lines[-1] == {"kind": "end", "rows": 3, "failed": 0}


def test_a_years_row_says_what_the_year_says(client: FlaskClient) -> None:
    station = "plateau_mesaquorn"
    stations = client.get(f"/v1/stations?name={station}").get_json()["stations"]
    place = {name: stations[0][name] for name in ("latitude", "longitude", "elevation_m")}
    parts = {name: REQUEST[name] for name in ("operation", "start", "comfort")}
    asked = {"rig": "flatbed_cabin", "place": place, "station": station, **parts}
    year = client.post("/v1/years?fields=summary", json=asked).get_json()["summary"]
    survey = changed(without(REQUEST, "/month"), ("/stations", [station]))
    row = next(each for each in lines_of(client, survey) if each["kind"] == "row")
    assert {name: row[name] for name in year} == year


def test_a_box_takes_every_station_in_it_and_rigs_of_one_name_are_told_apart(
    client: FlaskClient,
) -> None:
    box = {"south": -90, "north": 90, "west": -180, "east": 180}
    asked = changed(without(REQUEST, "/stations"), ("/box", box), ("/rigs", ["flatbed_cabin"] * 2))
    rows = [each for each in lines_of(client, asked) if each["kind"] == "row"]
    assert len(rows) == 2 * client.get("/v1/stations").get_json()["total"]
    assert {each["rig"] for each in rows} == {"flatbed_cabin", "flatbed_cabin (2)"}
    one, two = rows[0], rows[1]
    assert {**one, "rig": ""} == {**two, "rig": ""}


def test_the_surroundings_count(client: FlaskClient) -> None:
    shade = {
        "from": "06:00",
        "to": "20:00",
        "beam_blocked": 0.9,
        "diffuse_blocked": 0.5,
        "applies_to": ["cabin"],
    }
    bare = lines_of(client, REQUEST)
    shaded = lines_of(client, {**REQUEST, "surroundings": {"shade": [shade]}})
    assert bare[1]["fails"] + bare[1]["narrowly"] > shaded[1]["fails"] + shaded[1]["narrowly"]


def test_faults_stand_at_their_place(client: FlaskClient) -> None:
    bad = changed(REQUEST, ("/stations/1", "nowhere"))
    told = problem(client.post("/v1/surveys", json=bad), 422, "invalid-document")
    assert [each["pointer"] for each in told["errors"]] == ["/stations/1"]
    both = {**REQUEST, "box": {"south": 0, "north": -1, "west": 0, "east": 1}, "month": 13}
    told = problem(client.post("/v1/surveys", json=both), 422, "invalid-document")
    assert {each["pointer"] for each in told["errors"]} == {"/box", "/box/north", "/month"}
    shade = {
        "from": "06:00",
        "to": "20:00",
        "beam_blocked": 1,
        "diffuse_blocked": 1,
        "applies_to": ["moon"],
    }
    bad = {**REQUEST, "surroundings": {"shade": [shade]}}
    told = problem(client.post("/v1/surveys", json=bad), 422, "invalid-document")
    assert told["errors"][0]["pointer"] == "/surroundings/shade/0/applies_to/0"
    told = problem(
        client.post("/v1/surveys", json=changed(REQUEST, ("/rigs", ["none"]))),
        422,
        "invalid-document",
    )
    assert told["errors"][0]["pointer"] == "/rigs/0"
    far = changed(without(REQUEST, "/stations"))
    far["box"] = {"south": 0, "north": 1, "west": 0, "east": 1}
    told = problem(client.post("/v1/surveys", json=far), 422, "invalid-document")
    assert told["errors"][0]["pointer"] == "/box"


def test_rows_and_seconds_are_bounded(with_settings: Maker) -> None:
    few = with_settings(max_survey_rows=2)
    told = problem(few.post("/v1/surveys", json=REQUEST), 422, "limit-exceeded")
    assert told["errors"][0]["value"] == 3 and told["errors"][0]["bound"] == "<= 2"
    quick = with_settings(survey_s=0.1)
    told = problem(quick.post("/v1/surveys", json=REQUEST), 422, "limit-exceeded")
    assert "expected to take" in told["detail"]
    assert few.post("/v1/surveys", json=REQUEST, headers={"Accept": "text/csv"}).status_code == 406


def test_a_busy_service_says_so_before_the_answer_begins(with_settings: Maker) -> None:
    client = with_settings(concurrent=1, concurrent_long=1, wait_s=0.01)
    gate = client.application.extensions["noonhold"].gate
    leave, inside = Event(), Event()

    def occupy() -> None:
        with gate.turn(0.0), gate.turn(20.0):
            inside.set()
            leave.wait(30)

    other = Thread(target=occupy)
    other.start()
    try:
        assert inside.wait(30)
        problem(client.post("/v1/surveys", json=REQUEST), 503, "busy")
    finally:
        leave.set()
        other.join()


def test_a_rig_that_cannot_be_is_a_row_with_its_problem(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = client.application.extensions["noonhold"]
    broken = held.catalogue.get("coast_quellhaven").path
    read = held.weather.read

    def read_or_not(path: Any) -> Any:
        table = read(path)
        return table.slice(0, 240) if path == broken else table

    monkeypatch.setattr(held.weather, "read", read_or_not)
    lines = lines_of(client, REQUEST)
    rows = [each for each in lines if each["kind"] == "row"]
    assert ["problem" in each for each in rows] == [False, True, False]
    assert rows[1]["problem"]["type"] == "/problems/no-weather"
    assert lines[-1]["failed"] == 1
