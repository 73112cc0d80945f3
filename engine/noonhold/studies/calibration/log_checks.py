"""What is wrong with a field log: each fault by its name, its column and its rows."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from noonhold.studies.calibration.field_log import TEMPERATURES, FieldLog, FloatArray
from noonhold.studies.calibration.log_findings import (
    Expected,
    Finding,
    LogFault,
    finding_at,
    rows_text,
)
from noonhold.studies.calibration.log_units import unit_findings

MOST_SPACING_S: Final = 3600.0
LEAST_LENGTH_S: Final = 6 * 3600.0
MOST_LENGTH_S: Final = 62 * 86400.0
STUCK_S: Final = 3 * 3600.0
_STUCK_ROWS: Final = 8
_MOVED_K: Final = 2.0  # the other thermometer's move by which a still one is known as stuck
_MOVED_SHARE: Final = 0.08  # share of the battery that must have flowed past a still charge
_RUNNING_W: Final = 20.0  # of a cooler that does more than wait
_SET_POINT_NEAR_K: Final = 2.0
_RESTLESS: Final = (*TEMPERATURES, "state_of_charge", "relative_humidity", "array_power_w", "ghi")
_CABIN_C: Final = (-60.0, 95.0)
_WATTS: Final = (-50.0, 50_000.0)
_BOUNDS: Final = {
    "outdoor_temperature_c": (-60.0, 60.0),
    "cabin_temperature_c": _CABIN_C,
    "state_of_charge": (0.0, 1.0),
    "relative_humidity": (0.0, 110.0),
    "wind_speed": (0.0, 100.0),
    "ghi": (-20.0, 1600.0),
    "dni": (-20.0, 1500.0),
    "dhi": (-20.0, 1200.0),
}


def check_times(log: FieldLog) -> list[Finding]:
    """Return what is wrong with a log's moments.

    Parameters
    ----------
    log : FieldLog
        As it was read.

    Returns
    -------
    list of Finding
        Rows out of order, rows of one moment, a log too short, too long or too coarse.
    """
    seconds = log.seconds()
    found = []
    latest = np.maximum.accumulate(seconds)
    behind = np.flatnonzero(seconds[1:] < latest[:-1]) + 1
    if len(behind):
        message = f"{rows_text(behind.tolist())} are earlier than a row before"
        hint = "shuffled rows, or a clock set back amid the log"
        found.append(finding_at(LogFault.TIME_ORDER, "times", message, behind, hint))
    _, first, count = np.unique(seconds, return_index=True, return_counts=True)
    again = np.setdiff1d(np.arange(len(seconds)), first)
    if (count > 1).any():
        message = f"{rows_text(again.tolist())} repeat the moment of an earlier row"
        found.append(finding_at(LogFault.DUPLICATE_TIMES, "times", message, again))
    if found:
        return found
    length = float(seconds[-1])
    if not LEAST_LENGTH_S <= length <= MOST_LENGTH_S:
        message = f"the log is {length / 3600.0:.1f} h long; it needs 6 h to 62 days"
        found.append(Finding(LogFault.LENGTH, "times", message))
    if log.spacing_s() > MOST_SPACING_S:
        message = (
            f"rows are {log.spacing_s() / 60.0:.0f} minutes apart; a cabin's changes need one at"
            " least every hour"
        )
        found.append(Finding(LogFault.LENGTH, "times", message))
    return found


def check_columns(log: FieldLog, expected: Expected) -> list[Finding]:
    """Return what is wrong with a log's numbers, each column by itself and against the others.

    Parameters
    ----------
    log : FieldLog
        With rising times.
    expected : Expected
        From the rig.

    Returns
    -------
    list of Finding
        Missing channels, values that cannot be, units mixed up, sensors stuck.
    """
    found = []
    for name in TEMPERATURES:
        if name not in log.columns or np.isnan(log.columns[name]).all():
            found.append(Finding(LogFault.MISSING_CHANNEL, name, "is needed and holds no values"))
    for name in log.columns:
        if name not in TEMPERATURES and np.isnan(log.columns[name]).all():
            message = "is there and holds no values; leave it out"
            found.append(Finding(LogFault.MISSING_CHANNEL, name, message))
    found += unit_findings(log, expected)
    mixed = {finding.column for finding in found if finding.kind is LogFault.UNIT_MIX_UP}
    for name, values in log.columns.items():
        low, high = _BOUNDS.get(name, _WATTS)
        wrong = np.flatnonzero((values < low) | (values > high))
        if len(wrong) and name not in mixed:
            worst = values[wrong[0]]
            message = f"{worst:g} in {rows_text(wrong.tolist())} cannot be ({low:g} to {high:g})"
            found.append(finding_at(LogFault.OUT_OF_BOUNDS, name, message, wrong))
    return found + _stuck_findings(log, expected)


def _stuck_findings(log: FieldLog, expected: Expected) -> list[Finding]:
    """Return sensors that stand still while what they measure cannot."""
    found = []
    seconds = log.seconds()
    for name, values in log.columns.items():
        if name not in _RESTLESS:
            continue
        for first, last in _still_runs(seconds, values):
            if last - first + 1 < _STUCK_ROWS or not _must_move(log, expected, name, first, last):
                continue
            hours = (seconds[last] - seconds[first]) / 3600.0
            message = f"stands at {values[first]:g} for {hours:.1f} h in rows {first} to {last}"
            rows = np.arange(first, last + 1)
            found.append(finding_at(LogFault.STUCK_SENSOR, name, message, rows))
    return found


def _still_runs(seconds: FloatArray, values: FloatArray) -> list[tuple[int, int]]:
    """Return first and last rows of the stretches of at least `STUCK_S` of one value."""
    known = np.flatnonzero(~np.isnan(values))
    if len(known) < 2:
        return []
    cuts = np.flatnonzero(np.diff(values[known]) != 0.0) + 1
    edges = np.concatenate([[0], cuts, [len(known)]])
    runs = [(int(known[a]), int(known[b - 1])) for a, b in pairwise(edges.tolist())]
    return [(a, b) for a, b in runs if seconds[b] - seconds[a] >= STUCK_S]


def _must_move(log: FieldLog, expected: Expected, name: str, first: int, last: int) -> bool:
    """Tell whether what else the log holds says that a still sensor cannot be right."""
    rows = slice(first, last + 1)
    value = log.columns[name][first]
    if name in TEMPERATURES:
        other = log.columns.get(TEMPERATURES[1 - TEMPERATURES.index(name)])
        if other is None or np.isnan(other[rows]).all():
            return False
        moved = float(np.nanmax(other[rows]) - np.nanmin(other[rows])) > _MOVED_K
        return moved and not _held_by_cooler(log, expected, name, rows)
    if name == "state_of_charge":
        return (
            bool(0.02 < value < 0.99) and _flowed_wh(log, rows) > _MOVED_SHARE * expected.battery_wh
        )
    if name == "array_power_w":
        return bool(5.0 < value < 0.95 * expected.array_limit_w)
    if name == "ghi":
        return bool(value > 5.0)
    return bool(value < 99.0)  # relative humidity stands still in fog


def _held_by_cooler(log: FieldLog, expected: Expected, name: str, rows: slice) -> bool:
    """Tell whether a cooler may hold the cabin so still that its thermometer does not move."""
    cooler = log.columns.get("cooler_power_w")
    value = log.columns[name][rows][0]
    cooled = cooler is None or bool(np.nanmean(np.nan_to_num(cooler[rows])) > _RUNNING_W)
    at_set_point = any(abs(value - point) < _SET_POINT_NEAR_K for point in expected.set_points_c)
    return name == "cabin_temperature_c" and cooled and at_set_point


def _flowed_wh(log: FieldLog, rows: slice) -> float:
    """Return the energy that came into or out of the battery by what was logged. [Wh]."""
    net: FloatArray = np.zeros(len(log.times))
    for name, sign in (("array_power_w", 1.0), ("load_power_w", -1.0), ("cooler_power_w", -1.0)):
        if name in log.columns:
            net = net + sign * np.nan_to_num(log.columns[name])
    seconds = log.seconds()
    hours = np.diff(seconds, prepend=seconds[0]) / 3600.0
    part = (net * hours)[rows]
    return abs(float(part.sum()))
