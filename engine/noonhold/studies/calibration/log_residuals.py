"""What a run leaves unexplained of a log, by channel, and what that says of the errors."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.stats import norm as normal
from scipy.stats import t as student

from noonhold.studies.calibration.field_log import FloatArray
from noonhold.studies.calibration.log_channels import FITTED, HELD_OUT, ChannelRows

_LEAST_SCALE: Final = 0.2  # of the assumed errors; no log proves its instruments better
_UNKNOWNS_A_CHANNEL: Final = 2.0
_MOST_CORRELATION: Final = 0.98
# The assumed errors of the instruments count as so many independent rows: where the log's own rows
# are worth less, they say how large errors are, and Student's quantile does not run away.
_LEAST_FREEDOM: Final = 4.0
_LEAST_ROWS: Final = 12  # of a part of the log that says how far rows lie from a run


@dataclass(frozen=True)
class ChannelFit:
    """How a run meets a channel of the log.

    Parameters
    ----------
    channel, unit : str
        Which, in what.
    rows : int
        How many rows were compared.
    rmse, bias, largest : float or None
        Root mean square, mean, and largest by size of modelled less logged; ``None`` without
        rows.
    autocorrelation : float or None
        Of neighbouring rows' differences.
    """

    channel: str
    unit: str
    rows: int
    rmse: float | None
    bias: float | None
    largest: float | None
    autocorrelation: float | None


def autocorrelation(errors: FloatArray) -> float:
    """Return the correlation of neighbouring errors about zero.

    Parameters
    ----------
    errors : numpy.ndarray, shape (k,)
        In the order of time.

    Returns
    -------
    float
        0 for fewer than three.

    Examples
    --------
    >>> autocorrelation(np.array([1.0, -1.0, 1.0, -1.0]))
    -0.75
    """
    power = float(errors @ errors)
    if len(errors) < 3 or power == 0.0:
        return 0.0
    return float(errors[:-1] @ errors[1:]) / power


def error_scale(scaled: FloatArray) -> float:
    """Return by what a channel's assumed errors are to be multiplied.

    Parameters
    ----------
    scaled : numpy.ndarray, shape (k,)
        Differences over their assumed errors.

    Returns
    -------
    float
        At least a fifth.

    Notes
    -----
    Their root mean square, times ``sqrt((1 + ρ) / (1 - ρ))`` for the autocorrelation ρ of
    neighbours. The ``n = k (1 - ρ) / (1 + ρ)`` independent rows that are left have two unknowns
    taken from them, and a spread found from few rows may be too small by chance: hence
    ``sqrt(n / (n - 2))``, and Student's quantile over the normal one, at four degrees of freedom
    and more: the instruments' assumed errors are worth that much, and a run that misses the log in
    one long wave would have its errors multiplied by hundreds otherwise.
    """
    if not len(scaled):
        return 1.0
    runs, few = _independence(scaled)
    spread = math.sqrt(float(np.mean(scaled**2)))
    return max(spread * math.sqrt(runs) * few, _LEAST_SCALE)


def _independence(scaled: FloatArray) -> tuple[float, float]:
    """Return how many rows are worth one, and by how much a spread of so few is multiplied."""
    rho = min(max(autocorrelation(scaled), 0.0), _MOST_CORRELATION)
    runs = (1.0 + rho) / (1.0 - rho)
    independent = len(scaled) / runs
    freedom = max(independent - _UNKNOWNS_A_CHANNEL, _LEAST_FREEDOM)
    few = math.sqrt(independent / freedom) * float(student.ppf(0.975, freedom) / normal.ppf(0.975))
    return runs, max(few, 1.0)


def row_spreads(rows: tuple[ChannelRows, ...], records: list[FloatArray]) -> dict[str, float]:
    """Return how far a channel's rows lie from a run, over their assumed errors.

    Parameters
    ----------
    records : list of numpy.ndarray, shape (n, channels)
        A record a piece.

    Returns
    -------
    dict of str to float
        Root mean square of the fitted part, or of the held-out one where that is larger; more
        where the rows are worth few independent ones, for what the next log will show is then
        uncertain by itself. At least 1: no log proves its instruments better for another.
    """
    spreads = {}
    for row in rows:
        found = [1.0]
        for part in (FITTED, HELD_OUT):
            compared = row.comparable(records, part) & row.active(records, part)
            scaled = (row.differences(records, part) / row.assumed_errors(records, part))[compared]
            if len(scaled) >= _LEAST_ROWS:
                _, few = _independence(scaled)
                found.append(math.sqrt(float(np.mean(scaled**2))) * few)
        spreads[row.channel.name] = max(found)
    return spreads


def channel_fits(
    rows: tuple[ChannelRows, ...], records: list[FloatArray], part: str
) -> tuple[ChannelFit, ...]:
    """Return how a run meets each channel over a part of the log.

    Parameters
    ----------
    records : list of numpy.ndarray, shape (n, channels)
        A record a piece.
    part : str
        ``fitted`` or ``held_out``.
    """
    fits = []
    for row in rows:
        errors = row.differences(records, part)[row.comparable(records, part)]
        statistics: tuple[float | None, ...] = (None,) * 4
        if len(errors):
            statistics = (
                math.sqrt(float(np.mean(errors**2))),
                float(np.mean(errors)),
                float(errors[np.argmax(np.abs(errors))]),
                autocorrelation(errors),
            )
        fits.append(ChannelFit(row.channel.name, row.channel.unit, len(errors), *statistics))
    return tuple(fits)
