"""Which weather a run steps through: stretches of a typical year, described days, own columns."""

from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest

from noonhold.air.moist_air import standard_pressure
from noonhold.errors import DocumentError, StationNotFoundError, WeatherFormatError
from noonhold.scenario import Place
from noonhold.weather.catalogue import Catalogue, Station
from noonhold.weather.clock import clock_over
from noonhold.weather.hot_day import HotDay
from noonhold.weather.selection import (
    LABEL_YEAR,
    at_elevation,
    relabelled,
    repeat_first_day,
    select_weather,
    typical_days,
)
from noonhold.weather.weather_request import Hourly, TypicalYear
from noonhold.weather.weather_table import WeatherTable
from tests.engine.made import PLACE, steady, summer

EMPTY = Catalogue((), ())
DENVER = replace(PLACE, timezone="America/Denver")


def year(start: str = "1990-01-01T00:00", utc_offset_h: float = -7.0) -> WeatherTable:
    """A full year whose temperature is the number of its hour."""
    flat = steady(hours=8760)
    return replace(
        flat, full_year=True, opening=None, start=np.datetime64(start, "s"),
        temp_air=np.arange(8760.0), site=replace(flat.site, utc_offset_h=utc_offset_h),
    )  # fmt: skip


def test_a_stretch_begins_at_midnight_standard_time_without_a_zone() -> None:
    table, spin_up = typical_days(year(), PLACE, 2, 1, 2)
    assert (len(table), spin_up) == (48, 0)
    assert table.temp_air[0] == 31 * 24
    assert table.instants_at_start("temp_air")[0] == 31 * 24 - 1
    assert str(table.start) == f"{LABEL_YEAR}-02-01T00:00:00"


def test_march_follows_february_28() -> None:
    table, _ = typical_days(year("2003-01-01T00:00"), PLACE, 2, 28, 2)
    assert [str(day) for day in np.unique(table.starts().astype("datetime64[D]"))] == [
        f"{LABEL_YEAR}-02-28", f"{LABEL_YEAR}-03-01",
    ]  # fmt: skip


def test_the_years_end_joins_its_beginning_and_no_leap_day_slips_in() -> None:
    # A file labelled 2003 would run into the leap year 2004.
    table, _ = typical_days(year("2003-01-01T00:00"), PLACE, 12, 31, 100)
    assert table.temp_air[[0, 23, 24]].tolist() == [8736.0, 8759.0, 0.0]
    labels = np.datetime_as_string(table.starts().astype("datetime64[D]"))
    assert not np.char.endswith(labels, "-02-29").any()
    assert table.temp_air[-1] == 99 * 24 - 1


def test_settling_days_stand_before_and_wrap_too() -> None:
    table, spin_up = typical_days(year(), PLACE, 1, 1, 1, spin_up_days=3)
    assert spin_up == 72
    assert table.temp_air[0] == 8760 - 72
    assert table.temp_air[spin_up] == 0.0


@pytest.mark.parametrize(("month", "day", "hours"), [(3, 9, 23), (11, 2, 25), (7, 1, 24)])
def test_a_day_of_the_clock_is_a_whole_day_of_the_clock(month: int, day: int, hours: int) -> None:
    table, _ = typical_days(year(), DENVER, month, day, 1)
    clock = clock_over(table, DENVER.timezone)
    assert len(table) == hours
    assert len(clock.day_first()) == 1
    assert clock.second_of_day()[0] == 0


def test_days_over_a_change_of_the_clock_keep_their_number() -> None:
    table, _ = typical_days(year(), DENVER, 3, 8, 3)
    assert len(table) == 71
    assert len(clock_over(table, DENVER.timezone).day_first()) == 3


def test_a_year_from_any_day_is_a_year() -> None:
    for month in range(1, 13):
        table, _ = typical_days(year(), DENVER, month, 15, 365)
        assert len(table) == 8760
        assert len(clock_over(table, DENVER.timezone).day_first()) == 365


@pytest.mark.parametrize(("month", "day", "hours"), [(3, 9, 8759), (11, 2, 8761)])
def test_a_year_from_a_change_of_the_clock_is_365_days_of_it(
    month: int, day: int, hours: int
) -> None:
    # Denver's clock changed on 9 March and 2 November 2025, on 8 March and 1 November 2026.
    table, _ = typical_days(year(), DENVER, month, day, 365)
    clock = clock_over(table, DENVER.timezone)
    assert len(table) == hours
    assert len(clock.day_first()) == 365
    assert clock.second_of_day()[0] == 0
    assert str(clock.starts[-1]) == f"2026-{month:02d}-{day - 1:02d}T23:00:00"


def test_a_full_year_that_begins_in_july_gives_the_dates_that_were_asked() -> None:
    july = year("2023-07-01T00:00")
    table, _ = typical_days(july, PLACE, 7, 2, 1)
    assert table.temp_air[0] == 24.0
    table, _ = typical_days(july, PLACE, 6, 30, 2)
    assert table.temp_air[[0, 24]].tolist() == [8736.0, 0.0]


def test_a_leap_start_keeps_its_date() -> None:
    assert str(relabelled(year("2024-03-01T00:00")).start) == f"{LABEL_YEAR}-03-01T00:00:00"


def test_a_file_that_is_no_full_year_is_refused() -> None:
    with pytest.raises(WeatherFormatError, match="no full year"):
        typical_days(steady(hours=100), PLACE, 1, 1, 1)


def test_a_summer_clock_starts_the_day_an_hour_earlier_in_standard_time() -> None:
    summer_day, _ = typical_days(year(), DENVER, 7, 1, 1)
    assert summer_day.temp_air[0] == 181 * 24 - 1


def test_pressure_goes_with_the_place() -> None:
    moved = at_elevation(steady(pressure=standard_pressure(1500.0)), 2500.0)
    assert moved.pressure == pytest.approx(standard_pressure(2500.0))
    assert moved.instants_at_start("pressure")[0] == pytest.approx(standard_pressure(2500.0))
    assert (moved.temp_air == 0.0).all()


def test_first_days_are_copied_before_the_rest() -> None:
    two = summer(days=2)
    marked = replace(two, temp_air=np.arange(48.0))
    longer = repeat_first_day(marked, 2)
    assert longer.temp_air.tolist() == [*range(24), *range(24), *range(48)]
    assert two.start - longer.start == np.timedelta64(2, "D")


HOT = HotDay(date(2026, 7, 15), 36.0, 18.0, 6.0, 3.0)


def test_a_described_day_settles_on_days_like_itself() -> None:
    selected = select_weather(HOT, PLACE, 3, EMPTY)
    assert (len(selected.table), selected.spin_up) == (96, 72)
    assert str(selected.table.start) == "2026-07-12T00:00:00"
    assert selected.table.temp_air[:24] == pytest.approx(selected.table.temp_air[72:])
    assert any("no time zone was given" in note for note in selected.notes)


def test_on_a_summer_clock_the_high_comes_an_hour_later() -> None:
    standard = select_weather(HOT, PLACE, 0, EMPTY).table
    legal = select_weather(HOT, DENVER, 0, EMPTY).table
    assert np.argmax(legal.temp_air) - np.argmax(standard.temp_air) == 1
    asked = select_weather(replace(HOT, hour_of_high=14.5), DENVER, 0, EMPTY).table
    assert np.argmax(asked.temp_air) == np.argmax(standard.temp_air)


@pytest.mark.parametrize(
    ("first", "days", "settled", "hours"),
    [
        (date(2026, 3, 8), 1, 0, 23),  # Denver's clock is set ahead
        (date(2026, 11, 1), 1, 0, 25),  # and back
        (date(2026, 3, 7), 3, 0, 71),
        (date(2026, 10, 31), 3, 2, 73),
        (date(2026, 3, 9), 1, 2, 24),  # it changed while the cabin settled
        (date(2026, 7, 15), 366, 60, 366 * 24),
    ],
)
def test_described_days_run_from_midnight_to_midnight_of_the_clock(
    first: date, days: int, settled: int, hours: int
) -> None:
    selected = select_weather(replace(HOT, date=first, days=days), DENVER, settled, EMPTY)
    assert selected.spin_up == 24 * settled
    assert len(selected.table) - selected.spin_up == hours
    clock = clock_over(selected.table, DENVER.timezone)
    answered = clock.starts[selected.spin_up :]
    assert answered[0] == np.datetime64(first, "s")
    assert len(np.unique(answered.astype("datetime64[D]"))) == days
    # The high stays with the sun: 14:00 in summer time, 13:00 to 14:00 on either side.
    for day in range(0, days, 100):
        rows = np.flatnonzero(answered.astype("datetime64[D]") == np.datetime64(first) + day)
        hottest = answered[rows[np.argmax(selected.table.temp_air[selected.spin_up :][rows])]]
        assert int(str(hottest)[11:13]) in (13, 14)


def own(hours: int = 24) -> Hourly:
    flat = tuple(20.0 + hour % 24 for hour in range(hours))
    calm = (2.0,) * hours
    return Hourly(
        datetime(2026, 7, 15, tzinfo=timezone(timedelta(hours=-7))), 3600,
        {"temp_air": flat, "ghi": (0.0,) * hours, "wind_speed": calm,
         "relative_humidity": (30.0,) * hours},
    )  # fmt: skip


def test_own_columns_settle_on_copies_of_their_first_day() -> None:
    selected = select_weather(own(30), PLACE, 2, EMPTY)
    assert (len(selected.table), selected.spin_up) == (78, 48)
    assert selected.notes == ("the cabin was settled on 2 copies of the first day",)


def test_own_columns_of_less_than_a_day_cannot_settle() -> None:
    with pytest.raises(DocumentError, match="at least one whole day"):
        select_weather(own(12), PLACE, 1, EMPTY)
    assert select_weather(own(12), PLACE, 0, EMPTY).spin_up == 0


def test_own_columns_need_an_offset() -> None:
    naive = replace(own(), start=datetime(2026, 7, 15))
    with pytest.raises(DocumentError, match="offset"):
        select_weather(naive, PLACE, 0, EMPTY)


def test_a_typical_year_comes_from_the_nearest_station_at_the_places_pressure(
    tmp_path: Path,
) -> None:
    table = year()
    site = replace(table.site, elevation_m=1250.0, latitude=38.2, longitude=-135.0)
    table = replace(table, site=site)
    station = Station("here", site, "epw", tmp_path)
    catalogue = Catalogue((station,), ())
    asked = TypicalYear(7, 1)
    selected = select_weather(asked, PLACE, 0, catalogue, read=lambda _: table)
    assert selected.near is not None
    assert selected.near.distance_km == pytest.approx(22.2, abs=0.2)
    ratio = standard_pressure(1500.0) / standard_pressure(1250.0)
    assert selected.table.pressure == pytest.approx(101325.0 * ratio)
    assert any("below" in note for note in selected.notes)
    by_name = select_weather(
        replace(asked, station="here", allow_far=True), PLACE, 0, catalogue, lambda _: table
    )
    assert (by_name.table.temp_air == selected.table.temp_air).all()
    with pytest.raises(StationNotFoundError):
        select_weather(asked, Place(0.0, 0.0, 0.0), 0, catalogue, lambda _: table)


def test_without_a_name_the_nearest_station_at_about_the_places_height_is_taken(
    tmp_path: Path,
) -> None:
    table = year()
    here = replace(table.site, latitude=38.0, longitude=-135.0)
    peak = Station("peak", replace(here, elevation_m=1801.0), "epw", tmp_path)
    camp = Station("camp", replace(here, latitude=38.5, elevation_m=1201.0), "epw", tmp_path)
    asked = TypicalYear(7, 1)
    chosen = select_weather(asked, PLACE, 0, Catalogue((peak, camp), ()), lambda _: table)
    assert chosen.near is not None
    assert chosen.near.station is camp
    for height_m in (1801.0, 1199.0):
        alone = Station("alone", replace(here, elevation_m=height_m), "epw", tmp_path)
        with pytest.raises(StationNotFoundError, match=r"301 m (higher|lower)"):
            select_weather(asked, PLACE, 0, Catalogue((alone,), ()), lambda _: table)
