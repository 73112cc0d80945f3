"""What a valid document sets and this rig cannot follow: reported beside the assumptions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from noonhold.documents.schema import Assumption, Path, pointer
from noonhold.rig import CoverPosition, Policy, Rig
from noonhold.scenario import ComfortMeasure, CoverState

Found = tuple[Path, Any, str]  # where, what was given, why it does nothing

_OF_A_STAGE: Final = (Policy.LOW_ONLY, Policy.HIGH_ONLY)
_PMV_ONLY: Final = ("metabolic_met", "clothing_clo", "air_speed_m_s")
_PER_OCCUPANT: Final = (
    "fresh_air_m3_h_per_occupant",
    "sensible_w_per_occupant",
    "latent_w_per_occupant",
)


def without_effect(
    rig: Rig, data: Mapping[str, Any], document: Mapping[str, Any]
) -> tuple[Assumption, ...]:
    """Return the settings of a scenario that change nothing on a rig.

    Parameters
    ----------
    rig : Rig
        What the settings are for.
    data : mapping
        Valid plain values by part, defaults included; parts may be absent.
    document : mapping
        The same as it was given: only what was stated is reported.

    Returns
    -------
    tuple of Assumption
        The value as given, and in ``reason`` why it has no effect.
    """
    found: list[Found] = []
    operation, stated = data.get("operation"), document.get("operation")
    if operation and isinstance(stated, Mapping):
        spans = operation.get("spans", ())
        found += _of_setting(rig, _only(operation, stated), ("operation",))
        found += _of_spans(rig, operation, spans)
        found += _of_occupants(operation, stated, spans, data)
    for index, event in enumerate((data.get("log") or {}).get("events", ())):
        found += _of_setting(rig, event, ("log", "events", index))
    found += _of_comfort(data.get("comfort"), document.get("comfort"))
    if not rig.arrays and isinstance(document.get("place"), Mapping):
        found += _of_shade(document["place"])
    return tuple(
        Assumption(pointer(path), str(value) if isinstance(value, str) else value, reason)
        for path, value, reason in found
    )


def idle_parts(rig: Rig, root: Path = ()) -> tuple[Assumption, ...]:
    """Return the parts and figures of a rig that nothing in it uses.

    Parameters
    ----------
    root : tuple of str or int, optional
        Where its document stands.
    """
    fed = {array.controller for array in rig.arrays}
    found: list[Found] = [
        (("controllers", index, "name"), controller.name, "has no effect: no array feeds it")
        for index, controller in enumerate(rig.controllers)
        if controller.name not in fed
    ]
    found += [
        (
            ("loads", index, "radiant_fraction"),
            load.radiant_fraction,
            "has no effect: none of this load's power heats the cabin",
        )
        for index, load in enumerate(rig.loads)
        if load.radiant_fraction > 0.0 and load.heat_to_cabin_fraction == 0.0
    ]
    return tuple(Assumption(pointer((*root, *path)), value, why) for path, value, why in found)


def _only(data: Mapping[str, Any], stated: Mapping[str, Any]) -> dict[str, Any]:
    """Return the values that the document itself states."""
    return {
        name: stated[name] if isinstance(value, Mapping) else value
        for name, value in data.items()
        if name in stated
    }


def _of_setting(rig: Rig, setting: Mapping[str, Any], path: Path) -> Iterator[Found]:
    """Yield the fields of one setting that the rig has no part for."""
    for name, reason in _lacking(rig).items():
        if name in setting:
            yield (*path, name), setting[name], f"has no effect: {reason}"
    policy = setting.get("policy")
    if rig.cooler is not None and len(rig.cooler.stages) == 1 and policy in _OF_A_STAGE:
        reason = "the cooler has one stage, so low_only, low_then_high and high_only are the same"
        yield (*path, "policy"), policy, reason
    covers = setting.get("covers")
    hung = {cover.position for window in rig.shell.windows for cover in window.covers}
    wanted = hung
    if covers in (CoverState.INSIDE, CoverState.OUTSIDE):
        wanted = {CoverPosition(covers)}
    if hung and not wanted & hung:
        reason = f"the same as open: no window of the rig has an {covers} cover"
        yield (*path, "covers"), covers, reason


def _lacking(rig: Rig) -> dict[str, str]:
    """Return the fields of a setting that need a part the rig lacks, and which."""
    lacking: dict[str, str] = {}
    if rig.cooler is None:
        lacking |= dict.fromkeys(("set_point_c", "policy"), "the rig has no cooler")
    if rig.heater is None:
        lacking["heating_set_point_c"] = "the rig has no heater"
    if not any(window.covers for window in rig.shell.windows):
        lacking["covers"] = "no window of the rig has a cover"
    if not rig.shell.vents:
        lacking["vents_open"] = "the rig has no vents"
    if not any(array.folding for array in rig.arrays):
        lacking["set_out"] = "the rig has no set-out array"
        if not rig.awnings:
            lacking["deployed"] = "the rig has no set-out array and no awning"
    if rig.charging.shore_power_w == 0.0:
        lacking["shore"] = "the rig has no shore power"
    return lacking


def _of_spans(
    rig: Rig, operation: Mapping[str, Any], spans: Sequence[Mapping[str, Any]]
) -> Iterator[Found]:
    """Yield what spans set for parts that the rig lacks, or while the cooler may not run."""
    window = operation["cooling_window"]
    for index, span in enumerate(spans):
        path = ("operation", "spans", index)
        yield from _of_setting(rig, span, path)
        if rig.cooler is None or _overlap(span, window):
            continue
        for name in ("set_point_c", "policy"):
            if name in span:
                reason = "has no effect: the span lies outside the cooling window"
                yield (*path, name), span[name], reason


def _overlap(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Return whether two spans of the clock have an instant in common; ends are outside."""

    def inside(hour: float, span: Mapping[str, Any]) -> bool:
        start, length = span["from_hour"], (span["to_hour"] - span["from_hour"]) % 24.0 or 24.0
        return bool((hour - start) % 24.0 < length)

    return inside(one["from_hour"], other) or inside(other["from_hour"], one)


def _of_occupants(
    operation: Mapping[str, Any],
    stated: Mapping[str, Any],
    spans: Sequence[Mapping[str, Any]],
    data: Mapping[str, Any],
) -> Iterator[Found]:
    """Yield figures of occupants without occupants, and occupants without figures."""
    events = (data.get("log") or {}).get("events", ())
    inside = any(each.get("occupants", 0.0) > 0.0 for each in (*spans, *events))
    if not inside:
        for name in _PER_OCCUPANT:
            if name in stated:
                reason = "has no effect: no span has occupants"
                yield ("operation", name), operation[name], reason
    elif all(operation[name] == 0.0 for name in _PER_OCCUPANT):
        for index, span in enumerate(spans):
            if span.get("occupants", 0.0) > 0.0:
                reason = "has no effect: an occupant gives no heat and takes no fresh air"
                yield ("operation", "spans", index, "occupants"), span["occupants"], reason


def _of_comfort(comfort: Mapping[str, Any] | None, stated: object) -> Iterator[Found]:
    """Yield what only the predicted mean vote reads."""
    if not comfort or not isinstance(stated, Mapping):
        return
    if comfort["measure"] is not ComfortMeasure.PMV:
        for name in _PMV_ONLY:
            if name in stated:
                reason = f"has no effect: {comfort['measure']} does not use it, pmv does"
                yield ("comfort", name), comfort[name], reason


def _of_shade(place: Mapping[str, Any]) -> Iterator[Found]:
    """Yield shade that falls on arrays where there are none."""
    for index, shade in enumerate(place.get("shade", ())):
        for number, target in enumerate(shade.get("applies_to", ())):
            if target == "arrays":
                path = ("place", "shade", index, "applies_to", number)
                yield path, target, "has no effect: the rig has no arrays"
