import numpy as np
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.glazing import (
    angular_factor,
    array_angular_factor,
    array_diffuse_factors,
    clear_glass,
    cover_factors,
    direct_transmittance,
    hemispherical_factor,
    transmittance_from_shgc,
)
from engine.rig import Cover, CoverPosition, Window
from engine.scenario import CoverState


def cosines(*degrees: float) -> np.ndarray:
    return np.cos(np.radians(degrees))


def window(*covers: Cover, **changes) -> Window:
    values = {
        "name": "side",
        "tilt_deg": 90.0,
        "azimuth_from_front_deg": 90.0,
        "area_m2": 0.5,
        "u_value_w_m2k": 3.0,
        "solar_heat_gain_coefficient": 0.789,
    } | changes
    return Window(covers=covers, **values)


REFLECTIVE = Cover(CoverPosition.INSIDE, 0.0, 0.8, 0.3)
MESH = Cover(CoverPosition.OUTSIDE, 0.3, 0.2, 0.05)

# ---- published values ---------------------------------------------------------------------------


def test_clear_glass_of_the_standard_test_window():
    # ANSI/ASHRAE Standard 140-2011, window of case 600: single-pane normal transmittance 0.862
    assert clear_glass(1, 1.0).transmittance == pytest.approx(0.862, abs=0.001)


@pytest.mark.parametrize(("panes", "tolerance"), [(1, 0.027), (2, 0.070), (3, 0.090)])
def test_angular_curve_stands_beside_fresnels(panes, tolerance):
    # the solar factor lies a little over the transmittance, as absorption falls off more slowly;
    # the largest gap is at 80 degrees, where little light arrives
    angles = np.arange(0.0, 90.0, 10.0)
    fresnel = np.array([clear_glass(panes, c).transmittance for c in cosines(*angles)])
    curve = angular_factor(cosines(*angles), panes)
    gap = np.abs(curve - fresnel / fresnel[0])
    assert gap[:7].max() < 0.015  # to 60 degrees
    assert gap.max() < tolerance
    hemispherical = clear_glass(panes).transmittance / fresnel[0]
    assert hemispherical_factor(panes) == pytest.approx(hemispherical, abs=0.015)


def test_angular_curve_by_hand():
    # Karlsson, Roos (2000) with p = 2, q = 4 at 60 degrees, z = 2/3: alpha 8, gamma 8.62,
    # a 8, b 0.0625, c -7.0625: 1 - 0.31215 - 0.02778 + 0.21431
    assert angular_factor(0.5, 2) == pytest.approx(0.87438, abs=2e-5)


def test_transmittance_by_hand():
    # LBNL-2804E: each of the four regressions and the middle of the band between them
    assert transmittance_from_shgc(5.8, 0.86) == pytest.approx(1.30415 * 0.86 - 0.30515)
    assert transmittance_from_shgc(5.8, 0.50) == pytest.approx(0.939998 * 0.25 + 0.20332 * 0.5)
    two = 0.085775 * 0.25 + 0.963954 * 0.5 - 0.084958
    assert transmittance_from_shgc(2.0, 0.50) == pytest.approx(two)
    assert transmittance_from_shgc(2.0, 0.10) == pytest.approx(0.04104)
    one = 0.939998 * 0.25 + 0.20332 * 0.5
    assert transmittance_from_shgc(3.95, 0.50) == pytest.approx(0.5 * (one + two))


def test_transmittance_of_the_standard_test_window():
    # two clear panes of case 600: solar heat gain 0.789 at normal; transmittance by Fresnel
    fresnel = clear_glass(2, 1.0).transmittance
    assert transmittance_from_shgc(3.0, 0.789) == pytest.approx(fresnel, abs=0.02)


def test_array_curve_is_pvlibs():
    angles = np.array([0.0, 15.0, 45.0, 60.0, 75.0, 85.0, 89.9, 90.0])
    np.testing.assert_allclose(
        array_angular_factor(cosines(*angles)), pvlib.iam.physical(angles), atol=1e-12
    )


def test_array_diffuse_is_marions():
    tilts = np.array([0.0, 15.0, 35.0, 60.0, 90.0])
    sky, ground = array_diffuse_factors(tilts)
    theirs = pvlib.iam.marion_diffuse("physical", tilts)
    np.testing.assert_allclose(sky, theirs["sky"], atol=0.001)
    np.testing.assert_allclose(ground, theirs["ground"], atol=0.001)
    assert ground[0] == 0.0
    assert sky[-1] == pytest.approx(ground[-1])


# ---- shapes and ends ----------------------------------------------------------------------------


@pytest.mark.parametrize("panes", [1, 2, 3])
def test_angular_curve_falls_from_one_to_nothing(panes):
    curve = angular_factor(cosines(*np.linspace(0.0, 90.0, 361)), panes)
    assert curve[0] == 1.0
    assert curve[-1] == pytest.approx(0.0, abs=1e-12)
    assert np.all(np.diff(curve) <= 1e-12)


def test_more_panes_pass_less():
    factors = [hemispherical_factor(panes) for panes in (1, 2, 3)]
    assert factors == sorted(factors, reverse=True)
    stacks = [clear_glass(panes) for panes in (1, 2, 3)]
    assert stacks[0].transmittance > stacks[1].transmittance > stacks[2].transmittance
    assert stacks[0].reflectance < stacks[1].reflectance < stacks[2].reflectance


def test_diffuse_factors_keep_the_shape_of_re_aimed_arrays():
    tilt = np.where(np.arange(48) < 20, 30.0, 60.0)[:, None]
    sky, ground = array_diffuse_factors(tilt)
    assert sky.shape == ground.shape == (48, 1)
    each = array_diffuse_factors([30.0, 60.0])
    np.testing.assert_array_equal(sky[[0, 47], 0], each[0])
    np.testing.assert_array_equal(ground[[0, 47], 0], each[1])


def test_given_transmittance_goes_before_the_derived():
    assert direct_transmittance(window(solar_transmittance=0.7)) == 0.7
    assert direct_transmittance(window()) == transmittance_from_shgc(3.0, 0.789)


# ---- covers -------------------------------------------------------------------------------------


def test_open_window_is_left_alone():
    factors = cover_factors(window(REFLECTIVE, MESH), CoverState.OPEN)
    assert (factors.transmitted, factors.to_air) == (1.0, 0.0)
    assert factors.absorbed_scale == pytest.approx(1.0, rel=1e-12)
    assert factors.added_resistance_m2k_w == 0.0


@pytest.mark.parametrize(
    ("covers", "state"),
    [((REFLECTIVE,), CoverState.OUTSIDE), ((MESH,), CoverState.INSIDE), ((), CoverState.ALL)],
)
def test_a_missing_cover_leaves_its_side_open(covers, state):
    pane = window(*covers)
    assert cover_factors(pane, state) == cover_factors(pane, CoverState.OPEN)


def test_inside_cover_by_hand():
    # two panes: hemispherical reflectance R; 0.8 thrown back and forth, 0.2 absorbed at each visit
    pane = window(REFLECTIVE, solar_transmittance=0.7466)
    back = clear_glass(2).reflectance
    factors = cover_factors(pane, CoverState.INSIDE)
    assert factors.transmitted == 0.0
    assert factors.to_air == pytest.approx(0.2 / (1.0 - 0.8 * back))
    assert factors.added_resistance_m2k_w == 0.3
    # inward share of the glass's heat falls with the resistance, 1/3 over 1/3 + 0.3; what comes
    # back from the cover lights the glass a second time
    again = 1.0 + 0.7466 * 0.8 / (1.0 - 0.8 * back)
    assert factors.absorbed_scale == pytest.approx(again * (1.0 / 3.0) / (1.0 / 3.0 + 0.3))


def test_dark_glass_absorbs_from_behind_no_more_than_it_lets_in():
    # 1 - 0.05 - 0.18 from the front, but what it reflects of diffuse light cannot be absorbed
    pane = window(REFLECTIVE, solar_transmittance=0.05, panes=3)
    front, back = clear_glass(3, 1.0).reflectance, clear_glass(3).reflectance
    assert 1.0 - back < 1.0 - 0.05 - front
    again = 1.0 + (1.0 - back) / (0.95 - front) * 0.05 * 0.8 / (1.0 - 0.8 * back)
    factors = cover_factors(pane, CoverState.INSIDE)
    assert factors.absorbed_scale == pytest.approx(
        again * (1.0 / 3.0) / (1.0 / 3.0 + 0.3), rel=1e-9
    )


def test_outside_cover_keeps_its_heat_outdoors():
    factors = cover_factors(window(MESH), CoverState.OUTSIDE)
    back = clear_glass(2).reflectance
    assert factors.transmitted == pytest.approx(0.3 / (1.0 - 0.2 * back))
    assert factors.to_air == 0.0
    # the glass gets less light but sheds less of its heat outward
    assert factors.transmitted < factors.absorbed_scale < 1.0


def test_a_second_cover_on_the_same_side_adds():
    black = Cover(CoverPosition.INSIDE, 0.5, 0.0, 0.1)
    factors = cover_factors(window(black, black), CoverState.ALL)
    assert factors.transmitted == pytest.approx(0.25)
    assert factors.to_air == pytest.approx(0.75)
    assert factors.added_resistance_m2k_w == pytest.approx(0.2)


def test_outside_beats_inside():
    outside = Cover(CoverPosition.OUTSIDE, 0.0, 0.8, 0.3)
    for_outside = cover_factors(window(outside), CoverState.OUTSIDE)
    for_inside = cover_factors(window(REFLECTIVE), CoverState.INSIDE)
    assert for_outside.to_air + for_outside.absorbed_scale == 0.0
    assert for_inside.to_air > 0.0


fractions = st.floats(0.0, 1.0)


@st.composite
def any_cover(draw) -> Cover:
    transmittance = draw(fractions)
    reflectance = draw(st.floats(0.0, 1.0)) * (1.0 - transmittance)
    position = draw(st.sampled_from(CoverPosition))
    return Cover(position, transmittance, reflectance, draw(st.floats(0.0, 2.0)))


@given(
    covers=st.lists(any_cover(), max_size=3),
    state=st.sampled_from(CoverState),
    shgc=st.floats(0.01, 1.0),
    u_value=st.floats(0.5, 7.0),
    panes=st.integers(1, 3),
)
def test_no_more_comes_in_than_falls_on(covers, state, shgc, u_value, panes):
    pane = window(*covers, solar_heat_gain_coefficient=shgc, u_value_w_m2k=u_value, panes=panes)
    factors = cover_factors(pane, state)
    direct = direct_transmittance(pane)
    assert min(factors.transmitted, factors.to_air, factors.absorbed_scale) >= 0.0
    assert factors.transmitted + factors.to_air <= 1.0 + 1e-9
    gain = direct * (factors.transmitted + factors.to_air)
    gain += (shgc - direct) * factors.absorbed_scale
    assert gain <= 1.0 + 1e-9


@given(shgc=st.floats(0.0, 1.0), u_value=st.floats(0.5, 7.0))
def test_transmittance_stays_below_the_solar_factor(shgc, u_value):
    assert 0.0 <= transmittance_from_shgc(u_value, shgc) <= shgc


@given(panes=st.integers(1, 3), cosine=st.floats(0.001, 1.0))
def test_glass_keeps_energy(panes, cosine):
    glass = clear_glass(panes, cosine)
    assert 0.0 < glass.transmittance < 1.0
    assert glass.reflectance > 0.0
    assert glass.transmittance + glass.reflectance <= 1.0
