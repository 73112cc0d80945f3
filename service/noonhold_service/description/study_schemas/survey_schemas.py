"""The lines of an answer to a request for a survey."""

from __future__ import annotations

from typing import Any, ClassVar

from marshmallow import Schema, fields

from noonhold.quantities import Cause
from noonhold_service.description.answer_schemas import (
    AssumptionSchema,
    ProblemSchema,
    StationSchema,
)

_KINDS = ("begin", "row", "progress", "problem", "end")


def _count(description: str, example: int, most: int = 366) -> fields.Field[Any]:
    bounds = {"minimum": 0, "maximum": most, "example": example}
    return fields.Integer(metadata={"description": description, **bounds})


def _real(
    description: str, example: float, low: float, high: float, *, null: bool = False
) -> fields.Field[Any]:
    bounds = {"minimum": low, "maximum": high, "example": example}
    return fields.Float(allow_none=null, metadata={"description": description, **bounds})


def _figures() -> dict[str, fields.Field[Any]]:
    return {
        "days": _count("Days that the row stands for.", 31),
        "days_needing_cooling": _count("Days that would leave the limit without the cooler.", 30),
        "holds": _count("Days that hold.", 20),
        "narrowly": _count("Days that hold, and whose adverse twin does not.", 4),
        "fails": _count("Days that fail.", 7),
        "feasible_fraction": _real(
            "Of the days that need cooling, the part that holds; null where none needs it.",
            0.8,
            0,
            1,
            null=True,
        ),
        "longest_failing_run_d": _count("Most days needing cooling in a row that fail. [d]", 3),
        "most_frequent_cause": fields.String(
            metadata={
                "description": "What fails first on most of the days that fail.",
                "enum": [each.word for each in Cause],
                "example": "energy_balance",
            }
        ),
        "lowest_charge": _real("Lowest state of charge.", 0.2, 0, 1),
        "mean_outdoor_high_c": _real(
            "Mean of the days' highest outdoor temperature. [degC]", 33.0, -90, 60
        ),
        "best_months": fields.List(
            fields.Integer(metadata={"minimum": 1, "maximum": 12}),
            metadata={
                "description": "Months in which no day fails; of a whole year.",
                "example": [1, 2, 11, 12],
            },
        ),
    }


class SurveyLineSchema(Schema):
    """A line of a survey; its kind says which of the fields it has."""

    class Meta:
        """The figures of a row."""

        include: ClassVar[dict[str, fields.Field[Any]]] = _figures()

    kind = fields.String(
        required=True,
        metadata={"description": "What the line is.", "enum": list(_KINDS), "example": "row"},
    )
    rows = _count("Rows of the whole survey; of begin and end.", 24, 1_000_000)
    expected_s = _real("Seconds that the survey is expected to take; of begin. [s]", 5.0, 0, 1e6)
    assumptions = fields.List(
        fields.Nested(AssumptionSchema),
        metadata={"description": "What the request did not say; of begin."},
    )
    cautions = fields.List(
        fields.String(),
        metadata={
            "description": "To be read before anyone acts on the answer; of begin.",
            "example": ["A projection is not a measurement."],
        },
    )
    versions = fields.Dict(
        keys=fields.String(),
        values=fields.String(),
        metadata={
            "description": "Which releases computed this; of begin.",
            "example": {"noonhold": "0.1.0"},
        },
    )
    rig = fields.String(
        metadata={"description": "Identifier or name of the rig.", "example": "flatbed_cabin"}
    )
    station = fields.Nested(StationSchema, metadata={"description": "Where it stood."})
    month = fields.Integer(
        allow_none=True,
        metadata={
            "description": "Month of the row; null for the whole year.",
            "minimum": 1,
            "maximum": 12,
            "example": 1,
        },
    )
    done = _count("Stations done; of progress.", 3, 100_000)
    of = _count("Stations of the survey; of progress.", 24, 100_000)
    failed = _count("Rows that have a problem instead of figures; of end.", 0, 1_000_000)
    problem = fields.Nested(
        ProblemSchema,
        metadata={"description": "What stands against a row, or ended the survey early."},
    )
