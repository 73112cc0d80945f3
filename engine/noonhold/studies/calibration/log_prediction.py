"""A second log predicted with what a first one taught, each row with an interval."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from noonhold.errors import DocumentError
from noonhold.studies.calibration.calibration_study import Calibration, accepted_findings
from noonhold.studies.calibration.factors import SHELL_CONDUCTANCE, evenly_divided, factor_limits
from noonhold.studies.calibration.field_log import FieldLog, FloatArray, Moments, log_pieces
from noonhold.studies.calibration.identifiability import DEVIATIONS
from noonhold.studies.calibration.log_channels import FITTED, ChannelRows, channel_rows
from noonhold.studies.calibration.log_runs import LogModel, LogSetup
from noonhold.studies.calibration.log_unknowns import STEP, Learned, Unknowns

# Between what a quantity can be at all: charge is a share, watts are not negative.
_POSSIBLE: Mapping[str, tuple[float, float]] = {
    "state_of_charge": (0.0, 1.0),
    "array_power_w": (0.0, math.inf),
    "cooler_power_w": (0.0, math.inf),
}


@dataclass(frozen=True)
class ChannelPrediction:
    """A channel of the second log: predicted, and what was read.

    Parameters
    ----------
    channel, unit : str
        Which, in what.
    ends : numpy.ndarray of datetime64[s], shape (k,)
        Ends of the rows in UTC.
    predicted, low, high, logged : numpy.ndarray, shape (k,)
        The run, its 95 % interval for a reading, and the reading. [unit]
    """

    channel: str
    unit: str
    ends: Moments
    predicted: FloatArray
    low: FloatArray
    high: FloatArray
    logged: FloatArray

    def covered(self) -> float | None:
        """Return the part of the readings that lie within their intervals."""
        if not len(self.logged):
            return None
        return float(np.mean((self.low <= self.logged) & (self.logged <= self.high)))

    def rmse(self) -> float | None:
        """Return the root mean square of predicted less logged."""
        if not len(self.logged):
            return None
        return math.sqrt(float(np.mean((self.predicted - self.logged) ** 2)))


@dataclass(frozen=True)
class LogPrediction:
    """A second log as the first one leads to expect it.

    Parameters
    ----------
    channels : tuple of ChannelPrediction
        Those that the second log holds.
    notes : tuple of str
        What was accepted of the second log.
    """

    channels: tuple[ChannelPrediction, ...]
    notes: tuple[str, ...]


def predict_log(
    calibration: Calibration,
    setup: LogSetup,
    log: FieldLog,
    settling_h: float = 1.0,
    accepted: tuple[str, ...] = (),
) -> LogPrediction:
    r"""Predict a second log of the same rig.

    Parameters
    ----------
    calibration : Calibration
        Of the first log.
    setup : LogSetup
        Circumstances of the second; the rig is that of the calibration, as it was described.
    log : FieldLog
        The second log. Of its cabin temperature and charge only the first readings of a piece are
        used; the others are what the prediction stands beside.
    settling_h : float, optional
        First part of every piece, which is not compared. [h]
    accepted : tuple of str, optional
        Names of log faults that the sender knows of and accepts.

    Returns
    -------
    LogPrediction
        Every row with the interval in which a reading lies with 95 % probability.

    Raises
    ------
    DocumentError
        With what stands against the second log, by name and rows.

    Notes
    -----
    The variance of a row is

    .. math:: j^T Σ j + (s\,σ)^2

    with the row's slopes ``j`` by the factors, the sky and the piece's first state; the factors'
    covariance ``Σ`` once the first log is seen, and the priors of the others, for the second log
    has a sky and a start of its own; and ``s σ``, how far rows of the first log lay from its run.
    So a model that misfits the first log by a kelvin claims no better for the second. It is blind
    to a second log unlike the first: what the model lacks may be larger in other weather.
    """
    notes = accepted_findings(setup, log, accepted)
    pieces = log_pieces(log)
    if not pieces:
        raise DocumentError.single(
            "/log/columns",
            "missing_channel: outdoor and cabin temperature never stand together for two hours",
        )
    learned = calibration.learned
    limits = factor_limits(calibration.rig, learned.widths)
    least = limits[SHELL_CONDUCTANCE].lower if SHELL_CONDUCTANCE in limits else 1.0
    model = LogModel(replace(setup, rig=evenly_divided(calibration.rig, least)), log, pieces)
    rows = channel_rows(model, 0.0, settling_h)
    unknowns = Unknowns(model, learned.widths)
    best = np.zeros(unknowns.count)
    best[: len(learned.best)] = learned.best
    records = unknowns.records(best)
    variances = _run_variances(unknowns, best, rows, learned, calibration)
    channels = [
        _channel(row, model, records, variance, learned)
        for row, variance in zip(rows, variances, strict=True)
    ]
    return LogPrediction(tuple(channels), notes)


def _run_variances(
    unknowns: Unknowns,
    best: FloatArray,
    rows: tuple[ChannelRows, ...],
    learned: Learned,
    calibration: Calibration,
) -> list[FloatArray]:
    """Return the variance of every row of a run, a channel each."""
    limits = factor_limits(calibration.rig, learned.widths)
    factors = len(learned.best)
    slopes: list[list[FloatArray]] = [[] for _ in rows]
    for place in range(unknowns.count):
        below, above = best.copy(), best.copy()
        below[place] -= STEP
        above[place] += STEP
        if place < factors:
            name = unknowns.names[place]
            width = learned.widths[name]
            below[place] = max(below[place], math.log(limits[name].lower) / width)
            above[place] = min(above[place], math.log(limits[name].upper) / width)
        low, high = unknowns.records(below), unknowns.records(above)
        for number, row in enumerate(rows):
            moved = row.differences(high, FITTED) - row.differences(low, FITTED)
            slopes[number].append(moved / (above[place] - below[place]))
    covariance = np.eye(unknowns.count)
    covariance[:factors, :factors] = learned.covariance
    stacked = [np.column_stack(each) for each in slopes]
    return [np.einsum("ij,jk,ik->i", each, covariance, each) for each in stacked]


def _channel(
    row: ChannelRows,
    model: LogModel,
    records: list[FloatArray],
    variance: FloatArray,
    learned: Learned,
) -> ChannelPrediction:
    """Return a channel's rows with their intervals."""
    name = row.channel.name
    keep = row.comparable(records, FITTED)
    predicted = row.modelled(records)
    spread = learned.spreads.get(name, 1.0) * row.assumed_errors(records, FITTED)
    reach = DEVIATIONS * np.sqrt(variance + spread**2)
    lowest, highest = _POSSIBLE.get(name, (-math.inf, math.inf))
    ends = np.array(
        [
            model.pieces[piece].ends()[last]
            for piece, last in zip(row.piece.tolist(), row.last.tolist(), strict=True)
        ],
        dtype="datetime64[s]",
    )
    return ChannelPrediction(
        name,
        row.channel.unit,
        ends[keep],
        predicted[keep],
        np.clip(predicted - reach, lowest, highest)[keep],
        np.clip(predicted + reach, lowest, highest)[keep],
        row.logged[keep],
    )
