"""``POST /v1/warm-ups``: how soon the cabin is dangerously warm once the cooler stops."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from flask import Response
from flask_smorest import Blueprint

from noonhold.documents import Loaded
from noonhold.documents.warm_up_document import WarmUpSchema, load_warm_up
from noonhold.studies.warm_up.warm_up_study import WarmUpRequest, warm_up, warm_up_report
from noonhold_service.description.study_examples import WARM_UPS
from noonhold_service.description.study_schemas.warm_up_schemas import WarmUpAnswerSchema
from noonhold_service.http.study_limits import check_warm_up
from noonhold_service.resources.study_resource import Study, answer_study, study_doc
from noonhold_service.state.app_state import AppState

blueprint = Blueprint("warm-ups", __name__, description="Minutes from a cooler's stop.")


@blueprint.route("/warm-ups", methods=["POST"])
@blueprint.response(200, WarmUpAnswerSchema, description="The warm-up.")
@blueprint.doc(
    **study_doc(
        "createWarmUp",
        WarmUpSchema,
        "A projection, and when its cooler stops; without an hour the worst is looked for.",
        WARM_UPS,
    )
)
def create_warm_up() -> Response:
    """Follow the cabin after its cooler stops.

    Minutes until some temperatures of the cabin air, with window covers open and drawn, nobody
    and somebody inside, beside what was published of parked cars. These minutes are a warning and
    no allowance: read the cautions first.
    """
    return answer_study(_STUDY)


def _compute(loaded: Loaded[WarmUpRequest], state: AppState) -> Mapping[str, Any]:
    return warm_up_report(warm_up(loaded.value, state.catalogue, state.weather.read))


_STUDY: Final = Study(
    load_warm_up,
    check_warm_up,
    lambda asked: asked.base,
    _compute,
    WarmUpAnswerSchema,
    ("stop_at", "worst", "cabin_c", "mean_radiant_c", "outdoor_c"),
)
