"""The same day again and again: the cabin's and the bank's periodic state."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.numerics.time_limit import check_time
from noonhold.simulation import channels as ch
from noonhold.simulation.bank import SAME_CHARGE_WH, repeating_charge_wh
from noonhold.simulation.changed_case import ENDLESS_WH, with_endless_battery
from noonhold.simulation.record import TRACE_COLUMNS
from noonhold.simulation.run_state import RunState, charge_state, copied, run_part
from noonhold.simulation.simulation_case import SimulationCase

FloatArray = npt.NDArray[np.float64]

MOST_COPIES: Final = 12  # of a day until the cabin is settled on it; a light cabin takes three
MOST_DAYS: Final = 14  # that a bank which lacks energy is given to repeat


@dataclass(frozen=True)
class RepeatedDay:
    """A day repeated until the cabin is periodic, on energy that never lacks; ``k`` copies.

    Parameters
    ----------
    records : numpy.ndarray, shape (k, n, channels)
        Copy by copy; the last is the periodic day.
    traces : numpy.ndarray, shape (k, steps, 5)
        Supply and demand of the same.
    balance_wh : float
        What the periodic day would add to a battery that is never full nor empty. [Wh]
    settled_wh : float
        Charge with which the periodic day begins and ends; NaN where it takes more than it
        gives, or the bank runs down to its reserve within it. [Wh]
    state : RunState
        At the end of the last copy.
    """

    records: FloatArray
    traces: FloatArray
    balance_wh: float
    settled_wh: float
    state: RunState


def first_day_of(case: SimulationCase) -> tuple[int, int]:
    """Return the range of intervals of the first day after the settling ones."""
    first = case.spin_up
    again = np.flatnonzero(case.clock_row[first + 1 :] == case.clock_row[first])
    return first, first + 1 + int(again[0]) if len(again) else len(case.clock_row)


def repeat_day(case: SimulationCase, state: RunState) -> RepeatedDay:
    r"""Repeat a case's first day until the cabin is periodic.

    Parameters
    ----------
    state : RunState
        At the day's beginning; left as it is.

    Notes
    -----
    Copies are run until the day's balance repeats to 0.01 Wh. The bank alone is then stepped
    through the last copy, from full, until its charge repeats to 0.01 Wh. A day's steps add what
    there is and stop at full, so the charge at its end is :math:`\min(s + d, c)` of the charge
    :math:`s` at its beginning, where :math:`d` is the balance of a bank without limits and
    :math:`c` the end of a day that begins full. With :math:`d \ge 0` it repeats at :math:`s = c`
    from the second day on, exactly; with :math:`d < 0` it falls by :math:`-d` a day and never
    repeats above the reserve. A battery that tapers off takes a few days more.
    """
    first, last = first_day_of(case)
    fed = with_endless_battery(case)
    step_s = case.network.step_s
    steps = (last - first) * round(case.forcing.interval_s / step_s)
    state = copied(state)._replace(charge=charge_state(0.5 * ENDLESS_WH))
    records, traces, balances = [], [], [np.inf]
    for _ in range(MOST_COPIES):
        check_time()
        record = np.empty((last - first, len(ch.CHANNELS)))
        trace = np.empty((steps, TRACE_COLUMNS))
        before_wh = float(state.charge.stored_wh[0])
        run_part(fed, first, last, state, record, trace)
        records.append(record)
        traces.append(trace)
        balances.append(float(state.charge.stored_wh[0]) - before_wh)
        if abs(balances[-1] - balances[-2]) < SAME_CHARGE_WH:
            break
    settled_wh = np.nan
    if balances[-1] > -SAME_CHARGE_WH:
        settled_wh = repeating_charge_wh(case.battery, traces[-1], step_s)
    return RepeatedDay(np.array(records), np.array(traces), balances[-1], settled_wh, state)


def settled_on_the_day(case: SimulationCase, state: RunState) -> RunState:
    """Return the state from which a case's first day begins once its charge repeats.

    Parameters
    ----------
    state : RunState
        After the settling intervals; changed.

    Returns
    -------
    RunState
        The cabin as the settling intervals left it, with the periodic charge. Where the bank runs
        down to its reserve within the day, the day is run as it is, cooler stopped and all, until
        the charge at its end repeats to 0.01 Wh, at most 14 times.
    """
    day = repeat_day(case, state)
    if np.isfinite(day.settled_wh):
        return state._replace(charge=charge_state(day.settled_wh))
    return run_down(case, state)


def run_down(case: SimulationCase, state: RunState) -> RunState:
    """Return the state after a case's first day, cooler stopped and all, until its charge repeats.

    Parameters
    ----------
    state : RunState
        At the day's beginning; changed.

    Returns
    -------
    RunState
        At most 14 days on; the charge at the end of each within 0.01 Wh of that at its beginning,
        where that comes sooner.
    """
    first, last = first_day_of(case)
    record = np.empty((last - first, len(ch.CHANNELS)))
    for _ in range(MOST_DAYS):
        before_wh = float(state.charge.stored_wh[0])
        run_part(case, first, last, state, record)
        if abs(float(state.charge.stored_wh[0]) - before_wh) < SAME_CHARGE_WH:
            break
    return state
