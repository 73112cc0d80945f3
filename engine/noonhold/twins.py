"""One assembly of a run's twins for all: as stated, uncooled, adverse, and on endless energy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.adverse import adverse_case
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases, run_traced
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


class FedRun(NamedTuple):
    """A run in which energy never lacks: what it asks of a bank, whatever that holds.

    Attributes
    ----------
    case : SimulationCase
        With the battery as it is.
    record : numpy.ndarray, shape (n, channels)
        Hour by hour.
    trace : numpy.ndarray, shape (steps, 5)
        Supply and demand; see :mod:`noonhold.simulation.bank`.
    """

    case: SimulationCase
    record: FloatArray
    trace: FloatArray


@dataclass(frozen=True)
class FedTwins:
    """The same hours as stated and on a worse day, energy never lacking."""

    nominal: FedRun
    adverse: FedRun


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


def run_traced_twins(case: SimulationCase) -> tuple[TwinRecords, FedTwins]:
    """Run a case and its twins, and what each would ask of a bank that never lacks energy.

    Parameters
    ----------
    case : SimulationCase
        The run as stated.

    Returns
    -------
    TwinRecords, FedTwins
        Where energy never lacked, the run itself is the fed one.

    Raises
    ------
    NumericalError
        Where a cabin leaves the physical range.
    """
    worse = adverse_case(case)
    record, trace = run_traced(case)
    nominal = _fed(case, record, trace)
    adverse_record, adverse_trace = run_traced(worse)
    adverse = _fed(worse, adverse_record, adverse_trace)
    fed = None if nominal.record is record else nominal.record
    twins = TwinRecords(record, run_uncooled(case), adverse_record, fed)
    return twins, FedTwins(nominal, adverse)


def _fed(case: SimulationCase, record: FloatArray, trace: FloatArray) -> FedRun:
    """Return the run on energy that never lacks, which is the run itself where none lacked."""
    if np.isfinite(record[:, _OF_ENERGY]).any():
        record, trace = run_traced(with_endless_battery(case))
    return FedRun(case, record, trace)
