"""A projection: a rig through its weather, its uncooled twin beside it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from noonhold.rig import Rig
from noonhold.scenario import Scenario
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.rig_tables import RigTables
from noonhold.simulation.simulation_case import DEFAULT_STEP_S, prepare, without_cooling
from noonhold.weather.clock import Clock
from noonhold.weather.weather_table import WeatherTable

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Projection:
    """What happens, hour by hour, as plain arrays.

    Parameters
    ----------
    rig, scenario : Rig, Scenario
        What was asked.
    weather : WeatherTable
        The weather of the answer, without the settling days.
    clock : Clock
        The clock of the answer.
    record : numpy.ndarray, shape (n, channels)
        One row an interval; see :mod:`noonhold.simulation.channels`.
    uncooled : numpy.ndarray, shape (n, channels)
        The same rig over the same time with its cooler off.
    step_s : int
        Step of the time loop. [s]
    adverse : numpy.ndarray, shape (n, channels), or None
        Its adverse twin, where it was run.
    fed : numpy.ndarray, shape (n, channels), or None
        The same rig on a battery that never lacks energy, where it was run.
    """

    rig: Rig
    scenario: Scenario
    weather: WeatherTable
    clock: Clock
    record: FloatArray
    uncooled: FloatArray
    step_s: int
    adverse: FloatArray | None = None
    fed: FloatArray | None = None

    def channel(self, number: int) -> FloatArray:
        """Return one channel over the hours, shape (n,)."""
        return self.record[:, number]


def project(
    rig: Rig,
    scenario: Scenario,
    weather: WeatherTable,
    spin_up: int = 0,
    step_s: int = DEFAULT_STEP_S,
    tables: RigTables | None = None,
) -> Projection:
    """Project a rig through its weather, and its uncooled twin beside it.

    Parameters
    ----------
    rig : Rig
        The rig.
    scenario : Scenario
        Place, operation, comfort, start.
    weather : WeatherTable
        The weather, settling days first.
    spin_up : int, optional
        Number of leading intervals that only settle the cabin.
    step_s : int, optional
        Step of the time loop; divides the weather's interval. [s]
    tables : RigTables, optional
        Those of the same rig and step, where they are at hand.

    Returns
    -------
    Projection
        Hour by hour, settling days left off.

    Raises
    ------
    NumericalError
        Where the cabin leaves the physical range.
    """
    case, clock = prepare(rig, scenario, weather, spin_up, step_s, tables=tables)
    cooled, uncooled = run_cases([case, without_cooling(case)])
    shown = Clock(clock.name, clock.starts[spin_up:], clock.offset_s[spin_up:])
    kept = weather if spin_up == 0 else weather.slice(spin_up, len(weather) - spin_up)
    return Projection(rig, scenario, kept, shown, cooled, uncooled, step_s)
