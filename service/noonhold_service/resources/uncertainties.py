"""``POST /v1/uncertainties``: what a verdict is worth when its inputs are known within ranges."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from flask import Response
from flask_smorest import Blueprint

from noonhold.documents import Loaded
from noonhold.documents.uncertainty_document import UncertaintySchema, load_uncertainty
from noonhold.studies.uncertainty.uncertainty_study import (
    UncertaintyRequest,
    estimate_uncertainty,
    uncertainty_report,
)
from noonhold_service.description.study_examples import UNCERTAINTY
from noonhold_service.description.study_schemas.uncertainty_schemas import UncertaintyAnswerSchema
from noonhold_service.http.study_limits import check_uncertainty, common_step_s
from noonhold_service.resources.study_resource import Study, answer_study, study_doc
from noonhold_service.state.app_state import AppState

blueprint = Blueprint("uncertainty", __name__, description="What a verdict is worth.")


@blueprint.route("/uncertainties", methods=["POST"])
@blueprint.response(200, UncertaintyAnswerSchema, description="The uncertainty.")
@blueprint.doc(
    **study_doc(
        "createUncertainty",
        UncertaintySchema,
        "A projection, and how far its inputs are uncertain; every range has a default.",
        UNCERTAINTY,
    )
)
def create_uncertainty() -> Response:
    """Say what a verdict is worth.

    Uncertain inputs are drawn from their ranges (a seeded Sobol sequence): bands of cabin
    temperature and charge hour by hour, the probability that the days hold, and which input
    matters how much. The same request gives the same answer.
    """
    return answer_study(_STUDY)


def _compute(loaded: Loaded[UncertaintyRequest], state: AppState) -> Mapping[str, Any]:
    asked = loaded.value
    step_s = common_step_s([asked.base])
    return uncertainty_report(
        estimate_uncertainty(asked, state.catalogue, state.weather.read, step_s)
    )


_STUDY: Final = Study(
    load_uncertainty,
    check_uncertainty,
    lambda asked: asked.base,
    _compute,
    UncertaintyAnswerSchema,
    (
        "lowest_charge",
        "peak_temperature_c",
        "feasible",
        "feasible_days",
        "fails_by_capacity",
        "fails_by_energy",
    ),
)
