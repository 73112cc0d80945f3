"""``POST /v1/rigs/expansions``: a rig in ten lines, written out as a whole one."""

from __future__ import annotations

from flask import Response
from flask_smorest import Blueprint

from noonhold.documents import load_rig
from noonhold.documents.short_rig_document import expand_rig
from noonhold_service.answers.projection_answer import assumptions_document
from noonhold_service.description.answer_schemas import NoQuerySchema, RigExpansionSchema
from noonhold_service.description.openapi import problems
from noonhold_service.description.request_examples import SHORT_RIGS
from noonhold_service.http.query import query_of
from noonhold_service.http.request_body import json_body
from noonhold_service.state.app_state import app_state
from noonhold_service.state.rig_store import conductances
from noonhold_service.strict_json import json_response

blueprint = Blueprint("expansions", __name__, description="A rig in ten lines, written out.")


@blueprint.route("/rigs/expansions", methods=["POST"])
@blueprint.response(200, RigExpansionSchema, description="The whole rig.")
@blueprint.doc(
    operationId="createRigExpansion",
    requestBody={
        "required": True,
        "description": "A rig of the short form; a whole one is answered as it is.",
        "content": {
            "application/json": {
                "schema": {
                    "oneOf": [
                        {"$ref": "#/components/schemas/ShortRig"},
                        {"$ref": "#/components/schemas/Rig"},
                    ]
                },
                "examples": {
                    name: {"summary": each.summary, "value": each.document}
                    for name, each in SHORT_RIGS.items()
                },
            }
        },
    },
    responses=problems(400, 413, 415, 422, 503),
)
def create_rig_expansion() -> Response:
    """Write out a rig of the short form.

    The answer has the whole document, which can be edited and sent wherever a rig is taken (the
    short form can be, too), and every value that the rules filled in with its reason, those that
    move a verdict most first.
    """
    query_of(NoQuerySchema())
    state = app_state()
    document, expected_s = json_body(state.settings)
    state.gate.check_fits(expected_s)
    with state.gate.turn(expected_s):
        loaded = load_rig(document)
        whole, _ = expand_rig(document)
        rows = conductances(loaded.value)
    return json_response(
        {
            "rig": whole,
            "conductances": rows,
            "total_ua_w_k": round(sum(row["ua_w_k"] for row in rows), 6),
            "assumptions": assumptions_document(loaded.assumptions, ()),
        }
    )
