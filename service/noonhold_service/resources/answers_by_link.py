"""``GET /v1/answers/{token}.svg|png|json`` and ``/card``: an answer by its address alone."""

from __future__ import annotations

from html import escape
from typing import Any, Final

from flask import Response, current_app
from flask_smorest import Blueprint
from marshmallow import Schema, fields, validate

from noonhold.documents import load_projection
from noonhold_service.description.answer_schemas import NoQuerySchema
from noonhold_service.description.openapi import problems
from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.http.content_negotiation import JSON
from noonhold_service.http.query import query_of
from noonhold_service.http.question_token import FORMS, question_of, token_of
from noonhold_service.http.study_costs import seconds_to_read
from noonhold_service.problems import ProblemError
from noonhold_service.resources.projections import answer_projection, summary_of
from noonhold_service.resources.years import answer_year
from noonhold_service.state.app_state import app_state

blueprint = Blueprint("answers", __name__, description="Answers by link.")
_EXAMPLE: Final = token_of("p", REQUESTS["typical_day"].document)


def _picture(content_type: str) -> Any:
    return blueprint.alt_response(
        200,
        schema={
            "type": "string",
            **({"contentMediaType": "image/png"} if content_type == "image/png" else {}),
        },
        content_type=content_type,
        description="The answer.",
        success=True,
    )


@blueprint.route(
    "/answers/<token>.<form>",
    parameters=[
        {
            "in": "path",
            "name": "token",
            "required": True,
            "description": "The whole question, compressed; from `Content-Location` of its answer.",
            "schema": {"type": "string", "minLength": 1},
            "example": _EXAMPLE,
        },
        {
            "in": "path",
            "name": "form",
            "required": True,
            "description": "What to answer with.",
            "schema": {"type": "string", "enum": list(FORMS)},
            "example": "svg",
        },
    ],
)
@blueprint.alt_response(
    200,
    schema={
        "oneOf": [
            {"$ref": "#/components/schemas/ProjectionAnswer"},
            {"$ref": "#/components/schemas/YearAnswer"},
        ]
    },
    content_type=JSON,
    description="The answer.",
    success=True,
)
@_picture("image/svg+xml")
@_picture("image/png")
@_picture("text/csv")
@blueprint.doc(operationId="getAnswer", responses=problems(404, 413, 422, 503))
def get_answer(token: str, form: str) -> Response:
    """Answer the question that an address carries, as data or as a picture for `<img>`.

    A projection or a year whose question is short enough names its address in `Content-Location`;
    the ending chooses the form. Nothing is stored: the token is the whole question, and caches may
    keep the answer. The `ETag` is a digest of the content: equal answers have equal tags.
    """
    query_of(NoQuerySchema())
    if form not in FORMS:
        raise ProblemError("not-found", "an answer ends in one of " + ", ".join(FORMS))
    state = app_state()
    kind, document, length = question_of(token, state.settings)
    answer = answer_projection if kind == "p" else answer_year
    response = answer(document, seconds_to_read(document, length), FORMS[form])
    # The address says the form: a cache needs to keep no more than one of it.
    response.vary.discard("Accept")
    response.headers["Cross-Origin-Resource-Policy"] = "cross-origin"
    return response


class CardQuerySchema(Schema):
    """Which answer the card shows."""

    token = fields.String(
        required=True,
        validate=validate.Length(1, 100_000),
        metadata={
            "description": "The whole question, as in `/v1/answers`; of a projection.",
            "example": _EXAMPLE,
        },
    )


_PAGE: Final = """<!doctype html>
<html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>{verdict}: {rig}</title>
<style>body{{font:16px/1.4 system-ui,sans-serif;margin:1rem;max-width:48rem}}
img{{width:100%;height:auto}}h1{{font-size:1.2rem}}p{{margin:.5rem 0}}</style>
<h1>{rig}: {verdict}</h1>
<p>{sentence}</p>
<img src="{picture}" alt="{sentence}">
{cautions}
</html>
"""
_POLICY: Final = (
    "default-src 'none'; img-src 'self'; style-src 'unsafe-inline'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors {ancestors}"
)


@blueprint.route("/card")
@blueprint.alt_response(
    200,
    schema={"type": "string"},
    content_type="text/html",
    description="The card.",
    success=True,
)
@blueprint.doc(
    operationId="getCard",
    parameters=[{"in": "query", "schema": CardQuerySchema}],
    responses=problems(404, 413, 422, 503),
)
def get_card() -> Response:
    """Return a page of one answer, to be put into a frame of another website.

    The verdict, its sentence, the picture and the cautions; no script. Which websites may frame it
    is the operator's setting; by default none.
    """
    token = query_of(CardQuerySchema())["token"]
    state = app_state()
    kind, document, length = question_of(token, state.settings)
    if kind != "p":
        raise ProblemError("not-found", "a card shows a projection")
    expected_s = seconds_to_read(document, length)
    state.gate.check_fits(expected_s)
    with state.gate.turn(expected_s):
        loaded = load_projection(document, state.resolve_rig)
    summary = summary_of(loaded)
    cautions = "\n".join(f"<p><strong>{escape(each)}</strong></p>" for each in summary["cautions"])
    page = _PAGE.format(
        rig=escape(summary["rig"]),
        verdict=escape(summary["verdict"]),
        sentence=escape(summary["sentence"]),
        picture=f"answers/{token}.svg",
        cautions=cautions,
    )
    response: Response = current_app.response_class(page, content_type="text/html; charset=utf-8")
    ancestors = " ".join(state.settings.frame_ancestors) or "'none'"
    response.headers["Content-Security-Policy"] = _POLICY.format(ancestors=ancestors)
    return response
