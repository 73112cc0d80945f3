"""What strangers send: each ends in one clear problem, never in a 500, never in HTML."""

import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.problems import KINDS, MEDIA_TYPE
from tests.engine.document_samples import without
from tests.service.conftest import request_with

GOOD = json.dumps(REQUESTS["hot_day"].document)
CHARGE = '"state_of_charge": 0.6'


def post(client: FlaskClient, body: str | bytes, content_type: str = "application/json") -> Any:
    return client.post("/v1/projections", data=body, content_type=content_type)


def problem(response: Any, status: int, slug: str) -> dict[str, Any]:
    """Hold a response to be this problem, whole and well-formed; return it."""
    assert response.status_code == status, response.text
    assert response.mimetype == MEDIA_TYPE
    told: dict[str, Any] = json.loads(response.data)
    assert told["type"] == f"/problems/{slug}"
    assert told["status"] == status == KINDS[slug].status
    assert told["title"] and told["detail"]
    assert told["request_id"] == response.headers["X-Request-ID"]
    return told


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"", "Expecting value"),
        (b"   ", "Expecting value"),
        (b"{", "line 1"),
        (b'{"rig": }', "line 1"),
        (GOOD[:-1].encode(), "Expecting ',' delimiter"),
        (GOOD.encode() + b"x", "Extra data"),
        (b"\xff\xfe{}", "not UTF-8"),
        (GOOD.encode("utf-16"), "not UTF-8"),
        (b"\xef\xbb\xbf{}", "Unexpected UTF-8 BOM"),
        (GOOD.replace(CHARGE, '"state_of_charge": NaN').encode(), "NaN"),
        (GOOD.replace(CHARGE, '"state_of_charge": -Infinity').encode(), "-Infinity"),
        (GOOD.replace(CHARGE, '"state_of_charge": 1e999').encode(), "beyond the range"),
        (GOOD.replace(CHARGE, f'"state_of_charge": 1{"0" * 5000}').encode(), "too many digits"),
        (GOOD.replace(CHARGE, f'{CHARGE}, "state_of_charge": 0.7').encode(), "stands twice"),
        (GOOD.replace(CHARGE, f"{CHARGE}, {CHARGE}").encode(), "stands twice"),
        (b"[" * 100_000, "nested too deeply"),
        (b'{"a":' * 40 + b"1" + b"}" * 40, "nested too deeply"),
        (b"[" * 33 + b"]" * 33, "nested too deeply"),
        (b"'single'", "Expecting value"),
        (b"{'rig': 1}", "property name enclosed in double quotes"),
        (b'{"rig": 01}', "delimiter"),
        (b'{"rig": "\x01"}', "Invalid control character"),
    ],
)
def test_a_body_that_is_not_json(client: FlaskClient, body: bytes, said: str) -> None:
    told = problem(post(client, body), 400, "not-json")
    assert said in told["detail"]


@pytest.mark.parametrize("body", ["null", "true", "1", '"text"', "[]", "[[]]"])
def test_json_that_is_no_document(client: FlaskClient, body: str) -> None:
    problem(post(client, body), 422, "invalid-document")


@pytest.mark.parametrize(
    "content_type",
    [
        "text/plain",
        "text/html",
        "application/x-www-form-urlencoded",
        "multipart/form-data; boundary=x",
        "application/json; charset=latin-1",
        "application/jsonx",
        "json",
        "",
    ],
)
def test_a_body_declared_as_something_else(client: FlaskClient, content_type: str) -> None:
    told = problem(post(client, GOOD, content_type), 415, "wrong-media-type")
    assert "application/json" in told["detail"]


def test_json_with_its_charset_is_json(client: FlaskClient) -> None:
    assert post(client, GOOD, "application/json; charset=UTF-8").status_code == 200


@pytest.mark.parametrize(
    ("pointer", "value", "hint"),
    [
        ("/operation/set_point_c", 72, "degF"),
        ("/start/state_of_charge", 90, "percent"),
        ("/start/state_of_charge", "0.9", None),
        ("/start/state_of_charge", True, None),
        ("/start/state_of_charge", None, None),
        ("/start/state_of_charge", [0.9], None),
        ("/start/state_of_charge", {}, None),
        ("/start/state_of_charge", 10**90, "percent"),
        ("/place/latitude", 91, "swapped"),
        ("/place/timezone", "Mars/Olympus", None),
        ("/place/timezone", "../../etc/passwd", None),
        ("/rig", "no_such_rig", None),
        ("/rig", "", None),
        ("/rig", "../../etc/passwd", None),
        ("/rig", 5, None),
        ("/rig", [], None),
        ("/weather/typical_year/from", "02-29", None),
        ("/weather/typical_year/from", "13-01", None),
        ("/weather/typical_year/days", 1.5, None),
        ("/weather/typical_year/days", 0, None),
        ("/weather/typical_year/days", 10**30, None),
        ("/comfort/measure", "mood", None),
        ("/comfort/limit", 80, "degF"),
        ("/operation/policy", "", None),
        ("/operation/spans", {}, None),
        ("/operation/cooling_window/from", "25:00", None),
        ("/unknown", 1, None),
        ("/place/lattitude", 1, "latitude"),
        ("/place/\u0000", 1, None),
        ("/place/a~b", 1, None),
    ],
)
def test_a_faulty_field(client: FlaskClient, pointer: str, value: Any, hint: str | None) -> None:
    response = client.post("/v1/projections", json=request_with((pointer, value)))
    told = problem(response, 422, "invalid-document")
    (fault,) = [
        each for each in told["errors"] if each["pointer"] == pointer.replace("a~b", "a~0b")
    ]
    assert set(fault) == {"pointer", "detail", "value", "bound", "hint"}
    if hint is not None:
        assert hint in fault["hint"]


@pytest.mark.parametrize(
    ("pointer", "value", "hint"),
    [
        ("/rig/battery/usable_energy_wh", 5, "kWh"),
        ("/rig/shell/panels/0/area_m2", 5000, "square feet"),
        ("/rig/shell/panels/0/layers/0/thickness_m", 30, "mm"),
        ("/rig/cooler/stages/0/cooling_w", 0.9, "kW"),
        ("/rig/battery/reserve_fraction", 10, "percent"),
        ("/operation/set_point_c", 72, "degF"),
    ],
)
def test_a_likely_mix_up_of_units_is_named(
    client: FlaskClient, checkout: Path, pointer: str, value: float, hint: str
) -> None:
    rig = json.loads((checkout / "sample_rigs" / "flatbed_cabin.json").read_text())
    response = client.post("/v1/projections", json=request_with(("/rig", rig), (pointer, value)))
    told = problem(response, 422, "invalid-document")
    assert [each["pointer"] for each in told["errors"]] == [pointer]
    assert hint in told["errors"][0]["hint"]


def test_an_area_in_square_feet_within_the_bounds_is_told_among_the_assumptions(
    client: FlaskClient, checkout: Path
) -> None:
    rig = json.loads((checkout / "sample_rigs" / "flatbed_cabin.json").read_text())
    areas = [panel["area_m2"] for panel in rig["shell"]["panels"]]
    pointer = f"/rig/shell/panels/{areas.index(max(areas))}/area_m2"
    changes = (("/rig", rig), (pointer, 10.76 * max(areas)))
    answer = client.post("/v1/projections", json=request_with(*changes))
    assert answer.status_code == 200
    reasons = {each["path"]: each["reason"] for each in answer.get_json()["assumptions"]}
    assert "square feet" in reasons[pointer]


def test_every_fault_is_told_at_once(client: FlaskClient) -> None:
    request = request_with(
        ("/operation/set_point_c", 72), ("/start/state_of_charge", "0.9"), ("/place/latitude", None)
    )
    request = without(request, "/comfort/limit")
    told = problem(client.post("/v1/projections", json=request), 422, "invalid-document")
    assert [each["pointer"] for each in told["errors"]] == [
        "/comfort/limit", "/operation/set_point_c", "/place/latitude", "/start/state_of_charge",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "name", ["nowhere", "../sample_weather/coast_ostmarrow", "\u202e", "a" * 200]
)
def test_a_station_that_is_not_there(client: FlaskClient, name: str) -> None:
    request = request_with(("/weather/typical_year/station", name))
    told = problem(client.post("/v1/projections", json=request), 422, "no-weather")
    assert told["errors"][0]["pointer"] == "/weather/typical_year/station"


def test_a_place_far_from_every_station(client: FlaskClient) -> None:
    request = request_with(
        ("/place/latitude", 50),
        ("/place/longitude", 8),
        ("/weather/typical_year", {"from": "07-01"}),
    )
    told = problem(client.post("/v1/projections", json=request), 422, "no-weather")
    assert told["errors"][0]["pointer"] == "/place"
    assert "the nearest is" in told["detail"]


def test_own_columns_with_a_long_gap(client: FlaskClient) -> None:
    gap = [24, None, None, None, None, 33.5, 34, 34, 33, 31, 28.5, 26]
    request = request_with(("/weather/hourly/columns/temp_air", gap), name="own_hours")
    told = problem(client.post("/v1/projections", json=request), 422, "no-weather")
    assert told["errors"][0]["pointer"] == "/weather/hourly/columns/temp_air"


@pytest.mark.parametrize("method", ["get", "put", "patch", "delete", "trace"])
def test_a_wrong_method(client: FlaskClient, method: str) -> None:
    response = client.open("/v1/projections", method=method.upper())
    problem(response, 405, "wrong-method")
    assert set(response.headers["Allow"].split(", ")) == {"POST", "OPTIONS"}


@pytest.mark.parametrize(
    "path",
    [
        "/v1", "/v2/projections", "/v1/rigs/none", "/v1/rigs/..%2f..%2fpyproject.toml",
        "/v1//rigs", "/<script>", "/problems/none", "/static/x", "/v1/rigs/%00", "/%ff%fe",
        "/v1/rigs/" + "a" * 5000,
    ],
)  # fmt: skip
def test_an_address_that_is_not_there(client: FlaskClient, path: str) -> None:
    problem(client.get(path), 404, "not-found")


@pytest.mark.parametrize(
    ("query", "name"),
    [
        ("page=0", "page"), ("page=-1", "page"), ("page=x", "page"), ("page=1.5", "page"),
        ("page=%D9%A1x", "page"), ("page_size=101", "page_size"), ("page=1&page=2", "page"),
        ("near=1", "near"), ("near=nan,1", "near"), ("near=91,0", "near"), ("near=1,1,1", "near"),
        ("near=1e1,2", "near"), ("bbox=1,2,3", "bbox"), ("bbox=0,10,5,-10", "bbox"),
        ("within_km=10", "within_km"), ("near=0,0&within_km=inf", "within_km"),
        ("near=0,0&within_km=nan", "within_km"), ("name=", "name"), ("colour=red", "colour"),
    ],
)  # fmt: skip
def test_a_faulty_query(client: FlaskClient, query: str, name: str) -> None:
    told = problem(client.get(f"/v1/stations?{query}"), 422, "invalid-query")
    assert name in [each["pointer"] for each in told["errors"]]


def test_a_value_is_not_sent_back_whole(client: FlaskClient) -> None:
    request = request_with(("/operation/policy", "x" * 100_000))
    response = client.post("/v1/projections", json=request)
    problem(response, 422, "invalid-document")
    assert len(response.data) < 2000
