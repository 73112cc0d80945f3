"""The numbers that only studies' requests have: unit, bounds, default and the reason for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from marshmallow import missing

from noonhold.documents.calibration_document import CalibrationSchema
from noonhold.documents.comparison_document import ComparisonSchema
from noonhold.documents.fields import Items, Number, Part
from noonhold.documents.plan_document import PlanSchema
from noonhold.documents.schema import DocumentSchema, pointer
from noonhold.documents.sizing_document import SizingSchema
from noonhold.documents.study_numbers import StudyNumber
from noonhold.documents.uncertainty_document import UncertaintySchema
from noonhold.documents.warm_up_document import WarmUpSchema
from noonhold.studies.calibration.factors import KINDS
from noonhold.studies.uncertainty.uncertain_inputs import INPUTS

_STUDIES: Final[dict[str, type[DocumentSchema]]] = {
    "uncertainty": UncertaintySchema,
    "calibration": CalibrationSchema,
    "comparison": ComparisonSchema,
    "plan": PlanSchema,
    "sizing": SizingSchema,
    "warm_up": WarmUpSchema,
}
# These are described by the table of all quantities, or by the log itself.
_ELSEWHERE: Final = ("place", "operation", "rig", "log")


@dataclass(frozen=True)
class StudyEntry:
    """A number of a study's request.

    Parameters
    ----------
    study : str
        Whose request.
    pointer : str
        Where it stands in it.
    unit : str
        As UDUNITS writes it; ``1`` for a ratio.
    description : str
        What it is.
    lower, upper : float
        Inclusive bounds.
    default : object
        What is taken where it is absent; ``None`` where nothing is, or where it is needed.
    reason : str or None
        Why that default.
    """

    study: str
    pointer: str
    unit: str
    description: str
    lower: float
    upper: float
    default: object
    reason: str | None


def study_numbers() -> list[StudyEntry]:
    """Return every number that only studies have, or that has a default of theirs.

    Returns
    -------
    list of StudyEntry
        By study and place.
    """
    entries = [
        entry for study, schema in _STUDIES.items() for entry in _entries(study, schema(), ())
    ]
    return sorted(entries, key=lambda entry: (entry.study, entry.pointer))


def _entries(
    study: str, schema: DocumentSchema, place: tuple[str | int, ...]
) -> Iterator[StudyEntry]:
    for name, field in schema.fields.items():
        here = (*place, name)
        if isinstance(field, Part) and here[0] not in _ELSEWHERE:
            inner = field.schema
            if place == ("ranges",):
                yield _range(study, name, inner)
            elif isinstance(inner, DocumentSchema):
                yield from _entries(study, inner, here)
            continue
        number = field.inner if isinstance(field, Items) else field
        has_default = isinstance(number, StudyNumber) or getattr(field, "reason", None) is not None
        if isinstance(number, Number) and has_default:
            default, reason = _default(field)
            if place == ("fit", "prior_widths"):
                default, reason = KINDS[name].prior_width, KINDS[name].reason
            description = field.metadata["description"]
            yield _entry(study, here, number, description, default, reason)


def _default(field: Any) -> tuple[object, str | None]:
    default = field.load_default
    if default is missing:
        return None, field.reason
    return (default() if callable(default) else default), field.reason


def _entry(
    study: str,
    place: tuple[str | int, ...],
    number: Number,
    description: str,
    default: object,
    reason: str | None,
) -> StudyEntry:
    unit = number.quantity.unit
    plain = description.removesuffix(f" [{unit}]")
    return StudyEntry(
        study, pointer(place), unit, plain, number.lower, number.upper, default, reason
    )


def _range(study: str, name: str, schema: Any) -> StudyEntry:
    """Return an uncertain input: its ends have the same bounds, its default is a range."""
    (each,) = (each for each in INPUTS if each.name == name)
    default = {"low": each.likely.low, "high": each.likely.high}
    meaning = f"{each.meaning[0].upper()}{each.meaning[1:]}."
    return _entry(study, ("ranges", name), schema.fields["low"], meaning, default, each.reason)
