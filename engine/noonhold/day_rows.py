"""Rows of a day, for all days of a record at once."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt


def lowest_row(
    values: npt.NDArray[np.float64], first: npt.NDArray[np.int64]
) -> npt.NDArray[np.int64]:
    """Return the row of each day's lowest value, the earliest of equal ones.

    Parameters
    ----------
    values : numpy.ndarray, shape (n,)
        By interval; none is NaN.
    first : numpy.ndarray of int, shape (d,)
        First row of each day, rising from 0.

    Examples
    --------
    >>> lowest_row(np.array([3.0, 1.0, 1.0, 2.0, 2.0]), np.array([0, 3])).tolist()
    [1, 3]
    """
    lowest = np.minimum.reduceat(values, first)
    rows = np.flatnonzero(values == np.repeat(lowest, np.diff(first, append=len(values))))
    result: npt.NDArray[np.int64] = rows[np.searchsorted(rows, first)]
    return result
