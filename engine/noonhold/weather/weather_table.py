"""The one weather table: what every reader fills and everything downstream reads."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import timedelta, timezone
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
import pandas as pd

FloatArray: TypeAlias = npt.NDArray[np.float64]

RADIATION_COLUMNS = ("ghi", "dni", "dhi", "horizontal_infrared")
INSTANT_COLUMNS = ("temp_air", "relative_humidity", "pressure", "wind_speed")


@dataclass(frozen=True)
class Site:
    """Where a weather table was taken.

    Parameters
    ----------
    name : str
        Name of the station or place.
    latitude, longitude : float
        North and east positive. [degree]
    elevation_m : float
        Height above sea level. [m]
    utc_offset_h : float
        Fixed offset of the table's clock from UTC, east positive. [h]
    station : str
        Identifier within the catalogue or the source's own number; empty where there is none.
    region : str
        State, province or zone as the file's header names it; empty where there is none.
    source : str
        Data set and format, for example ``NREL TMY3 (EPW)``.
    """

    name: str
    latitude: float
    longitude: float
    elevation_m: float
    utc_offset_h: float
    station: str = ""
    region: str = ""
    source: str = ""


@dataclass(frozen=True)
class WeatherTable:
    """Weather on equal intervals, each labelled at its start in a fixed offset from UTC.

    Parameters
    ----------
    site : Site
        Where the table was taken; its ``utc_offset_h`` is the clock of ``start``.
    start : numpy.datetime64
        Start of the first interval in the site's standard time (no zone attached).
    interval_s : int
        Length of an interval; divides an hour. [s]
    ghi, dni, dhi : numpy.ndarray, shape (n,)
        Global horizontal, direct normal and diffuse horizontal irradiance, **interval mean**.
        [W/m2]
    horizontal_infrared : numpy.ndarray, shape (n,)
        Long-wave irradiance on a horizontal plane from the sky, **interval mean**. [W/m2]
    temp_air : numpy.ndarray, shape (n,)
        Dry-bulb temperature, **instant at the interval's end**. [degC]
    relative_humidity : numpy.ndarray, shape (n,)
        **Instant at the interval's end**. [%]
    pressure : numpy.ndarray, shape (n,)
        Station pressure, **instant at the interval's end**. [Pa]
    wind_speed : numpy.ndarray, shape (n,)
        At 10 m above open ground, **instant at the interval's end**. [m/s]
    full_year : bool
        True where the table is a whole typical year, so that its end joins its beginning.
    opening : numpy.ndarray, shape (4,), optional
        The instant columns (in the order of ``INSTANT_COLUMNS``) at the first interval's start,
        where they are known and the table is no full year.
    day_repeats : bool
        Whether the days before the first are that day again: described days and own columns,
        which know no other, not a stretch of a year.
    notes : tuple of str
        What a reader changed, filled, dropped or assumed; handed on to the answer.
    """

    site: Site
    start: np.datetime64
    interval_s: int
    ghi: FloatArray
    dni: FloatArray
    dhi: FloatArray
    horizontal_infrared: FloatArray
    temp_air: FloatArray
    relative_humidity: FloatArray
    pressure: FloatArray
    wind_speed: FloatArray
    full_year: bool
    opening: FloatArray | None = None
    day_repeats: bool = False
    notes: tuple[str, ...] = field(default=())

    def __len__(self) -> int:
        """Return the number of intervals."""
        return len(self.temp_air)

    def starts(self) -> npt.NDArray[np.datetime64]:
        """Return the start of every interval in standard time, shape (n,).

        Returns
        -------
        numpy.ndarray of datetime64[s]
            Interval labels without a zone.
        """
        step = np.timedelta64(self.interval_s, "s")
        first: np.datetime64 = self.start.astype("datetime64[s]")
        labels: npt.NDArray[np.datetime64] = first + np.arange(len(self)) * step
        return labels

    def index(self) -> pd.DatetimeIndex:
        """Return the interval labels with the site's fixed offset attached.

        Returns
        -------
        pandas.DatetimeIndex
            Interval starts, shape (n,).
        """
        offset = timezone(timedelta(hours=self.site.utc_offset_h))
        return pd.DatetimeIndex(self.starts()).tz_localize(offset)

    def instants_at_start(self, name: str) -> FloatArray:
        """Return an instant column's values at the starts of the intervals.

        Parameters
        ----------
        name : str
            One of ``INSTANT_COLUMNS``.

        Returns
        -------
        numpy.ndarray, shape (n,)
            Before the first interval stands the last value of a full year, else ``opening``,
            else the column's first value.
        """
        column: FloatArray = getattr(self, name)
        before = np.roll(column, 1)
        if not self.full_year:
            place = INSTANT_COLUMNS.index(name)
            before[0] = column[0] if self.opening is None else self.opening[place]
        return before

    def slice(self, first: int, count: int) -> WeatherTable:
        """Return ``count`` intervals from ``first`` on; a full year wraps over its end.

        Parameters
        ----------
        first : int
            Index of the first interval; may be negative in a full year.
        count : int
            Number of intervals.

        Returns
        -------
        WeatherTable
            Marked as no full year; its opening instants are those that stood before it.
        """
        rows = np.arange(first, first + count)
        if self.full_year:
            rows %= len(self)
        columns = {name: getattr(self, name)[rows] for name in RADIATION_COLUMNS + INSTANT_COLUMNS}
        opening = np.array([self.instants_at_start(name)[rows[0]] for name in INSTANT_COLUMNS])
        start = self.start + np.timedelta64(first * self.interval_s, "s")
        return replace(self, start=start, full_year=False, opening=opening, **columns)
