"""The answer of a warm-up."""

from __future__ import annotations

from marshmallow import Schema

from noonhold.scenario import CoverState
from noonhold_service.description.study_schemas.schema_parts import (
    StudyAnswerSchema,
    notes,
    parts,
    real,
    reals,
    text,
    truth,
    whole,
)

_WHEN = "2026-01-20T14:00:00-08:00"


class MinutesUntilSchema(Schema):
    """How soon a temperature is reached."""

    temperature_c = real("Threshold of the cabin air. [degC]", 30.0)
    minutes = real(
        "After the stop; null where it is not reached while the cabin is followed. [min]",
        6.9,
        null=True,
    )


class RiseSchema(Schema):
    """How far the cabin air has risen."""

    minutes = whole("After the stop. [min]", 10)
    rise_k = real("Rise of the cabin air since the stop. [K]", 6.7)
    parked_car_rise_k = real(
        "Published for closed parked cars in the sun; null where nothing is. [K]", 10.6, null=True
    )


class LeftCaseSchema(Schema):
    """The cabin after the stop, left in one of the ways."""

    covers = text("Which window covers are drawn.", "open", enum=[str(each) for each in CoverState])
    occupants = real("Who is inside; people, or animals by the heat they give off.", 1.0)
    minutes_until = parts(MinutesUntilSchema, "By threshold.")
    rise = parts(RiseSchema, "After some minutes.")
    highest_c = real("Highest cabin air while it is followed. [degC]", 43.1)
    temperature_c = reals(
        "Cabin air at the stop and at the end of every step from there on. [degC]",
        [24.0, 25.6, 26.7],
    )


class StopTriedSchema(Schema):
    """A stop that was tried in search of the worst."""

    at = text("When.", _WHEN, format="date-time")
    cabin_c = real("Cabin air at the stop. [degC]", 24.0)
    minutes = real(
        "Fewest minutes to the lowest threshold in any case; null where none. [min]",
        6.9,
        null=True,
    )
    highest_c = real("Highest cabin air in any case. [degC]", 44.9)


class WarmUpAnswerSchema(StudyAnswerSchema):
    """The answer to a request for a warm-up; its cautions come first for a reason."""

    stop_at = text("When the cooler stops.", _WHEN, format="date-time")
    worst = truth("Whether that is the worst moment, as against a stated one.", False)
    cabin_c = real("Cabin air at the stop. [degC]", 24.0)
    mean_radiant_c = real("Mean radiant temperature at the stop. [degC]", 27.3)
    outdoor_c = real("Outdoor air at the stop. [degC]", 36.0)
    followed_h = real("How long the cabin was followed. [h]", 6.0)
    step_s = whole("Step of the runs. [s]", 60)
    cases = parts(LeftCaseSchema, "Covers open and drawn, nobody and somebody inside.")
    trials = parts(StopTriedSchema, "The stops tried; empty where the hour was stated.")
    notes = notes()
