from pathlib import Path

import numpy as np
import pytest

from noonhold.air.moist_air_arrays import saturation_pressure_array
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import WeatherTable
from noonhold_batch.sweep.warmer import Warming, warmed
from tests.batch.commands import run


@pytest.fixture(scope="module")
def coast(checkout: Path) -> WeatherTable:
    return read_weather(checkout / "sample_weather" / "coast_ostmarrow.epw.gz")


def vapour_pressure(weather: WeatherTable) -> np.ndarray:
    return saturation_pressure_array(weather.temp_air) * weather.relative_humidity / 100.0


def test_absolute_humidity_keeps_the_vapour_pressure(coast: WeatherTable) -> None:
    warm = warmed(coast, Warming(3.0, "absolute"))
    np.testing.assert_allclose(warm.temp_air, coast.temp_air + 3.0)
    np.testing.assert_allclose(vapour_pressure(warm), vapour_pressure(coast), rtol=1e-12)
    np.testing.assert_array_equal(warm.ghi, coast.ghi)
    assert warm.notes[-1].startswith("+3 K")


def test_relative_humidity_stays_when_asked(coast: WeatherTable) -> None:
    warm = warmed(coast, Warming(3.0, "relative"))
    np.testing.assert_array_equal(warm.relative_humidity, coast.relative_humidity)


def test_cooling_stops_at_saturation(coast: WeatherTable) -> None:
    cold = warmed(coast, Warming(-15.0, "absolute"))
    assert cold.relative_humidity.max() == 100.0


def test_the_sky_keeps_its_emissivity(coast: WeatherTable) -> None:
    warm = warmed(coast, Warming(2.0, "absolute"))
    before = 0.5 * (coast.instants_at_start("temp_air") + coast.temp_air) + 273.15
    after = 0.5 * (warm.instants_at_start("temp_air") + warm.temp_air) + 273.15
    np.testing.assert_allclose(
        warm.horizontal_infrared / after**4, coast.horizontal_infrared / before**4, rtol=1e-12
    )


def test_the_opening_of_a_stretch_is_warmed_too(coast: WeatherTable) -> None:
    part = coast.slice(100, 48)
    warm = warmed(part, Warming(2.0, "absolute"))
    whole = warmed(coast, Warming(2.0, "absolute")).slice(100, 48)
    assert warm.opening is not None
    np.testing.assert_allclose(warm.opening, whole.opening)
    np.testing.assert_allclose(warm.horizontal_infrared, whole.horizontal_infrared)


@pytest.mark.parametrize("kelvin", ["60", "-11", "nan", "inf"])
def test_more_than_any_climate_is_refused(
    kelvin: str, rigs: tuple[str, ...], tmp_path: Path
) -> None:
    given = ("--weather", tmp_path, "--out", tmp_path / "r.zarr", "--warmer", kelvin)
    ended = run("sweep", *rigs, *given)
    assert ended.exit_code == 2
    assert "--warmer" in ended.output
