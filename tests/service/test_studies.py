"""The studies over HTTP: whole answers as described, their engines' numbers, their limits."""

import json
import math
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator

from noonhold.adverse import adverse_table
from noonhold.documents.warm_up_document import load_warm_up
from noonhold.studies.warm_up.warm_up_study import WARM_UP_CAUTION, warm_up
from noonhold.verdict import CAUTIONS
from noonhold_service.description.study_examples import STUDY_REQUESTS
from noonhold_service.problems import MEDIA_TYPE
from tests.engine.document_samples import changed, without

Maker = Callable[..., FlaskClient]
SCHEMAS = {
    "/v1/comparisons": "ComparisonAnswer",
    "/v1/warm-ups": "WarmUpAnswer",
    "/v1/uncertainties": "UncertaintyAnswer",
    "/v1/sizings": "SizingAnswer",
    "/v1/calibrations": "CalibrationAnswer",
    "/v1/plans": "PlanAnswer",
    "/v1/years": "YearAnswer",
}


def request_for(name: str, *changes: tuple[str, Any]) -> dict[str, Any]:
    return changed(STUDY_REQUESTS[name][1].document, *changes)


def post(client: FlaskClient, name: str, *changes: tuple[str, Any]) -> Any:
    return client.post(STUDY_REQUESTS[name][0], json=request_for(name, *changes))


@pytest.fixture(scope="module")
def answers(app: Flask) -> dict[str, dict[str, Any]]:
    """Return the answer to every example."""
    client = app.test_client()
    found = {}
    for name in STUDY_REQUESTS:
        response = post(client, name)
        assert response.status_code == 200, response.text[:500]
        found[name] = response.get_json()
    return found


@pytest.fixture(scope="module")
def spec(app: Flask) -> dict[str, Any]:
    found: dict[str, Any] = app.test_client().get("/openapi.json").get_json()
    return found


def undescribed(value: Any, shape: dict[str, Any], spec: dict[str, Any], at: str) -> Iterator[str]:
    """Yield what an answer has that its description has not, and the other way round."""
    for several in ("allOf", "anyOf", "oneOf"):
        for part in shape.get(several, ()):
            if "$ref" in part and value is not None:
                yield from undescribed(value, part, spec, at)
    if "$ref" in shape and isinstance(value, dict):
        name = shape["$ref"].rsplit("/", 1)[1]
        schema = spec["components"]["schemas"][name]
        for key in value:
            if key not in schema["properties"]:
                yield f"{at}/{key} is not in {name}"
            else:
                yield from undescribed(value[key], schema["properties"][key], spec, f"{at}/{key}")
    if isinstance(value, list):
        for index, each in enumerate(value[:3]):
            yield from undescribed(each, shape.get("items", {}), spec, f"{at}/{index}")


@pytest.mark.parametrize("name", STUDY_REQUESTS)
def test_an_answer_is_what_the_description_says(
    answers: dict[str, Any], spec: dict[str, Any], name: str
) -> None:
    reference = f"#/components/schemas/{SCHEMAS[STUDY_REQUESTS[name][0]]}"
    found = answers[name]
    assert [
        e.message for e in Draft202012Validator({**spec, "$ref": reference}).iter_errors(found)
    ] == []
    assert list(undescribed(found, {"$ref": reference}, spec, "")) == []


@pytest.mark.parametrize("name", STUDY_REQUESTS)
def test_cautions_come_first_and_nothing_unfinite_leaves(
    answers: dict[str, Any], name: str
) -> None:
    found = answers[name]
    # A year says its verdict in a few words before them, as a projection does.
    assert next(iter(found)) == ("summary" if name == "year" else "cautions")
    assert found["cautions"]
    assert set(CAUTIONS) <= set(found["cautions"])
    assert found["assumptions"] and found["versions"]

    def numbers(value: Any) -> Iterator[float]:
        if isinstance(value, dict):
            for each in value.values():
                yield from numbers(each)
        elif isinstance(value, list):
            for each in value:
                yield from numbers(each)
        elif isinstance(value, float):
            yield value

    told = list(numbers(found))
    assert told and all(math.isfinite(each) for each in told)
    assert not any(each == 0 and math.copysign(1, each) < 0 for each in told)


def test_a_warm_up_is_the_engines(app: Flask, answers: dict[str, Any]) -> None:
    held = app.extensions["noonhold"]
    asked = load_warm_up(request_for("warm_up"), held.resolve_rig).value
    found = warm_up(asked, held.catalogue, held.weather.read)
    told = answers["warm_up"]
    assert told["cautions"][0] == WARM_UP_CAUTION
    for case, source in zip(told["cases"], found.cases, strict=True):
        assert case["temperature_c"] == pytest.approx(source.temperature_c.tolist(), abs=5.1e-7)
        assert [m["minutes"] for m in case["minutes_until"]] == pytest.approx(
            list(source.minutes_until.values()), abs=5.1e-7
        )


def test_a_comparisons_differences_are_those_of_its_figures(answers: dict[str, Any]) -> None:
    told = answers["comparison"]
    base = told["base"]["figures"]
    for variant in told["variants"]:
        for name, difference in variant["difference"].items():
            own = variant["figures"][name]
            if difference is not None:
                assert own - base[name] == pytest.approx(difference, abs=2e-6), name
    names = {v["name"]: v for v in told["variants"]}
    assert [names[n]["rank"] for n in told["order"]] == list(range(1, len(names) + 1))
    assert names["the same again"]["changes_nothing"]
    assert names["all of it in the shade"]["difference"]["solar_wh"] < 0
    assert names["cabin in the shade, arrays in the sun"]["difference"]["lowest_charge"] > 0


def test_a_plan_is_repeated_by_a_projection_to_the_watt_hour(
    client: FlaskClient, answers: dict[str, Any]
) -> None:
    plan = answers["plan"]
    document = {**request_for("plan")["projection"], "operation": plan["operation"]}
    told = client.post("/v1/projections", json=document).get_json()["summary"]
    for name in ("cooler_wh", "solar_wh", "load_wh", "cooling_wh"):
        assert told["totals"][name] == pytest.approx(plan["figures"][name], abs=2e-6)
    assert told["lowest_charge"] == pytest.approx(plan["figures"]["lowest_charge"], abs=2e-6)
    assert plan["figures"]["lowest_charge"] >= plan["best_fixed"]["figures"]["lowest_charge"]


def test_a_rig_that_was_sized_holds_its_days_in_a_projection(
    client: FlaskClient, answers: dict[str, Any]
) -> None:
    sized = answers["sizing_battery"]
    start = {"state_of_charge": "settled", "cabin_temperature_c": "settled"}
    document = {
        **request_for("sizing_battery")["projection"], "rig": sized["rig"], "start": start,
    }  # fmt: skip
    told = client.post("/v1/projections", json=document).get_json()
    needing = [day for day in told["days"] if day["needs_cooling"]]
    assert len(needing) == sized["found"]["days_needing_cooling"]
    holding = sum(day["verdict"] == "holds" for day in needing)
    assert holding == sized["found"]["counting_days"] >= 0.9 * len(needing)
    assert f"{sized['found']['size']['battery_wh']:g} Wh" in sized["sentence"]


def test_a_calibrated_rig_is_read_again_and_its_patch_makes_it(
    client: FlaskClient, answers: dict[str, Any]
) -> None:
    told = answers["calibration"]
    names = {factor["name"] for factor in told["factors"]}
    assert set(told["correlations"]) == names
    variants = [{"name": "as it was found", "patch": {"rig": told["rig_patch"]}}]
    base = {**request_for("plan")["projection"], "rig": "plywood_teardrop"}
    response = client.post("/v1/comparisons", json={"base": base, "variants": variants})
    assert response.status_code == 200, response.text[:500]
    patched = response.get_json()["variants"][0]["figures"]
    fitted = {**base, "rig": told["rig"]}
    alone = client.post("/v1/projections", json=fitted).get_json()["summary"]
    assert patched["lowest_charge"] == pytest.approx(alone["lowest_charge"], abs=2e-6)


def test_bounds_hold_their_bands_in_order(answers: dict[str, Any]) -> None:
    told = answers["uncertainty"]
    assert len(told["times"]) == len(told["cabin_temperature_c"]["p50"]) == 24
    for name in ("cabin_temperature_c", "operative_temperature_c", "state_of_charge"):
        band = told[name]
        for low, middle, high in zip(band["p10"], band["p50"], band["p90"], strict=True):
            assert low <= middle <= high
    assert 0 <= told["holds"]["probability"] <= 1
    totals = [share["total"] for share in told["shares"]["lowest_charge"]]
    assert totals == sorted(totals, reverse=True)


def test_the_same_request_has_the_same_tag_and_packs(client: FlaskClient) -> None:
    first, second = post(client, "warm_up"), post(client, "warm_up")
    assert first.headers["ETag"] == second.headers["ETag"]
    assert first.data == second.data
    packed = client.post(
        "/v1/warm-ups", json=request_for("warm_up"), headers={"Accept-Encoding": "gzip"}
    )
    assert packed.headers["Content-Encoding"] == "gzip"
    assert len(packed.data) < len(first.data) / 2


@pytest.mark.parametrize("address", sorted(SCHEMAS.keys() - {"/v1/years"}))
def test_only_json_is_offered_and_taken(client: FlaskClient, address: str) -> None:
    refused = client.post(address, json={}, headers={"Accept": "text/csv"})
    assert (refused.status_code, refused.get_json()["type"]) == (406, "/problems/not-acceptable")
    assert client.post(address, data="a=1").status_code == 415
    assert client.post(address, data="{", content_type="application/json").status_code == 400
    assert client.get(address).status_code == 405


LIMITS = [
    ("comparison", {"max_variants": 3}, (), "/variants"),
    ("comparison", {"max_run_days": 10}, (), "/variants"),
    ("comparison", {"max_days": 2}, (("/base/weather/typical_year/days", 3),),
     "/base/weather/typical_year/days"),
    ("warm_up", {"max_days": 2}, (("/projection/weather/hot_day/days", 3),),
     "/projection/weather/hot_day/days"),
    ("warm_up", {"max_spin_up_days": 1}, (), "/projection/start/spin_up_days"),
    ("uncertainty", {"max_samples": 128}, (), "/samples"),
    ("uncertainty", {"max_run_days": 100}, (), "/samples"),
    ("sizing_battery", {"max_sizing_days": 7}, (), "/projection/weather/typical_year/days"),
    ("sizing_battery", {"max_sizes": 50}, (), "/battery_wh"),
    ("sizing_frontier", {"max_sizes": 100}, (), "/battery_wh"),
    ("calibration", {"max_log_rows": 100}, (), "/log/times"),
    ("calibration", {"max_days": 1}, (), "/log/times"),
    ("plan", {"max_plans": 300}, (), "/most_runs"),
    ("plan", {"max_run_days": 100}, (), "/most_runs"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "settings", "changes", "pointer"), LIMITS)
def test_limits_are_told_with_their_values(
    with_settings: Maker,
    name: str,
    settings: dict[str, int],
    changes: tuple[tuple[str, Any], ...],
    pointer: str,
) -> None:
    response = post(with_settings(**settings), name, *changes)
    told = response.get_json()
    assert (response.status_code, told["type"]) == (422, "/problems/limit-exceeded")
    fault = next(each for each in told["errors"] if each["pointer"] == pointer)
    ((_, most),) = settings.items()
    assert str(most) in fault["bound"] and fault["value"] > most
    assert fault["bound"] in told["detail"]


FAULTS = [
    ("comparison", ("/variants/0/patch", {"comfort": {"limit": 99}}),
     "/variants/0/patch/comfort/limit"),
    ("comparison", ("/variants/0/patch", {"rig": {"cooler": {"sensible_heat_ratio": 0.2}}}),
     "/variants/0/patch/rig/cooler/sensible_heat_ratio"),
    ("comparison", ("/variants/0/patch", {"weather": {"typical_year": {"station": "x"}}}),
     "/variants/0/patch/weather/typical_year/station"),
    ("comparison", ("/base/weather/typical_year/station", "nowhere"),
     "/base/weather/typical_year/station"),
    ("warm_up", ("/projection/rig", "houseboat"), "/projection/rig"),
    ("warm_up", ("/stop_day", 9), "/stop_at"),
    ("uncertainty", ("/samples", 100), "/samples"),
    ("uncertainty", ("/projection/weather/typical_year/station", "nowhere"),
     "/projection/weather/typical_year/station"),
    ("sizing_battery", ("/size", "roof"), "/size"),
    ("sizing_battery", ("/projection/weather/typical_year/station", "nowhere"),
     "/projection/weather/typical_year/station"),
    ("calibration", ("/log/columns/cabin_temperature", [1.0] * 12),
     "/log/columns/cabin_temperature"),
    ("calibration", ("/log/columns/cabin_temperature", [21.0] * 160),
     "/log/columns/cabin_temperature/0"),
    ("plan", ("/highest_set_point_c", 10), "/highest_set_point_c"),
    ("plan", ("/projection/weather/typical_year/days", 9), "/projection/weather"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "change", "pointer"), FAULTS)
def test_faults_are_told_at_their_place(
    client: FlaskClient, name: str, change: tuple[str, Any], pointer: str
) -> None:
    response = post(client, name, change)
    assert response.status_code == 422, response.text[:500]
    assert response.mimetype == MEDIA_TYPE
    assert pointer in [each["pointer"] for each in response.get_json()["errors"]]


def test_a_place_far_from_every_station_is_told_where_it_stands(client: FlaskClient) -> None:
    far = (("/projection/place/latitude", 50), ("/projection/place/longitude", 8))
    response = post(
        client, "uncertainty", *far, ("/projection/weather/typical_year", {"from": "01-20"})
    )
    told = response.get_json()
    assert (response.status_code, told["type"]) == (422, "/problems/no-weather")
    assert told["errors"][0]["pointer"] == "/projection/place"


@pytest.mark.parametrize("hostile", [
    True, 7, "x", [], {}, [[]], {"projection": None}, {"projection": []}, {"base": {}},
    {"projection": {"rig": {"projection": {}}}}, {"variants": [{}] * 101}, {"log": {"times": 1}},
    {"ranges": {"colour": {}}}, {"\u202e": 1}, {"__proto__": {}}, {"rig": "../x"},
])  # fmt: skip
@pytest.mark.parametrize("address", SCHEMAS)
def test_whatever_is_sent_ends_in_a_clear_problem(
    client: FlaskClient, address: str, hostile: Any
) -> None:
    response = client.post(address, json=hostile)
    assert response.status_code == 422, response.text[:500]
    assert response.mimetype == MEDIA_TYPE
    told = json.loads(response.data)
    assert told["type"] == "/problems/invalid-document"
    assert all(each["pointer"] == "" or each["pointer"][0] == "/" for each in told["errors"])


@pytest.mark.parametrize("row", [
    "x", True, [], {}, 1e9, -1e300, "2026-01-20T18:15:00-08:00",
])  # fmt: skip
def test_a_hostile_row_of_a_log_is_told_with_its_place(client: FlaskClient, row: Any) -> None:
    response = post(client, "calibration", ("/log/columns/ghi/7", row))
    assert response.status_code == 422, response.text[:500]
    assert "/log/columns/ghi/7" in [e["pointer"] for e in response.get_json()["errors"]]


def test_rows_without_readings_are_gaps_and_rows_alike_in_time_are_refused(
    client: FlaskClient,
) -> None:
    times = request_for("calibration")["log"]["times"]
    twice = post(client, "calibration", ("/log/times/7", times[6]))
    assert twice.status_code == 422
    assert "duplicate_times" in twice.get_json()["errors"][0]["detail"]


def test_missing_parts_are_all_told(client: FlaskClient) -> None:
    document = without(request_for("comparison"), "/base", "/variants/0/patch")
    told = client.post("/v1/comparisons", json=document).get_json()
    assert [e["pointer"] for e in told["errors"]] == ["/base", "/variants/0/patch"]


def test_study_numbers_have_their_defaults_and_reasons(client: FlaskClient) -> None:
    told = client.get("/v1/quantities").get_json()["study_numbers"]
    by_place = {(each["study"], each["pointer"]): each for each in told}
    assert by_place["warm_up", "/thresholds_c"]["default"] == [30, 35, 40]
    shell = by_place["uncertainty", "/ranges/shell_conductance_factor"]
    assert shell["default"] == {"low": 0.85, "high": 1.15}
    assert "insulation" in shell["reason"]
    for each in told:
        assert each["lower"] < each["upper"] and each["description"] and each["unit"]
        assert (each["default"] is None) or each["reason"]


@pytest.mark.parametrize("name", ["sizing_battery", "sizing_frontier"])
def test_a_sizing_is_drawn_where_a_picture_is_asked_for(client: FlaskClient, name: str) -> None:
    for form, start in (("image/svg+xml", b"<?xml"), ("image/png", b"\x89PNG")):
        response = client.post("/v1/sizings", json=request_for(name), headers={"Accept": form})
        assert (response.status_code, response.mimetype) == (200, form)
        assert response.data.startswith(start)
        assert response.vary == {"accept"} or "Accept" in response.headers["Vary"]
        assert "default-src 'none'" in response.headers["Content-Security-Policy"]
    told = client.post("/v1/sizings", json=request_for(name), headers={"Accept": "text/csv"})
    assert told.status_code == 406
    picked = client.post(
        "/v1/sizings?fields=sentence", json=request_for(name), headers={"Accept": "image/png"}
    )
    assert picked.get_json()["type"] == "/problems/invalid-query"


def test_the_steps_of_the_adverse_twin_stand_with_their_reasons(client: FlaskClient) -> None:
    told = client.get("/v1/quantities").get_json()["adverse_steps"]
    assert told == adverse_table()
