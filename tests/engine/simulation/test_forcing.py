"""Where arrays look, and the far horizon, shade and sky on them."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from noonhold.rig import Aim, Mount, SolarArray
from noonhold.scenario import Terrain
from noonhold.simulation.forcing import array_angles, forcing_tables, sky_temperature
from noonhold.weather.weather_files import read_weather
from tests.engine.made import PLACE, summer
from tests.engine.made import rig as made_rig
from tests.properties.rich import RIG, SCENARIO

SET_OUT = SolarArray(
    "set out",
    400.0,
    Mount.OPEN_STAND,
    folding=True,
    aims=(Aim(6.0, 45.0, 120.0), Aim(11.0, 30.0, 180.0), Aim(15.0, 50.0, 240.0)),
)
HOURS = np.array([3.0, 7.0, 12.0, 16.0, 23.0])


def test_an_array_looks_where_its_aims_say_and_stays_there_over_night() -> None:
    tilt, azimuth = array_angles(SET_OUT, 70.0, HOURS, 40.0)
    np.testing.assert_array_equal(azimuth, [240.0, 120.0, 180.0, 240.0, 240.0])
    np.testing.assert_array_equal(tilt, [50.0, 45.0, 30.0, 50.0, 50.0])


@pytest.mark.parametrize(("latitude", "expected"), [(40.0, 120.0), (0.0, 120.0), (-40.0, 60.0)])
def test_mirrored_aims_keep_east_and_west_and_swap_north_and_south(
    latitude: float, expected: float
) -> None:
    mirrored = replace(SET_OUT, mirrored_south=True)
    azimuth = array_angles(mirrored, 0.0, HOURS, latitude)[1]
    assert azimuth[1] == expected
    assert array_angles(SET_OUT, 0.0, HOURS, latitude)[1][1] == 120.0


def test_mirrored_aims_catch_the_southern_sun() -> None:
    folder = Path(__file__).parents[3] / "sample_weather"
    weather = read_weather(folder / "basin_desert_kelpanoor.epw.gz").slice(24 * 79, 24)
    clock = (np.arange(24) + 0.5) % 24
    caught = []
    for mirrored in (False, True):
        rig = replace(RIG, arrays=(replace(SET_OUT, mirrored_south=mirrored),), controllers=())
        forcing = forcing_tables(rig, SCENARIO.place, weather, clock)
        caught.append(float((forcing.array_beam + forcing.array_diffuse).sum()))
    # At the equinox planes that lean the wrong way at 34 S lose far more than a fifth.
    assert caught[1] > 1.2 * caught[0]


def test_the_sky_temperature_is_that_of_a_black_dome() -> None:
    # Stefan-Boltzmann: 5.670374419e-8 x 293.15^4 = 418.77 W/m2.
    np.testing.assert_allclose(sky_temperature(np.array([418.766])), [20.0], atol=1e-3)


def test_a_far_horizon_takes_its_share_of_the_diffuse_sky() -> None:
    """A skyline at 30 degrees all round leaves a level plane cos^2(30 deg) = 0.75 of the dome.

    View factor of a level element to the isotropic dome above an elevation (Howell, Catalog of
    Radiation Heat Transfer Configuration Factors, from memory; the integral of
    2 sin(e) cos(e) de from 30 to 90 degrees).
    """
    ring = tuple((float(azimuth), 30.0) for azimuth in range(0, 360, 45))
    whole = made_rig(awnings=())
    overcast = summer(cloud_fraction=1.0)
    clock = (np.arange(24) + 0.5) % 24
    place = replace(PLACE, horizon=())
    open_sky = forcing_tables(whole, place, overcast, clock)
    valley = forcing_tables(whole, replace(place, horizon=ring), overcast, clock)
    assert valley.horizon_sky == pytest.approx(0.75, abs=1e-9)
    assert open_sky.sky_diffuse.max() > 100.0
    np.testing.assert_allclose(valley.sky_diffuse, 0.75 * open_sky.sky_diffuse, rtol=1e-9)
    # What reaches the ground, and so what it reflects, is less by the same.
    np.testing.assert_allclose(valley.ground, 0.75 * open_sky.ground, rtol=1e-9)
    level = valley.array_diffuse[:, 0]  # a level array sees no ground
    np.testing.assert_allclose(level, 0.75 * open_sky.array_diffuse[:, 0], rtol=1e-9)
    effective = valley.array_diffuse_effective[:, 0]
    np.testing.assert_allclose(effective, 0.75 * open_sky.array_diffuse_effective[:, 0], rtol=1e-9)


def test_the_wind_is_brought_to_the_height_and_the_terrain_of_the_rig() -> None:
    """27^0.14 (2/370)^0.22 = 0.50305 in a suburb (ASHRAE 2017, ch. 24, eq. 4, table 1)."""
    weather = summer(PLACE, wind_speed_m_s=6.0)
    clock = (np.arange(len(weather.wind_speed)) + 0.5) % 24
    rig = made_rig(shell=replace(made_rig().shell, mid_height_m=2.0))
    place = replace(PLACE, terrain=Terrain.SUBURBAN)
    forcing = forcing_tables(rig, place, weather, clock)
    np.testing.assert_allclose(forcing.station_wind, 6.0)
    np.testing.assert_allclose(forcing.wind, 6.0 * 0.50305, rtol=1e-4)
