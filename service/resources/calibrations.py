"""``POST /v1/calibrations``: from a field log to a better rig."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response
from flask_smorest import Blueprint

from engine.documents import Loaded
from engine.documents.studies_calibration import (
    CalibrationRequest,
    CalibrationSchema,
    dump_calibration,
    load_calibration,
)
from engine.studies.calibration import calibrate
from service.holdings import Holdings
from service.studies import answer_study, study_doc
from service.study_examples import CALIBRATIONS
from service.study_limits import check_calibration
from service.study_schemas.calibration import CalibrationAnswerSchema

blueprint = Blueprint("calibrations", __name__, description="What a field log tells of a rig.")


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

    Factors with their intervals, those that the log cannot tell, how well the rig meets the log
    and its held-out part, and a merge patch for the rig to use from then on. What is wrong with a
    log (a shifted clock, a stuck sensor, a mix-up of units) is refused by name and rows.
    """
    return answer_study(load_calibration, check_calibration, _compute)


def _compute(loaded: Loaded[CalibrationRequest], held: Holdings) -> Mapping[str, Any]:
    asked = loaded.value
    found = calibrate(asked.setup, asked.log, asked.options)
    return dump_calibration(found, given=asked.rig_document)
