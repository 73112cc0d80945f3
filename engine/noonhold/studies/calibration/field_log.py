"""A field log: what was read and switched on the rig, and how it comes onto an even grid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.scenario import Setting

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
Moments = npt.NDArray[np.datetime64]

GRID_S: Final = 300  # interval and step of a run along a log [s]
LONGEST_BRIDGE_S: Final = 3 * 3600  # a longer gap in what drives the cabin cuts the log [s]
SHORTEST_PIECE_S: Final = 2 * 3600  # a shorter piece says nothing about a cabin [s]

# Readings hold at the row's moment; means hold from the row before to the row.
READINGS: Final = (
    "outdoor_temperature_c",
    "cabin_temperature_c",
    "state_of_charge",
    "relative_humidity",
    "wind_speed",
)
MEANS: Final = (
    "array_power_w",
    "load_power_w",
    "cooler_power_w",
    "heater_power_w",
    "ghi",
    "dni",
    "dhi",
)
TEMPERATURES: Final = ("outdoor_temperature_c", "cabin_temperature_c")
LOG_COLUMNS: Final = (*READINGS, *MEANS)


@dataclass(frozen=True)
class Event:
    """Something that was switched, and holds until it is switched again.

    Parameters
    ----------
    at : numpy.datetime64
        When, in UTC.
    setting : Setting
        What changed; ``None`` leaves as it was.
    """

    at: np.datetime64
    setting: Setting


@dataclass(frozen=True)
class FieldLog:
    """What was written down.

    Parameters
    ----------
    times : numpy.ndarray of datetime64[s], shape (m,)
        The rows' moments in UTC, as they stand in the log.
    utc_offset_h : float
        Offset of the log's own clock from UTC. [h]
    columns : mapping of str to numpy.ndarray, shape (m,)
        Some of `LOG_COLUMNS`; NaN where nothing was read. Temperatures are in degC here, whatever
        the log was written in.
    events : tuple of Event
        In any order.
    fahrenheit : bool
        Whether the log says that it was written in degF.
    notes : tuple of str
        How a logger's file was taken.
    """

    times: Moments
    utc_offset_h: float
    columns: Mapping[str, FloatArray]
    events: tuple[Event, ...] = ()
    fahrenheit: bool = False
    notes: tuple[str, ...] = ()

    def seconds(self) -> FloatArray:
        """Return the rows' moments as seconds since the first, shape (m,)."""
        result: FloatArray = (self.times - self.times[0]).astype(np.int64).astype(np.float64)
        return result

    def spacing_s(self) -> float:
        """Return the usual time between two rows. [s]."""
        return float(np.median(np.diff(self.seconds())))


@dataclass(frozen=True)
class LogPiece:
    """A stretch of a log on the even grid, driven without a break.

    Parameters
    ----------
    start : numpy.datetime64
        Start of its first interval, in UTC, a multiple of the grid.
    rows : dict of str to numpy.ndarray, shape (n,)
        Readings at the ends of the intervals and means over them; NaN where there are none.
    span : dict of str to numpy.ndarray of int, shape (n,)
        For each mean, over how many intervals up to this one it holds.
    opening : dict of str to float
        Readings at the start; those of outdoors, cabin and (where logged at all) charge are
        never missing.
    bridged : int
        Intervals whose outdoor temperature was interpolated across a gap.
    """

    start: np.datetime64
    rows: Mapping[str, FloatArray]
    span: Mapping[str, npt.NDArray[np.int64]]
    opening: Mapping[str, float]
    bridged: int

    def __len__(self) -> int:
        """Return the number of intervals."""
        return len(self.rows["outdoor_temperature_c"])

    def ends(self) -> Moments:
        """Return the ends of the intervals in UTC, shape (n,)."""
        step = np.timedelta64(GRID_S, "s")
        result: Moments = self.start + (np.arange(len(self)) + 1) * step
        return result


def to_celsius(fahrenheit: FloatArray) -> FloatArray:
    """Return temperatures given in degF.

    Parameters
    ----------
    fahrenheit : numpy.ndarray
        [degF]

    Returns
    -------
    numpy.ndarray
        [degC]
    """
    result: FloatArray = (fahrenheit - 32.0) / 1.8
    return result


def readings_at(seconds: FloatArray, values: FloatArray, grid: FloatArray) -> FloatArray:
    """Return readings at the moments of a grid.

    Parameters
    ----------
    seconds, values : numpy.ndarray, shape (m,)
        When and what was read; rising, NaN where nothing was. [s]
    grid : numpy.ndarray, shape (n,)
        Even moments, `GRID_S` apart. [s]

    Returns
    -------
    numpy.ndarray, shape (n,)
        Mean of the readings within half a step of the moment; NaN where there are none. A
        reading is never made up by interpolation, so its noise counts once.
    """
    known = ~np.isnan(values)
    place = np.floor((seconds[known] - grid[0]) / GRID_S + 0.5).astype(np.int64)
    inside = (place >= 0) & (place < len(grid))
    count = np.bincount(place[inside], minlength=len(grid))
    total = np.bincount(place[inside], values[known][inside], minlength=len(grid))
    result: FloatArray = np.where(count > 0, total / np.maximum(count, 1), np.nan)
    return result


def means_over(
    seconds: FloatArray, values: FloatArray, grid: FloatArray, longest_s: float
) -> tuple[FloatArray, npt.NDArray[np.int64]]:
    """Return means over the intervals of a grid.

    Parameters
    ----------
    seconds, values : numpy.ndarray, shape (m,)
        A row's value is the mean since the row before; NaN where there is none. [s]
    grid : numpy.ndarray, shape (n + 1,)
        Edges of the intervals, `GRID_S` apart. [s]
    longest_s : float
        A row that comes later than this after the one before speaks only of this time. [s]

    Returns
    -------
    mean : numpy.ndarray, shape (n,)
        NaN where less than half of an interval is known.
    span : numpy.ndarray of int, shape (n,)
        Where a row ends, over how many intervals up to there it holds; 0 elsewhere.
    """
    length = np.minimum(np.diff(seconds, prepend=seconds[0] - longest_s), longest_s)
    known = ~np.isnan(values)
    # Knots at the beginning and end of every row's time, so that nothing is known in a gap.
    ends, begins = seconds[known], seconds[known] - length[known]
    knots = np.column_stack([begins, ends]).ravel()
    weight = np.cumsum(np.column_stack([np.zeros(len(ends)), length[known]]).ravel())
    amount = np.cumsum(
        np.column_stack([np.zeros(len(ends)), values[known] * length[known]]).ravel()
    )
    span = np.zeros(len(grid) - 1, dtype=np.int64)
    if not known.any():
        return np.full(len(grid) - 1, np.nan), span
    covered_s = np.diff(np.interp(grid, knots, weight))
    total = np.diff(np.interp(grid, knots, amount))
    mean: FloatArray = np.where(
        covered_s >= 0.5 * GRID_S, total / np.maximum(covered_s, 1.0), np.nan
    )
    last = np.round((ends - grid[0]) / GRID_S).astype(np.int64) - 1
    wide = np.maximum(np.round(length[known] / GRID_S), 1.0).astype(np.int64)
    inside = (last >= 0) & (last < len(span)) & (last + 1 >= wide)
    span[last[inside]] = wide[inside]
    return mean, span


def log_pieces(log: FieldLog) -> tuple[LogPiece, ...]:
    """Bring a log onto the even grid, cut where nothing drives the cabin for too long.

    Parameters
    ----------
    log : FieldLog
        With rising times, and with outdoor and cabin temperatures.

    Returns
    -------
    tuple of LogPiece
        None shorter than two hours.
    """
    seconds = log.seconds()
    origin = log.times[0].astype("datetime64[s]")
    outdoor = ~np.isnan(log.columns["outdoor_temperature_c"])
    needed = outdoor & ~np.isnan(log.columns["cabin_temperature_c"])
    driven = seconds[outdoor]
    breaks = np.flatnonzero(np.diff(driven) > LONGEST_BRIDGE_S)
    firsts = np.append(driven[:1], driven[breaks + 1])
    lasts = np.append(driven[breaks], driven[-1:])
    pieces = []
    for first, last in zip(firsts, lasts, strict=True):
        starts = seconds[needed & (seconds >= first) & (seconds <= last)]
        if not len(starts):
            continue
        begin = _on_grid(origin, float(starts[0]))
        count = int((last - begin) // GRID_S)
        if count * GRID_S >= SHORTEST_PIECE_S:
            pieces.append(_piece(log, seconds, origin, begin, count))
    return tuple(pieces)


def _on_grid(origin: np.datetime64, second: float) -> float:
    """Return the first moment of the grid at or after a second of the log."""
    epoch = int(origin.astype(np.int64)) + second
    return float(np.ceil(epoch / GRID_S) * GRID_S - int(origin.astype(np.int64)))


def _piece(
    log: FieldLog, seconds: FloatArray, origin: np.datetime64, begin: float, count: int
) -> LogPiece:
    """Return one stretch of a log on the grid."""
    edges: FloatArray = begin + np.arange(count + 1, dtype=np.float64) * GRID_S
    longest = max(2.0 * log.spacing_s(), float(GRID_S))
    rows: dict[str, FloatArray] = {}
    span: dict[str, npt.NDArray[np.int64]] = {}
    opening: dict[str, float] = {}
    bridged = 0
    for name, values in log.columns.items():
        if name in MEANS:
            rows[name], span[name] = means_over(seconds, values, edges, longest)
            continue
        known = ~np.isnan(values)
        if not known.any():
            continue
        at = readings_at(seconds, values, edges)
        straight = np.interp(edges, seconds[known], values[known])
        opening[name] = float(at[0] if not np.isnan(at[0]) else straight[0])
        rows[name] = at[1:]
        if name == "outdoor_temperature_c":
            nearest = np.searchsorted(seconds[known], edges[1:]).clip(1, int(known.sum()) - 1)
            around = np.diff(seconds[known])[nearest - 1]
            bridged = int((np.isnan(at[1:]) & (around > longest)).sum())
            rows[name] = np.where(np.isnan(at), straight, at)[1:]
    start = origin + np.timedelta64(round(begin), "s")
    return LogPiece(start, rows, span, opening, bridged)
