import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.envelope.window_conductance import (
    gap_conductance,
    gap_conductances,
    window_resistance,
)
from noonhold.rig import Window

SIGMA = 5.670374419e-8


def double_pane(u_value: float) -> float:
    return window_resistance(Window("side", 90.0, 90.0, 0.5, u_value, 0.7))


def by_hand(mean_c: float) -> float:
    """Air of 12 mm and long wave between panes of emittance 0.84, as ISO 15099 adds them."""
    kelvin = mean_c + 273.15
    conductivity = 0.002873 + 7.76e-5 * kelvin  # ISO 15099, annex B (from memory)
    return conductivity / 0.012 + 4.0 * SIGMA * kelvin**3 / (2.0 / 0.84 - 1.0)


@pytest.mark.parametrize("mean_c", [-20.0, 1.5, 20.0, 45.0])
def test_a_plain_double_pane_warms_as_its_gap_does(mean_c: float) -> None:
    # Standard 140's double pane, U 2.73: 5.05 W/m2K from face to face, against a gap by hand.
    still, radiant = gap_conductances(double_pane(2.73), 2)
    rated = still + radiant
    assert rated == pytest.approx(1.0 / double_pane(2.73))
    grown = gap_conductance(still, radiant, mean_c) / rated
    assert grown == pytest.approx(by_hand(mean_c) / by_hand(1.5), rel=0.015)


def test_a_coated_pane_hardly_radiates() -> None:
    still, radiant = gap_conductances(double_pane(1.6), 2)
    assert radiant < 0.15 * still
    bare, much = gap_conductances(double_pane(2.73), 2)
    assert much > bare


def test_a_single_pane_has_no_gap() -> None:
    assert gap_conductances(double_pane(5.6), 1) == (0.0, 0.0)


@given(u_value=st.floats(0.5, 6.5), panes=st.integers(2, 4), mean_c=st.floats(-50.0, 90.0))
def test_the_split_keeps_the_rating_and_warmth_conducts(
    u_value: float, panes: int, mean_c: float
) -> None:
    resistance = double_pane(u_value)
    still, radiant = gap_conductances(resistance, panes)
    assert min(still, radiant) >= 0.0
    assert gap_conductance(still, radiant, 1.5) == pytest.approx(1.0 / resistance)
    assert gap_conductance(still, radiant, mean_c + 1.0) > gap_conductance(still, radiant, mean_c)
