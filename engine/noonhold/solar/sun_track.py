"""The slow part of the sun's course: declination, equation of time and distance, by the day.

pvlib's solar position algorithm sums its series term by term in Python, which costs milliseconds
however few moments are asked for. Here the same tables are summed at once, the rest is pvlib's.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt
from pvlib import spa
from scipy.interpolate import CubicSpline

from noonhold.numerics.array_types import FloatArray

PARALLAX_DEG: Final = 8.794 / 3600.0  # Reda and Andreas, at one astronomical unit
MEAN_TERRESTRIAL_LAG_S: Final = 67.0  # TT - UT1; 10 s more would move the sun by 0.0001 degree

_GRID_DAYS: Final = 6
_DAY_S: Final = 86400
_DEGREES_PER_SECOND: Final = 15.0 / 3600.0
_LONGITUDE: Final = (spa.L0, spa.L1, spa.L2, spa.L3, spa.L4, spa.L5)
_LATITUDE: Final = (spa.B0, spa.B1)
_DISTANCE: Final = (spa.R0, spa.R1, spa.R2, spa.R3, spa.R4)


def sun_track(start_s: npt.NDArray[np.int64], interval_s: int) -> CubicSpline:
    """Return the sun's slow coordinates over a row of intervals.

    Parameters
    ----------
    start_s : numpy.ndarray of int, shape (n,)
        Starts of the intervals, since 1970-01-01 00:00 UTC. [s]
    interval_s : int
        Their length. [s]

    Returns
    -------
    scipy.interpolate.CubicSpline
        Of seconds since 1970: declination, equation of time and distance. [degree], [degree], [AU]
    """
    step = _GRID_DAYS * _DAY_S
    first = (int(start_s.min()) // step - 2) * step
    last = ((int(start_s.max()) + interval_s) // step + 3) * step
    return _track_between(first, last, step)


@lru_cache(maxsize=32)
def _track_between(first_s: int, last_s: int, step_s: int) -> CubicSpline:
    """Return the track over a grid: the same for all places, so once for years of one calendar."""
    unix = np.arange(first_s, last_s + 1, step_s).astype(np.float64)
    sidereal, ascension, declination, distance = apparent_sun(unix)
    # the grid stands at midnight UTC, where the mean sun's hour angle is half a turn
    equation = (sidereal - ascension) % 360.0 - 180.0
    return CubicSpline(unix, np.column_stack([declination, equation, distance]))


def hour_angle_deg(unix_s: FloatArray, equation_deg: FloatArray, longitude: float) -> FloatArray:
    """Return the local hour angle of the true sun.

    Parameters
    ----------
    unix_s : numpy.ndarray, shape (n,)
        Seconds since 1970-01-01 00:00 UTC. [s]
    equation_deg : numpy.ndarray, shape (n,)
        Equation of time, from :func:`sun_track`. [degree]
    longitude : float
        East positive. [degree]

    Returns
    -------
    numpy.ndarray, shape (n,)
        Zero at true noon, negative in the morning, -180 to 180. [degree]
    """
    turned = (unix_s % _DAY_S) * _DEGREES_PER_SECOND - 180.0 + equation_deg + longitude
    return (turned + 180.0) % 360.0 - 180.0


def apparent_sun(unix_s: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return where the sun stands among the stars, seen from the Earth's centre.

    Parameters
    ----------
    unix_s : numpy.ndarray, shape (n,)
        Seconds since 1970-01-01 00:00 UTC. [s]

    Returns
    -------
    sidereal_deg, ascension_deg, declination_deg, distance_au : numpy.ndarray, shape (n,)
        Apparent sidereal time at Greenwich, right ascension, declination, distance.

    References
    ----------
    I. Reda, A. Andreas, Solar position algorithm for solar radiation applications,
    NREL/TP-560-34302 (2008), sections 3.1 to 3.10, doi:10.2172/15003974.
    """
    day = spa.julian_day(unix_s)
    century = spa.julian_century(day)
    ephemeris_century = spa.julian_ephemeris_century(
        spa.julian_ephemeris_day(day, MEAN_TERRESTRIAL_LAG_S)
    )
    millennium = spa.julian_ephemeris_millennium(ephemeris_century)
    distance = _series(_DISTANCE, millennium)
    longitude = np.degrees(_series(_LONGITUDE, millennium)) % 360.0
    latitude = -np.degrees(_series(_LATITUDE, millennium))
    in_longitude, in_obliquity = _nutation(ephemeris_century)
    obliquity = spa.true_ecliptic_obliquity(spa.mean_ecliptic_obliquity(millennium), in_obliquity)
    apparent = spa.apparent_sun_longitude(
        spa.geocentric_longitude(longitude), in_longitude, spa.aberration_correction(distance)
    )
    sidereal = spa.apparent_sidereal_time(
        spa.mean_sidereal_time(day, century), in_longitude, obliquity
    )
    ascension = spa.geocentric_sun_right_ascension(apparent, obliquity, latitude)
    declination = spa.geocentric_sun_declination(apparent, obliquity, latitude)
    return sidereal, ascension, declination, distance


def _series(tables: tuple[FloatArray, ...], millennium: FloatArray) -> FloatArray:
    """Return ``sum over k of t^k sum over rows of A cos(B + C t)``, scaled as the tables are."""
    total = np.zeros_like(millennium)
    for amplitude, phase, rate in (table.T for table in reversed(tables)):
        total = total * millennium + amplitude @ np.cos(phase[:, None] + rate[:, None] * millennium)
    return total / 1e8


def _nutation(century: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the nutation in longitude and in obliquity, in degrees."""
    of_the_date = np.stack(
        [
            spa.mean_elongation(century),
            spa.mean_anomaly_sun(century),
            spa.mean_anomaly_moon(century),
            spa.moon_argument_latitude(century),
            spa.moon_ascending_longitude(century),
        ]
    )
    argument = np.radians(spa.NUTATION_YTERM_ARRAY @ of_the_date)
    a, b, c, d = spa.NUTATION_ABCD_ARRAY.T[:, :, None]
    in_longitude = ((a + b * century) * np.sin(argument)).sum(axis=0)
    in_obliquity = ((c + d * century) * np.cos(argument)).sum(axis=0)
    return in_longitude / 36e6, in_obliquity / 36e6
