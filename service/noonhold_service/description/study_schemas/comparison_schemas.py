"""The answer of a comparison."""

from __future__ import annotations

from marshmallow import Schema

from noonhold.studies.comparison.comparison_study import Direction
from noonhold_service.description.answer_fields import part
from noonhold_service.description.study_schemas.figure_schemas import (
    DifferencesSchema,
    FiguresSchema,
)
from noonhold_service.description.study_schemas.schema_parts import (
    StudyAnswerSchema,
    notes,
    parts,
    station,
    text,
    texts,
    truth,
    whole,
)


class BaseOutcomeSchema(Schema):
    """What the base comes to."""

    figures = part(FiguresSchema, "Over the whole run.")
    station = station()
    notes = notes()


class VariantOutcomeSchema(BaseOutcomeSchema):
    """What a variant comes to, beside the base."""

    name = text("Its name.", "covers open")
    changes_nothing = truth("Whether the changed document says the same as the base.", False)
    difference = part(DifferencesSchema, "Variant less base, by figure.")
    direction = text(
        "Which way it moves the base.", "worse", enum=[str(each) for each in Direction]
    )
    verdict_changes = truth("Whether one of base and variant holds and the other fails.", True)
    rank = whole("Its place in the order, from 1: what matters most.", 1)


class ComparisonAnswerSchema(StudyAnswerSchema):
    """The answer to a request for a comparison."""

    base = part(BaseOutcomeSchema, "The base.")
    variants = parts(VariantOutcomeSchema, "In the order they were asked.")
    order = texts(
        "Names of the variants, what matters most first.", ["covers open", "no folding panel"]
    )
    ordered_by = text("How that order came about.", "By the size of the change ...")
