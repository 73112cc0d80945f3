"""Sobol points and Sobol indices: which input makes an output uncertain."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.stats import qmc

FloatArray = npt.NDArray[np.float64]

_RESAMPLES = 200
_LEVELS = (5.0, 95.0)
_CONSTANT = 1e-12  # relative to the output's size: below it there is nothing to explain


@dataclass(frozen=True)
class Indices:
    """Sobol indices of one output; ``d`` inputs.

    Parameters
    ----------
    first, total : numpy.ndarray, shape (d,)
        Share of the variance that an input explains alone, and with all it interacts with.
    first_range, total_range : numpy.ndarray, shape (2, d)
        From the 5th to the 95th percentile of resampled rows.
    """

    first: FloatArray
    total: FloatArray
    first_range: FloatArray
    total_range: FloatArray


def is_power_of_two(count: int) -> bool:
    """Tell whether a number of Sobol points is balanced.

    Examples
    --------
    >>> [n for n in range(1, 20) if is_power_of_two(n)]
    [1, 2, 4, 8, 16]
    """
    return count > 0 and count & (count - 1) == 0


def two_samples(inputs: int, count: int, seed: int) -> tuple[FloatArray, FloatArray]:
    """Return two independent samples of the unit cube from one scrambled Sobol sequence.

    Parameters
    ----------
    inputs : int
        Dimensions of the cube.
    count : int
        Points; a power of two.
    seed : int
        Of the scrambling.

    Returns
    -------
    a, b : numpy.ndarray, shape (count, inputs)
        Halves of the columns of one sequence, so that rows of both are balanced together.

    References
    ----------
    .. [1] A. B. Owen, "On dropping the first Sobol' point", 2020, arXiv:2008.08051: no point is
       dropped, and counts are powers of two.
    """
    if not is_power_of_two(count):
        raise ValueError(f"{count} points are no power of two")
    sequence = qmc.Sobol(2 * inputs, scramble=True, rng=np.random.default_rng(seed))
    points = np.asarray(sequence.random_base2(count.bit_length() - 1), dtype=np.float64)
    return points[:, :inputs], points[:, inputs:]


def crossed(a: FloatArray, b: FloatArray) -> FloatArray:
    """Return the first sample with one column at a time taken from the second.

    Parameters
    ----------
    a, b : numpy.ndarray, shape (n, d)
        Two samples.

    Returns
    -------
    numpy.ndarray, shape (d, n, d)
        In the i-th the i-th column is the second sample's.
    """
    inputs = a.shape[1]
    result = np.repeat(a[None], inputs, axis=0)
    for i in range(inputs):
        result[i, :, i] = b[:, i]
    return result


def sobol_indices(f_a: FloatArray, f_b: FloatArray, f_ab: FloatArray) -> Indices | None:
    """Estimate Sobol indices from the output at two samples and at the crossed ones.

    Parameters
    ----------
    f_a, f_b : numpy.ndarray, shape (n,)
        Output at the samples of :func:`two_samples`.
    f_ab : numpy.ndarray, shape (d, n)
        Output at those of :func:`crossed`.

    Returns
    -------
    Indices or None
        ``None`` where the output does not vary.

    Notes
    -----
    With the outputs' common mean taken off and ``V`` their common variance::

        S_i = mean(f_B (f_ABi - f_A)) / V          T_i = mean((f_A - f_ABi)²) / (2 V)

    Small samples can give values a little below 0 or above 1; they are reported as they come.

    References
    ----------
    .. [1] A. Saltelli et al., "Variance based sensitivity analysis of model output", Computer
       Physics Communications 181, 259-270, 2010, table 2 (b) and (f) (the latter Jansen's, 1999).
       :doi:`10.1016/j.cpc.2009.09.018`
    """
    both = np.concatenate([f_a, f_b])
    mean = both.mean()
    if np.ptp(both) <= _CONSTANT * max(1.0, abs(float(mean))):
        return None
    a, b, ab = f_a - mean, f_b - mean, f_ab - mean
    rows = np.arange(len(a))
    first, total = _estimate(a, b, ab, rows[None])
    drawn = np.random.default_rng(len(a)).integers(0, len(a), (_RESAMPLES, len(a)))
    firsts, totals = _estimate(a, b, ab, drawn)
    return Indices(
        first=first[:, 0],
        total=total[:, 0],
        first_range=np.percentile(firsts, _LEVELS, axis=1),
        total_range=np.percentile(totals, _LEVELS, axis=1),
    )


def _estimate(
    a: FloatArray, b: FloatArray, ab: FloatArray, rows: npt.NDArray[np.int64]
) -> tuple[FloatArray, FloatArray]:
    """Return first and total indices, shape (d, r), from each of ``r`` choices of rows."""
    of_a, of_b = a[rows], b[rows]
    both = np.concatenate([of_a, of_b], axis=1)
    variance = np.maximum(both.var(axis=1), np.finfo(np.float64).tiny)
    first, total = [], []
    for output in ab:
        change = output[rows] - of_a
        first.append((of_b * change).mean(axis=1) / variance)
        total.append(0.5 * (change * change).mean(axis=1) / variance)
    return np.array(first), np.array(total)
