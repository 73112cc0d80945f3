"""Curtains at an awning's ends: their shadows on the wall and the sky that they hide."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.rig import Awning, Extent
from noonhold.solar.shading import awning_sky_fraction, awning_sunlit_fraction
from tests.engine.made import sun_at

FloatArray = npt.NDArray[np.float64]

SOUTH = 180.0
# With the sun 45 degrees beside a wall's normal and tan(elevation) = cos(45), a shadow falls and
# slides as far as the cloth is deep. A south wall seen from outside has the west on its left.
LOW = float(np.degrees(np.arctan(np.cos(np.radians(45.0)))))
FROM_LEFT, FROM_RIGHT = sun_at(225.0, LOW), sun_at(135.0, LOW)


def awning(**changes: Any) -> Awning:
    values: dict[str, Any] = {"depth_m": 1.0, "length_m": 2.0, "height_m": 1.0} | changes
    return Awning(180.0, **values)


def curtained(left: float, right: float, **changes: Any) -> Awning:
    return awning(left_curtain_drop_m=left, right_curtain_drop_m=right, **changes)


def passed(
    x: FloatArray, z: FloatArray, right: npt.ArrayLike, out: npt.ArrayLike, up: npt.ArrayLike,
    cloth: Awning,
) -> FloatArray:  # fmt: skip
    """Follow rays from points of the wall; return what comes through every cloth on the way."""
    end = 0.5 * cloth.length_m
    path = (cloth.height_m - z) / up
    hit = (path > 0.0) & (path * out < cloth.depth_m) & (np.abs(x + path * right) < end)
    light = np.where(hit, cloth.solar_transmittance, 1.0)
    for place, drop in ((-end, cloth.left_curtain_drop_m), (end, cloth.right_curtain_drop_m)):
        path = (place - x) / right
        low = cloth.height_m - (z + path * up)
        hit = (path > 0.0) & (path * out < cloth.depth_m) & (low > 0.0) & (low < drop)
        light = light * np.where(hit, cloth.solar_transmittance, 1.0)
    return light


def traced(azimuth: float, elevation: float, extent: Extent, cloth: Awning, points: int) -> float:
    """Follow a ray to the sun from a grid of points of the rectangle."""
    grid = (np.arange(points) + 0.5) / points
    x, z = np.meshgrid(
        extent.offset_m + extent.width_m * (grid - 0.5), extent.bottom_m + extent.height_m * grid
    )
    e, turn = np.radians(elevation), np.radians(azimuth - SOUTH)
    right, out, up = -np.cos(e) * np.sin(turn), np.cos(e) * np.cos(turn), np.sin(e)
    return float(passed(x, z, right, out, up, cloth).mean())


def scattered(extent: Extent, cloth: Awning, count: int, seed: int = 11) -> float:
    """Follow rays to the sky from random points, weighted with the cosine to the normal."""
    generator = np.random.default_rng(seed)
    x = extent.offset_m + extent.width_m * (generator.random(count) - 0.5)
    z = extent.bottom_m + extent.height_m * generator.random(count)
    radius, angle = np.sqrt(generator.random(count)), np.pi * generator.random(count)
    right, up = radius * np.cos(angle), radius * np.sin(angle)
    return float(passed(x, z, right, np.sqrt(1.0 - radius**2), up, cloth).mean())


# ---- sun: worked by hand ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("drop", "sunlit"),
    [
        # The level cloth leaves a triangle of 1 m x 1 m on the sun's side of the wall of 2 m2.
        (0.0, 0.5 / 2.0),
        (0.5, 0.125 / 2.0),  # light under the curtain: a triangle of 0.5 m x 0.5 m
        (1.0, 0.0),
    ],
)
@pytest.mark.parametrize(("sun", "left"), [(FROM_LEFT, True), (FROM_RIGHT, False)])
def test_the_curtain_on_the_suns_side_by_hand(sun, left, drop, sunlit):
    cloth = curtained(drop, 0.0) if left else curtained(0.0, drop)
    wall = Extent(2.0, 1.0)
    assert awning_sunlit_fraction(sun, SOUTH, wall, cloth)[0] == pytest.approx(sunlit, abs=1e-9)
    other = curtained(0.0, drop) if left else curtained(drop, 0.0)
    # the far curtain throws its shadow beyond the wall's end
    assert awning_sunlit_fraction(sun, SOUTH, wall, other)[0] == pytest.approx(0.25, abs=1e-9)


@pytest.mark.parametrize(("sun", "side"), [(FROM_LEFT, 1.0), (FROM_RIGHT, -1.0)])
def test_the_outer_side_of_the_far_curtain_shades_what_lies_beyond_by_hand(sun, side):
    # From 1 to 2 m beside the middle the cloth shades the triangle under its sliding edge, half of
    # the wall; the far curtain shades the same triangle, and the sun passes both.
    beyond, drops = Extent(1.0, 1.0, 0.0, 1.5 * side), (0.0, 1.0)[:: int(side)]
    for transmittance, sunlit in ((0.0, 0.5), (0.5, 0.5 + 0.5 * 0.25)):
        cloth = curtained(*drops, solar_transmittance=transmittance)
        share = awning_sunlit_fraction(sun, SOUTH, beyond, cloth)[0]
        assert share == pytest.approx(sunlit, abs=1e-9)
    # With the awning 1 m higher the cloth's shadow ends above, the curtain's covers all of it.
    for transmittance in (0.0, 0.5):
        cloth = curtained(
            *(2.0 * d for d in drops), height_m=2.0, solar_transmittance=transmittance
        )
        share = awning_sunlit_fraction(sun, SOUTH, beyond, cloth)[0]
        assert share == pytest.approx(transmittance, abs=1e-9)


def test_the_shadows_of_both_curtains_overlap_by_hand():
    # 2 m deep, so shadows fall and slide by 2 m; the curtains stand 1 m apart, 3 m high. The square
    # from 0.5 to 1.5 m right of the middle and from 0 to 1 m up lies in the shadow of the right
    # curtain. The left one's reaches from -0.5 to 1.5 m, and its upper edge, 3 m high at the
    # curtain, has come down to 1 m there: all lies in both.
    square = Extent(1.0, 1.0, 0.0, 1.0)
    cloth = curtained(3.0, 3.0, depth_m=2.0, length_m=1.0, height_m=3.0, solar_transmittance=0.5)
    share = awning_sunlit_fraction(FROM_LEFT, SOUTH, square, cloth)[0]
    assert share == pytest.approx(0.25, abs=1e-9)


@given(
    azimuth=st.floats(95.0, 265.0),
    elevation=st.floats(1.0, 85.0),
    width=st.floats(0.2, 3.0),
    place=st.floats(-1.0, 1.0),
    bottom=st.floats(0.0, 1.8),
    depth=st.floats(0.3, 3.0),
)
def test_between_curtains_to_the_ground_the_sun_comes_through_the_front_alone(
    azimuth, elevation, width, place, bottom, depth
):
    """The front's opening, shifted by fall and slide, meets the rectangle: a closed form."""
    length, height, tall = 3.0, 2.0, 0.5
    extent = Extent(width, tall, bottom, place * 0.5 * (length - width))
    cloth = curtained(height, height, depth_m=depth, length_m=length, height_m=height)
    share = awning_sunlit_fraction(sun_at(azimuth, elevation), SOUTH, extent, cloth)[0]
    turn = np.radians(azimuth - SOUTH)
    slide = depth * np.tan(turn)  # to the right
    fall = depth * np.tan(np.radians(elevation)) / np.cos(turn)
    left, right = extent.offset_m - 0.5 * width, extent.offset_m + 0.5 * width
    across = min(right, slide + 0.5 * length) - max(left, slide - 0.5 * length)
    lit = np.clip(height - fall - bottom, 0.0, tall)
    above = max(bottom + tall - height, 0.0)  # over the awning nothing shades
    expected = (max(across, 0.0) * lit + width * above) / (width * tall)
    assert share == pytest.approx(expected, abs=1e-9)


# ---- sun: any place -----------------------------------------------------------------------------

drops = st.one_of(st.just(0.0), st.just(1.9), st.floats(0.0, 1.9))
anywhere = {
    "extent": st.builds(
        Extent, st.floats(0.2, 6.0), st.floats(0.2, 2.0), st.floats(0.0, 1.5), st.floats(-3.0, 3.0)
    ),
    "cloth": st.builds(
        Awning, st.just(180.0), st.floats(0.3, 3.0), st.floats(0.3, 5.0), st.just(1.9),
        st.floats(0.0, 1.0), drops, drops,
    ),
}  # fmt: skip
anysun = {"azimuth": st.floats(91.0, 269.0), "elevation": st.floats(0.5, 89.0)}


@given(**anysun, **anywhere)
def test_shadows_are_those_of_traced_rays(azimuth, elevation, extent, cloth):
    share = awning_sunlit_fraction(sun_at(azimuth, elevation), SOUTH, extent, cloth)[0]
    # Up to six upright and three level edges, each resolved to half a cell of the grid: 1 / 600.
    assert share == pytest.approx(traced(azimuth, elevation, extent, cloth, 300), abs=0.015)
    assert cloth.solar_transmittance**2 - 1e-9 <= share <= 1.0


@pytest.mark.parametrize(
    ("azimuth", "elevation", "extent", "cloth"),
    [
        # wider than the awning, both curtains' shadows on it and over each other
        (240.0, 30.0, Extent(6.0, 1.9), curtained(1.5, 1.9, height_m=1.9, depth_m=2.0)),
        (110.0, 12.0, Extent(5.0, 1.5, 0.2, -0.6), curtained(0.8, 1.2, height_m=1.9, length_m=0.7)),
        (130.0, 50.0, Extent(4.0, 2.4, 0.0, 0.3), curtained(0.0, 1.0, height_m=1.9)),
        (215.0, 20.0, Extent(3.0, 1.0, 0.4, 1.0), curtained(1.9, 0.7, height_m=1.9, depth_m=2.5)),
        (255.0, 15.0, Extent(5.0, 1.9, 0.0, 2.0), curtained(0.6, 1.8, height_m=1.9, length_m=0.5)),
    ],
)
def test_shadows_are_those_of_a_fine_grid_of_rays(azimuth, elevation, extent, cloth):
    cloth = replace(cloth, solar_transmittance=0.3)
    share = awning_sunlit_fraction(sun_at(azimuth, elevation), SOUTH, extent, cloth)[0]
    assert 0.3 < share < 1.0
    assert share == pytest.approx(traced(azimuth, elevation, extent, cloth, 2000), abs=1e-3)


@given(**anysun, **anywhere, more=st.floats(0.0, 1.9), right=st.booleans())
def test_a_longer_curtain_only_ever_shades_more(azimuth, elevation, extent, cloth, more, right):
    field = "right_curtain_drop_m" if right else "left_curtain_drop_m"
    longer = replace(cloth, **{field: max(more, getattr(cloth, field))})
    sun = sun_at(azimuth, elevation)
    before, after = (awning_sunlit_fraction(sun, SOUTH, extent, c)[0] for c in (cloth, longer))
    assert after <= before + 1e-9
    # the quadrature of the light through two cloths is the sky's only error
    sky_before, sky_after = (awning_sky_fraction(extent, c) for c in (cloth, longer))
    assert sky_after <= sky_before + 5e-4


@given(**anysun, **anywhere)
def test_a_mirror_exchanges_left_and_right(azimuth, elevation, extent, cloth):
    mirrored = replace(
        cloth,
        left_curtain_drop_m=cloth.right_curtain_drop_m,
        right_curtain_drop_m=cloth.left_curtain_drop_m,
    )
    other = replace(extent, offset_m=-extent.offset_m)
    one = awning_sunlit_fraction(sun_at(azimuth, elevation), SOUTH, extent, cloth)[0]
    two = awning_sunlit_fraction(sun_at(360.0 - azimuth, elevation), SOUTH, other, mirrored)[0]
    assert two == pytest.approx(one, abs=1e-9)
    assert awning_sky_fraction(other, mirrored) == pytest.approx(
        awning_sky_fraction(extent, cloth), abs=1e-9
    )


@given(**anysun, **anywhere)
def test_curtains_that_vanish_leave_the_cloth_alone(azimuth, elevation, extent, cloth):
    bare = replace(cloth, left_curtain_drop_m=0.0, right_curtain_drop_m=0.0)
    thread = replace(cloth, left_curtain_drop_m=1e-9, right_curtain_drop_m=1e-9)
    sun = sun_at(azimuth, elevation)
    without, nearly = (awning_sunlit_fraction(sun, SOUTH, extent, c)[0] for c in (bare, thread))
    assert nearly == pytest.approx(without, abs=1e-7)
    assert awning_sky_fraction(extent, thread) == pytest.approx(
        awning_sky_fraction(extent, bare), abs=1e-7
    )


@pytest.mark.parametrize(
    ("azimuth", "elevation"), [(0.0, 30.0), (90.0, 30.0), (225.0, -1.0), (180.0, 20.0)]
)
def test_curtains_shade_nothing_of_a_sun_behind_along_below_or_straight_before(azimuth, elevation):
    sun, wall, cloth = sun_at(azimuth, elevation), Extent(2.0, 1.0), curtained(1.0, 1.0)
    share = awning_sunlit_fraction(sun, SOUTH, wall, cloth)
    np.testing.assert_allclose(
        share, awning_sunlit_fraction(sun, SOUTH, wall, awning()), atol=1e-11
    )


# ---- sky ----------------------------------------------------------------------------------------


def test_two_curtains_and_a_cloth_round_a_square_wall():
    # Two equal squares with a common edge: F = 0.20004 (J. R. Howell, catalogue C-14 for H = W = 1,
    # from memory). The cloth takes it from the half of the view that is sky; a curtain takes half
    # of it, that over the element, by symmetry.
    square = Extent(2.0, 2.0)
    cloth = curtained(2.0, 2.0, depth_m=2.0, height_m=2.0)
    view = 0.20004
    assert awning_sky_fraction(square, cloth) == pytest.approx(1.0 - 4.0 * view, abs=2e-4)
    one = replace(cloth, left_curtain_drop_m=0.0)
    assert awning_sky_fraction(square, one) == pytest.approx(1.0 - 3.0 * view, abs=2e-4)
    thin = replace(cloth, solar_transmittance=0.25)
    assert awning_sky_fraction(square, thin) == pytest.approx(1.0 - 3.0 * view, abs=2e-4)


def test_a_tall_curtain_takes_the_sky_of_two_endless_strips():
    # crossed strings (H. C. Hottel): from a wall of width W to a perpendicular strip of depth D
    # along its edge F = (W + D - sqrt(W^2 + D^2)) / (2 W), above an element as much as below
    width, depth, tall = 1.5, 2.5, 2e4
    view = (width + depth - np.hypot(width, depth)) / (2.0 * width)
    cloth = curtained(0.0, tall, depth_m=depth, height_m=tall, length_m=width)
    wall = Extent(width, 1.0)
    assert awning_sky_fraction(wall, cloth) == pytest.approx(1.0 - view, abs=2e-4)


def test_a_deep_tent_leaves_no_sky():
    cloth = curtained(2.0, 2.0, depth_m=3e3, height_m=2.0)
    assert awning_sky_fraction(Extent(1.0, 1.0, 0.5, 0.3), cloth) == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize(
    ("extent", "cloth"),
    [
        (Extent(1.0, 0.6, 0.9, 0.3), curtained(1.0, 1.9, height_m=1.9)),
        (Extent(6.0, 1.9), curtained(1.9, 1.9, height_m=1.9, depth_m=2.0)),
        (Extent(6.0, 1.2, 0.3, 0.4), curtained(0.6, 1.4, height_m=1.9, depth_m=2.0)),
        (Extent(1.0, 2.4, 0.0, 1.6), curtained(1.9, 0.8, height_m=1.9, depth_m=2.5, length_m=0.7)),
        (Extent(0.6, 0.6, 1.0, -1.4), curtained(1.6, 1.9, height_m=1.9, length_m=0.5)),
        (Extent(2.0, 0.3, 1.6, -1.0), curtained(0.9, 0.2, height_m=1.9, length_m=2.0)),
    ],
)
@pytest.mark.parametrize("transmittance", [0.0, 0.4])
def test_sky_share_against_points_and_directions(extent, cloth, transmittance):
    cloth = replace(cloth, solar_transmittance=transmittance)
    # a million rays have a standard error of at most 0.0005
    rays = scattered(extent, cloth, 1_000_000)
    assert awning_sky_fraction(extent, cloth) == pytest.approx(rays, abs=0.0015)


@given(**anywhere)
def test_sky_share_is_a_share(extent, cloth):
    share = awning_sky_fraction(extent, cloth)
    assert cloth.solar_transmittance**2 - 5e-4 <= share <= 1.0 + 1e-9


def test_a_wall_over_the_awning_sees_no_curtain():
    assert awning_sky_fraction(Extent(3.0, 0.5, 1.2), curtained(1.0, 1.0)) == 1.0


# ---- an overhang between two fins ---------------------------------------------------------------


def test_a_window_between_overhang_and_fins_to_the_ground():
    cloth = curtained(2.7, 2.7, length_m=3.0, height_m=2.7)
    window = Extent(3.0, 2.0, 0.2)
    azimuths = np.array([180.0, 210.0, 225.0, 255.0, 150.0])
    share = awning_sunlit_fraction(sun_at(azimuths, 20.0), SOUTH, window, cloth)
    turn = np.radians(azimuths - SOUTH)
    fall = np.tan(np.radians(20.0)) / np.cos(turn)
    expected = (3.0 - np.abs(np.tan(turn))).clip(0.0) * (2.7 - fall - 0.2).clip(0.0, 2.0) / 6.0
    np.testing.assert_allclose(share, expected, atol=1e-9)
    assert awning_sky_fraction(window, cloth) < awning_sky_fraction(
        window, replace(cloth, left_curtain_drop_m=0.0, right_curtain_drop_m=0.0)
    )
