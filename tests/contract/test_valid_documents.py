"""Valid documents, made at random, drive every study: what is answered, and whether as described.

Documents made up from the description hardly ever get past the rules across fields. These come from
the strategies of the properties, so they reach the model. HYPOTHESIS_PROFILE=full asks 2,000 times.
"""

import os
import sys
from collections import Counter
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from noonhold.documents import dump_projection, load_projection
from noonhold.errors import DocumentError
from noonhold.projection_request import ProjectionRequest
from noonhold_service.description.study_examples import CALIBRATIONS
from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings
from tests.properties import strategies as made

EXAMPLES = 2000 if os.environ.get("HYPOTHESIS_PROFILE") == "full" else 8
LEAST_SHARE = 0.5
APP = create_app(Settings(max_plans=200, max_samples=64))


def as_document(rig: Any, scenario: Any, weather: Any) -> dict[str, Any] | None:
    """Return a projection's document, ``None`` where a rule across fields is broken."""
    try:
        document = dump_projection(ProjectionRequest(rig, scenario, weather))
        load_projection(document)
    except (DocumentError, ValueError):
        return None
    return document


projections = st.builds(as_document, made.rigs(), made.scenarios(), made.days()).filter(bool)
patches = st.one_of(
    st.builds(lambda c: {"operation": {"set_point_c": c}}, st.floats(19.0, 28.0)),
    st.sampled_from(
        [
            {"operation": {"policy": policy}}
            for policy in ("off", "fan_only", "low_only", "low_then_high", "high_only")
        ]
    ),
    st.builds(lambda q: {"start": {"state_of_charge": q}}, st.floats(0.0, 1.0)),
    st.just({"rig": {"cooler": None}}),
)


def study(**parts: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({"projection": projections, **parts})


steps = st.builds(
    lambda least, count, step: {"least": least, "most": least + count * step, "step": step},
    st.sampled_from([500.0, 2000.0]),
    st.integers(1, 8),
    st.sampled_from([250.0, 1000.0]),
)
DOCUMENTS: dict[str, st.SearchStrategy[Any]] = {
    "/v1/projections": projections,
    "/v1/comparisons": st.builds(
        lambda base, found: {
            "base": base,
            "variants": [{"name": f"variant {k}", "patch": p} for k, p in enumerate(found)],
        },
        projections,
        st.lists(patches, min_size=1, max_size=4),
    ),
    "/v1/sizings": study(size=st.just("battery"), battery_wh=steps),
    "/v1/uncertainties": study(samples=st.sampled_from([16, 64]), seed=st.integers(0, 99)),
    "/v1/warm-ups": study(stop_at=st.sampled_from(["09:00", "14:00"]), horizon_h=st.just(2)),
    "/v1/plans": study(
        lowest_set_point_c=st.floats(19.0, 22.0),
        highest_set_point_c=st.floats(24.0, 28.0),
        most_runs=st.integers(10, 100),
    ),
    "/v1/calibrations": st.builds(
        lambda document, c, policy: {
            **document,
            "operation": {**document["operation"], "set_point_c": c, "policy": policy},
        },
        st.sampled_from([each.document for each in CALIBRATIONS.values()]),
        st.floats(19.0, 28.0),
        st.just("off"),
    ),
}


@pytest.fixture(scope="module")
def spec() -> dict[str, Any]:
    found: dict[str, Any] = APP.test_client().get("/openapi.json").get_json()
    return found


@pytest.mark.parametrize("path", DOCUMENTS)
def test_valid_documents_are_answered_as_described(
    path: str, spec: dict[str, Any], record_property: Any
) -> None:
    described = spec["paths"][path]["post"]["responses"]["200"]["content"]["application/json"]
    validator = Draft202012Validator({**described["schema"], "components": spec["components"]})
    client, statuses = APP.test_client(), Counter[str]()

    # A study takes a second where a projection takes a hundredth of it.
    @settings(
        max_examples=EXAMPLES if path != "/v1/plans" or EXAMPLES > 100 else 6,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(DOCUMENTS[path])
    def ask(document: dict[str, Any]) -> None:
        response = client.post(path, json=document)
        answer = response.get_json()
        assert response.status_code in (200, 422, 503), answer
        statuses[f"{response.status_code} {answer.get('type', '')}"] += 1
        if response.status_code == 200:
            validator.validate(answer)

    ask()
    share = statuses["200 "] / sum(statuses.values())
    record_property("share_of_200", share)
    sys.stderr.write(f"{path}: {share:.0%} of {sum(statuses.values())} are 200; {statuses}\n")
    assert share >= LEAST_SHARE, statuses
