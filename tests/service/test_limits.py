import json
from collections.abc import Callable
from threading import Event, Thread

import pytest
from flask.testing import FlaskClient

from noonhold.numerics.time_limit import check_time
from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.problems import ProblemError
from noonhold_service.process.readiness import make_ready
from noonhold_service.state.gate import Gate
from tests.service.conftest import request_with

Maker = Callable[..., FlaskClient]


def test_days_settling_and_rows_are_limited_all_at_once(with_settings: Maker) -> None:
    client = with_settings(max_days=2, max_spin_up_days=2)
    request = request_with(("/weather/typical_year/days", 3), ("/start/spin_up_days", 3))
    told = client.post("/v1/projections", json=request)
    assert told.status_code == 422
    problem = told.get_json()
    assert problem["type"] == "/problems/limit-exceeded"
    assert [(e["pointer"], e["value"], e["bound"]) for e in problem["errors"]] == [
        ("/weather/typical_year/days", 3, "<= 2 d"),
        ("/start/spin_up_days", 3, "<= 2 d"),
    ]
    assert "3, allowed <= 2 d" in problem["detail"]


def test_rows_of_own_columns_are_limited(with_settings: Maker) -> None:
    client = with_settings(max_rows=24)
    rows = 25
    columns = {"temp_air": [30] * rows, "relative_humidity": [40] * rows, "wind_speed": [1] * rows}
    columns |= {"ghi": [0] * rows}
    hourly = {"start": "2026-01-20T00:00:00-08:00", "interval_s": 60, "columns": columns}
    request = request_with(("/weather", {"hourly": hourly}), name="own_hours")
    problem = client.post("/v1/projections", json=request).get_json()
    assert problem["errors"][0]["pointer"] == "/weather/hourly/columns"
    assert problem["errors"][0]["value"] == 25


def test_hot_days_are_limited(with_settings: Maker) -> None:
    request = request_with(("/weather/hot_day/days", 9), name="hot_day")
    problem = with_settings(max_days=8).post("/v1/projections", json=request).get_json()
    assert problem["errors"][0]["pointer"] == "/weather/hot_day/days"


@pytest.mark.parametrize("declared", [True, False])
def test_a_long_body_is_refused(with_settings: Maker, declared: bool) -> None:
    client = with_settings(max_body_bytes=5_000)
    body = json.dumps({"rig": "x" * 6_000}).encode()
    response = client.post(
        "/v1/projections",
        data=body,
        content_type="application/json",
        content_length=len(body) if declared else None,
    )
    assert response.status_code == 413
    problem = response.get_json()
    assert problem["type"] == "/problems/too-large"
    assert "5000 bytes" in problem["detail"] and str(len(body)) in problem["detail"]


def test_a_full_gate_refuses_after_a_while_and_opens_again() -> None:
    gate = Gate(most=1, wait_s=0.01)
    with gate.turn():
        assert gate.inside == 1
        with pytest.raises(ProblemError) as caught, gate.turn():
            pass
        assert caught.value.response.kind.slug == "busy"
        assert caught.value.response.headers == {"Retry-After": "1"}
    with pytest.raises(KeyError), gate.turn():
        raise KeyError
    with gate.turn():
        assert gate.inside == 1
    assert gate.inside == 0


def test_a_busy_service_says_so_and_still_answers_the_rest(with_settings: Maker) -> None:
    client = with_settings(concurrent=1, wait_s=0.01)
    held = client.application.extensions["noonhold"]
    inside, leave = Event(), Event()

    def occupy() -> None:
        with held.gate.turn():
            inside.set()
            leave.wait(30)

    other = Thread(target=occupy)
    other.start()
    try:
        assert inside.wait(30)
        response = client.post("/v1/projections", json=REQUESTS["typical_day"].document)
        assert response.status_code == 503
        assert response.headers["Retry-After"] == "1"
        assert response.get_json()["type"] == "/problems/busy"
        assert client.get("/v1/rigs").status_code == 200
        assert "noonhold_computations_in_flight 1" in client.get("/metrics").text
    finally:
        leave.set()
        other.join()


def test_a_computation_that_takes_too_long_is_ended_and_its_place_is_free_again(
    with_settings: Maker,
) -> None:
    client = with_settings(concurrent=1, wait_s=0.01, compute_s=0.001)
    held = client.application.extensions["noonhold"]
    make_ready(held)
    held.gate.check_fits = lambda *_: None  # as if the estimate had been too low
    for _ in range(2):
        response = client.post("/v1/projections", json=REQUESTS["typical_day"].document)
        assert response.status_code == 503
        problem = response.get_json()
        assert problem["type"] == "/problems/out-of-time"
        assert "0.001 s" in problem["detail"]
    assert client.application.extensions["noonhold"].gate.inside == 0


def test_a_long_study_is_ended_between_two_runs() -> None:
    gate, runs = Gate(most=1, wait_s=0.01, limit_s=0.05), 0
    with pytest.raises(ProblemError) as caught, gate.turn():
        while True:
            check_time()
            runs += 1
    assert caught.value.response.kind.slug == "out-of-time"
    assert runs > 0 and gate.inside == 0
