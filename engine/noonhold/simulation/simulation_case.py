"""Everything one run of the time loop reads, made from rig, scenario and weather."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.air.measure import ComfortTables, comfort_tables
from noonhold.air.moist_air import dry_air_density, specific_heat
from noonhold.cooling.cooler_tables import CoolerTables
from noonhold.electricity.arrays import ArrayTables
from noonhold.electricity.battery import BatteryTables
from noonhold.envelope.network import NetworkTables
from noonhold.rig import Rig
from noonhold.scenario import Scenario
from noonhold.simulation.controls import ControlTables, control_tables
from noonhold.simulation.forcing import ForcingTables, forcing_tables
from noonhold.simulation.rig_tables import RigTables, rig_tables
from noonhold.weather.clock import DAY_S, Clock, clock_over
from noonhold.weather.weather_table import WeatherTable

IntArray = npt.NDArray[np.int64]

DEFAULT_STEP_S: Final = 300
_REFERENCE_AIR_C: Final = 25.0  # for the heat capacity of the cabin air


@dataclass(frozen=True)
class SimulationCase:
    """Everything one run of the time loop reads; cases share what they have in common.

    Parameters
    ----------
    network, forcing, cooler, arrays, battery, control, comfort
        Tables of the time loop.
    clock_row : numpy.ndarray of int, shape (n,)
        Row of the operation's day at the start of every interval.
    air_density, air_specific_heat : float
        Of the cabin air, constant over the run. [kg dry air/m3], [J/(kg dry air K)]
    start_c, start_humidity, start_outdoor_c : float
        Cabin air, its humidity ratio and outdoor air at the first moment. [degC], [kg/kg]
    stored_wh : float
        Energy in the battery at the first moment; full where the charge is settled. [Wh]
    spin_up : int
        Leading intervals that only settle the cabin and are not part of the answer.
    charge_is_settled : bool
        Whether the settling intervals hand their charge on, instead of its being stated.
    day_repeats : bool
        Whether the settling intervals are the first day itself, so that a settled charge is the
        one with which that day repeats.
    """

    network: NetworkTables
    forcing: ForcingTables
    cooler: CoolerTables
    arrays: ArrayTables
    battery: BatteryTables
    control: ControlTables
    comfort: ComfortTables
    clock_row: IntArray
    air_density: float
    air_specific_heat: float
    start_c: float
    start_humidity: float
    start_outdoor_c: float
    stored_wh: float
    spin_up: int
    charge_is_settled: bool = False
    day_repeats: bool = False


def prepare(
    rig: Rig,
    scenario: Scenario,
    weather: WeatherTable,
    spin_up: int = 0,
    step_s: int = DEFAULT_STEP_S,
    forcing: ForcingTables | None = None,
    tables: RigTables | None = None,
) -> tuple[SimulationCase, Clock]:
    """Make the tables of one run.

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
    forcing : ForcingTables, optional
        Sun and weather on a rig with the same faces, glass (U-value, solar heat gain coefficient,
        transmittance, panes), awnings and arrays at the same place under the same weather, where
        it is at hand; made here otherwise.
    tables : RigTables, optional
        Those of the same rig and step, where they are at hand; made here otherwise.

    Returns
    -------
    case : SimulationCase
        Ready for :func:`noonhold.simulation.case_runs.run_cases`.
    clock : Clock
        The clock over the whole weather given, settling days included.
    """
    if weather.interval_s % step_s:
        raise ValueError(
            f"a step of {step_s} s does not divide an interval of {weather.interval_s} s"
        )
    clock = clock_over(weather, scenario.place.timezone)
    second = clock.second_of_day()
    middle_h = ((second + weather.interval_s // 2) % DAY_S) / 3600.0
    if forcing is None:
        forcing = forcing_tables(rig, scenario.place, weather, middle_h)
    if tables is None:
        tables = rig_tables(rig, step_s)
    outdoor_c = float(forcing.outdoor_start[0])
    humidity = float(forcing.humidity_start[0])
    mean_pressure = float(np.mean(forcing.pressure))
    start_c, charge = scenario.start.cabin_temperature_c, scenario.start.state_of_charge
    case = SimulationCase(
        network=tables.network,
        forcing=forcing,
        cooler=tables.cooler,
        arrays=tables.arrays,
        battery=tables.battery,
        control=control_tables(rig, scenario, step_s),
        comfort=comfort_tables(scenario.comfort),
        clock_row=second // step_s,
        air_density=dry_air_density(_REFERENCE_AIR_C, humidity, mean_pressure),
        air_specific_heat=specific_heat(humidity),
        start_c=outdoor_c if start_c is None else float(start_c),
        start_humidity=humidity,
        start_outdoor_c=outdoor_c,
        stored_wh=rig.battery.usable_energy_wh * (1.0 if charge is None else charge),
        spin_up=spin_up,
        charge_is_settled=charge is None,
        day_repeats=weather.day_repeats,
    )
    return case, clock


def without_cooling(case: SimulationCase) -> SimulationCase:
    """Return the same run with the cooler off all day.

    Returns
    -------
    SimulationCase
        Shares every table but the operation.
    """
    control = case.control
    off = control._replace(
        lowest_stage=np.full_like(control.lowest_stage, -1),
        highest_stage=np.full_like(control.highest_stage, -1),
    )
    return replace(case, control=off)
