"""What weather is asked for: a stretch of a typical year, an invented hot day, or own columns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TypeAlias

from noonhold.weather.hot_day import HotDay


@dataclass(frozen=True)
class TypicalYear:
    """A stretch of a typical-year file of the catalogue.

    Parameters
    ----------
    month, day : int
        The first day; never 29 February, which a typical year does not have.
    days : int
        How many days; the year's end joins its beginning.
    station : str, optional
        Identifier within the catalogue; ``None`` for the nearest to the place.
    max_distance_km : float
        Beyond it the nearest station is refused. [km]
    allow_far : bool
        Whether a station that is named may be farther off, or stand higher or lower, than its
        weather is good for.
    """

    month: int
    day: int
    days: int = 1
    station: str | None = None
    max_distance_km: float = 100.0
    allow_far: bool = False


@dataclass(frozen=True)
class Hourly:
    """The user's own columns, on the labels of the weather table.

    Parameters
    ----------
    start : datetime.datetime
        Start of the first interval, with its offset from UTC.
    interval_s : int
        Length of an interval; divides an hour. [s]
    columns : mapping of str to tuple of float
        By pvlib's names; ``None`` where a value is missing.
    """

    start: datetime
    interval_s: int
    columns: Mapping[str, tuple[float | None, ...]]


WeatherRequest: TypeAlias = TypicalYear | HotDay | Hourly
