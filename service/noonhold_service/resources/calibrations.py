"""``POST /v1/calibrations``: from a field log to a better rig."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from flask import Response
from flask_smorest import Blueprint

from noonhold.documents import Loaded
from noonhold.documents.calibration_document import (
    CalibrationRequest,
    CalibrationSchema,
    dump_calibration,
    load_calibration,
    predict_second,
)
from noonhold.studies.calibration.calibration_study import calibrate
from noonhold_service.description.study_examples import CALIBRATIONS
from noonhold_service.description.study_schemas.calibration_schemas import CalibrationAnswerSchema
from noonhold_service.http.study_limits import check_calibration
from noonhold_service.resources.study_resource import Study, answer_study, study_doc
from noonhold_service.state.app_state import AppState

blueprint = Blueprint("calibrations", __name__, description="What a field log says of a rig.")


@blueprint.route("/calibrations", methods=["POST"])
@blueprint.response(200, CalibrationAnswerSchema, description="The calibration.")
@blueprint.doc(
    **study_doc(
        "createCalibration",
        CalibrationSchema,
        "A rig, where it stood, what was done, and what was logged.",
        CALIBRATIONS,
    )
)
def create_calibration() -> Response:
    """Fit a rig's uncertain numbers to a field log.

    Factors with their intervals, those not identified by the log, how well the rig meets the log
    and its held-out part, and a merge patch for the rig to use from then on. What is wrong with a
    log (a shifted clock, a stuck sensor, a mix-up of units) is refused by name and rows. The log
    may be the text of a logger's CSV file. A second log under ``prediction`` is predicted with
    what the first one taught, every row with the interval in which a reading lies with 95 %
    probability.
    """
    return answer_study(_STUDY)


def _compute(loaded: Loaded[CalibrationRequest], state: AppState) -> Mapping[str, Any]:
    asked = loaded.value
    found = calibrate(asked.setup, asked.log, asked.options)
    prediction = predict_second(found, asked)
    return dump_calibration(found, given=asked.rig_document, prediction=prediction)


_STUDY: Final = Study(
    load_calibration,
    check_calibration,
    lambda asked: asked.setup.rig,
    _compute,
    CalibrationAnswerSchema,
    ("not_identified", "fitted", "held_out"),
)
