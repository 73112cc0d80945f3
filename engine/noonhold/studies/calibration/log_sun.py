"""A field log checked against the sun and the rig: all contradictions at once."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from noonhold.rig import Rig
from noonhold.scenario import Operation
from noonhold.solar.interval_sun import sun_elevation_deg
from noonhold.studies.calibration.field_log import (
    GRID_S,
    BoolArray,
    Event,
    FieldLog,
    FloatArray,
    LogPiece,
)
from noonhold.studies.calibration.log_checks import check_columns, check_times
from noonhold.studies.calibration.log_findings import (
    Expected,
    Finding,
    LogFault,
    finding_at,
    rows_text,
)
from noonhold.studies.calibration.log_runs import LogSetup, array_under_sky
from noonhold.studies.calibration.log_weather import Background, site_of, sky_light, standard_start

_HALF_DAY_S: Final = 12 * 3600
_FULL: Final = 0.97  # charge above which an array may be curtailed
_SUN_ROWS: Final = 8
_LAG_STEP_H: Final = 0.25
_LEAST_LAG_H: Final = 0.75
_LEAST_UNEXPLAINED: Final = 0.02
_NIGHT_DEG: Final = 93.0  # zenith angle at which even twilight gives an array nothing


def expected_of(rig: Rig, operation: Operation, events: tuple[Event, ...]) -> Expected:
    """Return what a rig leads to expect of its log.

    Parameters
    ----------
    operation : Operation
        For the set points of every day.
    events : tuple of Event
        For those of the log.
    """
    rated = {}
    if rig.arrays:
        rated["array_power_w"] = sum(array.rated_power_w for array in rig.arrays)
    points: list[float] = []
    if rig.cooler is not None:
        rated["cooler_power_w"] = min(stage.power_w for stage in rig.cooler.stages)
        settings = [span.setting for span in operation.spans] + [event.setting for event in events]
        points = [s.set_point_c for s in settings if s.set_point_c is not None]
        points.append(operation.set_point_c)
    limited = rig.arrays and all(array.controller for array in rig.arrays)
    limit = sum(c.max_power_w for c in rig.controllers) if limited else float("inf")
    return Expected(rig.battery.usable_energy_wh, tuple(points), limit, rated)


def log_findings(setup: LogSetup, log: FieldLog) -> list[Finding]:
    """Return everything that stands against a log.

    Parameters
    ----------
    setup : LogSetup
        The rig and its circumstances.
    log : FieldLog
        As it was read.

    Returns
    -------
    list of Finding
        Where times are out of order, only that: nothing else can be checked then.
    """
    found = check_times(log)
    if found:
        return found
    found = check_columns(log, expected_of(setup.rig, setup.operation, log.events))
    return found + _clock_findings(setup, log)


def sun_signal(setup: LogSetup, log: FieldLog) -> str | None:
    """Return the log's column that follows the sun, ``None`` without one."""
    for name in ("ghi", "array_power_w"):
        values = log.columns.get(name)
        present = values is not None and not np.isnan(values).all()
        if present and (name == "ghi" or setup.rig.arrays):
            return name
    return None


def _clock_findings(setup: LogSetup, log: FieldLog) -> list[Finding]:
    """Return the log's clock error, as its light or its arrays show it."""
    signal = sun_signal(setup, log)
    if signal is None:
        return []
    site = site_of(setup.place, log.utc_offset_h)
    origin = log.times[0].astype("datetime64[s]")
    early = (origin.astype(np.int64) - _HALF_DAY_S) // GRID_S * GRID_S
    count = int(log.seconds()[-1] + 2 * _HALF_DAY_S) // GRID_S + 2
    start = np.datetime64(int(early), "s")
    middles: FloatArray = (np.arange(count, dtype=np.float64) + 0.5) * GRID_S + float(
        early - origin.astype(np.int64)
    )
    temperature = np.full(count, 25.0)
    piece = LogPiece(
        start,
        {"outdoor_temperature_c": temperature},
        {},
        {"outdoor_temperature_c": 25.0, "cabin_temperature_c": 25.0},
        0,
    )
    if signal == "ghi":
        curve = sky_light(site, standard_start(piece, site), count)["ghi"]
    else:
        assumed = replace(setup, background=Background(10.0, 2.0))
        curve = array_under_sky(assumed, site, log.events, piece, 0.0)
    return sun_findings(log, signal, middles, curve, _night(setup, log))


def _night(setup: LogSetup, log: FieldLog) -> BoolArray:
    """Return which rows stand well after sunset and before sunrise, shape (m,)."""
    place = setup.place
    elevation = sun_elevation_deg(log.times, place.latitude, place.longitude)
    return np.asarray(90.0 - elevation > _NIGHT_DEG)


def sun_findings(
    log: FieldLog, signal: str, model_seconds: FloatArray, model: FloatArray, night: BoolArray
) -> list[Finding]:
    """Return a log's clock error, if the sun says it has one.

    Parameters
    ----------
    log : FieldLog
        With rising times.
    signal : str
        Its column that follows the sun.
    model_seconds, model : numpy.ndarray, shape (k,)
        The same under a clear sky, from half a day before the log to half a day after it, at
        seconds since the log's first row.
    night : numpy.ndarray of bool, shape (m,)
        Rows at which the sun is well below the horizon.

    Returns
    -------
    list of Finding
        One at most.

    Notes
    -----
    The share of the signal's energy that the clear curve, moved by a lag and scaled, leaves
    unexplained is least at the clock's error. A lag counts from three quarters of an hour on,
    where it halves that share; smaller errors hide among cloud, shade and tilt.
    """
    values = log.columns[signal]
    seconds = log.seconds()
    known = ~np.isnan(values)
    if signal == "array_power_w" and "state_of_charge" in log.columns:
        known &= ~(log.columns["state_of_charge"] > _FULL)  # a full battery holds the array back
    seen, at = np.maximum(values[known], 0.0), seconds[known]
    if not len(seen) or seen.max() <= 0.0 or (seen > 0.1 * seen.max()).sum() < _SUN_ROWS:
        return []

    def unexplained(lag_h: float) -> float:
        curve = np.interp(at + lag_h * 3600.0, model_seconds, model)
        power = float(curve @ curve)
        return 1.0 - float(seen @ curve) ** 2 / (power * float(seen @ seen)) if power else 1.0

    lags = np.arange(-12.0, 12.01, _LAG_STEP_H)
    left = np.array([unexplained(lag) for lag in lags])
    best, stated = int(np.argmin(left)), unexplained(0.0)
    lag = float(lags[best])
    if abs(lag) < _LEAST_LAG_H or left[best] > 0.5 * stated or stated < _LEAST_UNEXPLAINED:
        return []
    dark = np.flatnonzero(known & night & (np.nan_to_num(values) > 0.1 * float(seen.max())))
    rows = dark if len(dark) else np.flatnonzero(known & (np.nan_to_num(values) > 0.0))
    how = "after" if lag > 0.0 else "before"
    message = (
        f"the sun fits the log best {abs(lag):.2g} h {how} the times that it states"
        f" ({rows_text(rows.tolist())}" + (" lie in the night)" if len(dark) else ")")
    )
    hint = "summer time, 12 for 24 hours, or the offset from UTC; or shade that place does not tell"
    return [finding_at(LogFault.CLOCK_SHIFT, "times", message, rows, hint)]
