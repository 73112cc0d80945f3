"""``GET /v1/rigs``: the rigs that requests may name."""

from __future__ import annotations

from typing import Any

from flask import Response
from flask_smorest import Blueprint

from noonhold_service.answers.projection_answer import assumptions_document
from noonhold_service.description.answer_schemas import (
    NoQuerySchema,
    RigListSchema,
    RigRecordSchema,
)
from noonhold_service.description.openapi import problems
from noonhold_service.http.query import query_of
from noonhold_service.problems import ProblemError
from noonhold_service.state.app_state import app_state
from noonhold_service.state.rig_store import RigRecord, conductances
from noonhold_service.strict_json import json_response

blueprint = Blueprint("rigs", __name__, description="The rigs that requests may name.")


@blueprint.route("/rigs")
@blueprint.response(200, RigListSchema, description="The rigs.")
@blueprint.doc(operationId="listRigs", responses=problems(422))
def list_rigs() -> dict[str, Any]:
    """List the rigs."""
    query_of(NoQuerySchema())
    return {"rigs": [_entry(each) for each in app_state().rigs.values()]}


@blueprint.route(
    "/rigs/<rig_id>",
    parameters=[
        {
            "in": "path",
            "name": "rig_id",
            "required": True,
            "description": "Identifier of a rig, from `/v1/rigs`.",
            "schema": {"type": "string", "minLength": 1},
            "example": "flatbed_cabin",
        }
    ],
)
@blueprint.response(200, RigRecordSchema, description="The rig.")
@blueprint.doc(operationId="getRig", responses=problems(404, 422))
def get_rig(rig_id: str) -> Response:
    """Return a rig's document and what follows from it."""
    query_of(NoQuerySchema())
    record = app_state().rigs.get(rig_id)
    if record is None:
        raise ProblemError("not-found", "there is no rig of this identifier; see /v1/rigs")
    rows = conductances(record.rig)
    document = {
        "id": record.rig_id,
        "rig": record.document,
        "conductances": rows,
        "total_ua_w_k": round(sum(row["ua_w_k"] for row in rows), 6),
        "assumptions": assumptions_document(record.assumptions, ()),
    }
    # Not dumped by the schema: that would make a document of the rig's classes, and this is one.
    response = json_response(document)
    return response


def _entry(record: RigRecord) -> dict[str, Any]:
    rig = record.rig
    return {
        "id": record.rig_id,
        "name": rig.name,
        "usable_energy_wh": rig.battery.usable_energy_wh,
        "rated_solar_w": sum(array.rated_power_w for array in rig.arrays),
        "cooling_w": rig.cooler.stages[-1].cooling_w if rig.cooler else None,
    }
