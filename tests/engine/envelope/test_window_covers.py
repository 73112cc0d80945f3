import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.envelope.glazing import (
    clear_glass,
    direct_transmittance,
    glass_absorptance,
    hemispherical_factors,
)
from noonhold.envelope.window_conductance import INSIDE_FILM, OUTSIDE_FILM, window_resistance
from noonhold.envelope.window_covers import cover_factors, inner_absorptance
from noonhold.rig import Cover, CoverPosition, Window
from noonhold.scenario import CoverState


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


def inward(pane: Window, state: CoverState) -> float:
    """Return what of the light on a window flows inward from its glass, at the rated films."""
    factors = cover_factors(pane, state)
    outer, inner = 1.0 / OUTSIDE_FILM, 1.0 / INSIDE_FILM
    between = window_resistance(pane) + factors.added_resistance_m2k_w
    share = (outer + factors.inner_fraction * between) / (outer + between + inner)
    return factors.absorbed * share


def scale(pane: Window, state: CoverState) -> float:
    """Return that over what the bare window transmits."""
    return inward(pane, state) / inward(pane, CoverState.OPEN)


@given(shgc=st.floats(0.05, 0.9), u_value=st.floats(0.8, 5.8), panes=st.integers(1, 3))
def test_the_bare_window_gains_its_rated_heat(shgc, u_value, panes):
    pane = window(solar_heat_gain_coefficient=shgc, u_value_w_m2k=u_value, panes=panes)
    gain = direct_transmittance(pane) + inward(pane, CoverState.OPEN)
    if glass_absorptance(pane) < 0.95 - direct_transmittance(pane):
        assert gain == pytest.approx(shgc)
    else:  # more than glass that absorbs all it does not pass could give
        assert gain < shgc + 1e-9


def test_light_of_the_cabin_meets_the_cover_before_the_glass():
    pane = window(REFLECTIVE, solar_transmittance=0.7)
    assert inner_absorptance(pane, CoverState.INSIDE) == pytest.approx(0.2)
    glass = 1.0 - 0.7 * hemispherical_factors(pane)[0] - clear_glass(2).reflectance
    assert inner_absorptance(pane, CoverState.OPEN) == pytest.approx(glass)


def test_open_window_is_left_alone():
    factors = cover_factors(window(REFLECTIVE, MESH), CoverState.OPEN)
    assert (factors.transmitted, factors.to_air) == (1.0, 0.0)
    assert factors.absorbed == glass_absorptance(window())
    assert factors.inner_fraction == pytest.approx(0.5)
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
    # back from the cover lights the glass a second time (the films of 1/3 m2K/W stay as rated)
    again = 1.0 + 0.7466 * 0.8 / (1.0 - 0.8 * back)
    assert scale(pane, CoverState.INSIDE) == pytest.approx(again * (1.0 / 3.0) / (1.0 / 3.0 + 0.3))


def test_dark_glass_absorbs_from_behind_no_more_than_it_lets_in():
    # 1 - 0.05 - 0.18 from the front, but what it reflects of diffuse light cannot be absorbed
    pane = window(REFLECTIVE, solar_transmittance=0.05, panes=3)
    back = clear_glass(3).reflectance
    assert glass_absorptance(pane) > 1.0 - back
    again = 1.0 + (1.0 - back) / glass_absorptance(pane) * 0.05 * 0.8 / (1.0 - 0.8 * back)
    assert scale(pane, CoverState.INSIDE) == pytest.approx(
        again * (1.0 / 3.0) / (1.0 / 3.0 + 0.3), rel=1e-9
    )


def test_outside_cover_keeps_its_heat_outdoors():
    factors = cover_factors(window(MESH), CoverState.OUTSIDE)
    back = clear_glass(2).reflectance
    assert factors.transmitted == pytest.approx(0.3 / (1.0 - 0.2 * back))
    assert factors.to_air == 0.0
    # the glass gets less light but sheds less of its heat outward
    assert factors.transmitted < scale(window(MESH), CoverState.OUTSIDE) < 1.0


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
    assert for_outside.to_air + for_outside.absorbed == 0.0
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
    assert min(factors.transmitted, factors.to_air, factors.absorbed) >= 0.0
    assert factors.transmitted + factors.to_air <= 1.0 + 1e-9
    gain = direct * (factors.transmitted + factors.to_air)
    gain += inward(pane, state)
    assert gain <= 1.0 + 1e-9
