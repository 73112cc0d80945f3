"""``GET /v1/quantities``: every number of documents and answers, its unit and bounds."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from noonhold.adverse import adverse_table
from noonhold.documents.study_quantities import study_numbers
from noonhold.quantities import describe
from noonhold_service.description.answer_schemas import NoQuerySchema, QuantityListSchema
from noonhold_service.description.openapi import problems
from noonhold_service.http.query import query_of
from noonhold_service.strict_json import plain

blueprint = Blueprint("quantities", __name__, description="Names, units and bounds.")


@blueprint.route("/quantities")
@blueprint.response(200, QuantityListSchema, description="The table.")
@blueprint.doc(operationId="listQuantities", responses=problems(422))
def list_quantities() -> dict[str, Any]:
    """List every quantity, the numbers of studies, and the steps of the adverse twin.

    The numbers of studies come with their defaults and the reasons, the steps by which the twin's
    day is worse than the day as stated with theirs.
    """
    query_of(NoQuerySchema())
    return {
        "quantities": describe(),
        "study_numbers": [plain(vars(entry)) for entry in study_numbers()],
        "adverse_steps": adverse_table(),
    }
