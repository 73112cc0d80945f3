"""``POST /v1/comparisons``: a base scenario, what changes, and the order of what matters."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from flask import Response
from flask_smorest import Blueprint

from noonhold.documents import Loaded
from noonhold.documents.comparison_document import (
    ComparisonRequest,
    ComparisonSchema,
    load_comparison,
)
from noonhold.studies.comparison.comparison_study import compare, comparison_report
from noonhold_service.description.study_examples import COMPARISONS
from noonhold_service.description.study_schemas.comparison_schemas import ComparisonAnswerSchema
from noonhold_service.http.study_limits import check_comparison, common_step_s
from noonhold_service.resources.study_resource import Study, answer_study, study_doc
from noonhold_service.state.app_state import AppState

blueprint = Blueprint("comparisons", __name__, description="What matters of what changes.")


@blueprint.route("/comparisons", methods=["POST"])
@blueprint.response(200, ComparisonAnswerSchema, description="The comparison.")
@blueprint.doc(
    **study_doc(
        "createComparison",
        ComparisonSchema,
        "A projection, and named changes of it as JSON merge patches (RFC 7396).",
        COMPARISONS,
    )
)
def create_comparison() -> Response:
    """Set variants beside a base.

    Every variant is the base with a merge patch on rig, place, weather, operation, start or
    comfort. The answer has each one's verdict and figures, its difference to the base, and the
    order of what matters. A patch that changes nothing is reported; one that makes an invalid
    document is refused with its pointer.
    """
    return answer_study(_STUDY)


def _compute(loaded: Loaded[ComparisonRequest], state: AppState) -> Mapping[str, Any]:
    asked = loaded.value
    questions = [asked.base, *(variant.request for variant in asked.variants)]
    step_s = common_step_s(questions)
    return comparison_report(
        compare(asked.base, asked.variants, state.catalogue, state.weather.read, step_s)
    )


_STUDY: Final = Study(
    load_comparison,
    check_comparison,
    lambda asked: asked.base,
    _compute,
    ComparisonAnswerSchema,
    ("order", "ordered_by"),
)
