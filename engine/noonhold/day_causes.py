"""What a day must do, and what made it fail: the first in time, hour by hour of one record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.day_rows import lowest_row
from noonhold.quantities import Cause
from noonhold.rig import Battery, Rig
from noonhold.scenario import Comfort
from noonhold.simulation import channels as ch
from noonhold.weather.clock import Clock

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

_OF_STATE: Final = np.array(
    [
        Cause.NONE,
        Cause.ENERGY_BALANCE,
        Cause.SCHEDULE,
        Cause.SCHEDULE,
        Cause.CAPACITY,
        Cause.MEASURE,
    ],
    dtype=np.int64,
)  # by the states of `noonhold.simulation.thermostat`


@dataclass(frozen=True)
class DayConditions:
    """What a day must do, by day; moments in seconds of the clock, inf for never.

    Parameters
    ----------
    judged : numpy.ndarray of bool, shape (d,)
        Whether any of the day lies in the judged part of the cooling window.
    comfortable_fraction : numpy.ndarray, shape (d,)
        Of the judged time, NaN where nothing is judged.
    comfort_failed : numpy.ndarray of bool, shape (d,)
        Whether that is less than the required share.
    discomfort_at : numpy.ndarray, shape (d,)
        First judged moment beyond the limit. [s]
    reserve_at : numpy.ndarray, shape (d,)
        First moment of the day, in its window or not, with the battery at its reserve. [s]
    unmet_at : numpy.ndarray, shape (d,)
        First moment at which a load goes unserved. [s]
    """

    judged: BoolArray
    comfortable_fraction: FloatArray
    comfort_failed: BoolArray
    discomfort_at: FloatArray
    reserve_at: FloatArray
    unmet_at: FloatArray

    @property
    def holds(self) -> BoolArray:
        """Return which days do all that they must."""
        return ~self.comfort_failed & np.isinf(self.reserve_at) & np.isinf(self.unmet_at)


def day_conditions(comfort: Comfort, clock: Clock, record: FloatArray) -> DayConditions:
    """Return what of its conditions each day meets.

    Parameters
    ----------
    comfort : Comfort
        For the share a day must reach.
    clock : Clock
        Days are the clock's.
    """
    first = clock.day_first()
    judged_s = np.add.reduceat(record[:, ch.JUDGED_S], first)
    judged = judged_s > 0.0
    comfortable_s = np.add.reduceat(record[:, ch.COMFORTABLE_S], first)
    share = np.where(judged, comfortable_s / np.where(judged, judged_s, 1.0), np.nan)
    return DayConditions(
        judged=judged,
        comfortable_fraction=share,
        comfort_failed=judged & (share < comfort.required_fraction),
        discomfort_at=first_second(record[:, ch.FIRST_DISCOMFORT], clock, first),
        reserve_at=first_second(record[:, ch.FIRST_RESERVE], clock, first),
        unmet_at=first_second(record[:, ch.FIRST_UNMET], clock, first),
    )


def first_second(column: FloatArray, clock: Clock, first: IntArray) -> FloatArray:
    """Return the first moment of each day that a column notes, as a second of the run, or inf."""
    moments = np.where(np.isnan(column), np.inf, clock_seconds(clock) + np.nan_to_num(column))
    result: FloatArray = np.minimum.reduceat(moments, first)
    return result


def clock_seconds(clock: Clock) -> FloatArray:
    """Return the clock reading of every start as seconds of an epoch, shape (n,). [s].

    Returns
    -------
    numpy.ndarray
        Seconds since 1970 on the clock's own face.
    """
    return clock.starts.astype("datetime64[s]").astype(np.int64).astype(np.float64)


def daily_balance_wh(
    battery: Battery, clock: Clock, record: FloatArray, interval_s: int
) -> FloatArray:
    r"""Return what each day would add to a battery that is never full nor empty, shape (d,). [Wh].

    Parameters
    ----------
    battery : Battery
        For its efficiencies and its limit of charge.
    clock : Clock
        Days are the clock's.
    record : numpy.ndarray, shape (n, channels)
        The run. Of one in which energy lacks, only what was asked for counts, not what a cooler
        that was stopped would have drawn.

    Returns
    -------
    numpy.ndarray
        Below zero where the day takes more than it gives.

    Notes
    -----
    With the interval's means of supply :math:`S` (sun at the bus, used or not, alternator and
    shore power) and demand :math:`D`, unserved loads included,

    .. math:: \sum \left(\eta_{ch} \max(S - D, 0) - \max(D - S, 0) / \eta_{dis}\right) \Delta t
    """
    hours = interval_s / 3600.0
    supply = record[:, ch.SOLAR] + record[:, ch.ALTERNATOR] + record[:, ch.SHORE]
    demand = record[:, ch.COOLER_POWER] + record[:, ch.HEATER_POWER]
    demand = demand + record[:, ch.LOAD_POWER] + record[:, ch.STANDING_POWER]
    surplus = supply - demand
    into = battery.charge_efficiency * np.clip(surplus, 0.0, battery.max_charge_w)
    flow = into - np.maximum(-surplus, 0.0) / battery.discharge_efficiency
    result: FloatArray = np.add.reduceat(flow, clock.day_first()) * hours
    return result


def first_causes(
    rig: Rig,
    met: DayConditions,
    clock: Clock,
    record: FloatArray,
    balance_wh: FloatArray,
    fed: DayConditions | None = None,
) -> tuple[IntArray, FloatArray]:
    """Return what made each day fail, and when.

    Parameters
    ----------
    rig : Rig
        For whether it has a cooler.
    met : DayConditions
        Of the same record.
    clock : Clock
        Days are the clock's.
    balance_wh : numpy.ndarray, shape (d,)
        What each day gives more than it takes. [Wh]
    fed : DayConditions, optional
        Of the same rig on a battery that never lacks energy. Discomfort that it does not fail by
        is not what a day fails by that lacks energy.

    Returns
    -------
    cause : numpy.ndarray of int, shape (d,)
        A :class:`noonhold.quantities.Cause`, ``NONE`` where the day holds.
    hour : numpy.ndarray, shape (d,)
        Hour of the clock of the first failure, NaN where the day holds. [h]

    Notes
    -----
    First in time among what failed. Discomfort is energy's where energy limited the cooler at
    that moment or at any moment of the window before, which then is the first failure. Otherwise
    it is decided by what the cooler did at the first discomfort: the schedule's where no stage, or
    not the highest, might run; the capacity's where the highest stage was full out, or there is no
    cooler; the measure's where the cabin air was at its set point. A cooler that was full out and
    had not yet met its set point in this window, but did so before the warmest hour of the day,
    is large enough and began too late: the schedule's.
    """
    first = clock.day_first()
    shortage_at = first_second(record[:, ch.FIRST_SHORTAGE], clock, first)
    comfort_at = np.where(met.comfort_failed, np.minimum(met.discomfort_at, shortage_at), np.inf)
    energy_at = np.minimum(met.reserve_at, met.unmet_at)
    if fed is not None:
        lacked_at = np.minimum(energy_at, shortage_at)
        spared = met.comfort_failed & ~fed.comfort_failed & np.isfinite(lacked_at)
        comfort_at = np.where(spared, np.inf, comfort_at)
        energy_at = np.where(spared, lacked_at, energy_at)
    cause = _OF_STATE[_state_at(record, met.discomfort_at, first)]
    cause = np.where(_late(met, clock, record, first), int(Cause.SCHEDULE), cause)
    if rig.cooler is None:
        cause = np.where(cause == int(Cause.SCHEDULE), int(Cause.CAPACITY), cause)
    held_back = np.isfinite(shortage_at) & (shortage_at <= met.discomfort_at)
    energy = (energy_at <= comfort_at) | held_back
    energy |= cause == int(Cause.ENERGY_BALANCE)
    of_energy = np.where(balance_wh < 0.0, int(Cause.ENERGY_BALANCE), int(Cause.ENERGY_STORAGE))
    failed = ~met.holds
    cause = np.where(failed, np.where(energy, of_energy, cause), int(Cause.NONE))
    midnight = clock.starts.astype("datetime64[D]")[first]
    midnight_s = midnight.astype("datetime64[s]").astype(np.int64).astype(np.float64)
    at = np.minimum(comfort_at, energy_at)
    hour = np.where(failed, (np.where(failed, at, 0.0) - midnight_s) / 3600.0, np.nan)
    return cause.astype(np.int64), hour


def _state_at(record: FloatArray, moment: FloatArray, first: IntArray) -> IntArray:
    """Return what the cooler did at each day's first discomfort, 0 without any."""
    noted = record[:, ch.DISCOMFORT_STATE]
    bounds = np.append(first, len(record))
    states = np.zeros(len(first), dtype=np.int64)
    for d in np.flatnonzero(np.isfinite(moment)).tolist():
        of_day = noted[bounds[d] : bounds[d + 1]]
        states[d] = int(of_day[np.argmax(of_day > 0.0)])
    return states


def _late(met: DayConditions, clock: Clock, record: FloatArray, first: IntArray) -> BoolArray:
    """Return the days whose cooler met its set point only after the first discomfort."""
    seconds = clock_seconds(clock)
    reached = first_second(record[:, ch.FIRST_AT_SET_POINT], clock, first)
    warmest = seconds[lowest_row(-record[:, ch.OUTDOOR], first)]
    return (met.discomfort_at < reached) & (reached < warmest)
