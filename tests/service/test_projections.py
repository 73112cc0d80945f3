import json
import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from flask.testing import FlaskClient

from noonhold.dataset import VARIABLES
from noonhold.documents import load_projection
from noonhold.projection_result import run_projection
from noonhold.verdict import CAUTIONS
from noonhold.weather.catalogue import Catalogue
from noonhold_service.description.request_examples import REQUESTS
from tests.service.conftest import request_with


def leaves(value: Any) -> Iterator[Any]:
    if isinstance(value, dict):
        for each in value.values():
            yield from leaves(each)
    elif isinstance(value, list):
        for each in value:
            yield from leaves(each)
    else:
        yield value


def test_the_answer_has_its_parts_with_the_verdict_first(typical_day: dict[str, Any]) -> None:
    assert list(typical_day) == [
        "summary", "cautions", "rig", "station", "clock", "assumptions", "days", "hours",
        "versions",
    ]  # fmt: skip
    assert typical_day["cautions"] == list(CAUTIONS)
    assert typical_day["station"]["id"] == "basin_desert_kelpanoor"
    assert typical_day["station"]["distance_km"] == 0.0
    assert typical_day["clock"]["name"] == "UTC-08:00"


def test_hours_are_columns_of_equal_length_with_offsets(typical_day: dict[str, Any]) -> None:
    hours = typical_day["hours"]
    assert list(hours) == ["time", *VARIABLES]
    assert {len(column) for column in hours.values()} == {24}
    assert hours["time"][9].endswith("-01-15T09:00:00-08:00")


def test_the_service_tells_what_the_engine_found(client: FlaskClient) -> None:
    document = REQUESTS["own_hours"].document
    told = client.post("/v1/projections", json=document).get_json()
    loaded = load_projection(document)
    found = run_projection(
        loaded.value.rig, loaded.value.scenario, loaded.value.weather, Catalogue(()), step_s=300
    )
    for name, make in VARIABLES.items():
        # Half a unit of the sixth decimal is what the rounding may take.
        np.testing.assert_allclose(told["hours"][name], make(found.projection), atol=5.1e-7, rtol=0)
    assert told["summary"]["verdict"] == found.summary.verdict.word
    made = [(a["path"], a["reason"]) for a in told["assumptions"]]
    assert made == [(a.path, str(a.reason)) for a in loaded.assumptions] + [
        ("/weather", note) for note in found.notes
    ]


def test_power_onto_the_bus_is_power_from_it(typical_day: dict[str, Any]) -> None:
    hours = {name: np.array(column) for name, column in typical_day["hours"].items()}
    given = ("solar_used_w", "alternator_power_w", "shore_power_w", "battery_discharge_w")
    taken = (
        "cooler_power_w", "heater_power_w", "load_power_w", "standing_draw_w",
        "battery_charge_w",
    )  # fmt: skip
    onto = sum(hours[name] for name in given) + hours["unmet_load_w"]
    # Ten numbers of six decimals.
    np.testing.assert_allclose(onto, sum(hours[name] for name in taken), atol=6e-6, rtol=0)
    np.testing.assert_allclose(
        hours["solar_power_w"],
        hours["solar_used_w"] + hours["curtailed_solar_w"],
        atol=2e-6,
        rtol=0,
    )


def test_totals_are_the_days_sums_and_days_the_hours_sums(typical_day: dict[str, Any]) -> None:
    (day,) = typical_day["days"]
    assert day["solar_wh"] == pytest.approx(sum(typical_day["hours"]["solar_used_w"]), abs=2e-5)
    assert typical_day["summary"]["totals"]["solar_wh"] == day["solar_wh"]
    assert day["charge_at_end"] == typical_day["hours"]["state_of_charge"][-1]


def test_a_value_that_does_not_exist_is_null(client: FlaskClient) -> None:
    # A cooling window within the allowance: nothing is judged.
    request = request_with(
        ("/operation/cooling_window", {"from": "12:00", "to": "12:30"}), ("/operation/spans", [])
    )
    told = client.post("/v1/projections", json=request).get_json()
    assert told["summary"]["comfortable_fraction"] is None
    assert told["summary"]["peak_comfort"] is None
    assert told["days"][0]["first_failure_hour"] is None
    assert "Comfort was not judged" in told["summary"]["sentence"]


@pytest.mark.parametrize("name", REQUESTS)
def test_no_nan_no_infinity_no_negative_zero_leaves(client: FlaskClient, name: str) -> None:
    response = client.post("/v1/projections", json=REQUESTS[name].document)

    def refuse(text: str) -> None:
        raise AssertionError(text)

    told = json.loads(response.data, parse_constant=refuse)
    numbers = [each for each in leaves(told) if isinstance(each, float)]
    assert numbers and all(math.isfinite(each) for each in numbers)
    assert not any(each == 0 and math.copysign(1, each) < 0 for each in numbers)


def test_several_days_with_legal_time(client: FlaskClient) -> None:
    request = request_with(
        ("/weather/typical_year/days", 3), ("/place/timezone", "America/Los_Angeles")
    )
    told = client.post("/v1/projections", json=request).get_json()
    assert [day["date"][-5:] for day in told["days"]] == ["01-15", "01-16", "01-17"]
    assert told["clock"] == {
        "name": "America/Los_Angeles",
        "basis": "legal time of the place",
        "interval_s": 3600,
        "step_s": 300,
    }
    assert told["summary"]["days"] == 3


def test_weather_finer_than_the_step_is_stepped_through_as_it_is(client: FlaskClient) -> None:
    columns = {"temp_air": [30.0] * 50, "relative_humidity": [40] * 50, "wind_speed": [1] * 50}
    columns |= {"dni": [0] * 50, "dhi": [100] * 50}
    for interval, step in ((72, 72), (720, 240)):
        hourly = {"start": "2026-01-20T10:00:00-08:00", "interval_s": interval, "columns": columns}
        request = request_with(("/weather", {"hourly": hourly}), name="own_hours")
        told = client.post("/v1/projections", json=request)
        assert told.status_code == 200, told.text
        assert told.get_json()["clock"]["step_s"] == step


def test_the_nearest_station_is_an_assumption_that_is_told(client: FlaskClient) -> None:
    request = request_with(("/weather/typical_year", {"from": "01-15"}))
    told = client.post("/v1/projections", json=request).get_json()
    assert told["station"]["id"] == "basin_desert_kelpanoor"
    assert "/weather/typical_year/station" in [a["path"] for a in told["assumptions"]]


def test_the_sentence_names_the_first_cause(client: FlaskClient) -> None:
    weak = request_with(("/start/state_of_charge", 0.12))
    told = client.post("/v1/projections", json=weak).get_json()["summary"]
    assert told["first_cause"].startswith("energy_")
    assert told["sentence"].startswith("Does not hold today: ")
    small = request_with(("/operation/policy", "low_only"), ("/comfort/limit", 24.1))
    told = client.post("/v1/projections", json=small).get_json()["summary"]
    assert told["first_cause"] == "schedule"  # a higher stage is not allowed
    assert told["sentence"].startswith("Does not hold today: it goes above ")


def test_a_fan_alone_takes_less_than_nothing_and_the_description_allows_it(
    client: FlaskClient,
) -> None:
    document = request_with(("/operation/policy", "fan_only"))
    told = client.post("/v1/projections", json=document).get_json()
    day = told["days"][0]
    # All of the fan's power, through an inverter or not, ends as heat in the cabin air.
    assert day["cooling_wh"] == pytest.approx(-11.0 * 40.0, rel=1e-6)  # from 09:00 to 20:00
    description = client.get("/openapi.json").get_json()
    for schema in ("Day", "Totals"):
        least = description["components"]["schemas"][schema]["properties"]["cooling_wh"]["minimum"]
        assert least < day["cooling_wh"]
