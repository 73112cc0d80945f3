"""From a request for weather to the table a run steps through, settling days first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from noonhold.air.moist_air import standard_pressure
from noonhold.errors import (
    DocumentError,
    Fault,
    StationNotFoundError,
    WeatherError,
    WeatherFormatError,
)
from noonhold.scenario import Place
from noonhold.weather.calendar import HOURS
from noonhold.weather.catalogue import (
    DEFAULT_LIMIT_KM,
    Catalogue,
    Near,
    Station,
    great_circle_km,
)
from noonhold.weather.clock import DAY_S, first_interval_of
from noonhold.weather.hot_day import HOUR_OF_HIGH, HotDay, hot_day
from noonhold.weather.own_columns import hourly_table
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_request import Hourly, TypicalYear, WeatherRequest
from noonhold.weather.weather_table import INSTANT_COLUMNS, RADIATION_COLUMNS, Site, WeatherTable

Reader = Callable[[Path], WeatherTable]

_NOTED_ELEVATION_M = 50.0
# About 2 K of air: more than the adverse twin allows for; common practice, no source.
MOST_HEIGHT_M = 300.0
_CANDIDATES = 20  # nearest stations among which one at the place's height is looked for
# Typical years carry old labels; a recent common year makes the clock follow recent rules.
LABEL_YEAR = 2025


@dataclass(frozen=True)
class Selected:
    """The weather of a run.

    Parameters
    ----------
    table : WeatherTable
        Settling intervals first.
    spin_up : int
        How many intervals only settle the cabin.
    near : Near or None
        The station it came from.
    notes : tuple of str
        What was assumed in choosing it.
    """

    table: WeatherTable
    spin_up: int
    near: Near | None
    notes: tuple[str, ...]


def at_elevation(table: WeatherTable, elevation_m: float) -> WeatherTable:
    """Bring a station's pressure to another elevation.

    Parameters
    ----------
    table : WeatherTable
        At its site's elevation.
    elevation_m : float
        Of the place. [m]

    Returns
    -------
    WeatherTable
        Pressure scaled by the ratio of the standard atmosphere at both elevations; temperature and
        humidity stay the station's.
    """
    ratio = standard_pressure(elevation_m) / standard_pressure(table.site.elevation_m)
    opening = table.opening
    if opening is not None:
        opening = opening.copy()
        opening[INSTANT_COLUMNS.index("pressure")] *= ratio
    return replace(table, pressure=table.pressure * ratio, opening=opening)


def relabelled(table: WeatherTable) -> WeatherTable:
    """Label a typical year with a recent common year.

    Parameters
    ----------
    table : WeatherTable
        A full year.

    Returns
    -------
    WeatherTable
        The same hours, so that legal time follows today's rules for summer time.
    """
    date_and_time = str(table.start.astype("datetime64[s]"))[4:]
    return replace(table, start=np.datetime64(f"{LABEL_YEAR}{date_and_time}", "s"))


def typical_days(
    table: WeatherTable, place: Place, month: int, day: int, days: int, spin_up_days: int = 0
) -> tuple[WeatherTable, int]:
    """Cut a stretch out of a typical year.

    Parameters
    ----------
    table : WeatherTable
        A full year.
    place : Place
        For the clock whose midnight the stretch begins at.
    month, day, days : int
        Where it begins, and its length.
    spin_up_days : int, optional
        Days before it that settle the cabin.

    Returns
    -------
    table : WeatherTable
        Settling days first.
    spin_up : int
        Number of settling intervals.

    Raises
    ------
    WeatherFormatError
        The table is no full year.

    Notes
    -----
    From midnight to midnight of the place's clock: a day on which summer time begins or ends has
    23 or 25 hours. A stretch that runs over the year's end follows the clock of the year it runs
    into, where summer time may begin on another date: 365 days of the clock from such a date are
    an hour less or more than the year's 8760.
    """
    if not table.full_year:
        raise WeatherFormatError.single(
            "/weather/typical_year",
            "the station's file is no full year",
            len(table),
            f"{HOURS * 3600 // table.interval_s} intervals",
        )
    spin_up = spin_up_days * DAY_S // table.interval_s
    table = relabelled(table)
    begin = np.datetime64(f"{LABEL_YEAR}-{month:02d}-{day:02d}", "D")
    first = first_interval_of(table, place.timezone, begin)
    last = first_interval_of(table, place.timezone, begin + np.timedelta64(days, "D"))
    return table.slice(first - spin_up, last - first + spin_up), spin_up


def repeat_first_day(table: WeatherTable, days: int) -> WeatherTable:
    """Put copies of a table's first day before it.

    Parameters
    ----------
    table : WeatherTable
        At least a day long.
    days : int
        How many copies.

    Returns
    -------
    WeatherTable
        Begins that many days earlier.
    """
    per_day = DAY_S // table.interval_s
    rows = np.concatenate([np.tile(np.arange(per_day), days), np.arange(len(table))])
    columns = {name: getattr(table, name)[rows] for name in RADIATION_COLUMNS + INSTANT_COLUMNS}
    start = table.start - np.timedelta64(days * DAY_S, "s")
    return replace(table, start=start, full_year=False, day_repeats=True, **columns)


def _clock_offset(place: Place, day: datetime) -> tuple[timedelta, timedelta, tuple[str, ...]]:
    """Return the clock's offset from UTC, its summer-time part, and what was assumed."""
    if place.timezone is None:
        hours = round(place.longitude / 15.0)
        note = (
            f"no time zone was given: the clock is UTC{hours:+03d}:00, the whole hour nearest to"
            " the longitude"
        )
        return timedelta(hours=hours), timedelta(0), (note,)
    local = day.replace(tzinfo=ZoneInfo(place.timezone))
    return local.utcoffset() or timedelta(0), local.dst() or timedelta(0), ()


def _site(place: Place, offset: timedelta, source: str) -> Site:
    """Return the place as the site of weather made for it."""
    return Site(
        name="the place itself",
        latitude=place.latitude,
        longitude=place.longitude,
        elevation_m=place.elevation_m,
        utc_offset_h=offset.total_seconds() / 3600.0,
        source=source,
    )


def _hot_day(asked: HotDay, place: Place, spin_up_days: int) -> Selected:
    noon = datetime.combine(asked.date, time(12))
    offset, summer, notes = _clock_offset(place, noon)
    # The curve belongs to the sun; on a clock that is set ahead the high comes later.
    high = asked.hour_of_high
    if high is None:
        high = HOUR_OF_HIGH + summer.total_seconds() / 3600.0
    day = replace(
        asked,
        date=asked.date - timedelta(days=spin_up_days),
        days=asked.days + spin_up_days,
        hour_of_high=high,
    )
    table = hot_day(_site(place, offset, "described day"), day)
    spin_up = spin_up_days * DAY_S // table.interval_s
    table = _from_midnight_to_midnight(table, place, day, asked, spin_up)
    return Selected(table, spin_up, None, notes)


def _from_midnight_to_midnight(
    table: WeatherTable, place: Place, day: HotDay, asked: HotDay, spin_up: int
) -> WeatherTable:
    """Return described days from the clock's midnight to its midnight, settling intervals before.

    ``table`` is of ``day``, on the clock of the first noon. Where that clock changes between its
    midnights, days have 23 or 25 hours, and a day more on either side is made and cut to them.
    """
    begin = np.datetime64(asked.date, "D")
    first = first_interval_of(table, place.timezone, begin)
    last = first_interval_of(table, place.timezone, begin + np.timedelta64(asked.days, "D"))
    if (first, last) == (spin_up, len(table)):
        return table
    wider = hot_day(table.site, replace(day, date=day.date - timedelta(days=1), days=day.days + 2))
    first += DAY_S // table.interval_s
    last += DAY_S // table.interval_s
    return replace(wider.slice(first - spin_up, last - first + spin_up), notes=table.notes)


def _hourly(asked: Hourly, place: Place, spin_up_days: int) -> Selected:
    offset = asked.start.utcoffset()
    if offset is None:
        raise DocumentError.single("/weather/hourly/start", "needs an offset from UTC")
    site = _site(place, offset, "own columns")
    table = hourly_table(site, asked.start, asked.interval_s, asked.columns)
    spin_up = spin_up_days * DAY_S // table.interval_s
    if spin_up and len(table) * table.interval_s < DAY_S:
        raise DocumentError.single(
            "/start/cabin_temperature_c",
            "a settled start needs at least one whole day of weather",
            len(table),
            f"at least {DAY_S // table.interval_s} intervals",
        )
    notes: tuple[str, ...] = ()
    if spin_up:
        table = repeat_first_day(table, spin_up_days)
        notes = (f"the cabin was settled on {spin_up_days} copies of the first day",)
    return Selected(table, spin_up, None, notes)


def _seen_from(station: Station, place: Place) -> Near:
    """Return how far a station that was asked for by name stands from the place."""
    site = station.site
    distance = great_circle_km(
        place.latitude, place.longitude, np.array([site.latitude]), np.array([site.longitude])
    )
    return Near(station, float(distance[0]), site.elevation_m - place.elevation_m)


def is_far(near: Near) -> bool:
    """Tell whether a station's weather is another place's: by distance, or by height."""
    height_m = abs(near.elevation_difference_m or 0.0)
    return near.distance_km > DEFAULT_LIMIT_KM or height_m > MOST_HEIGHT_M


def _nearest(asked: TypicalYear, place: Place, catalogue: Catalogue) -> Near:
    """Return the nearest station at about the place's height, or refuse."""
    found = catalogue.nearest(
        place.latitude, place.longitude, place.elevation_m, asked.max_distance_km, _CANDIDATES
    )
    for near in found:
        if abs(near.elevation_difference_m or 0.0) <= MOST_HEIGHT_M:
            return near
    nearest = found[0]
    difference = nearest.elevation_difference_m or 0.0
    raise StationNotFoundError.single(
        "/station",
        f"no station within {asked.max_distance_km:g} km of the place is at about its height; the"
        f" nearest, {nearest.station.station_id} ({nearest.station.site.name}), stands"
        f" {abs(difference):,.0f} m {'higher' if difference > 0.0 else 'lower'}: its weather is"
        " another place's",
        float(difference),
        f"at most {MOST_HEIGHT_M:g} m, or a station named with allow_far",
    )


def _refuse_far(near: Near) -> None:
    """Refuse a named station whose weather is another place's."""
    if not is_far(near):
        return
    difference = near.elevation_difference_m or 0.0
    raise StationNotFoundError.single(
        "/station",
        f"stands {near.distance_km:,.0f} km from the place and {abs(difference):,.0f} m"
        f" {'higher' if difference > 0.0 else 'lower'}: its weather is another place's",
        near.station.station_id,
        f"at most {DEFAULT_LIMIT_KM:g} km and {MOST_HEIGHT_M:g} m, or allow_far",
    )


def _typical_year(
    asked: TypicalYear, place: Place, spin_up_days: int, catalogue: Catalogue, read: Reader
) -> Selected:
    if asked.station is None:
        near = _nearest(asked, place, catalogue)
    else:
        station = catalogue.get(asked.station)
        near = _seen_from(station, place)
        if not asked.allow_far:
            _refuse_far(near)
    try:
        year = read(near.station.path)
    except WeatherError as error:
        raise type(error)(_where_asked(fault, asked) for fault in error.faults) from None
    table, spin_up = typical_days(year, place, asked.month, asked.day, asked.days, spin_up_days)
    notes: tuple[str, ...] = (f"a typical year belongs to no year: it is labelled {LABEL_YEAR}",)
    difference = near.elevation_difference_m or 0.0
    if abs(difference) >= _NOTED_ELEVATION_M:
        notes += (
            f"the station stands {abs(difference):.0f} m {'above' if difference > 0 else 'below'}"
            " the place: pressure was brought to the place's elevation, temperature and humidity"
            " were left as they are",
        )
    return Selected(at_elevation(table, place.elevation_m), spin_up, near, notes)


def _where_asked(fault: Fault, asked: TypicalYear) -> Fault:
    """Return a fault of a station's file at the place that asked for the station."""
    path = "/weather/typical_year" + ("" if asked.station is None else "/station")
    return replace(fault, path=path, message=f"{fault.path}: {fault.message}", value=asked.station)


def select_weather(
    asked: WeatherRequest,
    place: Place,
    spin_up_days: int,
    catalogue: Catalogue,
    read: Reader = read_weather,
) -> Selected:
    """Return the weather that a request asks for.

    Parameters
    ----------
    asked : TypicalYear, HotDay or Hourly
        The request.
    place : Place
        Where the rig stands.
    spin_up_days : int
        Days that settle the cabin before the answer begins; 0 for none.
    catalogue : Catalogue
        Stations to choose from.
    read : callable, optional
        Reads a station's file; a caller may keep what it has read.

    Returns
    -------
    Selected
        The table and what was assumed.

    Raises
    ------
    StationNotFoundError
        No station of that name, or none near enough.
    WeatherError
        The weather cannot be used. A station's file is named in the message; the pointer leads to
        what asked for it.
    DocumentError
        The request does not fit the weather.
    """
    if isinstance(asked, HotDay):
        return _hot_day(asked, place, spin_up_days)
    if isinstance(asked, Hourly):
        return _hourly(asked, place, spin_up_days)
    return _typical_year(asked, place, spin_up_days, catalogue, read)
