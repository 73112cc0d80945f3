"""The request for an uncertainty: a projection, and how far its inputs are uncertain."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from noonhold.documents.fields import Choice, Part
from noonhold.documents.nested import (
    ProjectionPart,
    nested_projection,
    weather_days,
    weather_intervals_a_day,
)
from noonhold.documents.scenario_loader import RigResolver
from noonhold.documents.schema import (
    Assumption,
    DocumentSchema,
    Loaded,
    Problems,
    load_document,
    pointer,
)
from noonhold.documents.study_numbers import StudyNumber
from noonhold.errors import DocumentError, Fault
from noonhold.projection_request import ProjectionRequest
from noonhold.quantities import Quantity
from noonhold.studies.uncertainty.sobol import is_power_of_two
from noonhold.studies.uncertainty.uncertain_inputs import (
    INPUTS,
    TEMPERATURE,
    Condition,
    Range,
    UncertainInput,
)
from noonhold.studies.uncertainty.uncertainty_study import UncertaintyRequest

MOST_SAMPLES = 4096
MOST_INTERVALS = 5_000_000  # about a minute of work, and some hundred MB
SAMPLES = Quantity("samples", "1", "Runs for bands and probability.", 16, MOST_SAMPLES)
SENSITIVITY = Quantity(
    "sensitivity_samples",
    "1",
    "Rows for the Sobol indices, each of as many runs as inputs vary and one more; 0 for none.",
    0,
    1024,
)
SEED = Quantity("seed", "1", "The same seed gives the same answer.", 0, 2**31 - 1)
FACTOR = Quantity("factor", "1", "Multiplies what was stated.", 0.1, 10)
OFFSET = Quantity("offset_k", "K", "Added to what was stated.", -20, 20)


class FactorRangeSchema(DocumentSchema):
    """From where to where a factor may lie; equal ends hold it."""

    target = Range

    low = StudyNumber(FACTOR, required=True)
    high = StudyNumber(FACTOR, required=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require ends in order."""
        _check_ends(data, problems)


class OffsetRangeSchema(DocumentSchema):
    """From where to where an offset may lie; equal ends hold it."""

    target = Range

    low = StudyNumber(OFFSET, required=True)
    high = StudyNumber(OFFSET, required=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require ends in order."""
        _check_ends(data, problems)


def _range_part(each: UncertainInput) -> Part:
    """Return the field of an input's range."""
    return Part(
        OffsetRangeSchema if each.name == TEMPERATURE else FactorRangeSchema,
        f"{each.meaning[0].upper()}{each.meaning[1:]}; by default from {each.likely.low:g} to"
        f" {each.likely.high:g}: {each.reason}.{_aged_words(each)}",
    )


def _aged_words(each: UncertainInput) -> str:
    if each.aged is None:
        return ""
    low, high = each.aged.low, each.aged.high
    return f" After some years from {low:g} to {high:g}: {each.aged_reason}."


class RangesSchema(DocumentSchema):
    """Ranges of the uncertain inputs; one that is left out takes its default."""

    class Meta(DocumentSchema.Meta):
        """One field an input."""

        include: ClassVar[dict[str, Part]] = {each.name: _range_part(each) for each in INPUTS}

    def build(self, data: dict[str, Any]) -> dict[str, Range]:
        """Make the ranges that were given, by input."""
        return self.built(data)


class UncertaintySchema(DocumentSchema):
    """A request for an uncertainty."""

    projection = ProjectionPart("What is uncertain.")
    ranges = Part(RangesSchema, "How far.")
    condition = Choice(
        Condition,
        "Default ranges of the rig: as built, about what was stated, or after some years of use.",
        default=Condition.AS_BUILT,
        reason="what was stated is the rig as it was built",
    )
    samples = StudyNumber(SAMPLES, whole=True, default=256, reason="bands to a few hundredths")
    sensitivity_samples = StudyNumber(
        SENSITIVITY, whole=True, default=64, reason="enough to tell what matters from what does not"
    )
    seed = StudyNumber(SEED, whole=True, default=0, reason="any number will do")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require powers of two, and no more rows of indices than samples."""
        samples, rows = data.get("samples"), data.get("sensitivity_samples")
        for name, count in (("samples", samples), ("sensitivity_samples", rows)):
            if count and not is_power_of_two(count):
                problems.add(
                    name,
                    "must be a power of two, for only then are Sobol points balanced",
                    ", ".join(str(2**k) for k in range(4, 13)),
                )
        if samples is not None and rows is not None and rows > samples:
            problems.add("sensitivity_samples", "is more than samples", f"value <= {samples}")


def load_uncertainty(
    document: object, resolver: RigResolver | None = None
) -> Loaded[UncertaintyRequest]:
    """Read a request for an uncertainty.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    resolver : callable, optional
        See :func:`noonhold.documents.projection_document.load_projection`.

    Raises
    ------
    DocumentError
        With every fault.
    """
    data, assumptions = load_document(_SCHEMA, document)
    projection = nested_projection(data["projection"], ("projection",), resolver)
    asked = projection.value
    given: dict[str, Range] = _SCHEMA.built({"ranges": data.get("ranges", {})})["ranges"]
    condition = Condition(data["condition"])
    taken = []
    ranges = {}
    for each in INPUTS:
        limits, reason = each.default(condition)
        ranges[each.name] = given.get(each.name, limits)
        if each.name not in given:
            path = pointer(("ranges", each.name))
            taken.append(Assumption(path, {"low": limits.low, "high": limits.high}, reason))
    if all(limits.low == limits.high for limits in ranges.values()):
        raise DocumentError([Fault("/ranges", "every input is held: nothing is uncertain")])
    _check_work(asked, data, sum(limits.low < limits.high for limits in ranges.values()))
    request = UncertaintyRequest(
        base=asked,
        ranges=ranges,
        samples=data["samples"],
        sensitivity_samples=data["sensitivity_samples"],
        seed=data["seed"],
    )
    return Loaded(request, (*projection.assumptions, *taken, *assumptions))


def _check_work(asked: ProjectionRequest, data: Mapping[str, Any], varying: int) -> None:
    """Refuse what would take minutes, and fill the memory."""
    days = weather_days(asked.weather) + asked.scenario.start.spin_up_days
    runs = data["samples"] + data["sensitivity_samples"] * (varying + 1)
    intervals = round(runs * days * weather_intervals_a_day(asked.weather))
    if intervals > MOST_INTERVALS:
        raise DocumentError(
            [
                Fault(
                    "/samples",
                    f"{runs} runs of {days:g} days are {intervals} intervals: ask for fewer"
                    " samples, rows or days",
                    data["samples"],
                    f"at most {MOST_INTERVALS} intervals in all runs",
                )
            ]
        )


def _check_ends(data: Mapping[str, Any], problems: Problems) -> None:
    low, high = data.get("low"), data.get("high")
    if low is not None and high is not None and high < low:
        problems.add("high", "is below low", f"value >= {low:.10g}")


_SCHEMA = UncertaintySchema()
