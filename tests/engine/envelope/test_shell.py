"""U-values, chains and glass by ISO 6946 and by hand."""

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.envelope.shell import (
    chain,
    inside_surface_resistance,
    layer_nodes,
    panel_layers,
    u_value,
)
from noonhold.envelope.window_conductance import window_resistance
from noonhold.rig import Layer, Panel, Window

BRICK_WALL = (
    # CIBSE TM33:2006: brick 0.1162, insulation 1.5, masonry 0.2215, plaster 0.02143 m2K/W.
    Layer(0.1162, 1.0, 1700.0, 800.0),
    Layer(1.5, 1.0, 20.0, 1400.0),
    Layer(0.2215, 1.0, 1400.0, 1000.0),
    Layer(0.02143, 1.0, 600.0, 1000.0),
)


def panel(tilt_deg: float = 90.0, **changes: Any) -> Panel:
    return replace(Panel("part", tilt_deg, 0.0, 2.0, BRICK_WALL), **changes)


def test_u_value_of_a_published_wall() -> None:
    # CIBSE TM33:2006 prints 0.49 W/m2K.
    assert u_value(panel()) == pytest.approx(0.49, abs=0.005)


@pytest.mark.parametrize(
    ("tilt", "inside"),
    # ISO 6946:2017, table 7, heat flowing out: up through a roof, down through a floor.
    [(0.0, 0.10), (59.0, 0.10), (60.0, 0.13), (90.0, 0.13), (120.0, 0.13), (121.0, 0.17),
     (180.0, 0.17)],
)  # fmt: skip
def test_surface_resistance_by_direction_of_heat_flow(tilt: float, inside: float) -> None:
    assert inside_surface_resistance(tilt) == inside
    layers = sum(layer.resistance_m2k_w for layer in BRICK_WALL)
    assert u_value(panel(tilt)) == pytest.approx(1.0 / (inside + layers + 0.04))


def test_heat_that_flows_in_turns_roof_and_floor_round() -> None:
    assert inside_surface_resistance(0.0, heat_flows_in=True) == 0.17
    assert inside_surface_resistance(180.0, heat_flows_in=True) == 0.10
    assert inside_surface_resistance(90.0, heat_flows_in=True) == 0.13


@pytest.mark.parametrize("tilt", [0.0, 90.0, 180.0])
def test_a_stated_u_value_comes_back_with_its_capacity(tilt: float) -> None:
    stated = panel(tilt, layers=(), u_value_w_m2k=1.4, heat_capacity_kj_m2k=12.0)
    assert u_value(stated) == pytest.approx(1.4)
    (layer,) = panel_layers(stated)
    assert layer.capacity_j_m2k == pytest.approx(12000.0)


def test_a_panel_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="neither layers nor a U-value"):
        panel_layers(panel(layers=()))


def test_nodes_follow_the_fourier_number() -> None:
    # 0.20 m at 1.2 W/mK, 2000 kg/m3, 1000 J/kgK: a = 6e-7 m2/s, sqrt(3 a 300 s) = 23.2 mm.
    assert layer_nodes(Layer(0.20, 1.2, 2000.0, 1000.0)) == 9
    assert layer_nodes(Layer(0.001, 50.0, 7800.0, 450.0)) == 1
    assert layer_nodes(Layer(2.0, 1.2, 2000.0, 1000.0)) == 12
    assert layer_nodes(Layer(0.05, 0.04, 0.0, 1000.0)) == 0
    # a document may say so, and the modes of a chain divide by its capacity
    assert layer_nodes(Layer(0.05, 0.04, 1e-300, 1e-9)) == 0


layer = st.builds(
    Layer,
    thickness_m=st.floats(0.0005, 0.3),
    conductivity_w_mk=st.floats(0.02, 200.0),
    density_kg_m3=st.one_of(st.just(0.0), st.floats(10.0, 8000.0)),
    specific_heat_j_kgk=st.floats(400.0, 4200.0),
)


@given(st.lists(layer, min_size=1, max_size=6).map(tuple))
def test_a_chain_keeps_every_resistance_and_capacity(layers: tuple[Layer, ...]) -> None:
    capacity, resistance = chain(layers)
    assert len(resistance) == len(capacity) + 1
    total = sum(each.resistance_m2k_w for each in layers)
    assert math.fsum(resistance) == pytest.approx(total, rel=1e-12)
    held = sum(each.capacity_j_m2k for each in layers)
    assert math.fsum(capacity) == pytest.approx(held, rel=1e-12)
    assert all(part > 0.0 for part in resistance)


WINDOW = Window("window", 90.0, 0.0, 1.0, 2.7, 0.65)


def test_a_windows_resistance_is_its_u_value_less_the_rated_films() -> None:
    assert window_resistance(WINDOW) == pytest.approx(1 / 2.7 - 1 / 8.29 - 1 / 21.0)
    # A single pane rated above what the films alone allow keeps a millimetre's resistance.
    assert window_resistance(replace(WINDOW, u_value_w_m2k=7.0)) == 0.001
