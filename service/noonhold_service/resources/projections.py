"""``POST /v1/projections``: one rig, one place, its weather; hour by hour and the verdict."""

from __future__ import annotations

import time
from typing import Any

from flask import Response
from flask_smorest import Blueprint

from noonhold.documents import (
    Assumption,
    Loaded,
    ProjectionRequest,
    ProjectionSchema,
    load_projection,
)
from noonhold.documents.decisive_defaults import flag_decisive
from noonhold.projection_result import ProjectionResult, run_projection
from noonhold.studies.remedies.advice import Advice, advise
from noonhold.studies.remedies.remedy_search import verdict_of
from noonhold.studies.study_base import ProjectionCache
from noonhold.verdict import CAUTIONS
from noonhold.verdict_sentence import sentence
from noonhold_service.answers.projection_answer import projection_document
from noonhold_service.description.answer_schemas import ProjectionAnswerSchema
from noonhold_service.description.openapi import problems
from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.http.content_negotiation import acceptable, respond_with
from noonhold_service.http.field_selection import FieldsQuerySchema, only, wanted_fields
from noonhold_service.http.question_token import locate
from noonhold_service.http.request_body import json_body
from noonhold_service.http.request_limits import check_limits, step_of
from noonhold_service.http.study_costs import seconds_of
from noonhold_service.state.app_state import AppState, app_state

blueprint = Blueprint("projections", __name__, description="What a rig does in its weather.")


@blueprint.route("/projections", methods=["POST"])
@blueprint.response(200, ProjectionAnswerSchema, description="The projection.")
@blueprint.alt_response(
    200,
    schema={"type": "string"},
    content_type="text/csv",
    description="The projection.",
    success=True,
)
@blueprint.alt_response(
    200,
    schema={"type": "string"},
    content_type="image/svg+xml",
    description="The projection.",
    success=True,
)
@blueprint.alt_response(
    200,
    schema={"type": "string", "contentMediaType": "image/png"},
    content_type="image/png",
    description="The projection.",
    success=True,
)
@blueprint.doc(
    operationId="createProjection",
    parameters=[{"in": "query", "schema": FieldsQuerySchema}],
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
    responses=problems(400, 406, 413, 415, 422, 503),
)
def create_projection() -> Response:
    """Project a rig through its weather.

    The same request gives the same answer as long as the release and the station's file stay the
    same. Nothing is stored. The Accept header chooses between JSON, the hours as CSV (verdict and
    cautions in comments above), and a picture as SVG or PNG.
    """
    state, form = app_state(), acceptable()
    wanted = wanted_fields(ProjectionAnswerSchema, ("summary",), form)
    document, expected_s = json_body(state.settings)
    response = answer_projection(document, expected_s, form, wanted)
    if wanted is None:
        locate(response, "p", document, form)
    return response


def answer_projection(
    document: Any, expected_s: float, form: str, wanted: tuple[str, ...] | None = None
) -> Response:
    """Answer a document that asks for a projection.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    expected_s : float
        What reading it is expected to take. [s]
    form : str
        Media type of the answer.
    wanted : tuple of str, optional
        Which parts of it; all by default.

    Raises
    ------
    ProblemError, NoonholdError
        As the parts raise them.
    """
    state = app_state()
    state.gate.check_fits(expected_s)
    with state.gate.turn(expected_s):
        loaded = load_projection(document, state.resolve_rig)
    work = check_limits(loaded.value, state.settings)
    expected_s = seconds_of(work, loaded.value.rig, step_of(loaded.value))
    state.gate.check_fits(expected_s)
    with state.gate.turn(expected_s):
        began = time.perf_counter()
        found = compute(state, loaded.value)
        state.metrics.computation(work.run_days, time.perf_counter() - began)
        # Writing an answer, a picture above all, is work that the gate must count too.
        answer = projection_document(found, *advice_for(state, loaded, found))
        return respond_with(only(answer, wanted), form, found)


def summary_of(loaded: Loaded[ProjectionRequest]) -> dict[str, Any]:
    """Return what a card says of a projection: rig, verdict, sentence, cautions."""
    state = app_state()
    work = check_limits(loaded.value, state.settings)
    expected_s = seconds_of(work, loaded.value.rig, step_of(loaded.value))
    state.gate.check_fits(expected_s)
    with state.gate.turn(expected_s):
        found = compute(state, loaded.value)
        return {
            "rig": found.projection.rig.name,
            "verdict": found.summary.verdict.word,
            "sentence": sentence(found),
            "cautions": CAUTIONS,
        }


def advice_for(
    state: AppState, loaded: Loaded[ProjectionRequest], found: ProjectionResult
) -> tuple[tuple[Assumption, ...], Advice]:
    """Return the assumptions, decisive ones first where that was asked for, and the advice.

    Parameters
    ----------
    state : AppState
        For stations and their parsed weather.

    Returns
    -------
    assumptions : tuple of Assumption
    advice : Advice
    """
    request = loaded.value
    cache = ProjectionCache(state.catalogue, state.weather.read, step_of(request))
    advice = advise(request, found, cache)
    if not request.chance:
        return tuple(loaded.assumptions), advice
    made = flag_decisive(
        loaded.assumptions,
        request,
        found.summary.verdict,
        lambda changed: verdict_of(changed, cache),
    )
    return made, advice


def compute(state: AppState, request: ProjectionRequest) -> ProjectionResult:
    """Return the engine's answer.

    Parameters
    ----------
    state : AppState
        For stations, their parsed weather and the tables of rigs.
    request : ProjectionRequest
        Within the limits.
    """
    return run_projection(
        request.rig,
        request.scenario,
        request.weather,
        state.catalogue,
        state.weather.read,
        step_of(request),
        state.tables,
    )
