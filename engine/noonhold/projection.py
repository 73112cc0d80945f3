"""A projection: a rig through its weather, its uncooled twin beside it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from noonhold.rig import Battery, Rig
from noonhold.scenario import Scenario
from noonhold.simulation import channels as ch
from noonhold.simulation.rig_tables import RigTables
from noonhold.simulation.simulation_case import DEFAULT_STEP_S, SimulationCase, prepare
from noonhold.twins import run_twins
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

    @property
    def charge_at_start(self) -> float:
        """Return the state of charge at the first moment, a settled one by the first ledger."""
        stated = self.scenario.start.state_of_charge
        if stated is not None:
            return stated
        return stored_at_start_wh(self.rig.battery, self.record, self.weather.interval_s) / (
            self.rig.battery.usable_energy_wh
        )


def project(
    rig: Rig,
    scenario: Scenario,
    weather: WeatherTable,
    spin_up: int = 0,
    step_s: int = DEFAULT_STEP_S,
    tables: RigTables | None = None,
) -> Projection:
    """Project a rig through its weather, its twins beside it.

    Parameters
    ----------
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
    return projection_of(rig, scenario, weather, case, clock, step_s)


def projection_of(
    rig: Rig,
    scenario: Scenario,
    weather: WeatherTable,
    case: SimulationCase,
    clock: Clock,
    step_s: int,
) -> Projection:
    """Run a case that is prepared, its twins beside it.

    Parameters
    ----------
    scenario : Scenario
        Place, operation, comfort, start.
    weather : WeatherTable
        The weather, settling days first.
    case : SimulationCase
        Tables of the same.
    clock : Clock
        Over the whole weather, settling days included.
    step_s : int
        Step of the time loop. [s]

    Returns
    -------
    Projection
        Hour by hour, settling days left off.
    """
    spin_up = case.spin_up
    twins = run_twins(case)
    shown = Clock(clock.name, clock.starts[spin_up:], clock.offset_s[spin_up:])
    kept = weather if spin_up == 0 else weather.slice(spin_up, len(weather) - spin_up)
    return Projection(
        rig, scenario, kept, shown, twins.record, twins.uncooled, step_s, twins.adverse, twins.fed
    )


def stored_at_start_wh(battery: Battery, record: FloatArray, interval_s: int) -> float:
    """Return the energy in a battery at a record's first moment, from its first interval's ledger.

    Parameters
    ----------
    battery : Battery
        For its efficiencies.

    Returns
    -------
    float
        Exact to rounding: what is stored at the end less what flowed in and out. [Wh]
    """
    row = record[0]
    flow = battery.charge_efficiency * row[ch.CHARGE]
    flow -= row[ch.DISCHARGE] / battery.discharge_efficiency
    return float(row[ch.STORED] - flow * interval_s / 3600.0)
