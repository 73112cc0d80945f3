"""Where the sun stands in every interval.

The solar position algorithm costs tens of milliseconds a year when it is asked for every interval.
Its slow parts (declination, equation of time, distance) are taken from it every few days and
interpolated (`solar.sun_track`); the fast part, the hour angle, is plain trigonometry.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pvlib

from noonhold.numerics.array_types import FloatArray
from noonhold.solar.sun_track import PARALLAX_DEG, hour_angle_deg, sun_track

SOLAR_CONSTANT_W_M2 = 1366.1  # as pvlib's default, so that its Perez model sees the same sky
DEFAULT_TEMPERATURE_C = 12.0  # annual mean for refraction where none is given, as pvlib's default
REFRACTION_AT_HORIZON_DEG = 0.5667  # Reda and Andreas
SUN_RADIUS_DEG = 0.26667  # Reda and Andreas

_DEGREES_PER_SECOND = 15.0 / 3600.0


@dataclass(frozen=True)
class SolarGeometry:
    """The sun over a row of intervals; every array but the last has shape (n,).

    Each is taken at one moment of the interval: its middle, or the middle of the part in which
    the sun is up where that is not the whole. Where the sun stays down it is the middle again.

    Parameters
    ----------
    zenith_deg : numpy.ndarray
        Apparent (refracted) zenith angle of the sun's centre. [degree]
    azimuth_deg : numpy.ndarray
        Clockwise from north, 0 to 360. [degree]
    sunlit_fraction : numpy.ndarray
        Share of the interval in which the sun's centre is seen over a level horizon. [-]
    extraterrestrial_w_m2 : numpy.ndarray
        Irradiance normal to the beam above the atmosphere. [W/m2]
    declination_deg : numpy.ndarray
        Geocentric. [degree]
    hour_angle_deg : numpy.ndarray
        Zero at true noon, negative in the morning, -180 to 180. [degree]
    moment_s : numpy.ndarray
        The moment itself, in seconds since 1970-01-01 00:00 UTC. [s]
    mean_towards_sun : numpy.ndarray, shape (n, 3)
        Unit vector to the sun (east, north, up), its mean over the lit part of the interval: by a
        little shorter than 1, for the sun moves. [-]
    """

    zenith_deg: FloatArray
    azimuth_deg: FloatArray
    sunlit_fraction: FloatArray
    extraterrestrial_w_m2: FloatArray
    declination_deg: FloatArray
    hour_angle_deg: FloatArray
    moment_s: FloatArray
    mean_towards_sun: FloatArray


def sunset_hour_angle_deg(
    declination_deg: npt.ArrayLike, latitude: float, elevation_deg: npt.ArrayLike
) -> FloatArray:
    """Return the hour angle at which the sun's centre sinks through an elevation.

    Parameters
    ----------
    declination_deg : array_like, shape (n,)
        Declination of the sun. [degree]
    latitude : float
        North positive. [degree]
    elevation_deg : array_like
        True (unrefracted) elevation, -0.8333 for the almanac's sunset of the upper limb. [degree]

    Returns
    -------
    numpy.ndarray, shape (n,)
        0 where the sun stays below all day, 180 where it stays above. [degree]

    Notes
    -----
    ``cos H = (sin a - sin phi sin delta) / (cos phi cos delta)``.

    References
    ----------
    I. Reda, A. Andreas, NREL/TP-560-34302 (2008), appendix A.2.
    """
    declination = np.radians(np.asarray(declination_deg, dtype=float))
    phi = np.radians(latitude)
    above = np.sin(np.radians(np.asarray(elevation_deg, dtype=float)))
    over = above - np.sin(phi) * np.sin(declination)
    # at a pole the cosine vanishes and only the sign of the numerator decides
    under = np.maximum(np.cos(phi) * np.cos(declination), 1e-12)
    return np.asarray(np.degrees(np.arccos(np.clip(over / under, -1.0, 1.0))))


def solar_geometry(
    starts_utc: npt.NDArray[np.datetime64],
    interval_s: int,
    latitude: float,
    longitude: float,
    elevation_m: float,
    pressure_pa: npt.ArrayLike | None = None,
    temp_air: npt.ArrayLike | None = None,
) -> SolarGeometry:
    """Return where the sun stands in each interval.

    Parameters
    ----------
    starts_utc : numpy.ndarray of datetime64, shape (n,)
        Starts of the intervals in UTC.
    interval_s : int
        Length of an interval, at most a few hours. [s]
    latitude, longitude : float
        North and east positive. [degree]
    elevation_m : float
        Height above sea level; sets the pressure where none is given. [m]
    pressure_pa : array_like, optional
        Scalar or shape (n,), for refraction; the standard atmosphere where absent. [Pa]
    temp_air : array_like, optional
        Scalar or shape (n,), for refraction; 12 degC where absent. [degC]

    Returns
    -------
    SolarGeometry
        Arrays of shape (n,).

    Notes
    -----
    Right ascension, sidereal time, declination and distance come from the solar position
    algorithm on a six-day grid and run between through cubic splines; the topocentric shift is
    ``-parallax cos(e)`` and refraction is the algorithm's own. Within 0.0002 degree of the full
    algorithm.

    The sun counts as up while the refracted centre of its disc is over the level horizon (true
    elevation about -0.57 degree at sea level). The almanac's -0.833 degree is the upper limb's: at
    that moment no beam of note arrives and the centre, whose direction the beam is given, would
    stand below the horizon. A night shorter than the interval may leave two lit pieces: the moment
    is the middle of the longer one.

    References
    ----------
    I. Reda, A. Andreas, Solar position algorithm for solar radiation applications,
    NREL/TP-560-34302 (2008), doi:10.2172/15003974.
    """
    start_s = starts_utc.astype("datetime64[s]").astype(np.int64)
    middle_s: FloatArray = start_s.astype(np.float64) + 0.5 * interval_s
    if pressure_pa is None:
        pressure_pa = float(pvlib.atmosphere.alt2pres(elevation_m))
    air = _refractivity(
        np.asarray(pressure_pa, dtype=float),
        np.asarray(DEFAULT_TEMPERATURE_C if temp_air is None else temp_air, dtype=float),
    )
    track = sun_track(start_s, interval_s)
    slow = track(middle_s)

    hour_angle = hour_angle_deg(middle_s, slow[:, 1], longitude)
    sunset = sunset_hour_angle_deg(slow[:, 0], latitude, _rising_elevation_deg(air))
    half = 0.5 * interval_s * _DEGREES_PER_SECOND
    lit_fraction, shift = _lit_part(hour_angle, half, sunset)

    moment_s = middle_s + shift / _DEGREES_PER_SECOND
    moved = np.flatnonzero(shift)
    if moved.size:
        slow[moved] = track(moment_s[moved])
        hour_angle[moved] = hour_angle_deg(moment_s[moved], slow[moved, 1], longitude)

    elevation, azimuth = _horizontal(slow[:, 0], hour_angle, latitude)
    elevation -= PARALLAX_DEG / slow[:, 2] * np.cos(np.radians(elevation))
    elevation += _refraction_deg(elevation, air)
    # rounding and parallax may leave a lit sun a few thousandths of a degree too low
    elevation = np.where(lit_fraction > 0.0, np.maximum(elevation, 0.0), elevation)
    return SolarGeometry(
        zenith_deg=90.0 - elevation,
        azimuth_deg=azimuth,
        sunlit_fraction=lit_fraction,
        extraterrestrial_w_m2=SOLAR_CONSTANT_W_M2 / slow[:, 2] ** 2,
        declination_deg=slow[:, 0],
        hour_angle_deg=hour_angle,
        moment_s=moment_s,
        mean_towards_sun=_mean_towards_sun(
            90.0 - elevation, azimuth, 2.0 * half * lit_fraction, latitude
        ),
    )


def _lit_part(
    hour_angle_deg: FloatArray, half_deg: float, sunset_deg: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the lit share of the intervals and how far their lit middle is off their middle.

    The sun is up from minus to plus ``sunset_deg``, and again a turn earlier and later.
    """
    turns = np.array([[-360.0], [0.0], [360.0]])
    low = np.maximum(hour_angle_deg - half_deg, turns - sunset_deg)
    high = np.minimum(hour_angle_deg + half_deg, turns + sunset_deg)
    length = np.maximum(high - low, 0.0)
    lit = length.sum(axis=0)
    longest = length.argmax(axis=0)[None, :]
    centre = 0.5 * (
        np.take_along_axis(low, longest, axis=0)[0] + np.take_along_axis(high, longest, axis=0)[0]
    )
    whole = lit > 2.0 * half_deg - 1e-9
    shift = np.where(whole | (lit == 0.0), 0.0, centre - hour_angle_deg)
    return np.where(whole, 1.0, lit / (2.0 * half_deg)), shift


def _refractivity(pressure_pa: FloatArray, temp_air: FloatArray) -> FloatArray:
    """Return the density factor of refraction, 1 at 1010 hPa and 10 degC."""
    return np.asarray((pressure_pa / 101000.0) * 283.0 / (273.0 + temp_air))


def _refraction_deg(true_elevation_deg: FloatArray, refractivity: FloatArray) -> FloatArray:
    """Return the lift of the sun by refraction; none once the whole disc is down."""
    seen = true_elevation_deg >= -(SUN_RADIUS_DEG + REFRACTION_AT_HORIZON_DEG)
    elevation = np.where(seen, true_elevation_deg, 0.0)
    lift = 1.02 / (60.0 * np.tan(np.radians(elevation + 10.3 / (elevation + 5.11))))
    return np.where(seen, refractivity * lift, 0.0)


def _rising_elevation_deg(refractivity: FloatArray) -> FloatArray:
    """Return the geocentric elevation from which refraction lifts the centre to the horizon."""
    elevation = np.zeros_like(refractivity)
    for _ in range(4):  # contracts by a factor of about ten each time
        elevation = -_refraction_deg(elevation, refractivity)
    return elevation + PARALLAX_DEG


def _horizontal(
    declination_deg: FloatArray, hour_angle_deg: FloatArray, latitude: float
) -> tuple[FloatArray, FloatArray]:
    """Return true elevation and azimuth (clockwise from north) from the equatorial place."""
    phi = np.radians(latitude)
    declination = np.radians(declination_deg)
    hour = np.radians(hour_angle_deg)
    sin_dec, cos_dec = np.sin(declination), np.cos(declination)
    cos_hour = np.cos(hour)
    east = -cos_dec * np.sin(hour)
    north = np.cos(phi) * sin_dec - np.sin(phi) * cos_dec * cos_hour
    up = np.sin(phi) * sin_dec + np.cos(phi) * cos_dec * cos_hour
    elevation = np.degrees(np.arctan2(up, np.hypot(east, north)))
    return elevation, np.degrees(np.arctan2(east, north)) % 360.0


def _mean_towards_sun(
    zenith_deg: FloatArray, azimuth_deg: FloatArray, swept_deg: FloatArray, latitude: float
) -> FloatArray:
    """Return the mean of the unit vector to the sun (east, north, up), shape (n, 3).

    The sun turns about the axis of the sky: what of the vector lies along the axis stays, the rest
    is shortened by ``sin(a) / a`` of half the angle swept, 0.3 percent in an hour.
    """
    zenith, bearing = np.radians(zenith_deg), np.radians(azimuth_deg)
    level = np.sin(zenith)
    towards = np.stack([level * np.sin(bearing), level * np.cos(bearing), np.cos(zenith)], axis=1)
    axis = np.array([0.0, np.cos(np.radians(latitude)), np.sin(np.radians(latitude))])
    along = (towards @ axis)[:, None] * axis
    return np.asarray(along + np.sinc(swept_deg / 360.0)[:, None] * (towards - along))
