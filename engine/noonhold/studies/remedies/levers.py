"""What a user could change about a day that does not hold, in the order of how little it asks."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from noonhold.projection_request import ProjectionRequest
from noonhold.quantities import Cause
from noonhold.rig import Policy, Rig
from noonhold.scenario import ComfortMeasure, CoverState, Operation, Setting, Shade, Span
from noonhold.studies.sizing.sizes import Reserve, Scaling, resized, size_of


class Lever(StrEnum):
    """What is changed; the order is that of how little it asks of the user."""

    SET_POINT = "set_point"
    COOLING_START = "cooling_start"
    POLICY = "policy"
    COVERS = "covers"
    SET_OUT_ARRAY = "set_out_array"
    SHADE = "shade"
    BATTERY = "battery"
    ARRAYS = "arrays"
    COOLER = "cooler"


@dataclass(frozen=True)
class Change:
    """One change of one lever.

    Parameters
    ----------
    lever : Lever
        What is changed.
    words : str
        The change as the beginning of a sentence.
    value : float or None
        The new value of a lever that has one.
    unit : str or None
        Of the value, as UDUNITS writes it.
    request : ProjectionRequest
        The request with the change made.
    """

    lever: Lever
    words: str
    value: float | None
    unit: str | None
    request: ProjectionRequest


_SET_POINT_STEPS_K: Final = (0.5, 1.0, 1.5, 2.0, 3.0)
_EARLIER_H: Final = (1.0, 2.0, 3.0, 4.0)
_FACTORS: Final = (1.25, 1.5, 2.0, 3.0)
_COOLER_FACTORS: Final = (1.25, 1.5, 2.0)
# Shade as of a tree or a wall: common practice, no source.
_SHADE: Final = Shade(9.0, 18.0, 0.8, 0.3, ("cabin",))
_IN_DEGREES: Final = (ComfortMeasure.AIR, ComfortMeasure.OPERATIVE)


def changes(request: ProjectionRequest, lever: Lever, cause: Cause) -> list[Change]:
    """Return the changes of one lever that could help, the smallest first.

    Parameters
    ----------
    request : ProjectionRequest
        As asked.
    cause : Cause
        What made the day, or its adverse twin, fail; it decides which way a set point goes.

    Returns
    -------
    list of Change
        Empty where the rig or the day has nothing to change there.
    """
    return list(_MAKERS[lever](request, cause))


def _operated(request: ProjectionRequest, operation: Operation) -> ProjectionRequest:
    return replace(request, scenario=replace(request.scenario, operation=operation))


def _set_points(request: ProjectionRequest, cause: Cause) -> Iterator[Change]:
    if request.rig.cooler is None:
        return
    operation, comfort = request.scenario.operation, request.scenario.comfort
    direction = 1.0 if cause.of_energy else -1.0
    for step in _SET_POINT_STEPS_K:
        shift = direction * step
        set_point = operation.set_point_c + shift
        if direction > 0.0 and comfort.measure in _IN_DEGREES and set_point >= comfort.limit:
            return
        spans = tuple(_shifted(span, shift) for span in operation.spans)
        changed = replace(operation, set_point_c=set_point, spans=spans)
        words = f"With the set point at {set_point:g} °C"
        yield Change(Lever.SET_POINT, words, set_point, "degC", _operated(request, changed))


def _shifted(span: Span, shift_k: float) -> Span:
    own = span.setting.set_point_c
    if own is None:
        return span
    return replace(span, setting=replace(span.setting, set_point_c=own + shift_k))


def _earlier_starts(request: ProjectionRequest, cause: Cause) -> Iterator[Change]:
    operation = request.scenario.operation
    first, last = operation.cooling_window
    if request.rig.cooler is None or cause.of_energy or (last - first) % 24.0 == 0.0:
        return
    for earlier in _EARLIER_H:
        start = first - earlier
        if start < 0.0 or (last < first and start <= last):
            return
        # What was said for the window from its old start on is said from the new one.
        spans = tuple(
            replace(span, from_hour=start) if span.from_hour == first else span
            for span in operation.spans
        )
        changed = replace(operation, cooling_window=(start, last), spans=spans)
        words = f"With cooling from {_clock(start)} on"
        yield Change(Lever.COOLING_START, words, start, "h", _operated(request, changed))


def _policies(request: ProjectionRequest, cause: Cause) -> Iterator[Change]:
    operation, cooler = request.scenario.operation, request.rig.cooler
    if cooler is None:
        return
    said = {operation.policy, *(s.setting.policy for s in operation.spans)} - {None}
    if cause.of_energy:
        if len(cooler.stages) < 2 or said == {Policy.LOW_ONLY}:
            return
        policy, words = Policy.LOW_ONLY, "On the low stage alone"
    elif said & {Policy.LOW_ONLY, Policy.FAN_ONLY, Policy.OFF}:
        policy, words = Policy.LOW_THEN_HIGH, "With every stage allowed all through the window"
    else:
        return
    spans = tuple(
        replace(span, setting=replace(span.setting, policy=None))
        if span.setting.driving_speed_km_h is None
        else span
        for span in operation.spans
    )
    changed = replace(operation, policy=policy, spans=spans)
    yield Change(Lever.POLICY, words, None, None, _operated(request, changed))


def _covers(request: ProjectionRequest, _: Cause) -> Iterator[Change]:
    if not any(window.covers for window in request.rig.shell.windows):
        return
    operation = request.scenario.operation
    drawn = Span(0.0, 24.0, Setting(covers=CoverState.ALL))
    changed = replace(operation, spans=(*operation.spans, drawn))
    words = "With all window covers drawn all day"
    yield Change(Lever.COVERS, words, None, None, _operated(request, changed))


def _set_out(request: ProjectionRequest, _: Cause) -> Iterator[Change]:
    operation = request.scenario.operation
    stowed = any(span.setting.deployed is False for span in operation.spans)
    if not stowed or not any(array.folding for array in request.rig.arrays):
        return
    spans = tuple(
        replace(span, setting=replace(span.setting, deployed=None)) for span in operation.spans
    )
    changed = replace(operation, spans=spans)
    words = "With the set-out array outside all day"
    yield Change(Lever.SET_OUT_ARRAY, words, None, None, _operated(request, changed))


def _shades(request: ProjectionRequest, _: Cause) -> Iterator[Change]:
    place = request.scenario.place
    if any("cabin" in shade.applies_to for shade in place.shade):
        return
    shaded = replace(place, shade=(*place.shade, _SHADE))
    changed = replace(request, scenario=replace(request.scenario, place=shaded))
    words = (
        "With the cabin in the shade of a tree or a wall from 09:00 to 18:00, arrays in the sun,"
    )
    yield Change(Lever.SHADE, words, None, None, changed)


def _batteries(request: ProjectionRequest, _: Cause) -> Iterator[Change]:
    # As a rig's document says it: a reserve that is a share stays that share.
    scaling = Scaling(reserve=Reserve.SHARE)
    size = size_of(request.rig, scaling)
    for factor in _FACTORS:
        energy_wh = round(size.battery_wh * factor, -2) or size.battery_wh * factor
        rig = resized(request.rig, replace(size, battery_wh=energy_wh), scaling)
        words = f"With a battery of {energy_wh:g} Wh"
        yield Change(Lever.BATTERY, words, energy_wh, "W h", replace(request, rig=rig))


def _arrays(request: ProjectionRequest, _: Cause) -> Iterator[Change]:
    if not request.rig.arrays:
        return
    for factor in _FACTORS:
        rig = _larger_arrays(request.rig, factor)
        rated_w = sum(array.rated_power_w for array in rig.arrays)
        words = f"With arrays of {rated_w:g} W in all"
        yield Change(Lever.ARRAYS, words, rated_w, "W", replace(request, rig=rig))


def _larger_arrays(rig: Rig, factor: float) -> Rig:
    """Return a rig whose arrays, and controllers with them, are larger by one factor."""
    for array in rig.arrays:
        scaling = Scaling(array=array.name)
        size = size_of(rig, scaling)
        rig = resized(rig, replace(size, array_w=array.rated_power_w * factor), scaling)
    return rig


def _coolers(request: ProjectionRequest, _: Cause) -> Iterator[Change]:
    cooler = request.rig.cooler
    if cooler is None:
        return
    scaling = Scaling()
    size = size_of(request.rig, scaling)
    for factor in _COOLER_FACTORS:
        rig = resized(request.rig, replace(size, cooler_factor=factor), scaling)
        cooling_w = max(stage.cooling_w for stage in cooler.stages) * factor
        words = f"With a cooler of {cooling_w:g} W"
        yield Change(Lever.COOLER, words, cooling_w, "W", replace(request, rig=rig))


def _clock(hour: float) -> str:
    return f"{int(hour):02d}:{round(hour % 1.0 * 60.0):02d}"


_MAKERS: Final[Mapping[Lever, Callable[[ProjectionRequest, Cause], Iterator[Change]]]] = (
    MappingProxyType(
        {
            Lever.SET_POINT: _set_points,
            Lever.COOLING_START: _earlier_starts,
            Lever.POLICY: _policies,
            Lever.COVERS: _covers,
            Lever.SET_OUT_ARRAY: _set_out,
            Lever.SHADE: _shades,
            Lever.BATTERY: _batteries,
            Lever.ARRAYS: _arrays,
            Lever.COOLER: _coolers,
        }
    )
)
