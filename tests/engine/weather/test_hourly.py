from datetime import UTC, date, datetime

import numpy as np
import pvlib
import pytest

from noonhold.errors import WeatherError, WeatherFormatError, WeatherGapError
from noonhold.weather.hot_day import HotDay, hot_day
from noonhold.weather.own_columns import hourly_table
from noonhold.weather.sky import site_sun
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import INSTANT_COLUMNS, RADIATION_COLUMNS, Site
from tests.engine.weather.builders import DENVER

SITE = Site("here", 40.0, -105.0, 1600.0, -7.0)
START = "2024-08-01T00:00"


def day():
    return hot_day(SITE, HotDay(date(2024, 8, 1), 34.0, 12.0, 5.0, 3.0))


def columns(*names):
    table = day()
    return {name: getattr(table, name).tolist() for name in names}


def needed():
    return columns("temp_air", "relative_humidity", "wind_speed", "ghi", "dni", "dhi")


def test_every_column_given_goes_through_unchanged():
    table = hourly_table(SITE, START, 3600, columns(*RADIATION_COLUMNS, *INSTANT_COLUMNS))
    for name in RADIATION_COLUMNS + INSTANT_COLUMNS:
        assert np.array_equal(getattr(table, name), getattr(day(), name)), name
    assert table.notes == ()
    assert not table.full_year


def test_global_alone_is_split_by_erbs():
    given = {k: v for k, v in needed().items() if k not in ("dni", "dhi")}
    table = hourly_table(SITE, START, 3600, given)
    sun = site_sun(SITE, table.starts(), 3600.0)
    zenith = np.degrees(np.arccos(sun.sunlit_cosine))
    whole = sun.cosines.min(axis=1) > 0.0  # not the hours of sunrise and sunset
    expected = pvlib.irradiance.erbs(table.ghi[whole], zenith[whole], np.full(whole.sum(), 214))
    assert table.dni[whole] == pytest.approx(expected["dni"])
    assert table.dhi[whole] == pytest.approx(expected["dhi"])
    assert table.ghi == pytest.approx(table.dni * sun.sunlit_cosine + table.dhi)
    assert "split from ghi by Erbs" in table.notes[0]


def test_direct_and_diffuse_give_global():
    given = {k: v for k, v in needed().items() if k != "ghi"}
    table = hourly_table(SITE, START, 3600, given)
    assert table.ghi == pytest.approx(day().ghi, abs=10.0)


def test_a_dew_point_serves_for_humidity():
    given = needed() | {"temp_dew": [5.0] * 24}
    del given["relative_humidity"]
    table = hourly_table(SITE, START, 3600, given)
    assert table.relative_humidity == pytest.approx(day().relative_humidity)


def test_null_and_nan_are_holes():
    given = needed()
    given["temp_air"][3] = None
    given["wind_speed"][5] = float("nan")
    table = hourly_table(SITE, START, 3600, given)
    assert table.temp_air[3] == pytest.approx((table.temp_air[2] + table.temp_air[4]) / 2)
    assert "wind_speed: 1 h in 1 gap interpolated" in table.notes


def test_a_hole_in_global_alone_is_bridged_by_clearness():
    given = {k: v for k, v in needed().items() if k not in ("dni", "dhi")}
    given["ghi"][10] = None
    table = hourly_table(SITE, START, 3600, given)
    assert table.ghi[10] == pytest.approx(day().ghi[10], rel=0.03)


def test_a_start_with_an_offset_is_turned_to_the_sites_clock():
    aware = datetime(2024, 8, 1, 7, tzinfo=UTC)
    table = hourly_table(SITE, aware, 3600, needed())
    assert table.start == np.datetime64("2024-08-01T00:00:00")
    naive = hourly_table(SITE, datetime(2024, 8, 1), 3600, needed())
    assert naive.start == table.start


def test_a_whole_year_joins_its_ends():
    year = read_weather(DENVER)
    given = {name: getattr(year, name) for name in RADIATION_COLUMNS + INSTANT_COLUMNS}
    table = hourly_table(year.site, year.start, 3600, given)
    assert table.full_year
    assert np.array_equal(table.ghi, year.ghi)


def test_every_fault_is_told_at_once():
    given = {
        "temp_air": [20.0, "warm"], "wind_speed": [1.0, True], "ghi": [1.0, 2.0, 3.0],
        "sunshine": [1.0, 2.0], "relative_humidity": [50.0, float("inf")], "dhi": [0.0, 0.0],
    }  # fmt: skip
    with pytest.raises(WeatherFormatError) as caught:
        hourly_table(SITE, "2024-08-01T00:00+02:00", 7, given)
    assert [fault.path for fault in caught.value.faults] == [
        "/weather/hourly/start", "/weather/hourly/interval_s", "/weather/hourly/columns/temp_air/1",
        "/weather/hourly/columns/wind_speed/1", "/weather/hourly/columns/sunshine",
        "/weather/hourly/columns/relative_humidity/1", "/weather/hourly/columns",
    ]  # fmt: skip


def test_missing_columns_are_told_at_once():
    with pytest.raises(WeatherGapError) as caught:
        hourly_table(SITE, START, 3600, {"pressure": [84000.0], "dni": [1.0]}, "/w")
    assert {fault.path for fault in caught.value.faults} == {
        "/w/temp_air", "/w/relative_humidity", "/w/wind_speed", "/w/ghi", "/w/dhi",
    }  # fmt: skip


@pytest.mark.parametrize("given", [{}, {"temp_air": []}])
def test_nothing_is_no_weather(given):
    with pytest.raises(WeatherError, match="there are no rows"):
        hourly_table(SITE, START, 3600, given)


def test_a_hot_high_and_the_row_it_stands_in():
    given = needed()
    given["temp_air"][14] = 93.0  # a Fahrenheit reading
    with pytest.raises(WeatherFormatError, match="temp_air is 93 in row 14"):
        hourly_table(SITE, START, 3600, given)


def low_sun(ghi):
    """Return a day whose fifth hour, with the sun just up, has this global irradiance."""
    given = {k: v for k, v in needed().items() if k not in ("dni", "dhi")}
    row = int(np.argmax(np.asarray(given["ghi"]) > 0.0))
    given["ghi"][row] = ghi
    return given, row


def test_too_much_global_under_a_low_sun_is_held_to_the_beam_outside_the_air():
    """Clearness beyond one is common in measured rows of sunrise; the beam has a bound."""
    given, row = low_sun(300.0)
    table = hourly_table(SITE, START, 3600, given)
    assert 0.0 < table.dni[row] < 1415.0
    assert table.ghi[row] == pytest.approx(300.0, abs=0.5)
    assert "dni: 1 rows held to the irradiance outside the atmosphere" in table.notes
    usual = {k: v for k, v in needed().items() if k not in ("dni", "dhi")}
    assert not any("outside the atm" in n for n in hourly_table(SITE, START, 3600, usual).notes)


def test_global_that_no_sky_sends_names_its_row_and_the_likely_slip():
    given, row = low_sun(1400.0)
    with pytest.raises(WeatherFormatError, match=f"ghi is 1400 in row {row}") as caught:
        hourly_table(SITE, START, 3600, given)
    (fault,) = caught.value.faults
    assert fault.path == "/weather/hourly/columns/ghi"
    assert "offset of start" in fault.hint
