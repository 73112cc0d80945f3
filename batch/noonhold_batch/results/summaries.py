"""Days summed up to the figures of tables and maps: shares, runs of bad days, first causes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from noonhold.quantities import Cause, Verdict
from noonhold.studies.year.year_run import longest_run

BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.int64]
FloatArray = npt.NDArray[np.float64]

_HOT_SHARE = 0.95
_KINDS = (
    (Cause.ENERGY_BALANCE, Cause.ENERGY_STORAGE),
    (Cause.CAPACITY,),
    (Cause.MEASURE, Cause.SCHEDULE),
)  # of energy, of the cooler, of what is done; the first of equally frequent ones counts


@dataclass(frozen=True)
class Days:
    """The dates that are summed up, any shape ``(runs, days)``; runs are site-years.

    Parameters
    ----------
    needs : numpy.ndarray of bool, shape (runs, days)
        Dates that need cooling.
    verdict, cause : numpy.ndarray of int, shape (runs, days)
        Codes of `noonhold.quantities.Verdict` and `Cause`, of the question asked.
    months : numpy.ndarray of int, shape (days,)
        From 1 to 12.
    lowest_charge, cooler_wh, unmet_wh, hours_unmet : numpy.ndarray, shape (runs, days)
        Living there; None for hours that the result does not hold.
    outdoor_high : numpy.ndarray, shape (runs, days)
        From the weather. [degC]
    needed_battery_wh, needed_array_w : numpy.ndarray, shape (runs, days), or None
        Of `noonhold.studies.year.stay_sizes` for the length of stay asked for. [Wh], [W]
    """

    needs: BoolArray
    verdict: IntArray
    cause: IntArray
    months: IntArray
    lowest_charge: FloatArray
    cooler_wh: FloatArray
    unmet_wh: FloatArray
    hours_unmet: FloatArray | None
    outdoor_high: FloatArray
    needed_battery_wh: FloatArray | None
    needed_array_w: FloatArray | None


@dataclass(frozen=True)
class Repair:
    """The size that makes failed stays hold.

    Parameters
    ----------
    size : float
        Of all dates that it can make hold, the one that needs most; NaN without such dates.
    days : int
        How many those are.
    """

    size: float
    days: int


@dataclass(frozen=True)
class DaysSummary:
    """What a row of a table says.

    Parameters
    ----------
    runs : int
        Site-years.
    days_needing_cooling, holding_days, narrow_days : int
        Dates that need cooling; those of them that hold, narrowly or not; and narrowly.
    share, narrow_share : float
        Of them that hold, narrowly or not, and narrowly; NaN where no date needs cooling.
    longest_failing_run_d : int
        Most dates needing cooling in a row, none of which holds, in any of the site-years. [d]
    first_capacity, first_energy, first_operation : int
        Dates needing cooling that failed, by what failed first: the cooler, the energy, or set
        point, measure and schedule.
    first_cause : Cause
        The most frequent of the most frequent of these three kinds.
    best_months : tuple of int
        Months, 1 to 12, of which no date fails at any site, whether it needs cooling or not.
    hot_high_c : float
        Outdoor high that 95 % of the days stay below. [degC]
    hot_day : int
        Place in the year of the day nearest to it; -1 for many site-years.
    hot_day_holds : bool or None
        Whether that day holds.
    lowest_charge : float
        Living there, of any of the days; NaN without days.
    cooler_kwh_a_day : float
        Living there, mean electricity of the cooler on days needing cooling; NaN without them.
        [kWh]
    unmet_kwh : float
        Living there, what loads asked for and did not get, on all days. [kWh]
    unmet_h : float or None
        Hours in which they went short; None where the result does not hold it. [h]
    unmet_days : int
        Days on which they went short. [d]
    battery, array : Repair or None
        What a battery alone, and arrays alone, would have to be; None where the result does not
        hold it. [Wh], [W]
    """

    runs: int
    days_needing_cooling: int
    holding_days: int
    narrow_days: int
    share: float
    narrow_share: float
    longest_failing_run_d: int
    first_capacity: int
    first_energy: int
    first_operation: int
    first_cause: Cause
    best_months: tuple[int, ...]
    hot_high_c: float
    hot_day: int
    hot_day_holds: bool | None
    lowest_charge: float
    cooler_kwh_a_day: float
    unmet_kwh: float
    unmet_h: float | None
    unmet_days: int
    battery: Repair | None
    array: Repair | None

    @property
    def failing_days(self) -> int:
        """Return the dates needing cooling that fail."""
        return self.days_needing_cooling - self.holding_days

    @property
    def verdict(self) -> Verdict:
        """Return the lowest verdict of the dates that need cooling."""
        if self.failing_days:
            return Verdict.FAILS
        return Verdict.NARROWLY if self.narrow_days else Verdict.HOLDS


def _repair(sizes: FloatArray | None, failing: BoolArray) -> Repair | None:
    """Return the largest size of the failing dates."""
    if sizes is None:
        return None
    found = sizes[failing & np.isfinite(sizes)]
    return Repair(float(found.max()) if len(found) else float("nan"), len(found))


def sum_up(days: Days) -> DaysSummary:
    """Sum dates up.

    Parameters
    ----------
    days : Days
        At least one run and one day.

    Returns
    -------
    DaysSummary
        Nothing in it is guessed: what has no days is NaN or None.
    """
    fails = days.verdict == int(Verdict.FAILS)
    needing = int(days.needs.sum())
    held = int((days.needs & ~fails).sum())
    narrow = int((days.needs & (days.verdict == int(Verdict.NARROWLY))).sum())
    failing = days.needs & fails
    causes = np.bincount(days.cause[failing], minlength=len(Cause))
    energy, capacity, operation = (int(causes[list(kind)].sum()) for kind in _KINDS)

    hot = float(np.quantile(days.outdoor_high, _HOT_SHARE, method="inverted_cdf"))
    hot_day, hot_holds = -1, None
    if len(days.needs) == 1:
        hot_day = int(np.argmin(np.abs(days.outdoor_high[0] - hot)))
        hot_holds = not bool(fails[0, hot_day])
    return DaysSummary(
        runs=len(days.needs),
        days_needing_cooling=needing,
        holding_days=held,
        narrow_days=narrow,
        share=held / needing if needing else float("nan"),
        narrow_share=narrow / needing if needing else float("nan"),
        longest_failing_run_d=longest_run(failing),
        first_capacity=capacity,
        first_energy=energy,
        first_operation=operation,
        first_cause=_most_frequent(causes),
        best_months=tuple(
            int(month)
            for month in np.unique(days.months)
            if not fails[:, days.months == month].any()
        ),
        hot_high_c=hot,
        hot_day=hot_day,
        hot_day_holds=hot_holds,
        lowest_charge=float(days.lowest_charge.min()),
        cooler_kwh_a_day=(
            float(days.cooler_wh[days.needs].mean()) / 1000.0 if needing else float("nan")
        ),
        unmet_kwh=float(days.unmet_wh.sum(dtype=float)) / 1000.0,
        unmet_h=None if days.hours_unmet is None else float(days.hours_unmet.sum(dtype=float)),
        unmet_days=int((days.unmet_wh > 0.0).sum()),
        battery=_repair(days.needed_battery_wh, failing),
        array=_repair(days.needed_array_w, failing),
    )


def _most_frequent(causes: IntArray) -> Cause:
    """Return the most frequent cause of the most frequent kind, ``NONE`` without any."""
    kind = max(_KINDS, key=lambda each: int(causes[list(each)].sum()))
    found = max(kind, key=lambda cause: int(causes[cause]))
    return found if causes[found] else Cause.NONE
