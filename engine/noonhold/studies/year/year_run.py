"""A rig through a whole typical year in one go, its charge carried from day to day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.errors import WeatherFormatError
from noonhold.rig import Rig
from noonhold.scenario import Scenario
from noonhold.simulation import channels as ch
from noonhold.simulation.forcing_cache import ForcingCache
from noonhold.simulation.simulation_case import DEFAULT_STEP_S, SimulationCase, prepare
from noonhold.twins import FedTwins, TwinRecords, run_traced_twins
from noonhold.verdict import DayVerdicts, day_verdicts
from noonhold.weather.clock import DAY_S, Clock
from noonhold.weather.selection import relabelled
from noonhold.weather.weather_table import WeatherTable

BoolArray = npt.NDArray[np.bool_]
DAYS: Final = 365


class NoWholeYearError(WeatherFormatError):
    """The weather is readable, but no year of whole days."""


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
    fed : FedTwins
        The same year, energy never lacking; from it follow the stays.
    """

    simulation_case: SimulationCase
    clock: Clock
    twins: TwinRecords
    fed: FedTwins


def run_year(
    rig: Rig,
    scenario: Scenario,
    weather: WeatherTable,
    step_s: int = DEFAULT_STEP_S,
    forcing: ForcingCache | None = None,
) -> YearRun:
    """Run a rig through a whole year in one go, its charge carried from day to day.

    Parameters
    ----------
    rig : Rig
        What stands there.
    scenario : Scenario
        Where, on the standard time of the weather, and what is done.
    weather : WeatherTable
        A whole year; the days that settle the cabin before its first are its own last ones.
    forcing : ForcingCache, optional
        Of the rigs before at this place, where there were any.

    Returns
    -------
    YearRun
        In the order of the weather.
    """
    return run_stretch(rig, scenario, weather, 0, len(weather), step_s, forcing)


def run_stretch(
    rig: Rig,
    scenario: Scenario,
    weather: WeatherTable,
    first: int,
    count: int,
    step_s: int = DEFAULT_STEP_S,
    forcing: ForcingCache | None = None,
) -> YearRun:
    """Run a rig through some intervals of a year; see :func:`run_year`.

    Parameters
    ----------
    weather : WeatherTable
        A whole year; a stretch may run over its end.
    first, count : int
        The stretch, in intervals of the weather.
    forcing : ForcingCache, optional
        Of the rigs before in this stretch at this place.
    """
    forcing = forcing or ForcingCache()
    # The same hours in the same sun as a projection has them, whatever year a file names.
    weather = relabelled(weather)
    spin_up = scenario.start.spin_up_days * DAY_S // weather.interval_s
    whole = first == 0 and count == len(weather) and not spin_up
    table = weather if whole else weather.slice(first - spin_up, count + spin_up)
    # The spin-up moves the first row: cases with another have another table of weather.
    known = forcing.get(spin_up, rig, scenario.place)
    simulation_case, clock = prepare(rig, scenario, table, spin_up, step_s, known)
    forcing.keep(spin_up, rig, scenario.place, simulation_case.forcing)
    twins, fed = run_traced_twins(simulation_case)
    if not np.isfinite(twins.record[:, ch.STORED]).all():
        raise ArithmeticError("the charge is not a number")
    shown = Clock(clock.name, clock.starts[spin_up:], clock.offset_s[spin_up:])
    return YearRun(simulation_case, shown, twins, fed)


def judge_year(rig: Rig, scenario: Scenario, run: YearRun, interval_s: int) -> DayVerdicts:
    """Judge the days of a year.

    Parameters
    ----------
    rig : Rig
        What stood there.
    scenario : Scenario
        What is comfortable.
    interval_s : int
        Of the weather. [s]

    Returns
    -------
    DayVerdicts
        365 days, in the order of the weather.
    """
    verdicts = judge_stretch(rig, scenario, run, interval_s)
    if len(verdicts) != DAYS:
        raise ArithmeticError(f"{len(verdicts)} days instead of {DAYS}")
    return verdicts


def judge_stretch(rig: Rig, scenario: Scenario, run: YearRun, interval_s: int) -> DayVerdicts:
    """Judge the days of a stretch of a year; see :func:`judge_year`."""
    twins = run.twins
    return day_verdicts(
        rig, scenario.comfort, run.clock, twins.record, twins.uncooled, interval_s, twins.adverse,
        twins.fed,
    )  # fmt: skip


def days_of_year(weather: WeatherTable) -> npt.NDArray[np.int64]:
    """Return the place in the year of each day of a table, from 0.

    Parameters
    ----------
    weather : WeatherTable
        A whole year from any midnight on.

    Returns
    -------
    numpy.ndarray of int, shape (365,)
        Every number from 0 to 364 once.

    Raises
    ------
    NoWholeYearError
        Where it is not that.
    """
    starts = weather.starts()
    where = weather.site.station or weather.site.name
    if not weather.full_year:
        hours = len(weather) * weather.interval_s / 3600.0
        raise NoWholeYearError.single(
            where, f"a whole year is needed: these are {hours:g} h", hours, "8760 h"
        )
    if starts[0] != starts[0].astype("datetime64[D]"):
        raise NoWholeYearError.single(
            where, "a year that begins at midnight is needed", str(starts[0])
        )
    dates = starts[:: DAY_S // weather.interval_s].astype("datetime64[D]")
    months = dates.astype("datetime64[M]")
    in_month = (dates - months.astype("datetime64[D]")).astype(np.int64)
    common = np.datetime64("2001-01", "M") + (months.astype(np.int64) % 12)
    days = (common.astype("datetime64[D]") - np.datetime64("2001-01-01")).astype(np.int64)
    found: npt.NDArray[np.int64] = days + in_month
    if not np.array_equal(np.sort(found), np.arange(DAYS)):
        raise NoWholeYearError.single(where, "365 different days are needed", len(found))
    return found


def longest_run(failing: BoolArray) -> int:
    """Return the longest run of true along the days of any row.

    Parameters
    ----------
    failing : numpy.ndarray of bool, shape (runs, days)
        Rows do not join.

    Returns
    -------
    int
        Days.

    Examples
    --------
    >>> longest_run(np.array([[True, True, False, True], [False, True, True, True]]))
    3
    """
    longest = np.zeros(len(failing), dtype=np.int64)
    current = np.zeros(len(failing), dtype=np.int64)
    for day in failing.T:
        current = np.where(day, current + 1, 0)
        longest = np.maximum(longest, current)
    return int(longest.max(initial=0))
