"""Legal and standard time over a table: zones, summer time, the days a run is cut into."""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.weather.clock import Clock, clock_over, first_interval_of
from noonhold.weather.weather_table import WeatherTable
from tests.engine.made import steady


def table(start: str, hours: int, utc_offset_h: float, interval_s: int = 3600) -> WeatherTable:
    made = steady(hours=hours)
    return replace(
        made, site=replace(made.site, utc_offset_h=utc_offset_h),
        start=np.datetime64(start, "s"), interval_s=interval_s,
    )  # fmt: skip


def hours_of_days(clock: Clock) -> list[int]:
    bounds = np.append(clock.day_first(), len(clock.starts))
    return np.diff(bounds).tolist()


def test_without_a_zone_the_clock_is_the_tables() -> None:
    clock = clock_over(table("2025-07-01T00:00", 3, 5.5), None)
    assert clock.name == "UTC+05:30"
    assert clock.iso_times()[0] == "2025-07-01T00:00:00+05:30"
    assert clock.second_of_day().tolist() == [0, 3600, 7200]


def test_a_negative_half_hour_offset_reads_right() -> None:
    clock = clock_over(table("2025-01-01T00:00", 1, -3.5), None)
    assert clock.name == "UTC-03:30"
    assert clock.iso_times() == ["2025-01-01T00:00:00-03:30"]


@pytest.mark.parametrize(
    ("zone", "offset_h", "date", "length"),
    [
        ("America/Denver", -7.0, "2025-03-09", 23),
        ("America/Denver", -7.0, "2025-11-02", 25),
        ("America/Denver", -7.0, "2025-07-01", 24),
        ("Australia/Sydney", 10.0, "2025-10-05", 23),
        ("Australia/Sydney", 10.0, "2025-04-06", 25),
        ("Australia/Adelaide", 9.5, "2025-10-05", 23),
        ("Asia/Kolkata", 5.5, "2025-03-09", 24),
        ("Africa/Cairo", 2.0, "2025-04-25", 23),  # set ahead at midnight: begins at 01:00
        ("Atlantic/Azores", -1.0, "2025-10-26", 25),  # set back from 01:00 to midnight
        ("Pacific/Kiritimati", 14.0, "2025-07-01", 24),
        ("America/St_Johns", -3.5, "2025-03-09", 23),
    ],
)
def test_days_of_summer_time_begin_at_their_midnight_and_have_their_hours(
    zone: str, offset_h: float, date: str, length: int
) -> None:
    whole = table("2025-01-01T00:00", 8760, offset_h)
    day = np.datetime64(date)
    first = first_interval_of(whole, zone, day)
    after = first_interval_of(whole, zone, day + 1)
    assert after - first == length
    clock = clock_over(whole, zone)
    dates = clock.starts.astype("datetime64[D]")
    assert (dates[first:after] == day).all()
    assert dates[first - 1] != day
    assert dates[after] != day


def test_readings_and_offsets_agree_over_both_changes() -> None:
    whole = table("2025-01-01T00:00", 8760, -7.0)
    clock = clock_over(whole, "America/Denver")
    universal = clock.starts - clock.offset_s.astype("timedelta64[s]")
    assert (np.diff(universal) == np.timedelta64(3600, "s")).all()
    assert set(clock.offset_s.tolist()) == {-7 * 3600, -6 * 3600}
    assert sorted(set(hours_of_days(clock))) == [23, 24, 25]
    assert len(hours_of_days(clock)) == 365


def test_a_southern_year_begins_and_ends_in_summer_time() -> None:
    clock = clock_over(table("2025-01-01T00:00", 8760, 10.0), "Australia/Sydney")
    assert clock.starts[0] == np.datetime64("2025-01-01T01:00")
    assert (clock.offset_s[0], clock.offset_s[4380]) == (39600, 36000)
    assert hours_of_days(clock)[0] == 23  # its first hour lies before the table
    assert first_interval_of(
        table("2025-01-01T00:00", 8760, 10.0), "Australia/Sydney", np.datetime64("2025-01-01")
    ) == -1  # fmt: skip


def test_quarter_hours() -> None:
    quarter = table("2025-07-01T00:00", 96, -7.0, interval_s=900)
    clock = clock_over(quarter, "America/Denver")
    assert clock.second_of_day()[:3].tolist() == [3600, 4500, 5400]
    assert first_interval_of(quarter, "America/Denver", np.datetime64("2025-07-02")) == 92
    assert hours_of_days(clock) == [92, 4]


def test_a_half_hour_zone_on_whole_hours_takes_the_nearest_start() -> None:
    whole = table("2025-01-01T00:00", 8760, 5.0)
    first = first_interval_of(whole, "Asia/Kolkata", np.datetime64("2025-06-01"))
    reading = clock_over(whole, "Asia/Kolkata").starts[first]
    assert abs(reading - np.datetime64("2025-06-01T00:00", "s")) <= np.timedelta64(1800, "s")
