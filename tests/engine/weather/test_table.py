import numpy as np
import pytest

from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import INSTANT_COLUMNS, RADIATION_COLUMNS
from tests.engine.weather.builders import DENVER

COLUMNS = RADIATION_COLUMNS + INSTANT_COLUMNS


@pytest.fixture(scope="module")
def year():
    return read_weather(DENVER)


def test_a_slice_over_the_end_of_a_year_wraps(year):
    part = year.slice(8750, 20)
    for name in COLUMNS:
        whole = getattr(year, name)
        assert np.array_equal(getattr(part, name), np.r_[whole[8750:], whole[:10]])
    assert not part.full_year
    assert part.opening[0] == year.temp_air[8749]


def test_a_slice_before_the_beginning_of_a_year_wraps(year):
    part = year.slice(-24, 48)
    assert np.array_equal(part.temp_air, np.r_[year.temp_air[-24:], year.temp_air[:24]])
    assert part.starts()[24] == year.start


def test_a_slice_of_a_slice_keeps_the_instants_before_it(year):
    part = year.slice(100, 50).slice(10, 5)
    assert part.start == year.starts()[110]
    assert part.instants_at_start("wind_speed")[0] == year.wind_speed[109]


def test_the_index_carries_the_fixed_offset(year):
    assert year.index()[0].isoformat() == "1990-01-01T00:00:00-07:00"
    assert year.index()[0].tz_convert("UTC").hour == 7


def test_every_column_is_finite(year):
    for name in COLUMNS:
        assert np.isfinite(getattr(year, name)).all()
