"""Requests made up from the description: no answer that the description does not foresee."""

import os

import schemathesis
from flask import Flask
from hypothesis import HealthCheck, settings
from schemathesis.config import SchemathesisConfig

from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings

# HYPOTHESIS_PROFILE=full asks 2,000 times an operation.
FULL = os.environ.get("HYPOTHESIS_PROFILE") == "full"
EXAMPLES = 2000 if FULL else 25
# A study's document holds a whole projection and more: making one up takes seconds.
STUDY_EXAMPLES = 2000 if FULL else 5
STUDIES = r"^/v1/(calibrations|comparisons|plans|sizings|surveys|uncertainties|warm-ups|years)$"
# Rules across fields, which a schema cannot say, refuse what a schema admits with 422; a body
# beyond the limit is refused with 413, a service that is not warmed up or busy with 503.
CONFIG = SchemathesisConfig.from_dict(
    {
        "generation": {"max-examples": EXAMPLES},
        # The description has an example of every field: hundreds of requests, which the tests
        # of the examples make themselves. Here requests are made up.
        "phases": {"examples": {"enabled": False}},
        "checks": {
            "positive_data_acceptance": {"expected-statuses": ["2xx", 404, 413, 422, 503]},
            "negative_data_rejection": {"expected-statuses": [400, 404, 413, 415, 422, 503]},
        },
    }
)


def _application() -> Flask:
    small = Settings(
        max_days=2,
        max_spin_up_days=2,
        max_sizing_days=2,
        max_sizes=30,
        max_samples=32,
        max_run_days=10_000,
    )
    app = create_app(small)
    # Ready or not makes no difference to the contract; compiling is the other tests' business.
    app.extensions["noonhold"].ready.set()
    return app


# One test an operation: the operations must be known when the tests are collected.
schema = schemathesis.openapi.from_wsgi("/openapi.json", _application(), config=CONFIG)


@schema.exclude(path_regex=STUDIES).parametrize()
@settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=not FULL,
    suppress_health_check=list(HealthCheck),
)
def test_every_answer_is_one_that_the_description_foresees(case: schemathesis.Case) -> None:
    _ask(case)


@schema.include(path_regex=STUDIES).parametrize()
@settings(
    max_examples=STUDY_EXAMPLES,
    deadline=None,
    derandomize=not FULL,
    suppress_health_check=list(HealthCheck),
)
def test_every_study_answers_as_the_description_foresees(case: schemathesis.Case) -> None:
    _ask(case)


def _ask(case: schemathesis.Case) -> None:
    # Uncompressed: called in the process, nothing between would unpack an answer again.
    response = case.call_and_validate(headers={"Accept-Encoding": "identity"})
    assert response.status_code not in (500, 501, 502)
