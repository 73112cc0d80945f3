"""What two stretches of one line have in common while one of them slides past the other."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


def mean_overlap(
    start_m: FloatArray, travel_m: FloatArray, one_m: npt.ArrayLike, other_m: npt.ArrayLike
) -> FloatArray:
    """Return the mean length common to two stretches while one of them slides.

    Parameters
    ----------
    start_m : numpy.ndarray, shape (n,)
        From the middle of one to the middle of the other at first. [m]
    travel_m : numpy.ndarray, shape (n,)
        How far the other then slides, evenly; may be negative. [m]
    one_m, other_m : float or numpy.ndarray, shape (n,)
        Their lengths. [m]

    Returns
    -------
    numpy.ndarray, shape (n,)
        Between 0 and the shorter length. [m]

    Notes
    -----
    The overlap is a trapezoid function of the distance between the middles; its integral is
    closed, so the mean is exact. Over a travel of less than a millionth of ``one_m`` the overlap
    half way is taken.
    """
    still = np.abs(travel_m) <= 1e-6 * np.asarray(one_m)
    swept = _overlap_integral(start_m + travel_m, one_m, other_m) - _overlap_integral(
        start_m, one_m, other_m
    )
    return np.where(
        still,
        _overlap(start_m + 0.5 * travel_m, one_m, other_m),
        swept / np.where(still, 1.0, travel_m),
    )


def _overlap(shift_m: FloatArray, one_m: npt.ArrayLike, other_m: npt.ArrayLike) -> FloatArray:
    """Return the length common to two stretches whose middles are so far apart."""
    common = 0.5 * np.add(one_m, other_m) - np.abs(shift_m)
    return np.asarray(np.clip(common, 0.0, np.minimum(one_m, other_m)))


def _overlap_integral(
    shift_m: FloatArray, one_m: npt.ArrayLike, other_m: npt.ArrayLike
) -> FloatArray:
    """Return the integral of :func:`_overlap` from no shift on, odd in the shift."""
    full = np.minimum(one_m, other_m)
    flat = 0.5 * np.abs(np.subtract(one_m, other_m))
    gone = np.minimum(np.maximum(np.abs(shift_m) - flat, 0.0), full)
    area = full * np.minimum(np.abs(shift_m), flat) + gone * (full - 0.5 * gone)
    return np.asarray(np.sign(shift_m) * area)
