"""One assembly of a run's twins for all: as stated, uncooled, adverse, and on endless energy."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from noonhold.adverse import adverse_case
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.changed_case import with_endless_battery
from noonhold.simulation.simulation_case import SimulationCase, without_cooling

FloatArray = npt.NDArray[np.float64]

_OF_ENERGY = (ch.FIRST_RESERVE, ch.FIRST_UNMET, ch.FIRST_SHORTAGE)


@dataclass(frozen=True)
class TwinRecords:
    """Records of the same hours.

    Parameters
    ----------
    record, uncooled, adverse : numpy.ndarray, shape (n, channels)
        As stated, with the cooler off, and on a worse day.
    fed : numpy.ndarray, shape (n, channels), or None
        As stated, on a battery that never lacks energy; only where energy lacked.
    """

    record: FloatArray
    uncooled: FloatArray
    adverse: FloatArray
    fed: FloatArray | None


def run_uncooled(case: SimulationCase) -> FloatArray:
    """Run a case's uncooled twin alone, which others of the same cabin may share.

    Parameters
    ----------
    case : SimulationCase
        The run as stated.

    Returns
    -------
    numpy.ndarray, shape (n, channels)
    """
    uncooled: FloatArray = run_cases([without_cooling(case)])[0]
    return uncooled


def run_twins(case: SimulationCase, uncooled: FloatArray | None = None) -> TwinRecords:
    """Run a case and its twins.

    Parameters
    ----------
    case : SimulationCase
        The run as stated.
    uncooled : numpy.ndarray, shape (n, channels), optional
        Of the uncooled twin, where it is at hand.

    Raises
    ------
    NumericalError
        Where a cabin leaves the physical range.
    """
    cases = [case, adverse_case(case)]
    if uncooled is None:
        cases.append(without_cooling(case))
    records = run_cases(cases)
    fed = None
    if np.isfinite(records[0][:, _OF_ENERGY]).any():
        fed = run_cases([with_endless_battery(case)])[0]
    return TwinRecords(records[0], records[2] if uncooled is None else uncooled, records[1], fed)
