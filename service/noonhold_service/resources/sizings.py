"""``POST /v1/sizings``: the smallest battery, array, both, or cooler that does it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from flask import Response
from flask_smorest import Blueprint

from noonhold.documents import Loaded
from noonhold.documents.sizing_document import SizingSchema, dump_sizing, load_sizing
from noonhold.studies.sizing.sizing_study import size_rig
from noonhold.studies.sizing.sizing_terms import SizingRequest
from noonhold_service.description.study_examples import SIZINGS
from noonhold_service.description.study_schemas.sizing_schemas import SizingAnswerSchema
from noonhold_service.http.study_limits import check_sizing, common_step_s
from noonhold_service.resources.study_resource import Study, answer_study, study_doc
from noonhold_service.state.app_state import AppState

blueprint = Blueprint("sizings", __name__, description="How large it has to be.")


@blueprint.route("/sizings", methods=["POST"])
@blueprint.response(200, SizingAnswerSchema, description="The sizing.")
@blueprint.doc(
    **study_doc(
        "createSizing",
        SizingSchema,
        "A projection over the days that the rig must hold, what may be sized, and the share of"
        " the days needing cooling that must hold.",
        SIZINGS,
    )
)
def create_sizing() -> Response:
    """Find the smallest size that makes the asked share of days hold.

    Of the battery, an array, the frontier of both, or the cooler; with what one more kWh and
    100 W more would be worth. Where no size does it, the answer says whether energy or the cooler
    is at fault. A frontier over a whole year takes several seconds.
    """
    return answer_study(_STUDY)


def _compute(loaded: Loaded[SizingRequest], held: AppState) -> Mapping[str, Any]:
    asked = loaded.value
    step_s = common_step_s([asked.base])
    return dump_sizing(size_rig(asked, held.catalogue, held.weather.read, step_s))


_STUDY: Final = Study(
    load_sizing,
    check_sizing,
    lambda asked: asked.base,
    _compute,
    SizingAnswerSchema,
    ("outcome", "sentence", "found", "next_smaller"),
)
