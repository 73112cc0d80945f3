"""The answer of a day's plan."""

from __future__ import annotations

from marshmallow import Schema

from noonhold.documents import OperationSchema
from noonhold.rig import Policy
from noonhold.studies.plan.plan_study import PlanOutcome
from noonhold_service.description.answer_fields import part
from noonhold_service.description.study_schemas.figure_schemas import FiguresSchema
from noonhold_service.description.study_schemas.schema_parts import (
    StudyAnswerSchema,
    notes,
    real,
    text,
    whole,
)


class FixedScheduleSchema(Schema):
    """The best fixed schedule: one policy and one set point from an hour on."""

    policy = text("Its policy.", "low_then_high", enum=[str(each) for each in Policy])
    set_point_c = real("Its set point. [degC]", 26.0)
    start_hour = whole("Hour of the clock before which the cooler rests. [h]", 11)
    figures = part(FiguresSchema, "What it comes to.")


class ChargeAtBestSchema(Schema):
    """How high the lowest charge of any plan could be."""

    without_cooling = real("With the cooler off; proven.", 0.71)
    foresight = real(
        "With perfect foresight; null where none keeps the limit or the run is too long.",
        0.44,
        null=True,
    )
    note = text("Why there is none.", None, null=True)
    statement = text("What each rests on.", "'without_cooling' is proven for this model ...")


class PlanAnswerSchema(StudyAnswerSchema):
    """The answer to a request for a day's plan."""

    outcome = text(
        "Whether every day of the plan holds; where none does, it is the plan that comes nearest.",
        "kept",
        enum=[str(each) for each in PlanOutcome],
    )
    operation = part(
        OperationSchema, "The plan; put into the projection's document it gives the figures below."
    )
    drive_start = real("Hour of the clock at which to drive; null for none. [h]", None, null=True)
    figures = part(FiguresSchema, "What the plan comes to.")
    as_asked = part(FiguresSchema, "The operation as it was asked for.")
    best_fixed = part(FixedScheduleSchema, "The best of the fixed schedules.")
    lowest_charge_at_best = part(ChargeAtBestSchema, "What no plan can better.")
    runs = whole("Plans tried.", 1480)
    notes = notes()
