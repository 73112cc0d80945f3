"""``/healthz``, ``/readyz``, ``/metrics``: for those who run the service."""

from __future__ import annotations

from flask import Response, current_app
from flask_smorest import Blueprint

from noonhold_service.description.answer_schemas import HealthSchema
from noonhold_service.description.openapi import problems
from noonhold_service.problems import ProblemError
from noonhold_service.state.app_state import app_state
from noonhold_service.state.metrics import MEDIA_TYPE

blueprint = Blueprint("operations", __name__, description="For those who run the service.")


@blueprint.route("/healthz")
@blueprint.response(200, HealthSchema, description="The process runs.")
@blueprint.doc(operationId="getHealth", security=[])
def get_health() -> dict[str, str]:
    """Tell that the process answers."""
    return {"status": "ok"}


@blueprint.route("/readyz")
@blueprint.response(200, HealthSchema, description="Compiled, and the self-check was right.")
@blueprint.doc(operationId="getReadiness", security=[], responses=problems(503))
def get_readiness() -> dict[str, str]:
    """Tell whether the model is compiled and its self-check was right."""
    if not app_state().ready.is_set():
        raise ProblemError(
            "not-ready", "the model is not compiled and checked yet", headers={"Retry-After": "5"}
        )
    return {"status": "ok"}


@blueprint.route("/metrics")
@blueprint.alt_response(
    200,
    schema={"type": "string"},
    content_type="text/plain",
    description="Counts and times since the service began, for Prometheus.",
    success=True,
)
@blueprint.doc(operationId="getMetrics")
def get_metrics() -> Response:
    """Return counts and times, of all workers together."""
    state = app_state()
    response: Response = current_app.response_class(state.metrics.text(), content_type=MEDIA_TYPE)
    return response
