"""The first of several days that fails: which, when, and by what."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from noonhold.day_causes import day_conditions, first_causes
from noonhold.quantities import Cause
from noonhold.rig import Rig
from noonhold.scenario import Comfort
from noonhold.simulation.bank import SAME_CHARGE_WH
from noonhold.verdict import DayVerdicts
from noonhold.weather.clock import Clock

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True)
class FirstFailure:
    """Where a row of days ends.

    Parameters
    ----------
    day : int
        Its number, 1 for the first day.
    date : str or None
        Of the day; ``None`` where a day that is repeated has none.
    first_cause : Cause
        What failed first on it.
    hour : float
        Hour of the clock of that failure. [h]
    """

    day: int
    date: str | None
    first_cause: Cause
    hour: float


def first_failure_of(days: DayVerdicts) -> FirstFailure | None:
    """Return the first day that fails among judged days, ``None`` where none does."""
    failed = np.flatnonzero(~days.holds)
    if not len(failed):
        return None
    row = int(failed[0])
    return FirstFailure(
        row + 1,
        str(days.date[row]),
        Cause(int(days.first_cause[row])),
        float(days.first_failure_hour[row]),
    )


def failure_of_fed_day(
    rig: Rig,
    comfort: Comfort,
    clock: Clock,
    record: FloatArray,
    lacking_at_s: float,
    balance_wh: float,
) -> tuple[Cause, float] | None:
    """Return what makes a day fail whose bank was stepped alone.

    Parameters
    ----------
    comfort : Comfort
        What a day must reach.
    clock : Clock
        Of the day alone.
    record : numpy.ndarray, shape (n, channels)
        The day's, on energy that never lacks.
    lacking_at_s : float
        Seconds into the day at which the bank lacks energy; inf for never. [s]
    balance_wh : float
        What the day gives more than it takes. [Wh]

    Returns
    -------
    (Cause, float) or None
        First in time, with its hour of the clock; ``None`` where the day holds.
    """
    met = day_conditions(comfort, clock, record)
    found = []
    if met.comfort_failed[0]:
        cause, hour = first_causes(rig, met, clock, record, np.array([balance_wh]))
        found.append((float(hour[0]), Cause(int(cause[0]))))
    if np.isfinite(lacking_at_s):
        short = balance_wh < -SAME_CHARGE_WH
        energy = Cause.ENERGY_BALANCE if short else Cause.ENERGY_STORAGE
        begins_h = float(clock.second_of_day()[0]) / 3600.0
        found.append((begins_h + lacking_at_s / 3600.0, energy))
    if not found:
        return None
    hour_of_first, first = min(found, key=lambda each: each[0])
    return first, hour_of_first
