"""Days summed up to the figures of tables and maps: shares, runs of bad days, first causes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from noonhold.quantities import Cause
from noonhold.studies.year.year_run import longest_run

BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.int64]
FloatArray = npt.NDArray[np.float64]

_HOT_SHARE = 0.95


@dataclass(frozen=True)
class Days:
    """The days that are summed up, any shape ``(runs, days)``; runs are site-years.

    Parameters
    ----------
    needs, holds : numpy.ndarray of bool, shape (runs, days)
        From the verdicts.
    cause : numpy.ndarray of int, shape (runs, days)
        Codes of `noonhold.quantities.Cause`.
    lowest_charge, cooler_wh : numpy.ndarray, shape (runs, days)
        From the verdicts.
    outdoor_high : numpy.ndarray, shape (runs, days)
        From the weather. [degC]
    needed_battery_wh, needed_array_w : numpy.ndarray, shape (runs, days), or None
        Of `needed_sizes.needed_sizes`; None where the result does not hold it. [Wh], [W]
    """

    needs: BoolArray
    holds: BoolArray
    cause: IntArray
    lowest_charge: FloatArray
    cooler_wh: FloatArray
    outdoor_high: FloatArray
    needed_battery_wh: FloatArray | None
    needed_array_w: FloatArray | None


@dataclass(frozen=True)
class Repair:
    """The size that makes failed days hold.

    Parameters
    ----------
    size : float
        Of all days that it can make hold, the one that needs most; NaN without such days.
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
    days_needing_cooling, holding_days : int
        Days that need cooling, and those of them that hold, narrowly or not.
    share : float
        Of the two; NaN where no day needs cooling.
    longest_failing_run_d : int
        Most days needing cooling in a row, none of which holds, in any of the site-years. [d]
    first_capacity, first_energy, first_operation : int
        Days needing cooling that failed, by what failed first: the cooler, the energy, or set
        point, measure and schedule.
    hot_high_c : float
        Outdoor high that 95 % of the days stay below. [degC]
    hot_day : int
        Place in the year of the day nearest to it; -1 for many site-years.
    hot_day_holds : bool or None
        Whether that day holds.
    lowest_charge : float
        Of any of the days; NaN without days.
    cooler_kwh_a_day : float
        Mean electricity of the cooler on days needing cooling; NaN without them. [kWh]
    battery, array : Repair or None
        What a battery alone, and arrays alone, would have had to be; None where the result does
        not hold it. [Wh], [W]
    """

    runs: int
    days_needing_cooling: int
    holding_days: int
    share: float
    longest_failing_run_d: int
    first_capacity: int
    first_energy: int
    first_operation: int
    hot_high_c: float
    hot_day: int
    hot_day_holds: bool | None
    lowest_charge: float
    cooler_kwh_a_day: float
    battery: Repair | None
    array: Repair | None

    @property
    def first_cause(self) -> Cause:
        """Return what failed first most often, energy before others, one cause for its kind."""
        counts = {
            Cause.ENERGY_BALANCE: self.first_energy,
            Cause.CAPACITY: self.first_capacity,
            Cause.MEASURE: self.first_operation,
        }
        most = max(counts, key=lambda cause: counts[cause])
        return most if counts[most] else Cause.NONE


def _repair(sizes: FloatArray | None, failing: BoolArray) -> Repair | None:
    """Return the largest size of the failing days."""
    if sizes is None:
        return None
    found = sizes[failing & np.isfinite(sizes)]
    return Repair(float(found.max()) if len(found) else float("nan"), len(found))


def sum_up(days: Days) -> DaysSummary:
    """Sum days up.

    Parameters
    ----------
    days : Days
        At least one run and one day.

    Returns
    -------
    DaysSummary
        Nothing in it is guessed: what has no days is NaN or None.
    """
    needing = int(days.needs.sum())
    holding = int((days.needs & days.holds).sum())
    failing = days.needs & ~days.holds

    def failed(*causes: Cause) -> int:
        return int((failing & np.isin(days.cause, causes)).sum())

    hot = float(np.quantile(days.outdoor_high, _HOT_SHARE, method="inverted_cdf"))
    hot_day, hot_holds = -1, None
    if len(days.needs) == 1:
        hot_day = int(np.argmin(np.abs(days.outdoor_high[0] - hot)))
        hot_holds = bool(days.holds[0, hot_day])
    return DaysSummary(
        runs=len(days.needs),
        days_needing_cooling=needing,
        holding_days=holding,
        share=holding / needing if needing else float("nan"),
        longest_failing_run_d=longest_run(failing),
        first_capacity=failed(Cause.CAPACITY),
        first_energy=failed(Cause.ENERGY_BALANCE, Cause.ENERGY_STORAGE),
        first_operation=failed(Cause.MEASURE, Cause.SCHEDULE),
        hot_high_c=hot,
        hot_day=hot_day,
        hot_day_holds=hot_holds,
        lowest_charge=float(days.lowest_charge.min()),
        cooler_kwh_a_day=(
            float(days.cooler_wh[days.needs].mean()) / 1000.0 if needing else float("nan")
        ),
        battery=_repair(days.needed_battery_wh, failing),
        array=_repair(days.needed_array_w, failing),
    )
