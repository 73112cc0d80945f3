"""The adverse twin: the same rig on a somewhat worse day, by one documented table of steps."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from types import MappingProxyType
from typing import Any, Final

from noonhold.simulation.changed_case import CaseChange, changed_case
from noonhold.simulation.simulation_case import SimulationCase


@dataclass(frozen=True)
class AdverseSteps:
    """By how much the adverse twin's day is worse than the day as stated, all at once.

    Parameters
    ----------
    outdoor_offset_k : float
        Added to the outdoor air and the sky. [K]
    array_factor : float
        On the rated power of every array.
    cooler_capacity_factor, cooler_power_factor : float
        On the capacity of every stage, and on the compressor's power.
    load_factor : float
        On house loads, vent fans and the standing draw.
    """

    outdoor_offset_k: float = 1.0
    array_factor: float = 0.9
    cooler_capacity_factor: float = 0.95
    cooler_power_factor: float = 1.05
    load_factor: float = 1.1


ADVERSE: Final = AdverseSteps()

REASONS: Final = MappingProxyType(
    {
        "outdoor_offset_k": "a forecast for the next day errs by about a degree, and a camp is"
        " seldom where the station stands; common practice, no source",
        "array_factor": "a thin haze, or the dust of a dry week; common practice, no source",
        "cooler_capacity_factor": "the tolerance within which certified ratings may fall short"
        " (AHRI 210/240, from memory)",
        "cooler_power_factor": "the same tolerance on efficiency, from memory",
        "load_factor": "a lid left open, a charger forgotten; common practice, no source",
    }
)


def adverse_case(case: SimulationCase, steps: AdverseSteps = ADVERSE) -> SimulationCase:
    """Return the adverse twin of a run.

    Parameters
    ----------
    case : SimulationCase
        The run as stated.
    steps : AdverseSteps, optional
        By how much worse.

    Returns
    -------
    SimulationCase
        It begins with the same stated charge, or with its own settled one.
    """
    return changed_case(
        case,
        CaseChange(
            outdoor_offset_k=steps.outdoor_offset_k,
            array=steps.array_factor,
            cooler_capacity=steps.cooler_capacity_factor,
            cooler_power=steps.cooler_power_factor,
            load=steps.load_factor,
        ),
    )


def adverse_table(steps: AdverseSteps = ADVERSE) -> list[dict[str, Any]]:
    """Return the steps with their reasons, one row a step.

    Returns
    -------
    list of dict
        ``name``, ``unit``, ``value``, ``reason``.
    """
    return [
        {
            "name": name,
            "unit": "K" if name.endswith("_k") else "1",
            "value": value,
            "reason": REASONS[name],
        }
        for name, value in asdict(steps).items()
    ]
