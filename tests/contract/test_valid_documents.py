"""Valid documents drive every operation: at least half are computed, and answered as described.

Requests made up from the description hardly ever get past the rules across fields, so they never
reach the model; these do. ``HYPOTHESIS_PROFILE=full`` asks 300 times an operation.
"""

import json
import os
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from jsonschema import Draft202012Validator

from noonhold_service.process.app import create_app
from noonhold_service.process.readiness import make_ready
from noonhold_service.settings import Settings
from tests.contract.valid_documents import VALID, Document

FULL = os.environ.get("HYPOTHESIS_PROFILE") == "full"
NDJSON = "application/x-ndjson"
EXAMPLES = 300 if FULL else 6
LEAST_SHARE = 0.5
APP = create_app(Settings())


@pytest.fixture(scope="module")
def spec() -> dict[str, Any]:
    make_ready(APP.extensions["noonhold"])
    found: dict[str, Any] = APP.test_client().get("/openapi.json").get_json()
    return found


def whole_answer(spec: dict[str, Any], path: str) -> dict[str, Any]:
    """Return the schema of the answer without ``fields``, which stands before that of its parts."""
    content = spec["paths"][path]["post"]["responses"]["200"]["content"]
    if NDJSON in content:
        return {"$ref": "#/components/schemas/SurveyLine"}
    shape: dict[str, Any] = content["application/json"]["schema"]
    return dict(shape["anyOf"][0]) if "anyOf" in shape else shape


@pytest.mark.parametrize("path", VALID)
def test_most_are_computed_and_all_are_answered_as_described(
    path: str, spec: dict[str, Any], record_property: Callable[[str, object], None]
) -> None:
    validator = Draft202012Validator({**spec, **whole_answer(spec, path)})
    client, statuses = APP.test_client(), Counter[str]()

    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        derandomize=not FULL,
        # A case that fails is told as it is: making it smaller would run for many minutes.
        phases=(Phase.explicit, Phase.generate),
        suppress_health_check=list(HealthCheck),
    )
    @given(VALID[path])
    def ask(document: Document) -> None:
        response = client.post(path, json=document)
        # A survey is a line of JSON after another.
        lines = response.text.splitlines() if response.mimetype == NDJSON else [response.text]
        answers = [json.loads(line) for line in lines]
        statuses[f"{response.status_code} {answers[0].get('type', '')}".strip()] += 1
        assert response.status_code in (200, 422, 503), answers
        if response.status_code == 200:
            for answer in answers:
                validator.validate(answer)

    ask()
    share = statuses["200"] / statuses.total()
    record_property("share_of_200", share)
    assert share >= LEAST_SHARE, statuses
