"""The bank alone, stepped through supply and demand that a run has written down.

Until the reserve is first reached the cabin does not know the charge: cooler, heater and loads draw
what they ask for, however full the battery is. So the trace of one run in which energy never lacks
gives, for any charge at any moment, when the reserve would be reached. (A battery in the cabin
warms it a little less in hours in which it is full; that alone is left out.) From then on a trace
says nothing, and nothing here goes on past it.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

from noonhold.electricity.battery import BatteryTables, bus_step, reserve_level_wh
from noonhold.simulation.record import (
    TRACE_ALTERNATOR,
    TRACE_BATTERY_C,
    TRACE_DEMAND,
    TRACE_SHORE,
    TRACE_SOLAR,
    UNSERVED_W,
)

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

# What follows the last day of a trace.
ENDS: Final = 0
YEAR_BEGINS_AGAIN: Final = 1
LAST_DAY_REPEATS: Final = 2

MOST_REPEATS: Final = 1000
SAME_CHARGE_WH: Final = 0.01  # a day that ends within this of its beginning repeats


class BankRun(NamedTuple):
    """What a bank did over some steps.

    Attributes
    ----------
    stored_wh : float
        At the end. [Wh]
    lowest_wh : float
        Least, the beginning counted. [Wh]
    lacking_at_s : float
        Seconds until the reserve is reached or a load goes unserved; inf for never. [s]
    """

    stored_wh: float
    lowest_wh: float
    lacking_at_s: float


class Spell(NamedTuple):
    """How long days hold in a row.

    Attributes
    ----------
    days : int
        That hold, at most the limit.
    lacking_at_s : float
        Seconds into the day after them at which energy lacks; inf where it does not. [s]
    stored_wh : float
        At the beginning of the day after them. [Wh]
    """

    days: int
    lacking_at_s: float
    stored_wh: float


@njit(cache=True, nogil=True)
def bank_over(
    battery: BatteryTables,
    trace: FloatArray,
    first: int,
    last: int,
    stored_wh: float,
    step_s: float,
) -> BankRun:
    """Step the bank through a part of a trace.

    Parameters
    ----------
    trace : numpy.ndarray, shape (steps, 5)
        Supply and demand.
    first, last : int
        Range of steps, the last excluded.
    stored_wh : float
        Energy in the battery at the beginning. [Wh]
    step_s : float
        Length of a step. [s]

    Returns
    -------
    BankRun
        The very steps of the time loop, by the same function.
    """
    reserve_wh = reserve_level_wh(battery)
    lowest = stored_wh
    lacking = np.inf
    if stored_wh <= reserve_wh:
        lacking = 0.0
    for k in range(first, last):
        bus = bus_step(
            battery, stored_wh, trace[k, TRACE_DEMAND], trace[k, TRACE_SOLAR],
            trace[k, TRACE_ALTERNATOR], trace[k, TRACE_SHORE], trace[k, TRACE_BATTERY_C], step_s,
        )  # fmt: skip
        if lacking == np.inf:
            if bus.stored_wh <= reserve_wh:
                fallen = (stored_wh - reserve_wh) / (stored_wh - bus.stored_wh)
                lacking = (k - first + fallen) * step_s
            if bus.unmet_w > UNSERVED_W:
                lacking = min(lacking, (k - first) * step_s)
        stored_wh = bus.stored_wh
        lowest = min(lowest, stored_wh)
    return BankRun(stored_wh, lowest, lacking)


@njit(cache=True, nogil=True)
def repeating_charge_wh(battery: BatteryTables, trace: FloatArray, step_s: float) -> float:
    """Return the highest charge with which a day begins and ends.

    Parameters
    ----------
    trace : numpy.ndarray, shape (steps, 5)
        Of one day.

    Returns
    -------
    float
        From full on, day after day, until it repeats to 0.01 Wh; NaN where energy lacks before, or
        after a thousand days. [Wh]
    """
    stored_wh = battery.usable_energy_wh
    for _ in range(MOST_REPEATS):
        run = bank_over(battery, trace, 0, len(trace), stored_wh, step_s)
        if run.lacking_at_s < np.inf:
            return np.nan
        if abs(run.stored_wh - stored_wh) < SAME_CHARGE_WH:
            return run.stored_wh
        stored_wh = run.stored_wh
    return np.nan


@njit(cache=True, nogil=True)
def holding_spell(
    battery: BatteryTables,
    trace: FloatArray,
    bounds: IntArray,
    comfortable: BoolArray,
    start: int,
    stored_wh: float,
    step_s: float,
    limit: int,
    after: int,
) -> Spell:
    """Count the days that hold in a row from a day on.

    Parameters
    ----------
    trace : numpy.ndarray, shape (steps, 5)
        Of a run in which energy never lacks.
    bounds : numpy.ndarray of int, shape (d + 1,)
        First step of every day, and one past the last.
    comfortable : numpy.ndarray of bool, shape (d,)
        Which days keep to the comfort limit while energy does not lack.
    start : int
        The first day.
    stored_wh : float
        Energy in the battery at its beginning. [Wh]
    limit : int
        Most days that are counted.
    after : int
        What follows the last day: :data:`ENDS`, :data:`YEAR_BEGINS_AGAIN` or
        :data:`LAST_DAY_REPEATS`.

    Returns
    -------
    Spell
        Fewer days than the limit without a failure only where the trace ends. Where the last day
        repeats and ends with the charge it began with, all days to come are like it.
    """
    count = len(bounds) - 1
    for passed in range(limit):
        day = start + passed
        if day >= count:
            if after == ENDS:
                return Spell(passed, np.inf, stored_wh)
            day = day % count if after == YEAR_BEGINS_AGAIN else count - 1
        run = bank_over(battery, trace, bounds[day], bounds[day + 1], stored_wh, step_s)
        if run.lacking_at_s < np.inf or not comfortable[day]:
            return Spell(passed, run.lacking_at_s, stored_wh)
        repeats = after == LAST_DAY_REPEATS and start + passed >= count - 1
        if repeats and abs(run.stored_wh - stored_wh) < SAME_CHARGE_WH:
            return Spell(limit, np.inf, run.stored_wh)
        stored_wh = run.stored_wh
    return Spell(limit, np.inf, stored_wh)


@njit(cache=True, nogil=True)
def stays(
    battery: BatteryTables,
    trace: FloatArray,
    bounds: IntArray,
    comfortable: BoolArray,
    starts: IntArray,
    stored_wh: float,
    step_s: float,
    limit: int,
    after: int,
) -> tuple[IntArray, FloatArray]:
    """Count, from every start, the days that hold until the first that does not.

    Parameters
    ----------
    battery, trace, bounds, comfortable, step_s, limit, after
        As :func:`holding_spell` takes them.
    starts : numpy.ndarray of int, shape (m,)
        Days of arrival.
    stored_wh : float
        Energy in the battery at every arrival. [Wh]

    Returns
    -------
    days : numpy.ndarray of int, shape (m,)
        That hold, at most the limit.
    lacking_at_s : numpy.ndarray, shape (m,)
        Seconds into the day after them at which energy lacks; inf where it is comfort that fails,
        or nothing does. [s]
    """
    days = np.zeros(len(starts), dtype=np.int64)
    lacking = np.full(len(starts), np.inf)
    for k in range(len(starts)):
        spell = holding_spell(
            battery, trace, bounds, comfortable, starts[k], stored_wh, step_s, limit, after
        )
        days[k] = spell.days
        lacking[k] = spell.lacking_at_s
    return days, lacking
