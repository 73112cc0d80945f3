"""Following the links: what one answer names, the next request asks for."""

import os
from typing import Any

import schemathesis
from flask import Flask
from hypothesis import HealthCheck, settings
from schemathesis.config import SchemathesisConfig

from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings

# HYPOTHESIS_PROFILE=full walks as many ways as the other test makes requests.
WAYS = 2000 if os.environ.get("HYPOTHESIS_PROFILE") == "full" else 6
CONFIG = SchemathesisConfig.from_dict(
    {
        "checks": {
            "positive_data_acceptance": {"expected-statuses": ["2xx", 404, 413, 422, 503]},
            "negative_data_rejection": {"expected-statuses": [400, 404, 413, 415, 422, 503]},
        },
    }
)


def _application() -> Flask:
    app = create_app(Settings(max_days=2, max_spin_up_days=2))
    app.extensions["noonhold"].ready.set()
    return app


schema = schemathesis.openapi.from_wsgi("/openapi.json", _application(), config=CONFIG)


class _Walk(schema.as_state_machine()):  # type: ignore[misc] # made at run time
    """A walk from answer to answer; uncompressed, as nothing here would unpack an answer."""

    def get_call_kwargs(self, case: schemathesis.Case) -> dict[str, Any]:
        return {"headers": {"Accept-Encoding": "identity"}}


TestWalk = _Walk.TestCase
TestWalk.settings = settings(
    max_examples=WAYS,
    stateful_step_count=5,
    deadline=None,
    derandomize=WAYS < 2000,
    suppress_health_check=list(HealthCheck),
)
