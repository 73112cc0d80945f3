"""From rig, scenario and weather to a projection: the one place where the parts meet."""

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
from noonhold.envelope.cabin_step import CabinState, StepWork, first_state, step_work
from noonhold.envelope.network import NetworkTables
from noonhold.errors import NumericalError
from noonhold.numerics.time_limit import check_time
from noonhold.rig import Rig
from noonhold.scenario import Scenario
from noonhold.simulation import channels as ch
from noonhold.simulation.controls import DAY_S, ControlTables, control_tables
from noonhold.simulation.forcing import ForcingTables, forcing_tables
from noonhold.simulation.kernel import ChargeState, PreviousStep, simulate
from noonhold.simulation.rig_tables import RigTables, rig_tables
from noonhold.weather.clock import Clock, clock_over
from noonhold.weather.weather_table import WeatherTable

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

DEFAULT_STEP_S: Final = 300
_REFERENCE_AIR_C: Final = 25.0  # for the heat capacity of the cabin air
_PHYSICAL_C: Final = (-120.0, 200.0)


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
        Of the cabin air, held over the run. [kg dry air/m3], [J/(kg dry air K)]
    start_c, start_humidity, start_outdoor_c : float
        Cabin air, its humidity ratio and outdoor air at the first moment. [degC], [kg/kg]
    stored_wh : float
        Energy in the battery at the first moment. [Wh]
    spin_up : int
        Leading intervals that only settle the cabin and are not part of the answer.
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
    """

    rig: Rig
    scenario: Scenario
    weather: WeatherTable
    clock: Clock
    record: FloatArray
    uncooled: FloatArray
    step_s: int

    def channel(self, number: int) -> FloatArray:
        """Return one channel over the hours, shape (n,)."""
        return self.record[:, number]


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
    forcing : ForcingTables, optional
        Sun and weather on a rig with the same faces, glass (U-value, solar heat gain coefficient,
        transmittance, panes), awnings and arrays at the same place under the same weather, where
        it is at hand; made here otherwise.
    tables : RigTables, optional
        Those of the same rig and step, where they are at hand; made here otherwise.

    Returns
    -------
    case : SimulationCase
        Ready for :func:`run_cases`.
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
    start_c = scenario.start.cabin_temperature_c
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
        stored_wh=scenario.start.state_of_charge * rig.battery.usable_energy_wh,
        spin_up=spin_up,
    )
    return case, clock


def without_cooling(case: SimulationCase) -> SimulationCase:
    """Return the same run with the cooler off all day.

    Parameters
    ----------
    case : SimulationCase
        A run.

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


def run_cases(cases: list[SimulationCase]) -> FloatArray:
    """Run cases through the compiled time loop.

    Parameters
    ----------
    cases : list of SimulationCase
        Runs of equally many intervals; variants, samples or the uncooled twin of a rig.

    Returns
    -------
    numpy.ndarray, shape (cases, n, channels)
        The records, settling intervals left off.

    Raises
    ------
    NumericalError
        Where a cabin leaves the physical range.
    OutOfTimeError
        Where the caller's limit of time has passed before one of them.
    """
    intervals = len(cases[0].clock_row)
    spin_up = cases[0].spin_up
    records = np.empty((len(cases), intervals, len(ch.CHANNELS)))
    for record, case in zip(records, cases, strict=True):
        check_time()
        _run(case, record)
    check_cabin(records[:, :, ch.CABIN])
    return records[:, spin_up:]


def check_cabin(cabin_c: FloatArray) -> None:
    """Refuse cabin temperatures that no cabin has.

    Parameters
    ----------
    cabin_c : numpy.ndarray, any shape
        Of a run. [degC]

    Raises
    ------
    NumericalError
        Where one is outside the physical range or is no number; with the worst of the numbers
        outside, where there are any.
    """
    low, high = _PHYSICAL_C
    if ((cabin_c > low) & (cabin_c < high)).all():
        return
    outside = cabin_c[np.isfinite(cabin_c) & ~((cabin_c > low) & (cabin_c < high))]
    raise NumericalError.single(
        "/rig",
        "the cabin leaves the physical range",
        float(np.abs(outside).max()) if outside.size else None,
        f"{low} < cabin < {high} degC",
    )


def _run(case: SimulationCase, record: FloatArray) -> None:
    """Run one case, resetting the charge when the settling intervals end."""
    cabin = first_state(case.network, case.start_c, case.start_outdoor_c, case.start_humidity)
    work = step_work(case.network)
    before = PreviousStep(np.zeros(1), np.ones(1), np.zeros(1))
    for first, last in ((0, case.spin_up), (case.spin_up, len(record))):
        if first == last:
            continue
        charge = ChargeState(np.array([case.stored_wh]), np.zeros(1, dtype=np.int64))
        _simulate_part(case, first, last, cabin, charge, before, work, record)


def _simulate_part(
    case: SimulationCase,
    first: int,
    last: int,
    cabin: CabinState,
    charge: ChargeState,
    before: PreviousStep,
    work: StepWork,
    record: FloatArray,
) -> None:
    """Run the intervals from ``first`` to ``last`` of one case."""
    forcing = case.forcing
    if (first, last) != (0, len(record)):
        forcing = slice_forcing(forcing, first, last)
    simulate(
        case.network,
        forcing,
        case.cooler,
        case.arrays,
        case.battery,
        case.control,
        case.comfort,
        case.clock_row[first:last],
        case.air_density,
        case.air_specific_heat,
        cabin,
        charge,
        before,
        work,
        record[first:last],
    )


_BY_INTERVAL: Final = (
    "outdoor_start",
    "outdoor_end",
    "humidity_start",
    "humidity_end",
    "pressure",
    "station_wind",
    "wind",
    "sky",
    "beam",
    "sky_diffuse",
    "ground",
    "window_beam",
    "awning_sunlit",
    "array_beam",
    "array_diffuse",
    "array_beam_effective",
    "array_diffuse_effective",
    "imposed_heat",
)


def slice_forcing(forcing: ForcingTables, first: int, last: int) -> ForcingTables:
    """Return the forcing of some of the intervals.

    Parameters
    ----------
    forcing : ForcingTables
        The whole.
    first, last : int
        Range of intervals, the last excluded.

    Returns
    -------
    ForcingTables
        Views.
    """
    return forcing._replace(**{name: getattr(forcing, name)[first:last] for name in _BY_INTERVAL})


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
