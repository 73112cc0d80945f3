from dataclasses import replace

import numpy as np
import pandas as pd
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.solar.sun import (
    SolarGeometry,
    _horizontal,
    solar_geometry,
    sunset_hour_angle_deg,
)
from noonhold.solar.transposition import surface_irradiance


def hours(first: str, count: int, interval_s: int = 3600) -> np.ndarray:
    return np.datetime64(first, "s") + np.arange(count) * np.timedelta64(interval_s, "s")


def at_its_moment(geometry: SolarGeometry) -> SolarGeometry:
    """Return the same with the direction of one moment for the mean one, as pvlib takes it."""
    zenith, azimuth = np.radians(geometry.zenith_deg), np.radians(geometry.azimuth_deg)
    level = np.sin(zenith)
    towards = np.stack([level * np.sin(azimuth), level * np.cos(azimuth), np.cos(zenith)], axis=1)
    return replace(geometry, mean_towards_sun=towards)


def full_algorithm(geometry: SolarGeometry, latitude: float, longitude: float, elevation_m: float):
    index = pd.to_datetime(geometry.moment_s, unit="s").tz_localize("UTC")
    return pvlib.solarposition.spa_python(
        index,
        latitude,
        longitude,
        altitude=elevation_m,
        pressure=pvlib.atmosphere.alt2pres(elevation_m),
        temperature=12.0,
    )


def light(geometry: SolarGeometry, seed: int = 0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Make irradiance that closes at the geometry's moments, with hours without diffuse."""
    rng = np.random.default_rng(seed)
    up = geometry.sunlit_fraction > 0.0
    dni = rng.uniform(0.0, 900.0, up.size) * up
    dhi = rng.uniform(0.0, 300.0, up.size) * up * (rng.random(up.size) > 0.1)
    ghi = dni * np.clip(np.cos(np.radians(geometry.zenith_deg)), 0.0, 1.0) + dhi
    return ghi, dni, dhi


# ---- against the full algorithm -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("latitude", "longitude", "elevation_m"),
    [
        (39.74, -105.18, 1830.0),
        (80.0, 20.0, 0.0),
        (0.0, 0.0, 0.0),
        (-45.0, 170.0, 300.0),
        (-89.9, 0.0, 2800.0),
        (23.44, 179.9, 0.0),  # the midsummer sun passes within an arc minute of the zenith
    ],
)
def test_a_year_follows_the_full_algorithm(latitude, longitude, elevation_m):
    geometry = solar_geometry(hours("2019-01-01", 8760), 3600, latitude, longitude, elevation_m)
    full = full_algorithm(geometry, latitude, longitude, elevation_m)
    down = geometry.sunlit_fraction == 0.0
    # the algorithm keeps some refraction just below the horizon, and so do we
    assert np.max(np.abs(geometry.zenith_deg - full.apparent_zenith)) < 0.0005
    assert np.min(geometry.zenith_deg[down]) > 90.0
    assert np.max(geometry.zenith_deg[~down]) <= 90.0
    turn = (geometry.azimuth_deg - full.azimuth + 180.0) % 360.0 - 180.0
    # as an arc on the sky: at the zenith an azimuth means nothing
    assert np.max(np.abs(turn) * np.sin(np.radians(geometry.zenith_deg))) < 0.0005


@pytest.mark.parametrize("year", [1953, 2004, 2050])
def test_other_years_follow_too(year):
    starts = hours(f"{year}-02-20", 24 * 20)
    geometry = solar_geometry(starts, 3600, 51.5, -0.5, 0.0)
    full = full_algorithm(geometry, 51.5, -0.5, 0.0)
    assert np.max(np.abs(geometry.zenith_deg - full.apparent_zenith)) < 0.0005


def test_extraterrestrial_follows_the_distance():
    geometry = solar_geometry(hours("2019-01-01", 8760), 3600, 40.0, 0.0, 0.0)
    index = pd.to_datetime(geometry.moment_s, unit="s").tz_localize("UTC")
    spa = pvlib.irradiance.get_extra_radiation(index, method="nrel")
    np.testing.assert_allclose(geometry.extraterrestrial_w_m2, spa, rtol=2e-6)


def test_a_single_interval_is_that_of_a_year():
    year = solar_geometry(hours("2019-01-01", 8760), 3600, 39.74, -105.18, 1830.0)
    for row in (0, 13, 4000, 8759):
        one = solar_geometry(hours("2019-01-01", 8760)[[row]], 3600, 39.74, -105.18, 1830.0)
        assert one.zenith_deg[0] == pytest.approx(year.zenith_deg[row], abs=2e-4)
        assert one.sunlit_fraction[0] == pytest.approx(year.sunlit_fraction[row], abs=1e-5)


# ---- traps of time ------------------------------------------------------------------------------


def test_sun_is_taken_in_the_middle_not_at_the_label():
    starts = hours("2019-06-21T18:00", 1)  # 11:00 to 12:00 in Denver's standard time
    geometry = solar_geometry(starts, 3600, 39.74, -105.0, 1600.0)
    assert geometry.moment_s[0] == starts.astype(np.int64)[0] + 1800
    assert geometry.hour_angle_deg[0] == pytest.approx(-7.5, abs=0.6)  # equation of time -1.8 min


def test_starts_are_utc_and_east_is_positive():
    noon = solar_geometry(hours("2019-03-21T18:30", 1), 3600, 40.0, -105.0, 0.0)
    assert abs(noon.hour_angle_deg[0]) < 2.5
    east = solar_geometry(hours("2019-03-21T04:30", 1), 3600, 40.0, 105.0, 0.0)
    assert abs(east.hour_angle_deg[0]) < 2.5


def test_sunrise_hour_looks_from_the_middle_of_its_sunlit_part():
    day = hours("2019-03-05T07:00", 24)
    hourly = solar_geometry(day, 3600, 39.74, -105.18, 0.0)
    partly = (hourly.sunlit_fraction > 0.0) & (hourly.sunlit_fraction < 1.0)
    assert partly.sum() == 2
    rise, fall = np.flatnonzero(partly)
    for row, edge in ((rise, 1.0), (fall, 0.0)):
        lit_s = hourly.sunlit_fraction[row] * 3600.0
        start = day.astype(np.int64)[row]
        expected = start + 3600.0 * edge + (0.5 - edge) * lit_s
        assert hourly.moment_s[row] == pytest.approx(expected, abs=0.5)
        assert 84.0 < hourly.zenith_deg[row] < 90.0


@pytest.mark.parametrize("latitude", [0.0, 39.74, 66.0, -66.0, 80.0])
def test_hours_are_lit_as_long_as_their_minutes(latitude):
    first = "2019-04-01"
    hourly = solar_geometry(hours(first, 24 * 40), 3600, latitude, 10.0, 0.0)
    minutes = solar_geometry(hours(first, 24 * 40 * 12, 300), 300, latitude, 10.0, 0.0)
    mean = minutes.sunlit_fraction.reshape(-1, 12).mean(axis=1)
    # near polar day the sun creeps along the horizon and the declination of the hour's middle
    # misplaces the moment of rising by up to a minute
    np.testing.assert_allclose(hourly.sunlit_fraction, mean, atol=0.02)
    assert np.abs(hourly.sunlit_fraction - mean).mean() < 1e-4


def test_polar_day_and_polar_night():
    summer = solar_geometry(hours("2019-06-10", 240), 3600, 80.0, 20.0, 0.0)
    assert np.all(summer.sunlit_fraction == 1.0)
    winter = solar_geometry(hours("2019-12-10", 240), 3600, 80.0, 20.0, 0.0)
    assert np.all(winter.sunlit_fraction == 0.0)
    n = 240
    dark = surface_irradiance(
        winter, np.zeros(n), np.full(n, 50.0), np.full(n, 4.0), [90.0], [180.0], 0.2
    )
    assert np.all(dark.beam == 0.0)
    np.testing.assert_allclose(dark.sky, 2.0)


def test_pole_itself():
    summer = solar_geometry(hours("2019-06-21", 24), 3600, 90.0, 0.0, 0.0)
    assert np.all(summer.sunlit_fraction == 1.0)
    # the obliquity of 2019, lifted by refraction: cot(23.43) / 60 degree and a little more
    np.testing.assert_allclose(summer.zenith_deg, 90.0 - 23.434 - 0.038, atol=0.002)
    winter = solar_geometry(hours("2019-06-21", 24), 3600, -90.0, 0.0, 0.0)
    assert np.all(winter.sunlit_fraction == 0.0)


def test_a_day_shorter_than_an_hour_and_a_night_shorter_than_an_hour():
    # 80 N: the first sunrise after polar night, and the last sunset before polar day
    spring = solar_geometry(hours("2019-02-15", 24 * 80), 3600, 80.0, 15.0, 0.0)
    lit_hours = spring.sunlit_fraction.reshape(-1, 24).sum(axis=1)
    assert np.all(np.diff(lit_hours) >= -1e-9)  # every day is longer than the one before
    assert lit_hours[0] == 0.0
    assert lit_hours[-1] == 24.0
    assert np.all(spring.zenith_deg[spring.sunlit_fraction > 0.0] <= 90.0)


def test_sunset_hour_angle_at_the_equinox_and_at_the_ends():
    assert sunset_hour_angle_deg(0.0, 40.0, 0.0) == pytest.approx(90.0)
    assert sunset_hour_angle_deg(23.0, 80.0, 0.0) == 180.0
    assert sunset_hour_angle_deg(-23.0, 80.0, 0.0) == 0.0
    assert sunset_hour_angle_deg(23.0, 90.0, 0.0) == 180.0
    # by hand: cos H = -tan 45 tan 20 = -0.36397
    assert sunset_hour_angle_deg(20.0, 45.0, 0.0) == pytest.approx(111.344, abs=1e-3)


def test_thin_air_lets_the_sun_rise_later():
    starts = hours("2019-03-05T13:00", 1)
    low = solar_geometry(starts, 3600, 39.74, -105.18, 0.0)
    high = solar_geometry(starts, 3600, 39.74, -105.18, 0.0, pressure_pa=60000.0)
    assert 0.0 < high.sunlit_fraction[0] < low.sunlit_fraction[0]


def test_refraction_may_vary_by_row():
    starts = hours("2019-03-05", 24)
    pressure = np.linspace(80000.0, 100000.0, 24)
    rows = solar_geometry(starts, 3600, 39.74, -105.18, 0.0, pressure, np.full(24, 5.0))
    one = solar_geometry(starts[[14]], 3600, 39.74, -105.18, 0.0, float(pressure[14]), 5.0)
    assert rows.zenith_deg[14] == pytest.approx(one.zenith_deg[0], abs=2e-4)


# ---- planes -------------------------------------------------------------------------------------

TILTS = np.array([0.0, 10.0, 45.0, 90.0, 90.0, 135.0, 180.0])
AZIMUTHS = np.array([0.0, 180.0, 20.0, 90.0, 270.0, 180.0, 33.0])


@pytest.mark.parametrize("latitude", [39.0, -33.0, 70.0])
def test_planes_receive_what_pvlib_gives_them(latitude):
    geometry = solar_geometry(hours("2019-01-01", 8760), 3600, latitude, -105.0, 1800.0)
    geometry = at_its_moment(geometry)
    ghi, dni, dhi = light(geometry)
    planes = surface_irradiance(geometry, ghi, dni, dhi, TILTS, AZIMUTHS, 0.2)
    for o, (tilt, azimuth) in enumerate(zip(TILTS, AZIMUTHS, strict=True)):
        theirs = pvlib.irradiance.get_total_irradiance(
            tilt,
            azimuth,
            geometry.zenith_deg,
            geometry.azimuth_deg,
            dni,
            ghi,
            dhi,
            dni_extra=geometry.extraterrestrial_w_m2,
            model="perez",
            albedo=0.2,
        )
        expected = np.nan_to_num(np.asarray(theirs["poa_global"]))
        np.testing.assert_allclose(planes.total[:, o], expected, atol=1e-8)
    for part in (planes.beam, planes.sky, planes.ground, planes.cos_incidence):
        assert np.all(part >= 0.0)


def test_a_roof_receives_the_global_irradiance_and_beam_is_conserved():
    geometry = solar_geometry(hours("2019-05-01", 24 * 30), 3600, 39.0, -105.0, 1800.0)
    geometry = at_its_moment(geometry)
    ghi, dni, dhi = light(geometry)
    high = np.cos(np.radians(geometry.zenith_deg)) > np.cos(np.radians(85.0))
    roof = surface_irradiance(geometry, ghi, dni, dhi, [0.0], [0.0], 0.2)
    np.testing.assert_allclose(roof.total[high, 0], ghi[high], rtol=1e-12)
    no_diffuse = surface_irradiance(geometry, ghi - dhi, dni, 0.0 * dhi, [0.0], [0.0], 0.2)
    assert no_diffuse.total.sum() == pytest.approx((ghi - dhi).sum(), rel=1e-12)


def test_a_sunrise_hour_keeps_the_beam_of_its_minutes():
    # constant direct beam while the sun is up: the hour must not lose or gain by its one moment
    wall = ([90.0], [90.0])
    minutes_start = hours("2019-03-05T07:00", 24 * 60, 60)
    minutes = solar_geometry(minutes_start, 60, 39.74, -105.18, 0.0)
    hourly = solar_geometry(minutes_start[::60], 3600, 39.74, -105.18, 0.0)
    dni = 600.0 * minutes.sunlit_fraction
    nothing = np.zeros_like(dni)
    fine = surface_irradiance(minutes, nothing, dni, nothing, *wall, 0.0).beam[:, 0]
    mean_dni = dni.reshape(-1, 60).mean(axis=1)
    nothing = np.zeros_like(mean_dni)
    coarse = surface_irradiance(hourly, nothing, mean_dni, nothing, *wall, 0.0).beam[:, 0]
    fine_hourly = fine.reshape(-1, 60).mean(axis=1)
    rise = np.flatnonzero(mean_dni > 0.0)[0]
    assert hourly.sunlit_fraction[rise] < 1.0
    assert coarse[rise] == pytest.approx(fine_hourly[rise], rel=0.002)
    # the hour in which the sun leaves the wall is taken at one direction still
    assert coarse.sum() == pytest.approx(fine_hourly.sum(), rel=0.003)


@pytest.mark.parametrize("tilt", [0.0, 30.0])
def test_an_hour_receives_the_mean_of_its_minutes(tilt):
    minutes_start = hours("2019-06-21T14:00", 10 * 60, 60)
    minutes = solar_geometry(minutes_start, 60, 39.74, -105.18, 0.0)
    hourly = solar_geometry(minutes_start[::60], 3600, 39.74, -105.18, 0.0)
    cosine = [
        surface_irradiance(g, none, none + 1.0, none, [tilt], [180.0], 0.0).beam[:, 0]
        for g, none in ((minutes, np.zeros(600)), (hourly, np.zeros(10)))
    ]
    fine = cosine[0].reshape(-1, 60).mean(axis=1)
    assert cosine[1] == pytest.approx(fine, rel=2e-5)
    # against the cosine of the middle: the sine of 7.5 degrees over its arc, or a little less
    middle = surface_irradiance(
        at_its_moment(hourly), np.zeros(10), np.ones(10), np.zeros(10), [tilt], [180.0], 0.0
    )
    assert ((cosine[1] / middle.beam[:, 0] < 0.999) & (cosine[1] > 0.9 * middle.beam[:, 0])).all()


def test_a_floor_sees_the_ground_only():
    geometry = solar_geometry(hours("2019-06-21", 24), 3600, 39.0, -105.0, 0.0)
    ghi, dni, dhi = light(geometry)
    floor = surface_irradiance(geometry, ghi, dni, dhi, [180.0], [77.0], 0.25)
    assert np.max(np.abs(floor.beam)) < 1e-9
    assert np.max(np.abs(floor.sky)) < 1e-9
    np.testing.assert_allclose(floor.ground[:, 0], 0.25 * ghi)


def test_twilight_is_isotropic():
    geometry = solar_geometry(hours("2019-06-21T02:00", 1), 3600, 39.0, -105.0, 0.0)
    late = solar_geometry(hours("2019-06-21T03:00", 1), 3600, 39.0, -105.0, 0.0)
    assert geometry.sunlit_fraction[0] > 0.0
    assert late.sunlit_fraction[0] == 0.0
    dusk = surface_irradiance(
        late, np.array([5.0]), np.array([0.0]), np.array([5.0]), [0.0, 90.0], [0.0, 270.0], 0.2
    )
    np.testing.assert_allclose(dusk.sky, [[5.0, 2.5]])
    np.testing.assert_allclose(dusk.ground, [[0.0, 0.5]], atol=1e-15)
    assert np.all(dusk.beam == 0.0)
    assert np.all(dusk.cos_incidence == 0.0)


def test_walls_have_their_half_of_the_day():
    geometry = solar_geometry(hours("2019-09-23T06:00", 24), 3600, 39.0, -105.0, 0.0)
    east, south, west, north = surface_irradiance(
        geometry, *light(geometry), np.full(4, 90.0), [90.0, 180.0, 270.0, 0.0], 0.2
    ).cos_incidence.T
    morning = geometry.hour_angle_deg < 0.0
    assert np.all(east[~morning] == 0.0)
    assert np.all(west[morning] == 0.0)
    assert south.max() == pytest.approx(np.sin(np.radians(39.0)), abs=0.01)  # an equinox
    assert np.max(north) < 0.02


def test_southern_sun_stands_in_the_north():
    geometry = solar_geometry(hours("2019-06-21", 24), 3600, -35.0, 0.0, 0.0)
    noon = int(np.argmin(np.abs(geometry.hour_angle_deg)))
    assert abs((geometry.azimuth_deg[noon] + 180.0) % 360.0 - 180.0) < 10.0
    ghi, dni, dhi = light(geometry)
    north, south = surface_irradiance(
        geometry, ghi, dni, dhi, [35.0, 35.0], [0.0, 180.0], 0.2
    ).total.sum(axis=0)
    assert north > south


@given(
    hour_angle=st.floats(-100.0, 100.0),
    declination=st.floats(-23.4, 23.4),
    latitude=st.floats(-85.0, 85.0),
)
def test_mirror_of_the_hemispheres(hour_angle, declination, latitude):
    # opposite latitude with opposite declination mirrors the sky on the east-west line
    elevation, azimuth = _horizontal(np.array([declination]), np.array([hour_angle]), latitude)
    other, mirrored = _horizontal(np.array([-declination]), np.array([hour_angle]), -latitude)
    assert other[0] == pytest.approx(elevation[0], abs=1e-9)
    if elevation[0] < 89.0:
        apart = (mirrored[0] - (180.0 - azimuth[0]) + 180.0) % 360.0 - 180.0
        assert apart == pytest.approx(0.0, abs=1e-6)


def test_re_aimed_plane_is_each_fixed_plane_in_its_hours():
    geometry = solar_geometry(hours("2019-06-21T06:00", 24), 3600, 39.0, -105.0, 0.0)
    sun = light(geometry)
    aims = np.where(np.arange(24) < 13, 110.0, 250.0)[:, None]
    moved = surface_irradiance(geometry, *sun, np.full((24, 1), 35.0), aims, 0.2)
    fixed = surface_irradiance(geometry, *sun, [35.0, 35.0], [110.0, 250.0], 0.2)
    for part in ("beam", "sky", "ground", "cos_incidence"):
        picked = np.where(
            np.arange(24) < 13, getattr(fixed, part)[:, 0], getattr(fixed, part)[:, 1]
        )
        np.testing.assert_allclose(getattr(moved, part)[:, 0], picked, rtol=1e-12, atol=1e-12)


@given(
    dni=st.floats(0.0, 1100.0),
    dhi=st.floats(0.0, 600.0),
    tilt=st.floats(0.0, 180.0),
    azimuth=st.floats(0.0, 360.0),
    albedo=st.floats(0.0, 0.9),
)
def test_nothing_is_ever_negative_or_missing(dni, dhi, tilt, azimuth, albedo):
    geometry = solar_geometry(hours("2019-06-21T06:00", 24), 3600, 39.0, -105.0, 0.0)
    n = 24
    planes = surface_irradiance(
        geometry,
        np.full(n, dhi),
        np.full(n, dni),
        np.full(n, dhi),
        [tilt],
        [azimuth],
        albedo,
    )
    for part in (planes.beam, planes.sky, planes.ground, planes.cos_incidence):
        assert part.shape == (n, 1)
        assert np.all(np.isfinite(part))
        assert np.all(part >= 0.0)
