"""``POST /v1/sizings``: the smallest battery, array, both, or cooler that is enough."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from flask import Response
from flask_smorest import Blueprint

from noonhold.documents import Loaded
from noonhold.documents.sizing_document import SizingSchema, dump_sizing, load_sizing
from noonhold.pictures.picture_output import Kind
from noonhold.pictures.sizing_picture import draw_sizing
from noonhold.studies.sizing.sizing_study import size_rig
from noonhold.studies.sizing.sizing_terms import SizingAnswer, SizingRequest
from noonhold.studies.sizing.sizing_view import sizing_view
from noonhold_service.description.study_examples import SIZINGS
from noonhold_service.description.study_schemas.sizing_schemas import SizingAnswerSchema
from noonhold_service.http.study_limits import check_sizing, common_step_s
from noonhold_service.resources.study_resource import Study, answer_study, study_doc
from noonhold_service.state.app_state import AppState

blueprint = Blueprint("sizings", __name__, description="How large it has to be.")


@blueprint.route("/sizings", methods=["POST"])
@blueprint.response(200, SizingAnswerSchema, description="The sizing.")
@blueprint.alt_response(
    200,
    schema={"type": "string"},
    content_type="image/svg+xml",
    description="The sizing.",
    success=True,
)
@blueprint.alt_response(
    200,
    schema={"type": "string", "contentMediaType": "image/png"},
    content_type="image/png",
    description="The sizing.",
    success=True,
)
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
    """Find the smallest size that makes the asked share of days hold, day after day.

    Of the battery, an array, the frontier of both, or the cooler; with its margins, and with what
    one more kWh and 100 W more would be worth. A day counts where it holds once the charge has
    settled and, unless the confidence asked for is nominal, also when it is somewhat worse; no
    size is enough that leaves house loads unserved. Where no size is enough, the answer says
    whether energy or the cooler is at fault. The Accept header chooses between JSON and a picture
    as SVG or PNG. A frontier over a whole year takes several seconds.
    """
    return answer_study(_STUDY)


def _sized(loaded: Loaded[SizingRequest], state: AppState) -> SizingAnswer:
    asked = loaded.value
    return size_rig(asked, state.catalogue, state.weather.read, common_step_s([asked.base]))


def _compute(loaded: Loaded[SizingRequest], state: AppState) -> Mapping[str, Any]:
    return dump_sizing(_sized(loaded, state))


def _draw(loaded: Loaded[SizingRequest], state: AppState, kind: Kind) -> bytes:
    return draw_sizing(sizing_view(loaded.value.base.rig.name, _sized(loaded, state)), kind)


_STUDY: Final = Study(
    load_sizing,
    check_sizing,
    lambda asked: asked.base,
    _compute,
    SizingAnswerSchema,
    ("outcome", "sentence", "found", "next_smaller"),
    _draw,
)
