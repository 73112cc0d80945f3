"""Missing radiation mended by what the sun allows: closure first, then clearness."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from noonhold.solar.interval_sun import IntervalSun
from noonhold.weather.gaps import BoolArray, missing_runs
from noonhold.weather.weather_table import FloatArray

GLOBAL_PARTS = ("ghi", "dni", "dhi")
LOWEST_COSINE = 0.05  # below it, 3 degrees over the horizon, a beam by difference is only noise


@dataclass(frozen=True)
class Mended:
    """What `mend_radiation` could do.

    Parameters
    ----------
    columns : dict of str to numpy.ndarray
        ``ghi``, ``dni``, ``dhi``; NaN only in the rows of ``too_long``.
    by_closure : dict of str to int
        Rows a column got from the other two.
    by_night : int
        Rows that were missing with the sun below the horizon, where radiation is zero.
    by_clearness : list of (first, count)
        Gaps bridged by clearness.
    too_long : list of (first, count)
        Gaps that were not bridged.
    """

    columns: dict[str, FloatArray]
    by_closure: dict[str, int]
    by_night: int
    by_clearness: list[tuple[int, int]]
    too_long: list[tuple[int, int]]


def _close(columns: dict[str, FloatArray], sun: IntervalSun) -> dict[str, int]:
    """Fill each row that misses one of the three from the other two; return the counts."""
    ghi, dni, dhi = (columns[name] for name in GLOBAL_PARTS)
    cosine = sun.sunlit_cosine
    steep = cosine > LOWEST_COSINE
    beam = np.where(steep, (ghi - dhi) / np.where(steep, cosine, 1.0), 0.0)
    derived = {
        "ghi": dni * cosine + dhi,
        "dni": np.clip(beam, 0.0, sun.extraterrestrial),
        "dhi": np.maximum(ghi - dni * cosine, 0.0),
    }
    lone = np.isnan(ghi).astype(int) + np.isnan(dni) + np.isnan(dhi) == 1
    counts = {}
    for name in GLOBAL_PARTS:
        rows = lone & np.isnan(columns[name])
        columns[name][rows] = derived[name][rows]
        if rows.any():
            counts[name] = int(rows.sum())
    return counts


def _beside(row: int, good: BoolArray, stretch: npt.NDArray[np.int64]) -> list[int]:
    """Return the nearest good rows before and after one, within its own stretch of sun."""
    same = np.flatnonzero(good & (stretch == stretch[row]))
    after = int(np.searchsorted(same, row))
    return [int(k) for k in same[max(after - 1, 0) : after + 1]]


def _bridge_row(
    columns: dict[str, FloatArray], row: int, near: list[int], sun: IntervalSun
) -> None:
    """Fill one row by the clearness of the rows beside it."""
    place = np.array(near, dtype=np.float64)
    beam_index = columns["dni"][near] / sun.extraterrestrial[near]
    diffuse_index = columns["dhi"][near] / (sun.extraterrestrial * sun.mean_cosine)[near]
    outside, cosine = sun.extraterrestrial[row], sun.sunlit_cosine[row]
    dni = float(np.interp(row, place, beam_index)) * outside
    dhi = float(np.interp(row, place, diffuse_index)) * outside * sun.mean_cosine[row]
    ghi = columns["ghi"][row]
    if not np.isnan(ghi):
        dni = min(dni, ghi / cosine)
        dhi = ghi - dni * cosine
    if not np.isnan(columns["dni"][row]):
        dni = columns["dni"][row]
    if not np.isnan(columns["dhi"][row]):
        dhi = columns["dhi"][row]
    columns["dni"][row], columns["dhi"][row] = dni, dhi
    if np.isnan(ghi):
        columns["ghi"][row] = dni * cosine + dhi


def mend_radiation(
    raw: dict[str, FloatArray], sun: IntervalSun, longest: int, cyclic: bool
) -> Mended:
    """Fill missing global, direct and diffuse irradiance.

    Parameters
    ----------
    raw : dict of str to numpy.ndarray, shape (n,)
        ``ghi``, ``dni``, ``dhi`` as interval means, NaN where missing. [W/m2]
    sun : IntervalSun
        Of the same intervals.
    longest : int
        Rows of the longest gap that is bridged.
    cyclic : bool
        True where the last row joins the first.

    Returns
    -------
    Mended
        Filled columns, and what was done where.

    Notes
    -----
    In order: zero with the sun down; one missing of three by
    ``ghi = dni cos z + dhi``, z in the middle of the sunlit part; two or three missing by the
    ratios of beam and diffuse to what stands outside the atmosphere, interpolated between the
    rows beside the gap that share its stretch of daylight, never over a sunrise.
    """
    columns = {name: raw[name].copy() for name in GLOBAL_PARTS}
    holes = sum(np.isnan(columns[name]).astype(int) for name in GLOBAL_PARTS)
    night = sun.mean_cosine <= 0.0
    by_night = 0
    for name in GLOBAL_PARTS:
        dark = night & np.isnan(columns[name])
        columns[name][dark] = 0.0
        by_night = max(by_night, int(dark.sum()))
    by_closure = _close(columns, sun)
    missing = np.isnan(columns["ghi"]) | np.isnan(columns["dni"]) | np.isnan(columns["dhi"])
    good = ~missing & (sun.mean_cosine > LOWEST_COSINE)
    stretch = np.cumsum(np.diff(night, prepend=night[0]))
    bridged, too_long = [], []
    for first, count in missing_runs(np.asarray(holes) >= 2, cyclic):
        rows = [row for row in ((first + k) % len(night) for k in range(count)) if missing[row]]
        if not rows:
            continue
        near = [_beside(row, good, stretch) for row in rows]
        if count > longest or not all(near):
            too_long.append((first, count))
            continue
        for row, beside in zip(rows, near, strict=True):
            _bridge_row(columns, row, beside, sun)
        bridged.append((first, count))
    return Mended(columns, by_closure, by_night, bridged, too_long)
