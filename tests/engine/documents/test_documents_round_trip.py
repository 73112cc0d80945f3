import json
from typing import Any

import pytest
from hypothesis import given, settings

from noonhold import documents
from noonhold.rig import Rig
from noonhold.scenario import Comfort, Operation, Place, Scenario, Start
from noonhold.weather.weather_request import WeatherRequest
from tests.engine.document_strategies import comforts, operations, places, rigs, starts, weathers


def through_json(document: dict[str, Any]) -> Any:
    """Write and read as a strict JSON parser would: no NaN, no infinity."""
    return json.loads(json.dumps(document, allow_nan=False))


@given(rigs())
@settings(max_examples=60)
def test_a_rig_comes_back_as_it_was(rig: Rig) -> None:
    document = through_json(documents.dump_rig(rig))
    assert documents.load_rig(document).value == rig


@given(places)
def test_a_place_comes_back_as_it_was(place: Place) -> None:
    document = through_json(documents.dump_place(place))
    assert documents.load_place(document).value == place


@given(operations)
def test_an_operation_comes_back_as_it_was(operation: Operation) -> None:
    document = through_json(documents.dump_operation(operation))
    assert documents.load_operation(document).value == operation


@given(comforts)
def test_a_comfort_comes_back_as_it_was(comfort: Comfort) -> None:
    document = through_json(documents.dump_comfort(comfort))
    loaded = documents.load_comfort(document)
    assert loaded.value == comfort
    assert loaded.assumptions == ()


@given(starts)
def test_a_start_comes_back_as_it_was(start: Start) -> None:
    document = through_json(documents.dump_start(start))
    loaded = documents.load_start(document)
    assert loaded.value == start
    assert loaded.assumptions == ()


@given(weathers)
def test_a_weather_request_comes_back_as_it_was(weather: WeatherRequest) -> None:
    document = through_json(documents.dump_weather(weather))
    assert documents.load_weather(document).value == weather


@given(rigs(), places, operations, comforts, starts, weathers)
@settings(max_examples=20)
def test_a_projection_comes_back_as_it_was(
    rig: Rig,
    place: Place,
    operation: Operation,
    comfort: Comfort,
    start: Start,
    weather: WeatherRequest,
) -> None:
    request = documents.ProjectionRequest(rig, Scenario(place, operation, comfort, start), weather)
    document = through_json(documents.dump_projection(request))
    assert documents.load_projection(document).value == request


@given(rigs())
@settings(max_examples=20)
def test_a_written_rig_leaves_only_absent_things_to_assume(rig: Rig) -> None:
    loaded = documents.load_rig(documents.dump_rig(rig))
    assumed = [a for a in loaded.assumptions if not a.reason.startswith("has no effect")]
    assert [a for a in assumed if a.value is not None] == []


def test_an_hour_between_minutes_cannot_be_written() -> None:
    with pytest.raises(ValueError, match="whole minute"):
        documents.dump_operation(Operation(24.0, cooling_window=(9.001, 17.0)))
