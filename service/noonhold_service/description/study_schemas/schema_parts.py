"""The pieces that the studies' answers are described with."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, fields

from noonhold_service.description import answer_fields
from noonhold_service.description.answer_fields import many
from noonhold_service.description.answer_schemas import AssumptionSchema


class StudyAnswerSchema(Schema):
    """What the answers of all studies have."""

    cautions = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "To be read before anyone acts on the answer."},
    )
    assumptions = fields.List(
        fields.Nested(AssumptionSchema),
        required=True,
        metadata={"description": "What the request did not say."},
    )
    versions = fields.Dict(
        keys=fields.String(),
        values=fields.String(),
        required=True,
        metadata={
            "description": "Which releases computed this.",
            "example": {"noonhold": "0.1.0", "numpy": "2.4.0"},
        },
    )


def text(
    description: str, example: str | None, *, null: bool = False, **metadata: Any
) -> fields.Field[Any]:
    """Return a text of an answer, with an example."""
    return answer_fields.text(description, null=null, example=example, **metadata)


def real(
    description: str,
    example: float | None,
    *,
    low: float = -1e9,
    high: float = 1e9,
    null: bool = False,
) -> fields.Field[Any]:
    """Return a number of an answer with bounds and an example."""
    return answer_fields.real(description, null=null, example=example, minimum=low, maximum=high)


def share(description: str, example: float | None, *, null: bool = False) -> fields.Field[Any]:
    """Return a share of an answer, from 0 to 1."""
    return real(description, example, low=0.0, high=1.0, null=null)


def energy(description: str, example: float) -> fields.Field[Any]:
    """Return an energy of an answer."""
    return real(f"{description} [W h]", example, low=0.0, high=1e12)


def whole(description: str, example: int) -> fields.Field[Any]:
    """Return a count of an answer, with an example."""
    return answer_fields.whole(description, maximum=1e9, example=example)


def truth(description: str, example: bool) -> fields.Field[Any]:
    """Return a yes or no of an answer, with an example."""
    return answer_fields.truth(description, example=example)


def parts(schema: type[Schema], description: str) -> fields.Field[Any]:
    """Return a list of parts that have a schema of their own."""
    return many(fields.Nested(schema), description)


def texts(description: str, example: list[str], **metadata: Any) -> fields.Field[Any]:
    """Return a list of texts."""
    return many(fields.String(metadata=metadata or None), description, example=example)


def reals(description: str, example: list[float]) -> fields.Field[Any]:
    """Return a list of numbers; their unit stands in brackets at the end."""
    bounds = {"minimum": -1e9, "maximum": 1e9}
    return many(fields.Float(metadata=bounds), description, example=example)


def notes() -> fields.Field[Any]:
    """Return what a study assumed on its way."""
    return texts("What was assumed on the way.", ["winds of the station at 10 m"])


def station() -> fields.Field[Any]:
    """Return the station that the weather came from."""
    return text(
        "Identifier of the station that the weather came from; null for none.",
        "plateau_mesaquorn",
        null=True,
    )
