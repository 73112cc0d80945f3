"""The answer to a request for a year."""

from __future__ import annotations

from typing import Any, ClassVar

from marshmallow import Schema, fields

from noonhold.quantities import Cause, Verdict
from noonhold_service.description.answer_fields import part
from noonhold_service.description.answer_schemas import StationUsedSchema
from noonhold_service.description.study_schemas.schema_parts import (
    StudyAnswerSchema,
    energy,
    notes,
    parts,
    real,
    share,
    text,
    whole,
)

_COUNTS = (
    ("days_needing_cooling", "Days that would leave the limit without the cooler.", 120),
    ("holds", "Days that hold.", 300),
    ("narrowly", "Days that hold, and whose adverse twin does not.", 25),
    ("fails", "Days that fail.", 40),
)
_DAY = {"type": "string", "pattern": "^[0-9]{2}-[0-9]{2}$"}


def _counts() -> dict[str, fields.Field[Any]]:
    return {name: whole(meaning, example) for name, meaning, example in _COUNTS}


def _column(inner: fields.Field[Any], description: str, example: list[Any]) -> fields.Field[Any]:
    return fields.List(
        inner, required=True, metadata={"description": description, "example": example}
    )


class YearSummarySchema(Schema):
    """What one asks of a year first."""

    class Meta:
        """The counts of days."""

        include: ClassVar[dict[str, fields.Field[Any]]] = _counts()

    longest_failing_run_d = whole("Most days needing cooling in a row that fail. [d]", 12)
    most_frequent_cause = text(
        "What fails first on most of the days that fail.", "energy_balance",
        enum=[each.word for each in Cause],
    )  # fmt: skip
    best_months = fields.List(
        fields.Integer(metadata={"minimum": 1, "maximum": 12}),
        required=True,
        metadata={"description": "Months in which no day fails.", "example": [1, 2, 3, 11, 12]},
    )
    lowest_charge = share("Lowest state of charge of the year.", 0.1)


class YearMonthSchema(Schema):
    """A month of a year."""

    class Meta:
        """The counts of days."""

        include: ClassVar[dict[str, fields.Field[Any]]] = _counts()

    month = fields.Integer(
        required=True,
        metadata={"description": "From 1.", "minimum": 1, "maximum": 12, "example": 7},
    )
    lowest_charge = share("Lowest state of charge.", 0.2)
    cooler_wh_a_day = energy("Mean electricity of the cooler a day.", 1800.0)
    solar_wh_a_day = energy("Mean solar electricity used a day.", 2900.0)
    mean_outdoor_high_c = real("Mean of the days' highest outdoor temperature. [degC]", 33.0)


class YearDaysSchema(Schema):
    """The days of a year as columns, from 1 January on."""

    day = _column(fields.String(metadata=_DAY), "Month and day.", ["01-01", "01-02"])
    verdict = _column(
        fields.String(metadata={"enum": [each.word for each in Verdict]}),
        "What each day does.",
        ["holds", "fails"],
    )
    first_cause = _column(
        fields.String(metadata={"enum": [each.word for each in Cause]}),
        "What made it fail.",
        ["none", "energy_balance"],
    )
    needs_cooling = _column(fields.Boolean(), "Whether it needs cooling.", [False, True])
    comfortable_fraction = _column(
        fields.Float(allow_none=True, metadata={"minimum": 0, "maximum": 1}),
        "Share of the judged time within the limit; null where nothing is judged.",
        [1.0, 0.8],
    )
    lowest_charge = _column(
        fields.Float(metadata={"minimum": 0, "maximum": 1}), "Lowest state of charge.", [0.5, 0.1]
    )
    outdoor_high_c = _column(
        fields.Float(metadata={"minimum": -90, "maximum": 60}),
        "Highest outdoor temperature. [degC]",
        [31.0, 38.5],
    )
    cabin_high_c = _column(
        fields.Float(metadata={"minimum": -120, "maximum": 200}),
        "Highest temperature of the cabin air. [degC]",
        [26.0, 31.0],
    )


class YearAnswerSchema(StudyAnswerSchema):
    """The answer to a request for a year."""

    summary = part(YearSummarySchema, "What one asks first.")
    months = parts(YearMonthSchema, "The months.")
    days = part(YearDaysSchema, "The days as columns.")
    rig = text("Name of the rig.", "Flatbed cabin")
    station = part(StationUsedSchema, "The station that the weather came from.", null=True)
    notes = notes()
