from dataclasses import replace

import numpy as np
import pytest

from noonhold.errors import WeatherFormatError
from noonhold.weather.climate import climate_of, day_label
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import WeatherTable
from tests.engine.weather.builders import DENVER


@pytest.fixture(scope="module")
def denver() -> WeatherTable:
    return read_weather(DENVER)


def warmed(table: WeatherTable, days: list[int], by_k: float) -> WeatherTable:
    """Return a year of a flat 10 degC with some days warmer."""
    air = np.full(len(table), 10.0).reshape(365, -1)
    air[days] += by_k
    return replace(table, temp_air=air.ravel())


def test_a_month_in_figures(denver: WeatherTable) -> None:
    climate = climate_of(denver)
    july = climate.months[6]
    rows = slice(181 * 24, 212 * 24)
    assert july.month == 7
    assert july.mean_high_c == pytest.approx(
        denver.temp_air[rows].reshape(31, 24).max(axis=1).mean()
    )
    assert july.mean_low_c == pytest.approx(
        denver.temp_air[rows].reshape(31, 24).min(axis=1).mean()
    )
    assert july.mean_sun_wh_m2 == pytest.approx(denver.ghi[rows].sum() / 31)
    assert july.mean_dew_point_c < july.mean_low_c
    assert july.typical_day.startswith("07-")


def test_the_typical_day_is_the_one_most_like_the_others(denver: WeatherTable) -> None:
    air = 10.0 + 5.0 * np.sin(np.arange(24) / 24 * 2 * np.pi)
    days = np.tile(air, (365, 1))
    days += np.where(np.arange(365) % 2, 4.0, -4.0)[:, None]
    days[45] = air  # the fifteenth of February, half-way between its neighbours
    table = replace(denver, temp_air=days.ravel(), ghi=np.full(8760, 200.0))
    assert climate_of(table).months[1].typical_day == "02-15"


def test_the_hottest_day_and_week(denver: WeatherTable) -> None:
    climate = climate_of(warmed(denver, [200, 201, 202, 203, 204, 205, 206], 15.0))
    assert (climate.hottest_week.first_day, climate.hottest_week.days) == ("07-20", 7)
    assert climate.hottest_week.mean_c == pytest.approx(25.0)
    assert climate.hottest_day.high_c == 25.0
    assert climate.hottest_day.low_c == 25.0


def test_a_week_over_new_year_is_found_in_the_south(denver: WeatherTable) -> None:
    climate = climate_of(warmed(denver, [362, 363, 364, 0, 1, 2, 3], 15.0))
    assert climate.hottest_week.first_day == "12-29"
    assert climate.hottest_week.mean_c == pytest.approx(25.0)


def test_air_without_water_has_a_finite_dew_point(denver: WeatherTable) -> None:
    dry = replace(denver, relative_humidity=np.zeros(8760))
    assert all(np.isfinite(each.mean_dew_point_c) for each in climate_of(dry).months)


def test_less_than_a_year_is_refused(denver: WeatherTable) -> None:
    with pytest.raises(WeatherFormatError, match="no full year"):
        climate_of(denver.slice(0, 240))


def test_every_day_has_a_label() -> None:
    labels = [day_label(day) for day in range(365)]
    assert len(set(labels)) == 365
    assert "02-29" not in labels
    assert labels == sorted(labels)
