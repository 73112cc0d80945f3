"""A rig through a whole year at one site, in one go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from noonhold.simulation import channels as ch
from noonhold.simulation.forcing_cache import ForcingCache
from noonhold.simulation.simulation_case import SimulationCase, prepare
from noonhold.twins import TwinRecords, run_twins
from noonhold.verdict import DayVerdicts, day_verdicts
from noonhold.weather.clock import DAY_S, Clock
from noonhold.weather.weather_table import WeatherTable
from noonhold_batch.sweep.sweep_cases import Case

DAYS = 365


@dataclass(frozen=True)
class YearRun:
    """A year hour by hour, without the days that settled the cabin.

    Parameters
    ----------
    simulation_case : SimulationCase
        The tables of the run, settling days included.
    clock : Clock
        Standard time.
    twins : TwinRecords
        Records of the rig and of its twins.
    """

    simulation_case: SimulationCase
    clock: Clock
    twins: TwinRecords


def run_year(
    case: Case, weather: WeatherTable, step_s: int, forcing: ForcingCache | None = None
) -> YearRun:
    """Run a rig through a whole year in one go, its charge carried from day to day.

    Parameters
    ----------
    case : Case
        Rig and scenario.
    weather : WeatherTable
        A whole year; the days that settle the cabin before its first are its own last ones.
    step_s : int
        [s]
    forcing : ForcingCache, optional
        Of the cases before at this site.

    Returns
    -------
    YearRun
        In the order of the weather.
    """
    forcing = forcing or ForcingCache()
    scenario = case.at_site(weather.site)
    spin_up = scenario.start.spin_up_days * DAY_S // weather.interval_s
    table = weather.slice(-spin_up, len(weather) + spin_up) if spin_up else weather
    # The spin-up moves the first row: cases with another have another table of weather.
    known = forcing.get(spin_up, case.rig, scenario.place)
    simulation_case, clock = prepare(case.rig, scenario, table, spin_up, step_s, known)
    forcing.keep(spin_up, case.rig, scenario.place, simulation_case.forcing)
    twins = run_twins(simulation_case)
    if not np.isfinite(twins.record[:, ch.STORED]).all():
        raise ArithmeticError("the charge is not a number")
    shown = Clock(clock.name, clock.starts[spin_up:], clock.offset_s[spin_up:])
    return YearRun(simulation_case, shown, twins)


def judge_year(case: Case, run: YearRun, interval_s: int) -> DayVerdicts:
    """Judge the days of a year.

    Parameters
    ----------
    case : Case
        Rig and scenario.
    run : YearRun
        Its year.
    interval_s : int
        Of the weather. [s]

    Returns
    -------
    DayVerdicts
        365 days, in the order of the weather.
    """
    comfort = case.scenario.comfort
    twins = run.twins
    verdicts = day_verdicts(
        case.rig, comfort, run.clock, twins.record, twins.uncooled, interval_s, twins.adverse,
        twins.fed,
    )  # fmt: skip
    if len(verdicts) != DAYS:
        raise ArithmeticError(f"{len(verdicts)} days instead of {DAYS}")
    return verdicts
