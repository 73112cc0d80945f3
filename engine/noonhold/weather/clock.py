"""The clock that operation and days follow: legal time with a zone, else standard time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
import pandas as pd

from noonhold.weather.weather_table import WeatherTable

IntArray = npt.NDArray[np.int64]

DAY_S: Final = 86400


@dataclass(frozen=True)
class Clock:
    """The clock over a run.

    Parameters
    ----------
    name : str
        IANA zone, or ``UTC+hh:mm`` for the weather's standard time.
    starts : numpy.ndarray of datetime64[s], shape (n,)
        Clock reading at the start of every interval, no zone attached.
    offset_s : numpy.ndarray of int, shape (n,)
        Offset of the clock from UTC at the start of every interval. [s]
    """

    name: str
    starts: npt.NDArray[np.datetime64]
    offset_s: IntArray

    def second_of_day(self) -> IntArray:
        """Return the seconds since the clock's midnight at every start, shape (n,), in s."""
        seconds = self.starts.astype("datetime64[s]").astype(np.int64)
        return seconds % DAY_S

    def day_first(self) -> IntArray:
        """Return the index of each day's first interval, shape (days,)."""
        dates = self.starts.astype("datetime64[D]")
        return np.flatnonzero(np.concatenate([[True], dates[1:] != dates[:-1]]))

    def iso_times(self) -> list[str]:
        """Return the starts as ISO 8601 with their offsets, shape (n,)."""
        texts = np.datetime_as_string(self.starts, unit="s").tolist()
        offset_s, inverse = np.unique(self.offset_s, return_inverse=True)
        ends = [_signed(offset) for offset in offset_s.tolist()]
        return [text + ends[i] for text, i in zip(texts, inverse.tolist(), strict=True)]

    def iso_time(self, row: int) -> str:
        """Return one start as ISO 8601 with its offset."""
        start = np.datetime_as_string(self.starts[row], unit="s")
        return f"{start}{_signed(int(self.offset_s[row]))}"


def _signed(offset_s: int) -> str:
    """Return an offset as ``+hh:mm``."""
    minutes = abs(offset_s) // 60
    return f"{'-' if offset_s < 0 else '+'}{minutes // 60:02d}:{minutes % 60:02d}"


def clock_over(weather: WeatherTable, timezone: str | None) -> Clock:
    """Return the clock over a weather table.

    Parameters
    ----------
    weather : WeatherTable
        Its intervals are labelled in standard time.
    timezone : str or None
        IANA zone of the place; ``None`` keeps the standard time.

    Returns
    -------
    Clock
        A typical year follows the zone's rules of the year its labels carry.
    """
    standard = weather.starts()
    offset_s = round(weather.site.utc_offset_h * 3600)
    if timezone is None:
        offsets = np.full(len(weather), offset_s, dtype=np.int64)
        return Clock(f"UTC{_signed(offset_s)}", standard, offsets)
    universal = pd.DatetimeIndex(standard - np.timedelta64(offset_s, "s")).tz_localize("UTC")
    local = universal.tz_convert(timezone).tz_localize(None).to_numpy().astype("datetime64[s]")
    behind = local - (standard - np.timedelta64(offset_s, "s"))
    return Clock(timezone, local, behind.astype("timedelta64[s]").astype(np.int64))


def first_interval_of(weather: WeatherTable, timezone: str | None, day: np.datetime64) -> int:
    """Return the interval of a table in which a day begins on the clock.

    Parameters
    ----------
    weather : WeatherTable
        Labelled in standard time.
    timezone : str or None
        IANA zone of the place.

    Returns
    -------
    int
        Counted from the table's first; may lie outside it, as a full year goes on at both ends.
        Where the clock's midnight falls into an interval, the one whose start is nearest.
    """
    offset_s = round(weather.site.utc_offset_h * 3600)
    midnight = pd.Timestamp(day.astype("datetime64[D]").astype("datetime64[s]"))
    if timezone is not None:
        # A clock set ahead at midnight begins its day at 01:00; one set back takes the first.
        zoned = midnight.tz_localize(timezone, ambiguous=True, nonexistent="shift_forward")
        midnight = zoned.tz_convert("UTC").tz_localize(None) + pd.Timedelta(seconds=offset_s)
    into_table = midnight - pd.Timestamp(weather.start)
    return round(into_table.total_seconds() / weather.interval_s)
