"""What a request costs is known before it is computed, and no request shuts out the others."""

import json
import time
from collections.abc import Callable
from threading import Event, Thread
from typing import Any

import pytest
from flask.testing import FlaskClient

from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.description.study_examples import COMPARISONS, PLANS
from noonhold_service.http.study_costs import Work, seconds_to_read
from noonhold_service.problems import ProblemError
from noonhold_service.process.readiness import make_ready
from noonhold_service.state.gate import SHORT_S, Gate
from tests.service.conftest import request_with
from tests.service.test_hostile_input import problem

Maker = Callable[..., FlaskClient]


def test_a_document_of_very_many_faults_names_a_hundred_and_counts_the_rest(
    client: FlaskClient,
) -> None:
    spans = [{f"unknown_{k}": 1 for k in range(400)} for _ in range(100)]
    response = client.post("/v1/projections", json=request_with(("/operation/spans", spans)))
    told = problem(response, 422, "invalid-document")
    assert len(told["errors"]) == 100
    # 400 unknown keys, two missing ones and nothing that changes, in each of the spans
    assert told["errors_omitted"] == 100 * (400 + 2) - 100
    assert str(100 * 402) in told["detail"]
    assert len(response.data) < 200_000


def test_an_object_of_very_many_keys_is_refused_before_it_is_read(client: FlaskClient) -> None:
    told = problem(
        client.post("/v1/projections", json={f"k{i}": 1 for i in range(501)}), 400, "not-json"
    )
    assert "501 keys" in told["detail"] and told["errors"][0]["bound"] == "at most 500 keys"


def test_how_many_keys_is_a_setting(with_settings: Maker) -> None:
    client = with_settings(max_keys=50)
    response = client.post("/v1/projections", json={f"k{i}": 1 for i in range(51)})
    problem(response, 400, "not-json")


def test_reading_stands_under_the_limit_of_time(with_settings: Maker) -> None:
    client = with_settings()
    held = client.application.extensions["noonhold"]
    held.gate.limit_s = 1e-9
    held.gate.check_fits = lambda *_: None  # a document whose estimate was too low
    response = client.post("/v1/projections", json=REQUESTS["typical_day"].document)
    problem(response, 503, "out-of-time")


def test_a_comparison_of_large_documents_is_weighed_before_it_is_read(
    with_settings: Maker, checkout: Any
) -> None:
    client = with_settings(compute_s=1.0)
    make_ready(client.application.extensions["noonhold"])
    rig = json.loads((checkout / "sample_rigs" / "flatbed_cabin.json").read_text())
    panels = rig["shell"]["panels"]
    rig["shell"]["panels"] = [{**panels[k % len(panels)], "name": f"panel {k}"} for k in range(200)]
    base = request_with(("/rig", rig))
    variants = [
        {"name": f"at {k}", "patch": {"operation": {"set_point_c": 20 + k / 10}}} for k in range(40)
    ]
    began = time.perf_counter()
    response = client.post("/v1/comparisons", json={"base": base, "variants": variants})
    told = problem(response, 422, "limit-exceeded")
    assert "expected to take" in told["detail"] and "1 s are allowed" in told["detail"]
    assert told["errors"][0]["value"] > 1.0 and told["errors"][0]["bound"] == "<= 1 s"
    assert time.perf_counter() - began < 1.0


def test_what_can_never_fit_is_refused_with_the_estimate(with_settings: Maker) -> None:
    client = with_settings(compute_s=0.05)
    make_ready(client.application.extensions["noonhold"])
    told = problem(client.post("/v1/plans", json=PLANS["plan"].document), 422, "limit-exceeded")
    assert told["errors"][0]["value"] > 0.05
    # The same service still answers what fits.
    client.application.extensions["noonhold"].gate.limit_s = 30.0
    assert client.post("/v1/projections", json=REQUESTS["hot_day"].document).status_code == 200


def test_long_computations_do_not_shut_out_short_ones(with_settings: Maker) -> None:
    client = with_settings(concurrent=1, concurrent_long=1, wait_s=0.01)
    gate = client.application.extensions["noonhold"].gate
    inside, leave = Event(), Event()

    def occupy() -> None:
        with gate.turn(20.0):
            inside.set()
            leave.wait(30)

    other = Thread(target=occupy)
    other.start()
    try:
        assert inside.wait(30)
        for _ in range(3):
            response = client.post("/v1/projections", json=REQUESTS["typical_day"].document)
            assert response.status_code == 200
        study = client.post("/v1/plans", json=PLANS["plan"].document)
        told = problem(study, 503, "busy")
        assert "1 long computation is" in told["detail"]
        # The other has been expected to take 20 s, and has just begun.
        assert 15 <= int(study.headers["Retry-After"]) <= 20
    finally:
        leave.set()
        other.join()
    assert (
        client.post("/v1/comparisons", json=COMPARISONS["comparison"].document).status_code == 200
    )


def test_retry_after_never_promises_longer_than_the_limit_nor_less_than_a_second() -> None:
    gate = Gate(most=1, wait_s=0.0, limit_s=5.0)
    for expected, seconds in ((4.0, "4"), (100.0, "5"), (0.3, "1")):
        with gate.turn(expected), pytest.raises(ProblemError) as caught, gate.turn(expected):
            pass
        assert caught.value.response.headers == {"Retry-After": seconds}


def test_more_than_may_wait_are_refused_at_once() -> None:
    gate = Gate(most=1, wait_s=30.0, most_waiting=1)
    leave, waiting = Event(), Thread(target=lambda: _through(gate))
    with gate.turn():
        waiting.start()
        while gate.waiting < 1:
            time.sleep(0.001)
        began = time.monotonic()
        with pytest.raises(ProblemError, match="as many wait as may"), gate.turn():
            pass
        assert time.monotonic() - began < 5.0
    waiting.join(30)
    leave.set()
    assert gate.inside == gate.waiting == 0


def _through(gate: Gate) -> None:
    with gate.turn():
        pass


def test_the_lanes_part_at_a_quarter_of_a_second() -> None:
    gate = Gate(most=1, wait_s=0.0, most_long=1)
    with gate.turn(SHORT_S), gate.turn(SHORT_S + 0.01):
        assert gate.inside == 2


def test_every_variant_counts_as_the_base_once_more() -> None:
    assert seconds_to_read({"variants": [1, 2, 3]}, 1_000_000) == pytest.approx(
        4 * seconds_to_read({}, 1_000_000)
    )
    assert seconds_to_read([], 10) == seconds_to_read({"variants": 5}, 10)
    assert Work(1, 2, 0.5) + Work(3, 4, 0.25) == Work(4, 6, 0.75)
