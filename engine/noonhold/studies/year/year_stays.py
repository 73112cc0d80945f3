"""The stays of a year: arriving on any of its dates, how many days hold until the first that fails.

A year of starts needs no run of its own: the year's run in which energy never lacks gives what
every step asks of the bank and offers it, and the bank alone is stepped from every date.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from noonhold.day_causes import daily_balance_wh, day_conditions, first_causes
from noonhold.quantities import LONGEST_STAY_D, Cause, Horizon, Verdict
from noonhold.rig import Rig
from noonhold.scenario import Comfort
from noonhold.simulation.bank import SAME_CHARGE_WH, YEAR_BEGINS_AGAIN, stays
from noonhold.studies.year.year_run import YearRun
from noonhold.twins import FedRun
from noonhold.verdict import DayVerdicts
from noonhold.weather.clock import Clock

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class YearStays:
    """One entry a date of arrival, in the order of the weather.

    Parameters
    ----------
    charge_on_arrival : float
        State of charge.
    days : numpy.ndarray of int, shape (d,)
        Days that hold, the date of arrival being the first, at most
        :data:`noonhold.quantities.LONGEST_STAY_D`. A day that needs no cooling counts where its
        loads are served and the reserve is kept.
    adverse_days : numpy.ndarray of int, shape (d,)
        The same of the adverse twin, at most `days`.
    first_cause : numpy.ndarray of int, shape (d,)
        What fails first on the day after them; ``NONE`` where all that were looked at hold.
    first_failure_hour : numpy.ndarray, shape (d,)
        Hour of the clock of that failure, NaN without one. [h]
    """

    charge_on_arrival: float
    days: IntArray
    adverse_days: IntArray
    first_cause: IntArray
    first_failure_hour: FloatArray

    def verdict(self, length: int) -> IntArray:
        """Return the verdict on a stay of so many days, by date of arrival.

        Parameters
        ----------
        length : int
            Days in a row, from 1 to :data:`noonhold.quantities.LONGEST_STAY_D`.

        Returns
        -------
        numpy.ndarray of int, shape (d,)
            A :class:`noonhold.quantities.Verdict`.
        """
        return stay_verdicts(self.days, self.adverse_days, length)


def stay_verdicts(
    days: npt.NDArray[np.integer], adverse_days: npt.NDArray[np.integer], length: int
) -> IntArray:
    """Return the verdicts on stays of so many days.

    Parameters
    ----------
    days, adverse_days : numpy.ndarray of int, any shape
        Days that hold, as stated and of the adverse twin.
    length : int
        Days asked for.

    Returns
    -------
    numpy.ndarray of int
        A :class:`noonhold.quantities.Verdict` each.

    Examples
    --------
    >>> stay_verdicts(np.array([3, 3, 2]), np.array([3, 1, 1]), 3).tolist()
    [2, 1, 0]
    """
    lasting = np.where(adverse_days >= length, int(Verdict.HOLDS), int(Verdict.NARROWLY))
    return np.where(days >= length, lasting, int(Verdict.FAILS)).astype(np.int64)


def year_stays(
    rig: Rig, comfort: Comfort, run: YearRun, interval_s: int, charge_on_arrival: float = 1.0
) -> YearStays:
    """Return the stays from every date of a year.

    Parameters
    ----------
    comfort : Comfort
        What a day must reach.
    interval_s : int
        Of the weather. [s]
    charge_on_arrival : float, optional
        State of charge at the midnight with which every stay begins.

    Notes
    -----
    Until the reserve is first reached the cabin does not know the charge, and a stay ends there.
    The cabin on arrival is that of the year's run, as its cooler has kept it the days before. The
    year begins again after its last day.
    """
    fed = run.fed.nominal
    met = day_conditions(comfort, run.clock, fed.record)
    days, lacking_at_s = _stays(fed, run.clock, ~met.comfort_failed, charge_on_arrival)
    worse = run.fed.adverse
    worse_met = day_conditions(comfort, run.clock, worse.record)
    adverse_days, _ = _stays(worse, run.clock, ~worse_met.comfort_failed, charge_on_arrival)

    balance_wh = daily_balance_wh(rig.battery, run.clock, fed.record, interval_s)
    by_comfort, comfort_hour = first_causes(rig, met, run.clock, fed.record, balance_wh)
    last = (np.arange(len(days)) + days) % len(days)
    begins_h = run.clock.second_of_day()[run.clock.day_first()][last] / 3600.0
    comfort_at = np.where(met.comfort_failed, comfort_hour, np.inf)[last]
    energy_at = begins_h + lacking_at_s / 3600.0
    of_energy = np.where(
        balance_wh[last] < -SAME_CHARGE_WH, int(Cause.ENERGY_BALANCE), int(Cause.ENERGY_STORAGE)
    )
    ended = days < LONGEST_STAY_D
    cause = np.where(energy_at <= comfort_at, of_energy, by_comfort[last])
    return YearStays(
        charge_on_arrival=charge_on_arrival,
        days=days,
        adverse_days=np.minimum(adverse_days, days),
        first_cause=np.where(ended, cause, int(Cause.NONE)).astype(np.int64),
        first_failure_hour=np.where(ended, np.minimum(energy_at, comfort_at), np.nan),
    )


def asked_of(living: DayVerdicts, stays: YearStays, horizon: Horizon) -> DayVerdicts:
    """Return the days of a year with the verdicts and causes that a question asks for.

    Parameters
    ----------
    living : DayVerdicts
        The year, its charge carried from day to day.
    stays : YearStays
        Of the same.
    horizon : Horizon
        What is asked of every date.

    Returns
    -------
    DayVerdicts
        Its figures are those of living there.
    """
    if horizon.days is None:
        return living
    verdict = stays.verdict(horizon.days)
    fails = verdict == int(Verdict.FAILS)
    return replace(
        living,
        verdict=verdict,
        first_cause=np.where(fails, stays.first_cause, int(Cause.NONE)),
        first_failure_hour=np.where(fails, stays.first_failure_hour, np.nan),
    )


def in_order(days: DayVerdicts, order: IntArray) -> DayVerdicts:
    """Return days in another order."""
    return DayVerdicts(**{name: each[order] for name, each in vars(days).items()})


def first_steps(fed: FedRun, clock: Clock) -> IntArray:
    """Return the first step of every day of a trace, and one past the last, shape (d + 1,)."""
    per_interval = len(fed.trace) // len(fed.record)
    edges = np.append(clock.day_first(), len(fed.record)) * per_interval
    return np.asarray(edges, dtype=np.int64)


def _stays(
    fed: FedRun, clock: Clock, comfortable: BoolArray, charge: float
) -> tuple[IntArray, FloatArray]:
    battery = fed.case.battery
    bounds = first_steps(fed, clock)
    starts = np.arange(len(bounds) - 1, dtype=np.int64)
    return stays(
        battery, fed.trace, bounds, comfortable, starts, charge * battery.usable_energy_wh,
        fed.case.network.step_s, LONGEST_STAY_D, YEAR_BEGINS_AGAIN,
    )  # fmt: skip
