"""From a projection to a verdict a day: does it hold, how narrowly, and if not, what failed first.

The one place in which a day is judged: projections, studies, sizing, plans and the batch call it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.day_causes import daily_balance_wh, day_conditions, first_causes
from noonhold.day_rows import lowest_row
from noonhold.projection import Projection
from noonhold.quantities import Cause, Verdict
from noonhold.rig import Rig
from noonhold.scenario import Comfort
from noonhold.simulation import channels as ch
from noonhold.simulation.record import UNSERVED_W
from noonhold.weather.clock import Clock

__all__ = [
    "CAUTIONS", "Cause", "DayVerdicts", "Summary", "Verdict", "day_verdicts", "judge", "summarise",
]  # fmt: skip

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

_WH_PER_WS: Final = 1.0 / 3600.0


@dataclass(frozen=True)
class DayVerdicts:
    """One entry a day of the clock, ``d`` days; Wh of a day, hours of the clock.

    Parameters
    ----------
    judged : numpy.ndarray of bool, shape (d,)
        Whether any of the day lies in the judged part of the cooling window.
    verdict : numpy.ndarray of int, shape (d,)
        A :class:`noonhold.quantities.Verdict`.
    needs_cooling : numpy.ndarray of bool, shape (d,)
        Whether the uncooled cabin leaves the comfort limit in the judged time.
    first_cause : numpy.ndarray of int, shape (d,)
        A :class:`noonhold.quantities.Cause`, ``NONE`` on days that do not fail.
    first_failure_hour : numpy.ndarray, shape (d,)
        Hour of the clock of that first failure, NaN on days that do not fail. [h]
    comfortable_fraction : numpy.ndarray, shape (d,)
        Of the judged time, NaN where nothing is judged.
    peak_comfort, uncooled_peak_comfort : numpy.ndarray, shape (d,)
        Highest comfort measure in the judged time, with and without the cooler.
    peak_comfort_hour : numpy.ndarray, shape (d,)
        Hour of the clock at which the hour with the highest measure begins. [h]
    comfort_margin_k : numpy.ndarray, shape (d,)
        Comfort limit less the highest measure of the judged time, of PMV in votes. [K]
    cooling_margin_w : numpy.ndarray, shape (d,)
        Least that the highest allowed stage had to spare in the judged time, looked at in every
        interval where most was asked of it; below zero what it lacked to land on the set point in
        one step. NaN where no stage was asked for anything, or energy limited it. [W]
    cooling_margin_hour : numpy.ndarray, shape (d,)
        Hour of the clock at which that interval begins. [h]
    lowest_charge, charge_at_end : numpy.ndarray, shape (d,)
        State of charge.
    lowest_charge_hour : numpy.ndarray, shape (d,)
        Hour of the clock at which the hour with the lowest charge begins. [h]
    energy_margin_wh : numpy.ndarray, shape (d,)
        Lowest energy in the battery less its reserve. [Wh]
    hours_of_cooling, hours_at_reserve, hours_unmet : numpy.ndarray, shape (d,)
        Of the compressor, of the reserve holding the cooler off, and those in which loads asked
        for more than they got. [h]
    cooling_wh, cooler_wh, load_wh, solar_wh, curtailed_wh, alternator_wh, shore_wh, unmet_wh
        Sensible and latent heat taken, and electricity by use and source, shape (d,). [Wh]
    """

    date: npt.NDArray[np.datetime64]
    judged: BoolArray
    verdict: IntArray
    needs_cooling: BoolArray
    first_cause: IntArray
    first_failure_hour: FloatArray
    comfortable_fraction: FloatArray
    peak_comfort: FloatArray
    peak_comfort_hour: FloatArray
    uncooled_peak_comfort: FloatArray
    comfort_margin_k: FloatArray
    cooling_margin_w: FloatArray
    cooling_margin_hour: FloatArray
    lowest_charge: FloatArray
    lowest_charge_hour: FloatArray
    charge_at_end: FloatArray
    energy_margin_wh: FloatArray
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
    hours_unmet: FloatArray

    def __len__(self) -> int:
        """Return the number of days."""
        return len(self.date)

    @property
    def holds(self) -> BoolArray:
        """Return which days hold, narrowly or not."""
        holds: BoolArray = self.verdict != int(Verdict.FAILS)
        return holds


def day_verdicts(
    rig: Rig,
    comfort: Comfort,
    clock: Clock,
    record: FloatArray,
    uncooled: FloatArray,
    interval_s: int,
    adverse: FloatArray | None = None,
    fed: FloatArray | None = None,
) -> DayVerdicts:
    """Judge every day of a record.

    Parameters
    ----------
    rig : Rig
        For the battery's size, and whether there is a cooler.
    comfort : Comfort
        For the limit, and the share a day must reach.
    clock : Clock
        Days are the clock's.
    record, uncooled : numpy.ndarray, shape (n, channels)
        With and without the cooler.
    adverse : numpy.ndarray, shape (n, channels), optional
        Record of the adverse twin; without it no day holds narrowly.
    fed : numpy.ndarray, shape (n, channels), optional
        Record of the same rig whose battery never lacks energy; without it the balance of a day
        knows nothing of what a cooler that was stopped would have drawn.

    Returns
    -------
    DayVerdicts
        One entry a day.

    Notes
    -----
    A day holds when, over all its hours, the comfort measure is within the limit for the required
    share of the judged time (the cooling window after its allowance), the battery is above its
    reserve at every moment, and every watt-hour of the house loads is served. It holds narrowly
    when its adverse twin does not. It needs cooling when the uncooled cabin exceeds the limit in
    the judged time.
    """
    first = clock.day_first()
    hours = interval_s / 3600.0
    bounds = np.append(first, len(record))
    hour_of_row = clock.second_of_day() / 3600.0

    def total(channel: int) -> FloatArray:
        result: FloatArray = np.add.reduceat(record[:, channel], first)
        return result

    def extreme(rows: FloatArray, sign: float) -> tuple[FloatArray, FloatArray]:
        """Return the lowest value of each day (highest for a negative sign), and its hour."""
        signed = np.where(np.isfinite(rows), sign * rows, np.inf)
        found = lowest_row(signed, first)
        known = np.isfinite(signed[found])
        return np.where(known, rows[found], np.nan), np.where(known, hour_of_row[found], np.nan)

    met = day_conditions(comfort, clock, record)
    balance_wh = daily_balance_wh(rig.battery, clock, record if fed is None else fed, interval_s)
    met_fed = None if fed is None else day_conditions(comfort, clock, fed)
    cause, failure_hour = first_causes(rig, met, clock, record, balance_wh, met_fed)
    verdict = np.where(met.holds, int(Verdict.HOLDS), int(Verdict.FAILS))
    if adverse is not None:
        narrow = met.holds & ~day_conditions(comfort, clock, adverse).holds
        verdict[narrow] = int(Verdict.NARROWLY)
    uncooled_peak, _ = extreme(uncooled[:, ch.COMFORT_PEAK], -1.0)
    peak, peak_hour = extreme(record[:, ch.COMFORT_PEAK], -1.0)
    spare, spare_hour = extreme(record[:, ch.COOLING_SPARE], 1.0)
    lowest, lowest_hour = extreme(record[:, ch.STORED_LOWEST], 1.0)
    battery = rig.battery
    size = battery.usable_energy_wh
    return DayVerdicts(
        date=clock.starts.astype("datetime64[D]")[first],
        judged=met.judged,
        verdict=verdict,
        needs_cooling=met.judged & (uncooled_peak > comfort.limit),
        first_cause=cause,
        first_failure_hour=failure_hour,
        comfortable_fraction=met.comfortable_fraction,
        peak_comfort=peak,
        peak_comfort_hour=peak_hour,
        uncooled_peak_comfort=uncooled_peak,
        comfort_margin_k=comfort.limit - peak,
        cooling_margin_w=spare,
        cooling_margin_hour=spare_hour,
        lowest_charge=lowest / size,
        lowest_charge_hour=lowest_hour,
        charge_at_end=record[bounds[1:] - 1, ch.STORED] / size,
        energy_margin_wh=lowest - battery.reserve_fraction * size,
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
        hours_unmet=np.add.reduceat(record[:, ch.UNMET] > UNSERVED_W, first, dtype=float) * hours,
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
        projection.adverse,
        projection.fed,
    )


@dataclass(frozen=True)
class Summary:
    """The verdict over all days of a projection.

    Parameters
    ----------
    verdict : Verdict
        The lowest of all days.
    first_cause : Cause
        Of the first day that fails.
    days, holding_days, narrow_days : int
        All days; those that hold, narrowly or not; those that hold narrowly.
    days_needing_cooling, holding_days_needing_cooling : int
        Counts.
    feasible_fraction : float or None
        Share of the days that need cooling which hold; ``None`` where none needs it.
    comfortable_fraction : float or None
        Over the judged time of all days.
    lowest_charge : float
        State of charge.
    lowest_charge_at : str
        ISO 8601 start of the hour with the lowest charge.
    charge_at_end : float
        State of charge.
    """

    verdict: Verdict
    first_cause: Cause
    days: int
    holding_days: int
    narrow_days: int
    days_needing_cooling: int
    holding_days_needing_cooling: int
    feasible_fraction: float | None
    comfortable_fraction: float | None
    lowest_charge: float
    lowest_charge_at: str
    charge_at_end: float

    @property
    def holds(self) -> bool:
        """Tell whether every day holds, narrowly or not."""
        return self.verdict is not Verdict.FAILS


def summarise(projection: Projection, days: DayVerdicts) -> Summary:
    """Sum a projection's days up.

    Returns
    -------
    Summary
        The verdict over all of them.
    """
    record = projection.record
    judged_s = float(record[:, ch.JUDGED_S].sum())
    needing = int(days.needs_cooling.sum())
    holding = int((days.needs_cooling & days.holds).sum())
    failures = np.flatnonzero(~days.holds)
    lowest = int(np.argmin(record[:, ch.STORED_LOWEST]))
    size = projection.rig.battery.usable_energy_wh
    return Summary(
        verdict=Verdict(int(days.verdict.min())),
        first_cause=Cause(int(days.first_cause[failures[0]])) if len(failures) else Cause.NONE,
        days=len(days),
        holding_days=int(days.holds.sum()),
        narrow_days=int((days.verdict == int(Verdict.NARROWLY)).sum()),
        days_needing_cooling=needing,
        holding_days_needing_cooling=holding,
        feasible_fraction=holding / needing if needing else None,
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
