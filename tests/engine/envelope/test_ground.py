"""The ground's surface temperature against closed solutions, and what it does to a cabin."""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.envelope.ground_column import ground_temperatures
from noonhold.envelope.ground_surface import GROUND_SURFACES, GroundSurface, ground_surface
from noonhold.envelope.network import network_tables, square_to_square
from noonhold.projection import project
from noonhold.rig import Exposure, Rig
from noonhold.scenario import Ground, Place, Shade, Terrain
from noonhold.simulation import channels as ch
from noonhold.simulation.forcing import ForcingTables, forcing_tables
from tests.engine.made import PLACE, box, rig, scene, steady, summer

SIGMA = 5.670374419e-8
BLACK = GroundSurface(0.0, 1.0, 1000.0)


def alone(
    surface: GroundSurface, sunlight: np.ndarray, interval_s: int = 3600, **changes: float
) -> np.ndarray:
    """Return a ground's temperature under a given sun, all else constant, hourly or finer."""
    given = {
        "sky_c": 20.0, "sky_share": 1.0, "air_start_c": 20.0, "air_end_c": 20.0,
        "vapour_pa": 1000.0, "pressure_pa": 101325.0, "wind_m_s": 3.0,
    } | changes  # fmt: skip
    columns = {name: np.full(len(sunlight), value) for name, value in given.items()}
    return ground_temperatures(surface, interval_s, sunlight, **columns)


def test_ground_under_a_sky_and_air_of_one_temperature_has_that_temperature() -> None:
    assert alone(BLACK, np.zeros(48)) == pytest.approx(20.0, abs=1e-9)


def test_steady_sun_ends_in_the_balance_at_the_surface() -> None:
    # No heat passes the bottom, so what is absorbed leaves by convection and long wave alone.
    settled = alone(GroundSurface(0.2, 0.9, 300.0), np.full(24 * 90, 500.0))[-1]
    warmer, mean_k = settled - 20.0, (settled + 20.0) / 2.0 + 273.15
    # The coefficient of pavements, written out.
    film = 1.4 * 698.24 * (0.00144 * mean_k**0.3 * 3.0**0.5 + 0.00097 * warmer**0.3)
    radiated = 0.9 * SIGMA * ((settled + 273.15) ** 4 - 293.15**4)
    assert film * warmer + radiated == pytest.approx(0.8 * 500.0, rel=2e-3)


def test_a_daily_wave_of_sun_meets_the_inertia_of_the_half_space() -> None:
    # Carslaw and Jaeger, "Conduction of heat in solids", 2.6 (from memory): under a harmonic flux
    # into a half space whose surface also loses h, the amplitude is F / |h + P sqrt(i w)|.
    hours = np.arange(24 * 20 * 12) / 12.0
    wave, omega = 10.0, 2.0 * np.pi / 86400.0
    surface = GroundSurface(0.0, 0.95, 1400.0)
    sun = 400.0 + wave * np.sin(omega * 3600.0 * (hours + 1.0 / 24.0))
    there = alone(surface, sun, 300, wind_m_s=0.0)[-288:]
    steady_c = float(alone(surface, np.full(24 * 200, 400.0), wind_m_s=0.0)[-1])
    # What it loses per kelvin, about that mean: still air rises by the 1.3th power.
    loss = 4.0 * 0.95 * SIGMA * (steady_c + 273.15) ** 3
    loss += 1.3 * 1.4 * 698.24 * 0.00097 * (steady_c - 20.0) ** 0.3
    admitted = loss + 1400.0 * np.sqrt(omega) * np.exp(0.25j * np.pi)
    spectrum = 2.0 * np.fft.rfft(there - there.mean())[1] / 288.0
    assert abs(spectrum) == pytest.approx(wave / abs(admitted), rel=0.03)
    behind = np.angle(np.fft.rfft(sun[-288:] - 400.0)[1]) - np.angle(spectrum)
    # The film is that of the step before (five minutes: 1.25 degrees).
    assert np.degrees(behind) == pytest.approx(np.degrees(np.angle(admitted)), abs=2.0)


def test_the_day_before_counts() -> None:
    sun = np.tile(np.clip(900.0 * np.sin(np.pi * (np.arange(24) - 5.5) / 13.0), 0.0, None), 4)
    dull = sun.copy()
    dull[24:48] *= 0.1  # the second day of four under cloud
    heavy = GROUND_SURFACES[Ground.CONCRETE]
    bright_day, after_dull = alone(heavy, sun)[48:], alone(heavy, dull)[48:]
    assert (after_dull < bright_day).all()
    assert bright_day[2] - after_dull[2] > 1.5  # in the small hours of the next day
    assert bright_day[-1] - after_dull[-1] < 0.5 * (bright_day[2] - after_dull[2])


def test_snow_melts_at_nought_and_wet_grass_stays_cooler_than_dry() -> None:
    sun = np.tile(np.clip(900.0 * np.sin(np.pi * (np.arange(24) - 5.5) / 13.0), 0.0, None), 2)
    assert alone(GROUND_SURFACES[Ground.SNOW], sun).max() == 0.0
    grass = GROUND_SURFACES[Ground.GRASS]
    wet, dry = alone(grass, sun), alone(replace(grass, evaporation_resistance_s_m=np.inf), sun)
    assert dry.max() - wet.max() > 5.0


def forced(place: Place, **weather: float) -> ForcingTables:
    return forcing_tables(rig(), place, summer(days=3, **weather), np.tile(np.arange(24) + 0.5, 3))


def test_grounds_by_name_in_the_order_of_summer_afternoons() -> None:
    top = {
        ground: forced(replace(PLACE, ground=ground)).ground_temperature.max()
        for ground in Ground
        if ground is not Ground.AIR_TEMPERATURE
    }
    assert top[Ground.SNOW] < top[Ground.GRASS] < top[Ground.CONCRETE] < top[Ground.ASPHALT]
    assert top[Ground.GRASS] < 40.0 < 50.0 < top[Ground.SOIL]


@pytest.mark.parametrize(
    ("field", "value", "cooler"),
    [
        ("ground_albedo", 0.5, True),
        ("ground_emittance", 0.6, False),
        ("ground_thermal_inertia_j_m2ks05", 2500.0, True),
        ("ground_evaporation_resistance_s_m", 100.0, True),
    ],
)
def test_what_a_place_states_of_its_ground_goes_before_the_table(
    field: str, value: float, cooler: bool
) -> None:
    stated = replace(PLACE, **{field: value})
    assert getattr(ground_surface(stated), field.split("ground_")[1].split("_j_")[0]) == value
    change = forced(stated).ground_temperature.max() - forced(PLACE).ground_temperature.max()
    assert (change < 0.0) == cooler
    assert abs(change) > 1.0


@pytest.mark.parametrize("target", ["cabin", "ground"])
def test_shade_of_the_place_cools_the_ground_and_dims_what_it_reflects(target: str) -> None:
    tree = Shade(10.0, 18.0, 0.9, 0.5, (target,))
    sunny, shaded = forced(PLACE), forced(replace(PLACE, shade=(tree,)))
    fifteen = slice(15, 72, 24)
    cooler = sunny.ground_temperature[fifteen] - shaded.ground_temperature[fifteen]
    assert (cooler > 10.0).all()
    assert (shaded.ground[fifteen] < 0.5 * sunny.ground[fifteen] + 1e-9).all()
    only_arrays = replace(tree, applies_to=("arrays",))
    same = forced(replace(PLACE, shade=(only_arrays,)))
    np.testing.assert_array_equal(same.ground_temperature, sunny.ground_temperature)


def test_ground_under_the_rig_stays_near_the_days_mean_air() -> None:
    tables = forced(PLACE)
    mean = 0.5 * (tables.outdoor_start + tables.outdoor_end).mean()
    assert np.abs(tables.under_temperature - mean).max() < 8.0
    assert tables.under_temperature.max() < tables.ground_temperature.max() - 20.0


def test_squares_see_each_other_by_the_handbook() -> None:
    # Howell C-11 (from memory): unit cube, opposite faces 0.1998; far apart A / (pi d2).
    assert square_to_square(1.0, 1.0) == pytest.approx(0.1998, abs=1e-4)
    assert square_to_square(1.0, 50.0) == pytest.approx(1.0 / (np.pi * 2500.0), rel=1e-3)


def views(shell_rig: Rig) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    net = network_tables(shell_rig, 300.0)
    return net.sky_view, net.ground_view, net.under_view


def test_what_each_face_sees_of_the_ground() -> None:
    sky, ground, under = views(rig())
    # Four walls, roof, floor, four windows.
    assert ground[:4] == pytest.approx(0.5)
    assert (ground[4], under[4]) == (0.0, 0.0)
    assert ground[5] + under[5] == pytest.approx(1.0)
    assert under[5] == pytest.approx(square_to_square(2.0, 0.8))
    assert (sky + ground + under <= 1.0 + 1e-12).all()
    low = views(rig(shell=box(ground_clearance_m=0.3)))[2]
    assert low[5] > under[5] + 0.1


def hottest(place: Place, shell_rig: Rig | None = None) -> float:
    """Return the highest cabin temperature without the cooler."""
    run = project(shell_rig or rig(), scene(place=place), summer(days=2))
    return float(run.uncooled[:, ch.CABIN].max())


def test_a_hot_car_park_heats_the_cabin_and_grass_spares_it() -> None:
    """The long wave alone: what the ground reflects is the same."""
    warm = {
        ground: hottest(replace(PLACE, ground=ground, ground_albedo=0.2))
        for ground in (Ground.ASPHALT, Ground.GRASS, Ground.AIR_TEMPERATURE)
    }
    assert warm[Ground.ASPHALT] > warm[Ground.AIR_TEMPERATURE] + 0.5
    assert warm[Ground.GRASS] < warm[Ground.ASPHALT] - 0.5


def test_an_underside_high_above_the_ground_sees_more_of_the_hot_ground_beyond() -> None:
    place = replace(PLACE, ground=Ground.ASPHALT)
    low, high = (rig(shell=box(ground_clearance_m=height)) for height in (0.2, 1.5))
    assert hottest(place, high) > hottest(place, low) + 0.05
    sheltered = tuple(
        replace(p, exposed_to=Exposure.SHELTERED) if p.tilt_deg == 180.0 else p
        for p in box().panels
    )
    assert hottest(place, high) > hottest(place, rig(shell=box(panels=sheltered)))


def test_wind_and_sky_alone_keep_the_old_convention() -> None:
    """With the ground at air temperature still weather without sun brings all to one level."""
    scenario = scene(place=replace(PLACE, ground=Ground.AIR_TEMPERATURE))
    run = project(rig(loads=(), standing_power_w=0.0), scenario, steady(15.0, hours=96))
    assert run.uncooled[-1, ch.CABIN] == pytest.approx(15.0, abs=0.05)


def test_the_wind_over_the_ground_is_that_at_ten_metres_about_the_rig() -> None:
    low = replace(rig().shell, mid_height_m=1.0)
    high = replace(rig().shell, mid_height_m=3.0)
    tables = [
        forcing_tables(replace(rig(), shell=s), PLACE, summer(days=1), np.arange(24) + 0.5)
        for s in (low, high)
    ]
    np.testing.assert_array_equal(tables[0].ground_temperature, tables[1].ground_temperature)
    town = forced(replace(PLACE, terrain=Terrain.URBAN))
    assert town.ground_temperature.max() > forced(PLACE).ground_temperature.max() + 2.0
