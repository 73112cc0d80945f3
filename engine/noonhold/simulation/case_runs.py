"""Run cases through the compiled time loop, the spin-up first, and refuse what no cabin does."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.envelope.cabin_step import CabinState, first_state
from noonhold.errors import NumericalError
from noonhold.numerics.time_limit import check_time
from noonhold.simulation import channels as ch
from noonhold.simulation.forcing import ForcingTables
from noonhold.simulation.kernel import ChargeState, PreviousStep, simulate
from noonhold.simulation.record import NO_TRACE
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


def _run(case: SimulationCase, record: FloatArray) -> None:
    """Run one case, resetting the charge when the settling intervals end."""
    cabin = first_state(case.network, case.start_c, case.start_outdoor_c, case.start_humidity)
    before = PreviousStep(np.zeros(1), np.ones(1), np.zeros(1))
    for first, last in ((0, case.spin_up), (case.spin_up, len(record))):
        if first == last:
            continue
        charge = ChargeState(np.array([case.stored_wh]), np.zeros(1, dtype=np.int64))
        _simulate_part(case, first, last, cabin, charge, before, record)


def _simulate_part(
    case: SimulationCase,
    first: int,
    last: int,
    cabin: CabinState,
    charge: ChargeState,
    before: PreviousStep,
    record: FloatArray,
) -> None:
    """Run the intervals from ``first`` to ``last`` of one case."""
    forcing = case.forcing
    if (first, last) != (0, len(record)):
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
        cabin,
        charge,
        before,
        record[first:last],
        NO_TRACE,
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
    forcing : ForcingTables
        The whole.
    first, last : int
        Range of intervals, the last excluded.

    Returns
    -------
    ForcingTables
        Views.
    """
    return forcing._replace(**{name: getattr(forcing, name)[first:last] for name in _BY_INTERVAL})
