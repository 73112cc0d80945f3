import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.rig import Awning, Extent
from noonhold.solar.shading import (
    awning_sky_fraction,
    awning_sunlit_fraction,
    horizon_mask,
    horizon_sky_fraction,
)
from noonhold.solar.sun import solar_geometry
from tests.engine.made import sun_at

SOUTH = 180.0


def awning(**changes) -> Awning:
    values = {
        "side_azimuth_from_front_deg": 90.0,
        "depth_m": 2.0,
        "length_m": 1000.0,
        "height_m": 2.0,
    } | changes
    return Awning(**values)


def traced(azimuth, elevation, wall, extent: Extent, cloth: Awning, points: int = 300) -> float:
    """Follow a ray to the sun from a grid of points of the rectangle."""
    x = extent.offset_m + extent.width_m * ((np.arange(points) + 0.5) / points - 0.5)
    z = extent.bottom_m + extent.height_m * (np.arange(points) + 0.5) / points
    x, z = np.meshgrid(x, z)
    e, turn = np.radians(elevation), np.radians(azimuth - wall)
    rise = (cloth.height_m - z) / np.sin(e)
    out = rise * np.cos(e) * np.cos(turn)
    # seen from outside, right is a quarter turn anticlockwise from where the wall looks
    right = x + rise * np.cos(e) * np.cos(np.radians(azimuth - (wall - 90.0)))
    hit = (rise > 0.0) & (out < cloth.depth_m) & (np.abs(right) < 0.5 * cloth.length_m)
    return 1.0 - hit.mean() * (1.0 - cloth.solar_transmittance)


# ---- awning and sun: hours worked by hand -------------------------------------------------------


@pytest.mark.parametrize(
    ("azimuth", "elevation", "sunlit"),
    [
        # profile angle: tan(P) = tan(elevation) / cos(azimuth - wall), ASHRAE Handbook
        # Fundamentals, shading of horizontal projections (from memory); shadow = depth tan(P).
        (180.0, 26.5650512, 1.0 - 2.0 * 0.5 / 2.0),  # tan P = 0.5: 1 m of 2 m
        (120.0, 26.5650512, 0.0),  # tan P = 0.5 / cos 60 = 1: 2 m of 2 m
        (225.0, 10.0, 1.0 - 0.1763270 / 0.7071068),  # tan P = 0.24936
        (180.0, 60.0, 0.0),  # 3.46 m: all of it
        (0.0, 30.0, 1.0),  # behind the wall
        (90.0, 30.0, 1.0),  # along the wall
        (180.0, -1.0, 1.0),  # no sun
    ],
)
def test_long_awning_by_the_profile_angle(azimuth, elevation, sunlit):
    share = awning_sunlit_fraction(sun_at(azimuth, elevation), SOUTH, Extent(1.0, 2.0), awning())
    assert share[0] == pytest.approx(sunlit, abs=2e-6)


def test_window_above_the_shadow_line_by_hand():
    # shadow reaches from 2.0 m down to 1.0 m; a window from 0.8 to 1.4 m lies to two thirds in it
    share = awning_sunlit_fraction(
        sun_at(180.0, 26.5650512), SOUTH, Extent(0.5, 0.6, bottom_m=0.8), awning()
    )
    assert share[0] == pytest.approx(0.2 / 0.6, abs=1e-6)


def test_short_awning_with_a_sliding_shadow_by_hand():
    # sun at azimuth 225 and tan(elevation) = cos 45: fall and slide are both the depth, 1 m, and
    # the sun is to the left seen from outside, so the shadow slides right. Awning 2 m long at
    # 1 m, wall 2 m x 1 m: at a depth u the shadow covers 2 - u of 2 m; mean 1.5 of 2.
    elevation = np.degrees(np.arctan(np.cos(np.radians(45.0))))
    share = awning_sunlit_fraction(
        sun_at(225.0, elevation),
        SOUTH,
        Extent(2.0, 1.0),
        awning(depth_m=1.0, length_m=2.0, height_m=1.0),
    )
    assert share[0] == pytest.approx(0.25, abs=1e-9)


def test_the_shadow_slides_away_from_the_sun():
    # a south wall seen from outside has the east on its right: an eastern sun shades the left
    cloth = awning(depth_m=1.0, length_m=2.0, height_m=2.0)
    left = Extent(0.5, 1.0, bottom_m=1.0, offset_m=-0.75)
    right = Extent(0.5, 1.0, bottom_m=1.0, offset_m=0.75)
    sun = sun_at(110.0, 25.0)
    assert awning_sunlit_fraction(sun, SOUTH, left, cloth)[0] < 0.2
    assert awning_sunlit_fraction(sun, SOUTH, right, cloth)[0] > 0.8


def test_turning_rig_and_sun_together_changes_nothing():
    cloth, extent = awning(length_m=3.0), Extent(1.0, 0.6, 0.9, 0.4)
    shares = [
        awning_sunlit_fraction(sun_at((wall + 40.0) % 360.0, 35.0), wall, extent, cloth)[0]
        for wall in (0.0, 90.0, 180.0, 300.0, 350.0)
    ]
    np.testing.assert_allclose(shares, shares[0], rtol=1e-9)
    assert 0.0 < shares[0] < 1.0


def test_cloth_lets_its_share_through():
    share = awning_sunlit_fraction(
        sun_at(180.0, 60.0), SOUTH, Extent(1.0, 2.0), awning(solar_transmittance=0.15)
    )
    assert share[0] == pytest.approx(0.15)


def test_wall_above_the_awning_stays_in_the_sun():
    cloth = awning(height_m=1.0)
    extent = Extent(1.0, 0.5, bottom_m=1.2)
    assert awning_sunlit_fraction(sun_at(180.0, 60.0), SOUTH, extent, cloth)[0] == 1.0
    assert awning_sky_fraction(extent, cloth) == 1.0


@given(
    azimuth=st.floats(92.0, 268.0),
    elevation=st.floats(1.0, 89.0),
    width=st.floats(0.2, 5.0),
    bottom=st.floats(0.0, 1.5),
    offset=st.floats(-2.0, 2.0),
    depth=st.floats(0.3, 3.0),
    length=st.floats(0.5, 5.0),
)
def test_shadow_is_that_of_traced_rays(azimuth, elevation, width, bottom, offset, depth, length):
    cloth = awning(depth_m=depth, length_m=length, height_m=1.9, solar_transmittance=0.1)
    extent = Extent(width, 0.7, bottom, offset)
    share = awning_sunlit_fraction(sun_at(azimuth, elevation), SOUTH, extent, cloth)[0]
    # the grid of rays resolves an edge to half a cell on each of its sides
    rays = traced(azimuth, elevation, SOUTH, extent, cloth)
    assert share == pytest.approx(rays, abs=0.006)
    assert 0.1 - 1e-12 <= share <= 1.0


def test_a_year_of_sun_gives_no_surprise():
    starts = np.datetime64("2019-01-01", "s") + np.arange(8760) * np.timedelta64(3600, "s")
    geometry = solar_geometry(starts, 3600, 38.0, -105.0, 2000.0)
    share = awning_sunlit_fraction(geometry, SOUTH, Extent(1.2, 0.6, 0.9), awning(length_m=3.0))
    assert np.all((share >= 0.0) & (share <= 1.0))
    summer = slice(24 * 165, 24 * 180)
    winter = slice(24 * 345, 24 * 360)
    assert share[summer].min() == 0.0
    south = np.abs(geometry.azimuth_deg - 180.0) < 30.0
    assert share[summer][south[summer]].mean() < share[winter][south[winter]].mean()


# ---- awning and sky -----------------------------------------------------------------------------


def test_long_awning_takes_the_sky_of_two_endless_strips():
    # crossed strings (H. C. Hottel): from a wall of height H to a perpendicular strip of depth D
    # along its top edge F = (H + D - sqrt(H^2 + D^2)) / (2 H), of the half that is sky
    height, depth = 2.0, 2.5
    view = (height + depth - np.hypot(height, depth)) / (2.0 * height)
    share = awning_sky_fraction(
        Extent(1.0, height), awning(depth_m=depth, height_m=height, length_m=1e5)
    )
    assert share == pytest.approx(1.0 - view / 0.5, abs=1e-6)


def test_square_awning_over_its_own_wall():
    # two equal squares with a common edge: F = 0.20004 (J. R. Howell, catalogue C-14 for
    # H = W = 1, from memory; numerical value of the closed form)
    share = awning_sky_fraction(Extent(2.0, 2.0), awning(depth_m=2.0, length_m=2.0, height_m=2.0))
    assert share == pytest.approx(1.0 - 0.20004 / 0.5, abs=1e-4)


def test_sky_share_against_points_and_directions():
    extent, cloth = Extent(6.0, 0.5, 1.4, 0.3), awning(depth_m=2.5, length_m=1.5, height_m=1.9)
    generator = np.random.default_rng(4)
    n = 400_000
    x = extent.offset_m + extent.width_m * (generator.random(n) - 0.5)
    z = extent.bottom_m + extent.height_m * generator.random(n)
    # directions weighted with the cosine to the wall's normal, upper half only
    radius, angle = np.sqrt(generator.random(n)), np.pi * generator.random(n)
    right, up = radius * np.cos(angle), radius * np.sin(angle)
    out = np.sqrt(1.0 - radius**2)
    path = (cloth.height_m - z) / up
    hit = (path * out < cloth.depth_m) & (np.abs(x + path * right) < 0.5 * cloth.length_m)
    assert awning_sky_fraction(extent, cloth) == pytest.approx(1.0 - hit.mean(), abs=0.003)


def test_mirrored_extents_see_the_same_sky():
    cloth = awning(length_m=2.0)
    left = awning_sky_fraction(Extent(0.5, 0.6, 0.9, -0.8), cloth)
    right = awning_sky_fraction(Extent(0.5, 0.6, 0.9, 0.8), cloth)
    assert left == pytest.approx(right, rel=1e-12)


@given(
    width=st.floats(0.2, 5.0),
    height=st.floats(0.1, 2.0),
    bottom=st.floats(0.0, 2.5),
    offset=st.floats(-3.0, 3.0),
    depth=st.floats(0.3, 3.0),
    length=st.floats(0.5, 6.0),
    transmittance=st.floats(0.0, 1.0),
)
def test_sky_share_is_a_share(width, height, bottom, offset, depth, length, transmittance):
    cloth = awning(depth_m=depth, length_m=length, solar_transmittance=transmittance)
    share = awning_sky_fraction(Extent(width, height, bottom, offset), cloth)
    assert transmittance - 1e-9 <= share <= 1.0 + 1e-9


# ---- far horizon --------------------------------------------------------------------------------


def test_level_horizon_hides_nothing():
    assert np.all(horizon_mask(sun_at([10.0, 200.0], [1.0, 50.0]), ()) == 1.0)
    assert horizon_sky_fraction(()) == 1.0
    assert horizon_sky_fraction(((0.0, 0.0), (180.0, 0.0))) == 1.0


def test_skyline_is_linear_and_wraps_over_north():
    skyline = ((270.0, 0.0), (350.0, 20.0), (10.0, 10.0), (90.0, 0.0))
    # at north half way between 20 and 10; at 310 half way between 0 and 20
    hidden = horizon_mask(sun_at([0.0, 310.0, 180.0], [14.9, 9.9, 0.1]), skyline)
    seen = horizon_mask(sun_at([0.0, 310.0, 180.0], [15.1, 10.1, 0.1]), skyline)
    np.testing.assert_array_equal(hidden, [0.0, 0.0, 1.0])
    np.testing.assert_array_equal(seen, [1.0, 1.0, 1.0])


def test_skyline_points_may_stand_in_any_order():
    skyline = ((10.0, 10.0), (350.0, 20.0), (90.0, 0.0), (270.0, 0.0))
    sun = sun_at(np.linspace(0.0, 359.0, 360), 7.0)
    np.testing.assert_array_equal(
        horizon_mask(sun, skyline), horizon_mask(sun, tuple(sorted(skyline)))
    )


def test_sky_over_a_ring_of_hills():
    # cos^2 30 = 0.75; half a ring keeps half of that and half of all
    assert horizon_sky_fraction(((0.0, 30.0), (180.0, 30.0))) == pytest.approx(0.75)
    half = ((0.0, 30.0), (180.0, 30.0), (180.001, 0.0), (359.999, 0.0))
    assert horizon_sky_fraction(half) == pytest.approx(0.875, abs=1e-4)


def test_a_valley_below_the_horizontal_adds_no_sky():
    assert horizon_sky_fraction(((0.0, -5.0), (180.0, -5.0))) == 1.0
