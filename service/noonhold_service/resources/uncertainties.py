"""``POST /v1/bounds``: what a verdict is worth when its inputs are known within ranges."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response
from flask_smorest import Blueprint

from noonhold.documents import Loaded
from noonhold.documents.uncertainty_document import BoundsSchema, load_bounds
from noonhold.studies.uncertainty.uncertainty_study import BoundsRequest, bounds, bounds_report
from noonhold_service.description.study_examples import BOUNDS
from noonhold_service.description.study_schemas.uncertainty_schemas import BoundsAnswerSchema
from noonhold_service.http.study_limits import check_bounds, common_step_s
from noonhold_service.resources.study_resource import answer_study, study_doc
from noonhold_service.state.app_state import Holdings

blueprint = Blueprint("bounds", __name__, description="What a verdict is worth.")


@blueprint.route("/bounds", methods=["POST"])
@blueprint.response(200, BoundsAnswerSchema, description="The bounds.")
@blueprint.doc(
    **study_doc(
        "createBounds",
        BoundsSchema,
        "A projection, and how far its inputs are uncertain; every range has a default.",
        BOUNDS,
    )
)
def create_bounds() -> Response:
    """Say what a verdict is worth.

    Uncertain inputs are drawn from their ranges (a seeded Sobol sequence): bands of cabin
    temperature and charge hour by hour, the probability that the days hold, and which input
    matters how much. The same request gives the same answer.
    """
    return answer_study(load_bounds, check_bounds, _compute)


def _compute(loaded: Loaded[BoundsRequest], held: Holdings) -> Mapping[str, Any]:
    asked = loaded.value
    step_s = common_step_s([asked.question])
    return bounds_report(bounds(asked, held.catalogue, held.weather.read, step_s))
