"""Uncertainty: what a verdict is worth when its inputs are known only within ranges."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from noonhold.errors import NumericalError
from noonhold.projection_request import ProjectionRequest
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold.studies.fault_places import inside_projection
from noonhold.studies.plain_values import plain
from noonhold.studies.study_base import Prepared, ProjectionCache
from noonhold.studies.uncertainty.sobol import Indices, crossed, sobol_indices, two_samples
from noonhold.studies.uncertainty.uncertain_inputs import BATTERY, NAMES, Range, sampled_members
from noonhold.verdict import CAUTIONS, Cause, DayVerdicts, day_verdicts
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.selection import Reader
from noonhold.weather.weather_files import read_weather

FloatArray = npt.NDArray[np.float64]

_LEVELS: Final = (10.0, 50.0, 90.0)
_AT_ONCE: Final = 64  # cases whose full records are kept at a time


@dataclass(frozen=True)
class UncertaintyRequest:
    """What is asked of an uncertainty.

    Parameters
    ----------
    base : ProjectionRequest
        The question as stated.
    ranges : mapping of str to Range
        By input; one that is missing is fixed as stated.
    samples : int
        For bands and probability; a power of two.
    sensitivity_samples : int
        Rows for the indices, of which each costs as many runs as inputs vary and one more; a power
        of two up to ``samples``, or 0 for no indices.
    seed : int
        The same seed gives the same answer.
    """

    base: ProjectionRequest
    ranges: Mapping[str, Range]
    samples: int = 256
    sensitivity_samples: int = 64
    seed: int = 0


@dataclass(frozen=True)
class Band:
    """Percentiles over the samples, hour by hour or of one figure.

    Parameters
    ----------
    p10, p50, p90 : numpy.ndarray or float
        10th, 50th and 90th percentile.
    """

    p10: FloatArray | float
    p50: FloatArray | float
    p90: FloatArray | float


@dataclass(frozen=True)
class Chance:
    """How likely something is.

    Parameters
    ----------
    probability : float
        Share of the samples.
    standard_error : float
        Of that share.
    """

    probability: float
    standard_error: float


@dataclass(frozen=True)
class InputShare:
    """What one input does to one output.

    Parameters
    ----------
    first_order, total : float
        Sobol indices.
    first_order_range, total_range : tuple of float
        From the 5th to the 95th percentile of resampled rows.
    """

    input: str
    first_order: float
    total: float
    first_order_range: tuple[float, float]
    total_range: tuple[float, float]


@dataclass(frozen=True)
class Uncertainty:
    """What a verdict is worth.

    Parameters
    ----------
    times : tuple of str
        ISO 8601 starts of the hours.
    ranges : dict of str to Range
        Inputs that vary.
    samples, sensitivity_samples, seed : int
        As asked.
    cabin_temperature_c, operative_temperature_c, state_of_charge : Band
        By hour, shape (n,); the charge at the hour's end.
    lowest_charge, peak_temperature_c : Band
        Lowest state of charge, and highest hourly operative temperature in the judged time (at
        any time where nothing is judged).
    holds : Chance
        That every day holds.
    holding_days : tuple of Chance
        The same for each day.
    fails_by_capacity, fails_by_energy, fails_by_operation : float
        Share of the samples whose first failed day has that first cause; operation is set point,
        measure or schedule.
    shares : dict of str to tuple of InputShare, or None
        By output, the largest total first; empty where not asked for, ``None`` for an output that
        does not vary.
    station : str or None
        Where the weather came from.
    notes : tuple of str
        What choosing, reading or making the weather assumed.
    """

    times: tuple[str, ...]
    ranges: dict[str, Range]
    samples: int
    sensitivity_samples: int
    seed: int
    cabin_temperature_c: Band
    operative_temperature_c: Band
    state_of_charge: Band
    lowest_charge: Band
    peak_temperature_c: Band
    holds: Chance
    holding_days: tuple[Chance, ...]
    fails_by_capacity: float
    fails_by_energy: float
    fails_by_operation: float
    shares: dict[str, tuple[InputShare, ...] | None]
    station: str | None
    notes: tuple[str, ...]


@dataclass(frozen=True)
class _Outcomes:
    """What is kept of each of ``s`` runs over ``n`` hours and ``d`` days."""

    cabin: FloatArray  # (s, n)
    operative: FloatArray  # (s, n)
    charge: FloatArray  # (s, n)
    lowest_charge: FloatArray  # (s,)
    peak: FloatArray  # (s,)
    holds: npt.NDArray[np.bool_]  # (s, d)
    cause: npt.NDArray[np.int64]  # (s,) of the first failed day


@inside_projection(NumericalError)  # a run raises it anywhere below
def estimate_uncertainty(
    asked: UncertaintyRequest,
    catalogue: Catalogue,
    read: Reader = read_weather,
    step_s: int = DEFAULT_STEP_S,
) -> Uncertainty:
    """Say what a verdict is worth.

    Parameters
    ----------
    asked : UncertaintyRequest
        The question and what is uncertain about it.
    catalogue : Catalogue
        Stations to choose from.
    read : callable, optional
        Reads a station's file.
    step_s : int, optional
        Step of the time loop. [s]

    Raises
    ------
    ValueError
        If no input varies, or a number of samples is no power of two.
    NoonholdError
        As the parts of a projection raise it.

    Notes
    -----
    Inputs are drawn independently and evenly from their ranges by a scrambled Sobol sequence. How
    a sample becomes a run is described at
    :func:`noonhold.studies.uncertainty.uncertain_inputs.sampled_members`.
    """
    varying = {n: asked.ranges[n] for n in NAMES if n in asked.ranges and _varies(asked.ranges[n])}
    if not varying:
        raise ValueError("no input varies")
    if asked.sensitivity_samples > asked.samples:
        raise ValueError("the indices cannot have more rows than there are samples")
    with inside_projection():
        prepared = ProjectionCache(catalogue, read, step_s).prepare(asked.base)
    constant = {n: r.low for n, r in asked.ranges.items() if n not in varying}
    a, b = two_samples(len(varying), asked.samples, asked.seed)
    outcomes = _outcomes(prepared, _values(a, varying, constant))
    shares: dict[str, tuple[InputShare, ...] | None] = {}
    if asked.sensitivity_samples:
        shares = _shares(prepared, outcomes, a, b, asked.sensitivity_samples, varying, constant)
    selected = prepared.selected
    return Uncertainty(
        times=tuple(prepared.shown_clock().iso_times()),
        ranges=varying,
        samples=asked.samples,
        sensitivity_samples=asked.sensitivity_samples,
        seed=asked.seed,
        cabin_temperature_c=_band(outcomes.cabin),
        operative_temperature_c=_band(outcomes.operative),
        state_of_charge=_band(outcomes.charge),
        lowest_charge=_band(outcomes.lowest_charge),
        peak_temperature_c=_band(outcomes.peak),
        holds=chance(int(outcomes.holds.all(axis=1).sum()), asked.samples),
        holding_days=tuple(
            chance(int(count), asked.samples) for count in outcomes.holds.sum(axis=0)
        ),
        fails_by_capacity=_share_of(outcomes, Cause.CAPACITY),
        fails_by_energy=_share_of(outcomes, Cause.ENERGY_BALANCE, Cause.ENERGY_STORAGE),
        fails_by_operation=_share_of(outcomes, Cause.MEASURE, Cause.SCHEDULE),
        shares=shares,
        station=None if selected.near is None else selected.near.station.station_id,
        notes=(*_reserve_notes(prepared), *selected.notes, *selected.table.notes),
    )


def _reserve_notes(prepared: Prepared) -> tuple[str, ...]:
    """Return what to make of the lowest charge where the day as stated runs into its reserve."""
    record = run_cases([prepared.case])[0]
    if not (record[:, ch.RESERVE_S] > 0.0).any():
        return ()
    return (
        "as stated the battery runs down to its reserve and the cooler stops: from there on the"
        " lowest charge hangs on when it starts and stops again, and the value as stated need not"
        " lie in the middle of its band; judge such a day by its chance of holding",
    )


def uncertainty_report(found: Uncertainty) -> dict[str, Any]:
    """Return an uncertainty as plain values for a JSON writer.

    Parameters
    ----------
    found : Uncertainty
        From :func:`estimate_uncertainty`.
    """
    return {"cautions": list(CAUTIONS), **plain(found)}


def chance(hits: int, samples: int) -> Chance:
    """Return a share and its standard error.

    Parameters
    ----------
    hits, samples : int
        Counts.

    Notes
    -----
    The error is the binomial one at ``(hits + 1) / (samples + 2)`` (Laplace's rule), so that none
    or all of the samples do not claim to be certain. Sobol points are spread more evenly than
    random ones, so it errs on the large side.

    Examples
    --------
    >>> chance(128, 256)
    Chance(probability=0.5, standard_error=0.03125)
    >>> chance(256, 256).standard_error > 0
    True
    """
    shrunk = (hits + 1) / (samples + 2)
    return Chance(hits / samples, float(np.sqrt(shrunk * (1.0 - shrunk) / samples)))


def _varies(limits: Range) -> bool:
    return limits.high > limits.low


def _values(
    points: FloatArray, varying: Mapping[str, Range], constant: Mapping[str, float]
) -> dict[str, FloatArray]:
    """Return the inputs at points of the unit cube."""
    values = {
        name: limits.low + (limits.high - limits.low) * points[:, column]
        for column, (name, limits) in enumerate(varying.items())
    }
    return values | {name: np.full(len(points), value) for name, value in constant.items()}


def _outcomes(prepared: Prepared, values: Mapping[str, FloatArray]) -> _Outcomes:
    """Run samples, a few at a time, and keep what is needed of them."""
    count = len(next(iter(values.values())))
    parts = []
    for first in range(0, count, _AT_ONCE):
        some = {name: column[first : first + _AT_ONCE] for name, column in values.items()}
        records = run_cases(sampled_members(prepared, some))
        kept = some.get(BATTERY, np.ones(len(records)))
        parts.append(_outcomes_of(prepared, records, kept))
    return _Outcomes(
        **{
            name: np.concatenate([getattr(part, name) for part in parts])
            for name in _Outcomes.__dataclass_fields__
        }
    )


def _outcomes_of(prepared: Prepared, records: FloatArray, kept: FloatArray) -> _Outcomes:
    """Return what is kept of some records, each with the share of battery that it had."""
    question = prepared.request
    battery = question.rig.battery
    clock, interval_s = prepared.shown_clock(), prepared.selected.table.interval_s
    size = battery.usable_energy_wh * kept
    operative = 0.5 * (records[:, :, ch.CABIN] + records[:, :, ch.RADIANT])
    judged = records[0, :, ch.JUDGED_S] > 0.0
    holds, causes = [], []
    for record, usable in zip(records, size, strict=True):
        rig = replace(question.rig, battery=replace(battery, usable_energy_wh=float(usable)))
        # Which days need cooling is not asked here, so the uncooled twin is not run.
        days = day_verdicts(rig, question.scenario.comfort, clock, record, record, interval_s)
        holds.append(days.holds)
        causes.append(_first_cause(days))
    return _Outcomes(
        cabin=records[:, :, ch.CABIN].copy(),
        operative=operative,
        charge=records[:, :, ch.STORED] / size[:, None],
        lowest_charge=records[:, :, ch.STORED_LOWEST].min(axis=1) / size,
        peak=operative[:, judged if judged.any() else slice(None)].max(axis=1),
        holds=np.array(holds),
        cause=np.array(causes, dtype=np.int64),
    )


def _share_of(outcomes: _Outcomes, *causes: Cause) -> float:
    return float(np.isin(outcomes.cause, causes).mean())


def _first_cause(days: DayVerdicts) -> int:
    failed = np.flatnonzero(~days.holds)
    return int(days.first_cause[failed[0]]) if len(failed) else int(Cause.NONE)


def _band(values: FloatArray) -> Band:
    """Return the percentiles over the first axis."""
    low, middle, high = np.percentile(values, _LEVELS, axis=0)
    return Band(low, middle, high)


def _shares(
    prepared: Prepared,
    outcomes: _Outcomes,
    a: FloatArray,
    b: FloatArray,
    rows: int,
    varying: Mapping[str, Range],
    constant: Mapping[str, float],
) -> dict[str, tuple[InputShare, ...] | None]:
    """Return the Sobol indices; the first rows of the sample are reused."""
    mixed = crossed(a[:rows], b[:rows])
    more = np.concatenate([b[:rows], mixed.reshape(-1, mixed.shape[2])])
    others = _outcomes(prepared, _values(more, varying, constant))
    result: dict[str, tuple[InputShare, ...] | None] = {}
    for output, name in (("lowest_charge", "lowest_charge"), ("peak_temperature_c", "peak")):
        at_a = getattr(outcomes, name)[:rows]
        elsewhere = getattr(others, name)
        at_mixed = elsewhere[rows:].reshape(len(varying), rows)
        found = sobol_indices(at_a, elsewhere[:rows], at_mixed)
        result[output] = None if found is None else _by_total(found, tuple(varying))
    return result


def _by_total(found: Indices, names: tuple[str, ...]) -> tuple[InputShare, ...]:
    """Return the indices by input, the largest total first."""
    order = np.argsort(-found.total, kind="stable")
    return tuple(
        InputShare(
            input=names[i],
            first_order=float(found.first[i]),
            total=float(found.total[i]),
            first_order_range=(float(found.first_range[0, i]), float(found.first_range[1, i])),
            total_range=(float(found.total_range[0, i]), float(found.total_range[1, i])),
        )
        for i in order
    )
