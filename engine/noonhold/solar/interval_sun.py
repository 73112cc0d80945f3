"""The sun over intervals cut into equal parts: what readers need to mend a weather table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
import pandas as pd
import pvlib

from noonhold.numerics.array_types import FloatArray
from noonhold.solar.sun_track import PARALLAX_DEG, hour_angle_deg, sun_track

SUBSTEPS: Final = 12
_DEGREES_PER_SECOND: Final = 15.0 / 3600.0


@dataclass(frozen=True)
class IntervalSun:
    """The sun over intervals, each cut into equal parts.

    Parameters
    ----------
    cosines : numpy.ndarray, shape (n, parts)
        Cosine of the zenith angle in the middle of every part, zero below the horizon.
    extraterrestrial : numpy.ndarray, shape (n,)
        Irradiance normal to the beam outside the atmosphere. [W/m2]
    """

    cosines: FloatArray
    extraterrestrial: FloatArray

    @property
    def mean_cosine(self) -> FloatArray:
        """Return the mean over the interval, with zero for the sun below the horizon."""
        mean: FloatArray = self.cosines.mean(axis=1)
        return mean

    @property
    def sunlit_cosine(self) -> FloatArray:
        """Return the mean over the part of the interval with the sun up; zero at night."""
        up = (self.cosines > 0.0).sum(axis=1)
        mean: FloatArray = self.cosines.sum(axis=1) / np.maximum(up, 1)
        return mean


def interval_sun(
    starts_utc: npt.NDArray[np.datetime64],
    interval_s: float,
    latitude: float,
    longitude: float,
    parts: int = SUBSTEPS,
) -> IntervalSun:
    """Return the cosines of the sun's zenith angle over intervals.

    Parameters
    ----------
    starts_utc : numpy.ndarray of datetime64, shape (n,)
        Starts of the intervals in UTC.
    interval_s : float
        Length of every interval; 0 for instants. [s]
    latitude, longitude : float
        North and east positive. [degree]
    parts : int
        Number of parts an interval is cut into.

    Notes
    -----
    Declination and equation of time of :func:`noonhold.solar.sun_track.sun_track` in the
    interval's middle, without refraction; inside the interval the declination stands and the hour
    angle turns by 15 degrees an hour.
    """
    middle_s = _unix_s(starts_utc) + 0.5 * interval_s
    sines = _sines(middle_s, interval_s, latitude, longitude, parts)
    day = pd.to_datetime(middle_s, unit="s").day_of_year.to_numpy(dtype=np.float64)
    extraterrestrial = np.asarray(pvlib.irradiance.get_extra_radiation(day), dtype=np.float64)
    return IntervalSun(np.maximum(sines, 0.0), extraterrestrial)


def sun_elevation_deg(
    moments_utc: npt.NDArray[np.datetime64], latitude: float, longitude: float
) -> FloatArray:
    """Return the true (unrefracted) elevation of the sun's centre at moments.

    Parameters
    ----------
    moments_utc : numpy.ndarray of datetime64, shape (n,)
        In UTC.
    latitude, longitude : float
        North and east positive. [degree]

    Returns
    -------
    numpy.ndarray, shape (n,)
        Negative below the horizon. [degree]
    """
    sines = _sines(_unix_s(moments_utc), 0.0, latitude, longitude, 1)[:, 0]
    return np.asarray(np.degrees(np.arcsin(np.clip(sines, -1.0, 1.0))))


def _unix_s(moments_utc: npt.NDArray[np.datetime64]) -> FloatArray:
    """Return seconds since 1970 of moments that may be given in any resolution."""
    return np.asarray(moments_utc.astype("datetime64[ms]").astype(np.int64) / 1000.0)


def _sines(
    middle_s: FloatArray,
    interval_s: float,
    latitude: float,
    longitude: float,
    parts: int,
) -> FloatArray:
    """Return the sine of the sun's elevation in the middle of every part, shape (n, parts)."""
    slow = sun_track(middle_s.astype(np.int64), 1)(middle_s)
    phi, declination = np.radians(latitude), np.radians(slow[:, 0])
    hour_angle = hour_angle_deg(middle_s, slow[:, 1], longitude)
    turn_deg = ((np.arange(parts) + 0.5) / parts - 0.5) * interval_s * _DEGREES_PER_SECOND
    angles = np.radians(hour_angle[:, None] + turn_deg)
    along = np.sin(phi) * np.sin(declination)
    swing = np.cos(phi) * np.cos(declination)
    sines = along[:, None] + swing[:, None] * np.cos(angles)
    parallax = np.radians(PARALLAX_DEG / slow[:, 2])
    return np.asarray(sines - parallax[:, None] * (1.0 - sines**2))
