"""The request for a sizing, and its answer as a document."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from noonhold.documents.fields import Choice, Flag, Number, Part, Text
from noonhold.documents.nested import ProjectionPart, nested_projection
from noonhold.documents.rig_document import dump_rig
from noonhold.documents.scenario_loader import RigResolver
from noonhold.documents.schema import (
    Assumption,
    DocumentSchema,
    Loaded,
    Problems,
    load_document,
)
from noonhold.documents.study_numbers import StudyNumber
from noonhold.errors import DocumentError, Fault
from noonhold.quantities import Quantity
from noonhold.rig import Rig
from noonhold.studies.sizing.sizes import Reserve, Scaling
from noonhold.studies.sizing.sizing_study import sizing_report
from noonhold.studies.sizing.sizing_terms import Range, SizingAnswer, SizingRequest, Target
from noonhold.studies.sizing.trials import Confidence

MOST_SIZES = 1000
MOST_FRONTIER_SIZES = 24
_FRONTIER_STEPS = 11

_STEP_WH = Quantity("step", "W h", "From one battery to the next.", 1, 1e6)
_STEP_W = Quantity("step", "W", "From one array to the next.", 1, 1e6)
_FACTOR = Quantity("cooler_factor", "1", "Cooler over that of the rig as given.", 0.1, 10)
_STEP_FACTOR = Quantity("step", "1", "From one cooler to the next.", 0.005, 10)


class RangeSchema(DocumentSchema):
    """Sizes to choose from; subclasses name the quantity."""

    target = Range

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require a range that rises, with a step that fits into it."""
        least, most, step = (data.get(name) for name in ("least", "most", "step"))
        if least is None or most is None:
            return
        if most <= least:
            problems.add("most", "must be larger than the least", f"value > {least:.10g}")
        elif step is not None and step > most - least:
            problems.add("step", "is larger than the range", f"value <= {most - least:.10g}")
        elif step is not None and (most - least) / step > MOST_SIZES:
            bound = f"value >= {(most - least) / MOST_SIZES:.10g}"
            problems.add("step", f"makes more than {MOST_SIZES} sizes", bound)


class BatteryRangeSchema(RangeSchema):
    """Batteries to choose from."""

    least = Number("usable_energy_wh", description="The smallest battery.", required=True)
    most = Number("usable_energy_wh", description="The largest battery.", required=True)
    step = StudyNumber(_STEP_WH)


class ArrayRangeSchema(RangeSchema):
    """Arrays to choose from."""

    least = Number("rated_power_w", description="The smallest array.", required=True)
    most = Number("rated_power_w", description="The largest array.", required=True)
    step = StudyNumber(_STEP_W)


class CoolerRangeSchema(RangeSchema):
    """Coolers to choose from."""

    least = StudyNumber(_FACTOR, required=True)
    most = StudyNumber(_FACTOR, required=True)
    step = StudyNumber(_STEP_FACTOR)


_RANGES: Mapping[Target, tuple[str, ...]] = {
    Target.BATTERY: ("battery_wh",),
    Target.ARRAY: ("array_w",),
    Target.BATTERY_AND_ARRAY: ("battery_wh", "array_w"),
    Target.COOLER: ("cooler_factor",),
}
_STEPS = {"battery_wh": 100.0, "array_w": 25.0, "cooler_factor": 0.05}


class SizingSchema(DocumentSchema):
    """A request for a sizing."""

    projection = ProjectionPart("The rig as it is, where it stands, and the days it must hold.")
    size = Choice(Target, "What may be made larger or smaller.", required=True)
    required_feasible_fraction = Number(
        "required_fraction",
        description="Share of the days that need cooling which must hold, once the charge has"
        " settled; house loads must be served on every day.",
        required=True,
    )
    confidence = Choice(
        Confidence,
        "How sure a day must hold to count: nominal, as stated; adverse, as stated and also on the"
        " somewhat worse day of /v1/quantities, its adverse steps.",
        default=Confidence.ADVERSE,
        reason="a size that fails on a day a degree hotter is not one to sell",
    )
    battery_wh = Part(BatteryRangeSchema, "Usable energy of the batteries to choose from.")
    array_w = Part(ArrayRangeSchema, "Rated power of the arrays to choose from.")
    cooler_factor = Part(CoolerRangeSchema, "Coolers to choose from, as factors on the rig's.")
    array = Text("Name of the array in question.")
    battery_limits_grow = Flag(
        "Whether the battery's power limits grow with its energy.",
        default=True,
        reason="a larger battery is more of the same cells",
    )
    reserve_stays = Choice(
        Reserve,
        "What of the battery's reserve stays as the battery grows, and of the charge to restart:"
        " energy, its watt-hours; share, its share of the battery.",
        default=Reserve.ENERGY,
        reason="the house loads that a reserve is kept for do not grow with the battery",
    )
    controller_limits_grow = Flag(
        "Whether a charge controller's limit grows with the power it serves.",
        default=True,
        reason="a larger array gets a controller to match",
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require the ranges of the target and no others, and a frontier of some size."""
        target = data.get("size")
        if target is None:
            return
        for name in _STEPS:
            if name in _RANGES[target] and name not in given:
                problems.add(name, f"required to size the {target.replace('_', ' ')}")
            elif name in given and name not in _RANGES[target]:
                problems.add(name, f"goes not with the target {target}")
        if target is not Target.BATTERY_AND_ARRAY:
            return
        for name in _RANGES[target]:
            sizes = data.get(name)
            if not isinstance(sizes, Mapping) or not {"least", "most", "step"} <= set(sizes):
                continue
            span = sizes["most"] - sizes["least"]
            if span / sizes["step"] > MOST_FRONTIER_SIZES - 1:
                problems.add(
                    (name, "step"),
                    f"makes more than {MOST_FRONTIER_SIZES} sizes of a frontier",
                    f"value >= {span / (MOST_FRONTIER_SIZES - 1):.10g}",
                )


def load_sizing(document: object, resolver: RigResolver | None = None) -> Loaded[SizingRequest]:
    """Read a request for a sizing.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    resolver : callable, optional
        See :func:`noonhold.documents.projection_document.load_projection`.

    Raises
    ------
    DocumentError
        With every fault: those of the study's own fields, and where these have none those
        of the projection under ``/projection``.
    """
    data, found = load_document(_SCHEMA, document)
    projection = nested_projection(data["projection"], ("projection",), resolver)
    asked = projection.value
    target: Target = data["size"]
    assumptions = [*projection.assumptions, *found]
    array, faults = _array(data.get("array"), asked.rig, target)
    if asked.rig.cooler is None:
        fault = Fault("/projection/rig/cooler", "required: a rig without one cannot be sized")
        faults.append(fault)
    if faults:
        raise DocumentError(faults)
    if array is not None and "array" not in data:
        reason = "the array with the highest rated power is the one in question"
        assumptions.append(Assumption("/array", array, reason))
    ranges = {name: data[name] for name in _RANGES[target]}
    for name, sizes in ranges.items():
        if "step" not in sizes:
            sizes["step"], reason = _step(name, sizes, target)
            assumptions.append(Assumption(f"/{name}/step", sizes["step"], reason))
    request = SizingRequest(
        base=asked,
        target=target,
        required_feasible_fraction=data["required_feasible_fraction"],
        scaling=Scaling(
            array,
            data["battery_limits_grow"],
            data["controller_limits_grow"],
            data["reserve_stays"],
        ),
        confidence=data["confidence"],
        **{name: Range(**sizes) for name, sizes in ranges.items()},
    )
    return Loaded(request, tuple(assumptions))


def _array(name: str | None, rig: Rig, target: Target) -> tuple[str | None, list[Fault]]:
    """Return the array in question, the largest where none is named."""
    names = [array.name for array in rig.arrays]
    if name is not None and name not in names:
        bound = "one of " + ", ".join(names) if names else None
        return None, [Fault("/array", "the rig has no array of that name", name, bound)]
    if not names:
        needed = target in (Target.ARRAY, Target.BATTERY_AND_ARRAY)
        fault = Fault("/projection/rig/arrays", "required: there is no array to size")
        return None, [fault] if needed else []
    return name or max(rig.arrays, key=lambda array: array.rated_power_w).name, []


def _step(name: str, sizes: Mapping[str, float], target: Target) -> tuple[float, str]:
    """Return the step of a range without one, and why."""
    span = sizes["most"] - sizes["least"]
    if target is Target.BATTERY_AND_ARRAY:
        return span / _FRONTIER_STEPS, "a frontier of twelve sizes each way"
    return min(max(_STEPS[name], span / MOST_SIZES), span), "fine enough for a purchase"


def dump_sizing(answer: SizingAnswer, assumptions: Iterable[Assumption] = ()) -> dict[str, Any]:
    """Return the document of an answer, the rig of the size found written out.

    Parameters
    ----------
    answer : SizingAnswer
        From :func:`noonhold.studies.sizing.sizing_study.size_rig`.
    assumptions : iterable of Assumption
        What the request left out.

    Returns
    -------
    dict
        ``rig`` is ``None`` where no single size was found.
    """
    return {
        **sizing_report(answer),
        "rig": None if answer.rig is None else dump_rig(answer.rig),
        "assumptions": [vars(each) for each in assumptions],
    }


_SCHEMA = SizingSchema()
