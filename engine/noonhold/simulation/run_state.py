"""The state of a run, carried from one stretch of intervals to the next."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.envelope.cabin_step import CabinState, first_state
from noonhold.simulation import channels as ch
from noonhold.simulation.forcing import ForcingTables
from noonhold.simulation.kernel import ChargeState, PreviousStep, simulate
from noonhold.simulation.record import NO_TRACE
from noonhold.simulation.simulation_case import SimulationCase

FloatArray = npt.NDArray[np.float64]


class RunState(NamedTuple):
    """Cabin, bank and what the last step left behind; changed in place by a run."""

    cabin: CabinState
    charge: ChargeState
    before: PreviousStep


def first_run_state(case: SimulationCase) -> RunState:
    """Return the state at a case's first moment."""
    return RunState(
        first_state(case.network, case.start_c, case.start_outdoor_c, case.start_humidity),
        charge_state(case.stored_wh),
        PreviousStep(np.zeros(1), np.ones(1), np.zeros(1)),
    )


def charge_state(stored_wh: float) -> ChargeState:
    """Return a bank that holds so much, its cooler not stopped. [Wh]."""
    return ChargeState(np.array([stored_wh]), np.zeros(1, dtype=np.int64))


def copied(state: RunState) -> RunState:
    """Return a state of its own, which a run may change."""
    return RunState(
        state.cabin.copy(),
        ChargeState(state.charge.stored_wh.copy(), state.charge.stopped.copy()),
        PreviousStep(*(np.copy(part) for part in state.before)),
    )


def run_part(
    case: SimulationCase,
    first: int,
    last: int,
    state: RunState,
    record: FloatArray,
    trace: FloatArray = NO_TRACE,
) -> None:
    """Run the intervals from ``first`` to ``last`` of a case.

    Parameters
    ----------
    first, last : int
        Range of its intervals, the last excluded.
    state : RunState
        At their beginning; changed in place.
    record : numpy.ndarray, shape (last - first, channels)
        Written here.
    trace : numpy.ndarray, shape ((last - first) * steps an interval, 5), optional
        Supply and demand of every step, written here.
    """
    forcing = case.forcing
    if (first, last) != (0, len(case.clock_row)):
        forcing = slice_forcing(forcing, first, last)
    simulate(
        case.network,
        forcing,
        case.cooler,
        case.arrays,
        case.battery,
        case.control,
        case.comfort,
        case.clock_row[first:last],
        case.air_density,
        case.air_specific_heat,
        state.cabin,
        state.charge,
        state.before,
        record,
        trace,
    )


_BY_INTERVAL: Final = (
    "outdoor_start",
    "outdoor_end",
    "humidity_start",
    "humidity_end",
    "pressure",
    "station_wind",
    "wind",
    "sky",
    "ground_temperature",
    "under_temperature",
    "beam",
    "sky_diffuse",
    "ground",
    "window_beam",
    "awning_sunlit",
    "array_beam",
    "array_diffuse",
    "array_beam_effective",
    "array_diffuse_effective",
    "imposed_heat",
)


def slice_forcing(forcing: ForcingTables, first: int, last: int) -> ForcingTables:
    """Return the forcing of some of the intervals.

    Parameters
    ----------
    first, last : int
        Range of intervals, the last excluded.

    Returns
    -------
    ForcingTables
        Views.
    """
    return forcing._replace(**{name: getattr(forcing, name)[first:last] for name in _BY_INTERVAL})


def spun_up(case: SimulationCase) -> RunState:
    """Return the state of a case after its settling intervals, before any charge is stated."""
    state = first_run_state(case)
    if case.spin_up:
        record = np.empty((case.spin_up, len(ch.CHANNELS)))
        run_part(case, 0, case.spin_up, state, record)
    return state
