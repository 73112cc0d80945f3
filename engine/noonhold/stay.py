"""The stay: arriving with a full battery, how many days hold until the first that does not."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.first_failure import FirstFailure, failure_of_fed_day
from noonhold.quantities import LONGEST_STAY_D
from noonhold.rig import Rig
from noonhold.scenario import Comfort
from noonhold.simulation import channels as ch
from noonhold.simulation.bank import bank_over
from noonhold.simulation.changed_case import ENDLESS_WH, with_endless_battery
from noonhold.simulation.record import TRACE_COLUMNS
from noonhold.simulation.repeated_day import first_day_of
from noonhold.simulation.run_state import charge_state, copied, run_part, spun_up
from noonhold.simulation.simulation_case import SimulationCase
from noonhold.weather.clock import Clock

FloatArray = npt.NDArray[np.float64]

MOST_DAYS: Final = LONGEST_STAY_D


@dataclass(frozen=True)
class Stay:
    """Days that hold from the day of arrival on.

    Parameters
    ----------
    days : int
        How many, at most :data:`MOST_DAYS`. A day that needs no cooling counts where its loads are
        served and the reserve is kept.
    most_days : int
        How many were looked at.
    charge_on_arrival : float
        State of charge.
    first_failure : FirstFailure or None
        The day after them; ``None`` where all that were looked at hold.
    """

    days: int
    most_days: int
    charge_on_arrival: float
    first_failure: FirstFailure | None


def stay_from(
    rig: Rig,
    comfort: Comfort,
    case: SimulationCase,
    clock: Clock,
    charge_on_arrival: float = 1.0,
    most_days: int = MOST_DAYS,
) -> Stay:
    """Return how long a rig holds from the first day of a case.

    Parameters
    ----------
    comfort : Comfort
        What a day must reach.
    case : SimulationCase
        Its tables, the cabin as the settling intervals leave it.
    clock : Clock
        Of the case, settling intervals left off.
    charge_on_arrival : float, optional
        State of charge.
    most_days : int, optional
        Where the case ends before, the days that it has; a described day is repeated.

    Notes
    -----
    Until the reserve is first reached the cabin does not know the charge. So the cabin is run on
    energy that never lacks, a day at a time, and the bank alone is stepped beside it.
    """
    fed = with_endless_battery(case)
    state = copied(spun_up(fed))._replace(charge=charge_state(0.5 * ENDLESS_WH))
    step_s = case.network.step_s
    per_interval = round(case.forcing.interval_s / step_s)
    stored_wh = charge_on_arrival * case.battery.usable_energy_wh
    ranges = _days_of(case, clock, most_days)
    for number, (first, last) in enumerate(ranges):
        rows = slice(first - case.spin_up, last - case.spin_up)
        day_clock = Clock(clock.name, clock.starts[rows], clock.offset_s[rows])
        record = np.empty((last - first, len(ch.CHANNELS)))
        trace = np.empty(((last - first) * per_interval, TRACE_COLUMNS))
        before_wh = float(state.charge.stored_wh[0])
        run_part(fed, first, last, state, record, trace)
        balance_wh = float(state.charge.stored_wh[0]) - before_wh
        run = bank_over(case.battery, trace, 0, len(trace), stored_wh, step_s)
        failed = failure_of_fed_day(rig, comfort, day_clock, record, run.lacking_at_s, balance_wh)
        if failed is not None:
            date = None if case.day_repeats else str(day_clock.starts[0].astype("datetime64[D]"))
            failure = FirstFailure(number + 1, date, *failed)
            return Stay(number, len(ranges), charge_on_arrival, failure)
        stored_wh = run.stored_wh
    return Stay(len(ranges), len(ranges), charge_on_arrival, None)


def _days_of(case: SimulationCase, clock: Clock, most_days: int) -> list[tuple[int, int]]:
    """Return the ranges of intervals of the days of a stay."""
    if case.day_repeats:
        return [first_day_of(case)] * most_days
    edges = np.append(clock.day_first(), len(clock.starts)) + case.spin_up
    return [(int(a), int(b)) for a, b in pairwise(edges)][:most_days]
