"""From a projection to a verdict a day: does the cabin hold, and if not, what failed first."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from itertools import pairwise
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.projection import Projection
from noonhold.rig import Rig
from noonhold.scenario import Comfort
from noonhold.simulation import channels as ch
from noonhold.weather.clock import Clock

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

_WH_PER_WS: Final = 1.0 / 3600.0


class Cause(IntEnum):
    """What failed first on a day that is not feasible."""

    NONE = 0
    CAPACITY = 1  # the cooler ran as it may and the cabin was too warm
    ENERGY = 2  # the battery reached its reserve, or could not give what the cooler asked for


@dataclass(frozen=True)
class DayVerdicts:
    """One entry a day of the clock, ``d`` days; Wh of a day, hours of the clock.

    Parameters
    ----------
    date : numpy.ndarray of datetime64[D], shape (d,)
        The day.
    judged : numpy.ndarray of bool, shape (d,)
        Whether any of the day lies in the judged part of the cooling window.
    feasible : numpy.ndarray of bool, shape (d,)
        Comfortable for the required share of the judged time, and the reserve not reached in the
        cooling window.
    needs_cooling : numpy.ndarray of bool, shape (d,)
        Whether the uncooled cabin leaves the comfort limit in the judged time.
    cause : numpy.ndarray of int, shape (d,)
        A :class:`Cause`.
    first_failure_hour : numpy.ndarray, shape (d,)
        Hour of the clock of that first failure, NaN on feasible days. [h]
    comfortable_fraction : numpy.ndarray, shape (d,)
        Of the judged time, NaN where nothing is judged.
    peak_comfort, uncooled_peak_comfort : numpy.ndarray, shape (d,)
        Highest comfort measure in the judged time, with and without the cooler.
    lowest_charge, charge_at_end : numpy.ndarray, shape (d,)
        State of charge.
    lowest_charge_hour : numpy.ndarray, shape (d,)
        Hour of the clock at which the hour with the lowest charge begins. [h]
    hours_of_cooling, hours_at_reserve : numpy.ndarray, shape (d,)
        [h]
    cooling_wh, cooler_wh, load_wh, solar_wh, curtailed_wh, alternator_wh, shore_wh, unmet_wh
        Sensible and latent heat taken, and electricity by use and source, shape (d,). [Wh]
    """

    date: npt.NDArray[np.datetime64]
    judged: BoolArray
    feasible: BoolArray
    needs_cooling: BoolArray
    cause: IntArray
    first_failure_hour: FloatArray
    comfortable_fraction: FloatArray
    peak_comfort: FloatArray
    uncooled_peak_comfort: FloatArray
    lowest_charge: FloatArray
    lowest_charge_hour: FloatArray
    charge_at_end: FloatArray
    hours_of_cooling: FloatArray
    hours_at_reserve: FloatArray
    cooling_wh: FloatArray
    cooler_wh: FloatArray
    load_wh: FloatArray
    solar_wh: FloatArray
    curtailed_wh: FloatArray
    alternator_wh: FloatArray
    shore_wh: FloatArray
    unmet_wh: FloatArray

    def __len__(self) -> int:
        """Return the number of days."""
        return len(self.date)


@dataclass(frozen=True)
class Summary:
    """The verdict over all days of a projection.

    Parameters
    ----------
    feasible : bool
        Every judged day is feasible.
    cause : Cause
        Of the first day that is not.
    days, days_needing_cooling, feasible_days_needing_cooling : int
        Counts.
    feasible_fraction : float or None
        Share of the days that need cooling which are feasible; ``None`` where none does.
    comfortable_fraction : float or None
        Over the judged time of all days.
    lowest_charge : float
        State of charge.
    lowest_charge_at : str
        ISO 8601 start of the hour with the lowest charge.
    charge_at_end : float
        State of charge.
    """

    feasible: bool
    cause: Cause
    days: int
    days_needing_cooling: int
    feasible_days_needing_cooling: int
    feasible_fraction: float | None
    comfortable_fraction: float | None
    lowest_charge: float
    lowest_charge_at: str
    charge_at_end: float


def _first_second(column: FloatArray, clock: Clock, first: IntArray) -> FloatArray:
    """Return the first moment of each day that a column notes, as a second of the run, or inf."""
    interval_start = clock_seconds(clock)
    moments = np.where(np.isnan(column), np.inf, interval_start + np.nan_to_num(column))
    result: FloatArray = np.minimum.reduceat(moments, first)
    return result


def clock_seconds(clock: Clock) -> FloatArray:
    """Return the clock reading of every start as seconds of an epoch, shape (n,). [s].

    Parameters
    ----------
    clock : Clock
        The clock.

    Returns
    -------
    numpy.ndarray
        Seconds since 1970 on the clock's own face.
    """
    return clock.starts.astype("datetime64[s]").astype(np.int64).astype(np.float64)


def first_causes(
    comfort_failed: BoolArray,
    reserve_failed: BoolArray,
    discomfort_at: FloatArray,
    shortage_at: FloatArray,
) -> IntArray:
    """Return the first cause of each day's failure.

    Parameters
    ----------
    comfort_failed, reserve_failed : numpy.ndarray of bool, shape (d,)
        Which of the two conditions broke.
    discomfort_at, shortage_at : numpy.ndarray, shape (d,)
        First moment of discomfort, and of energy holding the cooler back; inf for never. [s]

    Returns
    -------
    numpy.ndarray of int, shape (d,)
        :class:`Cause`. Discomfort that came before any shortage is the cooler's.
    """
    energy = reserve_failed | comfort_failed
    capacity = comfort_failed & (discomfort_at < shortage_at)
    result = np.where(capacity, int(Cause.CAPACITY), int(Cause.ENERGY))
    return np.where(energy, result, int(Cause.NONE)).astype(np.int64)


def day_verdicts(
    rig: Rig,
    comfort: Comfort,
    clock: Clock,
    record: FloatArray,
    uncooled: FloatArray,
    interval_s: int,
) -> DayVerdicts:
    """Judge every day of a record.

    Parameters
    ----------
    rig : Rig
        For the battery's size.
    comfort : Comfort
        For the share a day must reach.
    clock : Clock
        Days are the clock's.
    record, uncooled : numpy.ndarray, shape (n, channels)
        With and without the cooler.
    interval_s : int
        [s]

    Returns
    -------
    DayVerdicts
        One entry a day.

    Notes
    -----
    A day is feasible when, in its cooling window, the comfort measure is within the limit for the
    required share of the time after the allowance, and the battery does not reach its reserve. It
    needs cooling when the uncooled cabin exceeds the limit in the same time.
    """
    first = clock.day_first()
    hours = interval_s / 3600.0

    def total(channel: int) -> FloatArray:
        result: FloatArray = np.add.reduceat(record[:, channel], first)
        return result

    def highest(rows: FloatArray) -> FloatArray:
        peak: FloatArray = np.maximum.reduceat(rows[:, ch.COMFORT_PEAK], first)
        return np.where(np.isfinite(peak), peak, np.nan)

    judged_s = total(ch.JUDGED_S)
    judged = judged_s > 0.0
    share = np.where(judged, total(ch.COMFORTABLE_S) / np.where(judged, judged_s, 1.0), np.nan)
    midnight = clock.starts.astype("datetime64[D]")[first]
    midnight_s = midnight.astype("datetime64[s]").astype(np.int64).astype(np.float64)
    discomfort_at = _first_second(record[:, ch.FIRST_DISCOMFORT], clock, first)
    reserve_at = _first_second(record[:, ch.FIRST_RESERVE], clock, first)
    shortage_at = np.minimum(reserve_at, _first_second(record[:, ch.FIRST_SHORTAGE], clock, first))
    comfort_failed = judged & (share < comfort.required_fraction)
    reserve_failed = np.isfinite(reserve_at)
    cause = first_causes(comfort_failed, reserve_failed, discomfort_at, shortage_at)
    failed_at = np.where(cause == int(Cause.CAPACITY), discomfort_at, shortage_at)
    failed = cause != int(Cause.NONE)
    uncooled_peak = highest(uncooled)

    size = rig.battery.usable_energy_wh
    lowest = np.minimum.reduceat(record[:, ch.STORED_LOWEST], first)
    bounds = np.append(first, len(record))
    lowest_row = np.array(
        [a + int(np.argmin(record[a:b, ch.STORED_LOWEST])) for a, b in pairwise(bounds)],
        dtype=np.int64,
    )
    return DayVerdicts(
        date=midnight,
        judged=judged,
        feasible=~failed,
        needs_cooling=judged & (uncooled_peak > comfort.limit),
        cause=cause,
        first_failure_hour=np.where(failed, (failed_at - midnight_s) / 3600.0, np.nan),
        comfortable_fraction=share,
        peak_comfort=highest(record),
        uncooled_peak_comfort=uncooled_peak,
        lowest_charge=lowest / size,
        lowest_charge_hour=clock.second_of_day()[lowest_row] / 3600.0,
        charge_at_end=record[bounds[1:] - 1, ch.STORED] / size,
        hours_of_cooling=total(ch.DUTY) * hours,
        hours_at_reserve=total(ch.RESERVE_S) * _WH_PER_WS,
        cooling_wh=(total(ch.SENSIBLE) + total(ch.LATENT)) * hours,
        cooler_wh=total(ch.COOLER_POWER) * hours,
        load_wh=(total(ch.LOAD_POWER) + total(ch.STANDING_POWER)) * hours,
        solar_wh=total(ch.SOLAR_USED) * hours,
        curtailed_wh=total(ch.CURTAILED) * hours,
        alternator_wh=total(ch.ALTERNATOR) * hours,
        shore_wh=total(ch.SHORE) * hours,
        unmet_wh=total(ch.UNMET) * hours,
    )


def judge(projection: Projection) -> DayVerdicts:
    """Judge every day of a projection.

    Parameters
    ----------
    projection : Projection
        From :func:`noonhold.projection.project`.

    Returns
    -------
    DayVerdicts
        One entry a day.
    """
    return day_verdicts(
        projection.rig,
        projection.scenario.comfort,
        projection.clock,
        projection.record,
        projection.uncooled,
        projection.weather.interval_s,
    )


def summarise(projection: Projection, days: DayVerdicts) -> Summary:
    """Sum a projection's days up.

    Parameters
    ----------
    projection : Projection
        The projection.
    days : DayVerdicts
        Its days.

    Returns
    -------
    Summary
        The verdict over all of them.
    """
    record = projection.record
    judged_s = float(record[:, ch.JUDGED_S].sum())
    needing = int(days.needs_cooling.sum())
    held = int((days.needs_cooling & days.feasible).sum())
    failures = np.flatnonzero(~days.feasible)
    lowest = int(np.argmin(record[:, ch.STORED_LOWEST]))
    size = projection.rig.battery.usable_energy_wh
    return Summary(
        feasible=len(failures) == 0,
        cause=Cause(int(days.cause[failures[0]])) if len(failures) else Cause.NONE,
        days=len(days),
        days_needing_cooling=needing,
        feasible_days_needing_cooling=held,
        feasible_fraction=held / needing if needing else None,
        comfortable_fraction=float(record[:, ch.COMFORTABLE_S].sum()) / judged_s
        if judged_s
        else None,
        lowest_charge=float(record[lowest, ch.STORED_LOWEST]) / size,
        lowest_charge_at=projection.clock.iso_time(lowest),
        charge_at_end=float(record[-1, ch.STORED]) / size,
    )


CAUTIONS: Final = (
    "Heat in a closed vehicle can kill people and animals within minutes of a cooler stopping. "
    "Never leave a person or an animal relying on this projection or on the cooler.",
    "This is a projection from a model and a typical or stated weather, not a measurement; the "
    "real day can be hotter, the sky cloudier, the battery weaker.",
    "Wiring, batteries, ventilation and anything that burns fuel follow local codes and the work "
    "of a licensed installer, which come before anything said here.",
)
