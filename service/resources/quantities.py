"""``GET /v1/quantities``: every number of documents and answers, its unit and bounds."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from engine.documents.study_table import study_numbers
from engine.quantities import describe
from service.openapi import problems
from service.query import query_of
from service.schemas import NoQuerySchema, QuantityListSchema
from service.strict_json import plain

blueprint = Blueprint("quantities", __name__, description="Names, units and bounds.")


@blueprint.route("/quantities")
@blueprint.response(200, QuantityListSchema, description="The table.")
@blueprint.doc(operationId="listQuantities", responses=problems(422))
def list_quantities() -> dict[str, Any]:
    """List every quantity, and the numbers of studies with their defaults and the reasons."""
    query_of(NoQuerySchema())
    return {
        "quantities": describe(),
        "study_numbers": [plain(vars(entry)) for entry in study_numbers()],
    }
