"""Defaults that decide: those whose plausible range alone turns a verdict."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Final

from noonhold.documents.projection_document import dump_projection, load_projection
from noonhold.documents.schema import Assumption
from noonhold.errors import NoonholdError
from noonhold.projection_request import ProjectionRequest
from noonhold.quantities import Verdict


@dataclass(frozen=True)
class Plausible:
    """Between what a default's true value commonly lies.

    Parameters
    ----------
    low, high : float
        Its ends.
    reason : str
        Why, with the source.
    """

    low: float
    high: float
    reason: str


# By the last name of the assumption's pointer.
PLAUSIBLE: Final = MappingProxyType(
    {
        "solar_absorptance": Plausible(
            0.2, 0.85, "white paint to dark colours; handbook tables, from memory"
        ),
        "air_changes_per_hour": Plausible(0.3, 2.0, "like builds differ; common practice"),
        "condenser_air_rise_k": Plausible(
            0.0, 8.0, "in the free to enclosed; common practice, no source"
        ),
        "system_loss_fraction": Plausible(
            0.08, 0.25, "clean and short leads to dusty and long ones; common practice, no source"
        ),
        "soiling_fraction": Plausible(0.0, 0.1, "washed or after dry weeks; common practice"),
        "standing_power_w": Plausible(0.0, 30.0, "electronics that never sleep; common practice"),
        "ground_albedo": Plausible(0.1, 0.35, "asphalt to sand; handbook tables, from memory"),
        "fresh_air_m3_h_per_occupant": Plausible(0.0, 25.0, "closed to category II of EN 16798-1"),
        "degradation_coefficient": Plausible(0.05, 0.25, "AHRI 210/240's default and good units"),
    }
)
_BOX_TILTS: Final = MappingProxyType({"walls": 90.0, "roof": 0.0, "floor": 180.0})


def flag_decisive(
    assumptions: Iterable[Assumption],
    request: ProjectionRequest,
    verdict: Verdict,
    judge: Callable[[ProjectionRequest], Verdict],
) -> tuple[Assumption, ...]:
    """Flag the assumptions whose plausible range alone turns the verdict, and put them first.

    Parameters
    ----------
    assumptions : iterable of Assumption
        Of loading the request.
    judge : callable
        Returns the verdict of a changed request.

    Returns
    -------
    tuple of Assumption
        Two runs for each name of :data:`PLAUSIBLE` among them.
    """
    made = tuple(assumptions)
    names = {each.path.rsplit("/", 1)[-1] for each in made} & PLAUSIBLE.keys()
    decisive = {name for name in names if _turns(name, made, request, verdict, judge)}
    flagged = [replace(each, decisive=each.path.rsplit("/", 1)[-1] in decisive) for each in made]
    return tuple(sorted(flagged, key=lambda each: not each.decisive))


def _turns(
    name: str,
    made: tuple[Assumption, ...],
    request: ProjectionRequest,
    verdict: Verdict,
    judge: Callable[[ProjectionRequest], Verdict],
) -> bool:
    paths = [each.path for each in made if each.path.rsplit("/", 1)[-1] == name]
    for value in (PLAUSIBLE[name].low, PLAUSIBLE[name].high):
        document = dump_projection(request)
        set_there = [_set(document, path, value) for path in paths]
        if not any(set_there):
            continue
        try:
            if judge(load_projection(document).value) is not verdict:
                return True
        except NoonholdError:
            continue  # beyond what this rig can have
    return False


def _set(document: dict[str, Any], path: str, value: float) -> bool:
    """Set a number at every place that a pointer names; return whether there was one."""
    parts = path.strip("/").split("/")
    if parts[:3] == ["rig", "shell", "box"]:
        return _set_of_box(document, parts[3:], value)
    places = list(_places(document, parts[:-1]))
    for place in places:
        place[parts[-1]] = copy.copy(value)
    return bool(places)


def _set_of_box(document: dict[str, Any], parts: list[str], value: float) -> bool:
    """Set a number on the panels that a box was expanded to."""
    tilt = _BOX_TILTS.get(parts[0])
    panels = [p for p in document["rig"]["shell"]["panels"] if p.get("tilt_deg") == tilt]
    for panel in panels:
        panel[parts[-1]] = value
    return bool(panels)


def _places(node: Any, parts: list[str]) -> Iterator[dict[str, Any]]:
    if not parts:
        if isinstance(node, dict):
            yield node
    elif isinstance(node, list):
        chosen = node if parts[0] == "*" else node[int(parts[0]) : int(parts[0]) + 1]
        for item in chosen:
            yield from _places(item, parts[1:])
    elif isinstance(node, dict) and parts[0] in node:
        yield from _places(node[parts[0]], parts[1:])
