"""Missing values: short gaps bridged and counted, long ones reported."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from noonhold.weather.weather_table import FloatArray

BoolArray = npt.NDArray[np.bool_]
LONGEST_GAP_H = 3
_RUNS_TOLD = 3


def missing_runs(missing: BoolArray, cyclic: bool) -> list[tuple[int, int]]:
    """Return the runs of missing rows.

    Parameters
    ----------
    missing : numpy.ndarray of bool, shape (n,)
        True where a value is missing.
    cyclic : bool
        True where the last row joins the first.

    Returns
    -------
    list of (first, count)
        In order; a run over the end of a cyclic table is one run that starts before the end.
    """
    edges = np.flatnonzero(np.diff(np.concatenate(([False], missing, [False]))))
    runs = [(int(a), int(b - a)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
    joins = cyclic and len(runs) > 1 and runs[0][0] == 0 and bool(missing[-1])
    if joins:
        first, count = runs.pop()
        runs.append((first, count + runs.pop(0)[1]))
    return runs


def bridge(values: FloatArray, cyclic: bool) -> FloatArray:
    """Interpolate every missing value linearly; the ends of an open table hold.

    Parameters
    ----------
    values : numpy.ndarray, shape (n,)
        With NaN where missing; at least one value is there.
    cyclic : bool
        True where the last row joins the first.

    Returns
    -------
    numpy.ndarray, shape (n,)
        Without NaN.
    """
    rows = np.arange(len(values))
    known = ~np.isnan(values)
    period = float(len(values)) if cyclic else None
    filled = values.copy()
    filled[~known] = np.interp(rows[~known], rows[known], values[known], period=period)
    return filled


def gap_note(column: str, runs: list[tuple[int, int]], interval_s: int, how: str) -> str:
    """Return the sentence that counts what was filled.

    Parameters
    ----------
    column : str
        Name of the column.
    runs : list of (first, count)
        What was missing.
    interval_s : int
        Length of a row. [s]
    how : str
        What was done, for example ``interpolated``.

    Returns
    -------
    str
        For example ``temp_air: 4 h in 2 gaps interpolated``.
    """
    hours = sum(count for _, count in runs) * interval_s / 3600.0
    gaps = "1 gap" if len(runs) == 1 else f"{len(runs)} gaps"
    return f"{column}: {hours:g} h in {gaps} {how}"


def describe_runs(
    runs: list[tuple[int, int]], lines: npt.NDArray[np.int64], word: str, interval_s: int
) -> str:
    """Return the places of long gaps in words.

    Parameters
    ----------
    runs : list of (first, count)
        The gaps.
    lines : numpy.ndarray of int, shape (n,)
        Line or row number of every table row as the user sees it.
    word : str
        ``line`` or ``row``.
    interval_s : int
        Length of a row. [s]

    Returns
    -------
    str
        For example ``lines 17-25 (9 h)``; more than three gaps are counted, not listed.
    """
    shown = [
        f"{word}s {lines[first]}-{lines[(first + count - 1) % len(lines)]}"
        f" ({count * interval_s / 3600.0:g} h)"
        for first, count in runs[:_RUNS_TOLD]
    ]
    more = len(runs) - _RUNS_TOLD
    return ", ".join(shown) + (f" and {more} more" if more > 0 else "")
