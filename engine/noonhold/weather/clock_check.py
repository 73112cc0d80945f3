"""A file's clock checked against the sun: do the irradiances agree with each other as labelled."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pvlib

from noonhold.weather.weather_table import FloatArray, WeatherTable

_ROWS = 400
_LEAST_BEAM = 300.0  # W/m2 normal to the beam
_LEAST_HORIZONTAL = 100.0  # W/m2, so that the sun is well up
_BAD = 30.0  # W/m2 of disagreement; real files have 1 to 5
_STEP_H = 0.25
_DAYS_OF_A_YEAR = np.arange(1.0, 367.0)


def clock_error_h(table: WeatherTable) -> float | None:
    """Return by how much a table's labels seem to be off the sun.

    Parameters
    ----------
    table : WeatherTable
        A full year.

    Returns
    -------
    float or None
        Hours that the sun is later than the labels say; None where the labels agree with it, or
        where too few hours have a beam. [h]

    Notes
    -----
    ``(ghi - dhi) / dni`` is the cosine of the zenith angle. Over a few hundred sunny hours it is
    compared with the sun in the interval's middle, and with a sun up to half a day off, by
    quarters of an hour. Declination and equation of time by Spencer (1971) through pvlib: a
    quarter of a degree is enough here.
    """
    horizontal = table.ghi - table.dhi
    sunny = np.flatnonzero((table.dni > _LEAST_BEAM) & (horizontal > _LEAST_HORIZONTAL))
    if len(sunny) < _ROWS // 10:
        return None
    rows = sunny[:: max(len(sunny) // _ROWS, 1)]
    stated = _disagreement(table, rows, np.zeros((1, 1)))[0]
    if stated < _BAD:
        return None
    shifts_h = np.arange(-12.0, 12.0, _STEP_H)
    rmse = _disagreement(table, rows, shifts_h[:, None])
    best = int(np.argmin(rmse))
    return float(shifts_h[best]) if rmse[best] < 0.5 * stated else None


def spencer_cosine(
    table: WeatherTable, rows: npt.NDArray[np.int64], shifts_h: FloatArray | float
) -> FloatArray:
    """Return the cosine of the zenith angle in the middle of intervals, to a quarter of a degree.

    Parameters
    ----------
    table : WeatherTable
        Place and labels.
    rows : numpy.ndarray of int, shape (n,)
        Intervals.
    shifts_h : numpy.ndarray or float
        Added to the time; broadcast against the rows. [h]

    Returns
    -------
    numpy.ndarray
        Negative below the horizon.
    """
    labels = table.starts()[rows]
    days = labels.astype("datetime64[D]")
    day = (days - days.astype("datetime64[Y]")).astype(np.int64)
    clock_h = (labels - days).astype(np.int64) / 3600.0 + table.interval_s / 7200.0
    declination = pvlib.solarposition.declination_spencer71(_DAYS_OF_A_YEAR)
    equation_h = pvlib.solarposition.equation_of_time_spencer71(_DAYS_OF_A_YEAR) / 60.0
    to_solar_h = table.site.longitude / 15.0 - table.site.utc_offset_h + equation_h[day]
    hour_angle = np.radians(15.0 * (clock_h + to_solar_h + shifts_h - 12.0))
    latitude = np.radians(table.site.latitude)
    cosine = (np.sin(latitude) * np.sin(declination))[day]
    cosine = cosine + (np.cos(latitude) * np.cos(declination))[day] * np.cos(hour_angle)
    result: FloatArray = cosine
    return result


def _disagreement(
    table: WeatherTable, rows: npt.NDArray[np.int64], shifts_h: FloatArray
) -> FloatArray:
    """Return the RMSE of GHI - DNI cos z - DHI for every shift of the sun, shape (shifts,)."""
    cosine = spencer_cosine(table, rows, shifts_h)
    beam = table.dni[rows] * np.maximum(cosine, 0.0)
    error = table.ghi[rows] - table.dhi[rows] - beam
    rmse: FloatArray = np.sqrt(np.mean(error**2, axis=1))
    return rmse


def with_clock_checked(table: WeatherTable) -> WeatherTable:
    """Return a table with a note where its labels do not agree with the sun.

    Parameters
    ----------
    table : WeatherTable
        Any table; only full years are looked at.

    Returns
    -------
    WeatherTable
        The same weather.
    """
    error_h = clock_error_h(table) if table.full_year else None
    if error_h is None:
        return table
    side = "later" if error_h > 0.0 else "earlier"
    note = (
        f"CAUTION: ghi, dni and dhi agree with a sun about {abs(error_h):g} h {side} than the"
        " labels say; the file's clock or its labels may be wrong, nothing was moved"
    )
    return replace(table, notes=(*table.notes, note))
