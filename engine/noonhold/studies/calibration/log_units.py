"""Units mixed up in a field log, recognised by values that no place, cabin or battery can have."""

from __future__ import annotations

from typing import Final

import numpy as np

from noonhold.studies.calibration.field_log import TEMPERATURES, FieldLog, FloatArray, to_celsius
from noonhold.studies.calibration.log_findings import (
    Expected,
    Finding,
    LogFault,
    Rows,
    finding_at,
    rows_text,
)

_JUMP_K: Final = 12.0
_JUMP_ERROR_K: Final = 3.0
_HOT_C: Final = 45.0  # median of a log's outdoor air that no place has
_APART_K: Final = 35.0  # median between cabin and outdoors that no cabin keeps
_COLD_COOLING_C: Final = 8.0  # no one cools a cabin that stays below this
_RUNNING_W: Final = 20.0  # of a cooler that does more than wait
_KILO_FIFTH: Final = 200.0  # a fifth of the rated power, read in kW
_KILO_S: Final = 2 * 3600.0  # of power, before its height says anything


def unit_findings(log: FieldLog, expected: Expected) -> list[Finding]:
    """Return columns that are in another unit than they say, as a whole or in part.

    Parameters
    ----------
    log : FieldLog
        With rising times.
    expected : Expected
        From the rig.

    Returns
    -------
    list of Finding
        Celsius for Fahrenheit and the other way round, percent for shares, kilowatts for watts.
    """
    found: list[Finding] = []
    for name in TEMPERATURES:
        values = log.columns.get(name)
        if values is not None and not np.isnan(values).all():
            found += _temperature_findings(log, name, values, expected.set_points_c)
    charge = log.columns.get("state_of_charge")
    if charge is not None and (charge > 1.5).any():
        rows = np.flatnonzero(charge > 1.5)
        message = f"up to {np.nanmax(charge):g} in {rows_text(rows.tolist())}; 1 is full"
        hint = "percent: divide by 100"
        found.append(finding_at(LogFault.UNIT_MIX_UP, "state_of_charge", message, rows, hint))
    for name, rated in expected.rated_w.items():
        values = log.columns.get(name)
        if values is None or (values > 0.0).sum() * log.spacing_s() < _KILO_S:
            continue
        highest = float(np.nanmax(values))
        if highest < rated / _KILO_FIFTH:
            rows = np.flatnonzero(values > 0.0)
            message = f"never above {highest:g} W where the rig has {rated:g} W"
            found.append(
                finding_at(LogFault.UNIT_MIX_UP, name, message, rows, "kW: multiply by 1000")
            )
    return found


def _temperature_findings(
    log: FieldLog, name: str, values: FloatArray, set_points_c: tuple[float, ...]
) -> list[Finding]:
    """Return the sign that a temperature is in another unit than stated."""
    typical = float(np.nanmedian(values))
    other = TEMPERATURES[1 - TEMPERATURES.index(name)]
    beside = log.columns.get(other, np.full(1, np.nan))
    against = float(np.nanmedian(beside)) if not np.isnan(beside).all() else typical
    stated = "degF" if log.fahrenheit else "degC"
    everything = np.flatnonzero(~np.isnan(values))
    as_read = values * 1.8 + 32.0 if log.fahrenheit else values
    hint = None
    if not log.fahrenheit and (typical > _HOT_C or typical - against > _APART_K):
        hint = f"in degF it would be {to_celsius(np.array([typical]))[0]:.0f} degC"
    elif log.fahrenheit and _too_cold(log, typical, against, set_points_c):
        hint = f"read as degC it would be {typical * 1.8 + 32.0:.0f} degC"
    if hint is not None and (name == TEMPERATURES[0] or typical > _HOT_C or against < _HOT_C):
        usual = float(np.nanmedian(as_read))
        message = f"all rows, usually {usual:.0f} {stated}, cannot be in {stated}"
        return [finding_at(LogFault.UNIT_MIX_UP, name, message, everything, hint)]
    rows = _switched_rows(values)
    if len(rows):
        message = f"{rows_text(rows.tolist())} jump to the other unit and back"
        return [finding_at(LogFault.UNIT_MIX_UP, name, message, rows, f"stated is {stated}")]
    return []


def _too_cold(log: FieldLog, typical: float, against: float, points_c: tuple[float, ...]) -> bool:
    """Tell whether temperatures turned from degF are too cold for what was done."""
    if against - typical > _APART_K:
        return True
    cooler = log.columns.get("cooler_power_w")
    ran = cooler is not None and bool((cooler > _RUNNING_W).any())
    coldest = min(_COLD_COOLING_C, min(points_c, default=-100.0) - 10.0)
    below_set_point = max(typical, against) < coldest
    as_celsius = typical * 1.8 + 32.0
    return ran and below_set_point and 0.0 < as_celsius < _HOT_C


def _switched_rows(values: FloatArray) -> Rows:
    """Return rows that are in the other unit than most, by the jumps at their ends."""
    known = np.flatnonzero(~np.isnan(values))
    series = values[known]
    before, after = series[:-1], series[1:]
    leap = np.abs(after - before) > _JUMP_K
    up = leap & (np.abs(after - (before * 1.8 + 32.0)) < _JUMP_ERROR_K)
    down = leap & (np.abs(after - to_celsius(before)) < _JUMP_ERROR_K)
    state = np.cumsum(np.concatenate([[0], up.astype(np.int64) - down.astype(np.int64)]))
    if not (up.any() or down.any()):
        return np.zeros(0, dtype=np.int64)
    kinds, counts = np.unique(state, return_counts=True)
    usual = kinds[np.argmax(counts)]
    result: Rows = known[state != usual]
    return result
