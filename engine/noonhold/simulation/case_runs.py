"""Run cases through the compiled time loop, the spin-up first, and refuse what no cabin does."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.errors import NumericalError
from noonhold.numerics.time_limit import check_time
from noonhold.simulation import channels as ch
from noonhold.simulation.record import NO_TRACE, TRACE_COLUMNS
from noonhold.simulation.repeated_day import settled_on_the_day
from noonhold.simulation.run_state import charge_state, first_run_state, run_part
from noonhold.simulation.simulation_case import SimulationCase

FloatArray = npt.NDArray[np.float64]

_PHYSICAL_C: Final = (-120.0, 200.0)


def run_cases(cases: list[SimulationCase]) -> FloatArray:
    """Run cases through the compiled time loop.

    Parameters
    ----------
    cases : list of SimulationCase
        Runs of equally many intervals; variants, samples or the uncooled twin of a rig.

    Returns
    -------
    numpy.ndarray, shape (cases, n, channels)
        The records, settling intervals left off.

    Raises
    ------
    NumericalError
        Where a cabin leaves the physical range.
    OutOfTimeError
        Where the caller's limit of time has passed before one of them.
    """
    intervals = len(cases[0].clock_row)
    spin_up = cases[0].spin_up
    records = np.empty((len(cases), intervals, len(ch.CHANNELS)))
    for record, case in zip(records, cases, strict=True):
        check_time()
        _run(case, record)
    check_cabin(records[:, :, ch.CABIN])
    return records[:, spin_up:]


def run_traced(case: SimulationCase) -> tuple[FloatArray, FloatArray]:
    """Run a case and write its supply and demand down.

    Returns
    -------
    record : numpy.ndarray, shape (n, channels)
        Settling intervals left off.
    trace : numpy.ndarray, shape (steps, 5)
        Of the same time, for :mod:`noonhold.simulation.bank`.

    Raises
    ------
    NumericalError, OutOfTimeError
        As :func:`run_cases`.
    """
    check_time()
    intervals = len(case.clock_row)
    per_interval = round(case.forcing.interval_s / case.network.step_s)
    record = np.empty((intervals, len(ch.CHANNELS)))
    trace = np.empty(((intervals - case.spin_up) * per_interval, TRACE_COLUMNS))
    _run(case, record, trace)
    check_cabin(record[:, ch.CABIN])
    return record[case.spin_up :], trace


def check_cabin(cabin_c: FloatArray) -> None:
    """Refuse cabin temperatures that no cabin has.

    Parameters
    ----------
    cabin_c : numpy.ndarray, any shape
        Of a run. [degC]

    Raises
    ------
    NumericalError
        Where one is outside the physical range or is no number; with the worst of the numbers
        outside, where there are any.
    """
    low, high = _PHYSICAL_C
    if ((cabin_c > low) & (cabin_c < high)).all():
        return
    outside = cabin_c[np.isfinite(cabin_c) & ~((cabin_c > low) & (cabin_c < high))]
    raise NumericalError.single(
        "/rig",
        "the cabin leaves the physical range",
        float(np.abs(outside).max()) if outside.size else None,
        f"{low} < cabin < {high} degC",
    )


def _run(case: SimulationCase, record: FloatArray, trace: FloatArray = NO_TRACE) -> None:
    """Run one case: the settling intervals, then from the stated or the settled charge."""
    state = first_run_state(case)
    first = case.spin_up
    if first:
        run_part(case, 0, first, state, record[:first])
        if not case.charge_is_settled:
            state = state._replace(charge=charge_state(case.stored_wh))
        elif case.day_repeats:
            state = settled_on_the_day(case, state)
    run_part(case, first, len(record), state, record[first:], trace)
