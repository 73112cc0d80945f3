"""Finding the first candidate that passes with few trials, each of which is dear."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from typing import Final

import numpy as np

_COARSE: Final = 12  # sizes looked at before the search narrows down


def smallest(count: int, passes: Callable[[int], bool]) -> int | None:
    """Return the first of rising candidates that passes, by bisection.

    Parameters
    ----------
    count : int
        Number of candidates.
    passes : callable
        Of an index; once true, true for all larger ones.

    Returns
    -------
    int or None
        Itself tried, as was the one before it; ``None`` where the largest does not pass.

    Examples
    --------
    >>> smallest(10, lambda index: index >= 3)
    3
    """
    if not passes(count - 1):
        return None
    return bisect_left(range(count - 1), True, key=passes)


def smallest_scanned(values: Sequence[float], passes: Callable[[int], bool]) -> int | None:
    """Return the first of rising candidates that passes, where a larger one may fail again.

    Parameters
    ----------
    values : sequence of float
        The candidates' sizes, above zero.
    passes : callable
        Of an index.

    Returns
    -------
    int or None
        By a coarse look over all, evenly by ratio, then by bisection below the first that passed.
        A stretch of passing candidates narrower than the coarse look can be missed.

    Examples
    --------
    >>> smallest_scanned((1.0, 2.0, 3.0, 4.0, 5.0), lambda index: index in (2, 3))
    2
    """
    even = np.geomspace(values[0], values[-1], min(len(values), _COARSE))
    looked = sorted({bisect_left(values, v * (1.0 - 1e-9)) for v in even.tolist()})
    failed = -1
    for index in looked:
        if passes(index):
            between = range(failed + 1, index)
            return failed + 1 + bisect_left(between, True, key=passes)
        failed = index
    return None


def first_rows(
    rows: int, columns: int, passes: Callable[[int, int], bool]
) -> tuple[int | None, ...]:
    """Return for every column of a table the first row that passes.

    Parameters
    ----------
    rows, columns : int
        Size of the table.
    passes : callable
        Of row and column; once true in a column, true for all larger rows. Along a row it may
        change as it likes.

    Returns
    -------
    tuple of int or None, one a column
        Itself tried, as was the row before it; ``None`` where the last row does not pass.

    Notes
    -----
    Each column starts where its neighbour ended and goes up or down from there: neighbours are
    seldom far apart, so this takes two or three trials a column.

    Examples
    --------
    >>> first_rows(4, 3, lambda row, column: row >= (3, 1, 2)[column])
    (3, 1, 2)
    """
    found: list[int | None] = []
    row = rows // 2
    for column in range(columns):
        row = min(row, rows - 1)
        if passes(row, column):
            while row > 0 and passes(row - 1, column):
                row -= 1
        else:
            row += 1
            while row < rows and not passes(row, column):
                row += 1
        found.append(row if row < rows else None)
    return tuple(found)
