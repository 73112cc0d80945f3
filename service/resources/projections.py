"""``POST /v1/projections``: one rig, one place, its weather; hour by hour and the verdict."""

from __future__ import annotations

import time

from flask import Response
from flask_smorest import Blueprint

from engine.answer import Answer, answer
from engine.documents import Loaded, ProjectionRequest, ProjectionSchema, load_projection
from service.answers import projection_document
from service.examples import REQUESTS
from service.holdings import Holdings, holdings
from service.limits import check_limits, step_of
from service.openapi import problems
from service.request_body import json_body
from service.schemas import AnswerSchema
from service.strict_json import json_response

blueprint = Blueprint("projections", __name__, description="What a rig does in its weather.")


@blueprint.route("/projections", methods=["POST"])
@blueprint.response(200, AnswerSchema, description="The projection.")
@blueprint.doc(
    operationId="createProjection",
    requestBody={
        "required": True,
        "description": "The rig (or the identifier of one), where, which weather, what is done.",
        "content": {
            "application/json": {
                "schema": ProjectionSchema,
                "examples": {
                    name: {"summary": each.summary, "value": each.document}
                    for name, each in REQUESTS.items()
                },
            }
        },
    },
    responses=problems(400, 413, 415, 422, 503),
)
def create_projection() -> Response:
    """Project a rig through its weather.

    The same request gives the same answer as long as the release and the station's file stay the
    same. Nothing is stored.
    """
    held = holdings()
    loaded = load_projection(json_body(held.settings), held.resolve_rig)
    found = computed(held, loaded)
    document = projection_document(found, loaded.assumptions)
    response = json_response(document)
    return response


def computed(held: Holdings, loaded: Loaded[ProjectionRequest]) -> Answer:
    """Return the engine's answer, within the limits and behind the gate.

    Parameters
    ----------
    held : Holdings
        What the service works with.
    loaded : Loaded of ProjectionRequest
        The request.

    Returns
    -------
    Answer
    """
    request = loaded.value
    days = check_limits(request, held.settings)
    with held.gate.turn():
        began = time.perf_counter()
        found = answer(
            request.rig,
            request.scenario,
            request.weather,
            held.catalogue,
            held.weather.read,
            step_of(request),
        )
        held.metrics.computation(days, time.perf_counter() - began)
    return found
