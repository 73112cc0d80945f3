"""The shell as plain arrays: a chain eliminated, sunlight shared, what lies under arrays."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.envelope.network import network_tables
from noonhold.envelope.shell import chain
from noonhold.envelope.two_port import two_port
from noonhold.rig import Exposure, FixedCoefficients, Layer, Mount, SolarArray
from noonhold.scenario import COVER_STATES, CoverState
from tests.engine.made import WALL, box, rig

STEP_S = 300.0

layer = st.builds(
    Layer,
    thickness_m=st.floats(0.001, 0.2),
    conductivity_w_mk=st.floats(0.02, 50.0),
    density_kg_m3=st.one_of(st.just(0.0), st.floats(10.0, 3000.0)),
    specific_heat_j_kgk=st.floats(500.0, 3000.0),
)


@given(
    st.lists(layer, min_size=1, max_size=4).map(tuple),
    st.floats(-20.0, 80.0),
    st.floats(-20.0, 60.0),
    st.integers(0, 2**31),
)
def test_an_eliminated_chain_answers_as_the_whole_system(
    layers: tuple[Layer, ...], outer_c: float, inner_c: float, seed: int
) -> None:
    shell = box(panels=(replace(box().panels[0], layers=layers),), windows=())
    net = network_tables(rig(shell=shell, arrays=()), STEP_S)
    capacity, resistance = chain(layers)
    n = len(capacity)
    before = np.random.default_rng(seed).uniform(-20.0, 60.0, n)
    if n == 0:
        flux_in = (outer_c - inner_c) / sum(resistance)
        assert net.admit_cross[0, 0] * (outer_c - inner_c) == pytest.approx(flux_in)
        return
    # Implicit Euler of the chain between two given faces, as one dense system.
    k = 1.0 / np.array(resistance)
    rate = np.array(capacity) / STEP_S
    matrix = np.diag(rate + k[:-1] + k[1:]) - np.diag(k[1:-1], 1) - np.diag(k[1:-1], -1)
    right = rate * before
    right[0] += k[0] * outer_c
    right[-1] += k[-1] * inner_c
    after = np.linalg.solve(matrix, right)
    # The same by modes: each decays by itself and takes in what the faces send.
    (chain_modes,) = two_port(capacity, resistance, STEP_S, np.ones(1)).modes
    modes = chain_modes @ before
    stepped = net.decay * modes + net.respond_out * outer_c + net.respond_in * inner_c
    nodes = np.linalg.solve(chain_modes, stepped)
    # The largest conductance over the smallest bounds what rounding can do.
    rounding = 1e-13 * max(k.max() / rate.min(), 1.0) * 100.0
    assert nodes == pytest.approx(after, abs=1e-9 + rounding)
    flow_out = k[0] * (outer_c - after[0])
    flow_in = k[-1] * (after[-1] - inner_c)
    cross = net.admit_cross[0, 0]
    bound = k.max() * (1e-9 + rounding)
    assert net.admit_out[0, 0] * outer_c - cross * inner_c - net.respond_out @ modes == (
        pytest.approx(flow_out, abs=bound)
    )
    assert cross * outer_c - net.admit_in[0, 0] * inner_c + net.respond_in @ modes == (
        pytest.approx(flow_in, abs=bound)
    )
    # What the nodes hold, and the two starts a run is given.
    assert net.uniform @ modes == pytest.approx(rate @ before, abs=rate.sum() * 1e-9)
    assert chain_modes @ np.ones(n) == pytest.approx(net.uniform)
    assert chain_modes @ ((np.arange(n) + 0.5) / n) == pytest.approx(net.inward)


def test_the_covers_change_only_the_windows() -> None:
    net = network_tables(rig(), STEP_S)
    panels = len(box().panels)
    assert (net.admit_out[:panels] == net.admit_out[:panels, :1]).all()
    bare, inside, outside, both = (
        1.0 / net.admit_cross[panels, COVER_STATES.index(state)]
        for state in (CoverState.OPEN, CoverState.INSIDE, CoverState.OUTSIDE, CoverState.ALL)
    )
    assert inside - bare == pytest.approx(0.15)
    assert outside - bare == pytest.approx(0.10)
    assert both - bare == pytest.approx(0.25)


def test_all_sunlight_is_kept_or_leaves_by_the_glass() -> None:
    net = network_tables(rig(), STEP_S)
    assert net.beam_kept == pytest.approx(
        net.beam_fraction.sum(axis=1) + net.contents_beam_fraction
    )
    for kept in (net.beam_kept, net.diffuse_kept):
        assert (kept <= 1.0).all()
        assert (kept > 0.8).all()  # little glass: nearly all stays
    closed = network_tables(rig(shell=box(windows=())), STEP_S)
    assert closed.diffuse_kept == pytest.approx(np.ones(4))


def test_flush_arrays_cover_their_panel_and_no_more_than_all_of_it() -> None:
    array = SolarArray("a", 300.0, Mount.ROOF_FLUSH, shades_panel="roof", area_m2=1.5)
    one = network_tables(rig(arrays=(array,)), STEP_S)
    roof = [panel.name for panel in box().panels].index("roof")
    assert one.array_cover[roof] == pytest.approx(1.5 / 4.0)
    assert one.array_cover.sum() == one.array_cover[roof]
    # What lies under the array sees neither sky nor ground but the array, as warm as the air.
    assert one.sky_view[roof] == pytest.approx(1.0 - 1.5 / 4.0)
    assert one.ground_view[roof] == 0.0
    three = tuple(replace(array, name=name) for name in "abc")
    assert network_tables(rig(arrays=three), STEP_S).array_cover[roof] == 1.0


@pytest.mark.parametrize("exposure", list(Exposure))
def test_only_a_panel_outdoors_sees_the_sky(exposure: Exposure) -> None:
    roof = replace(box().panels[4], exposed_to=exposure)
    net = network_tables(rig(shell=box(panels=(roof,), windows=())), STEP_S)
    assert net.sky_view[0] == (1.0 if exposure is Exposure.OUTDOORS else 0.0)
    assert net.exposure[0] == list(Exposure).index(exposure)


def test_a_wall_sees_half_the_dome_and_the_warm_part_of_that_least() -> None:
    net = network_tables(rig(), STEP_S)
    # Walton 1983: view factor 0.5, times its root for the part near the horizon.
    assert net.sky_view[0] == pytest.approx(0.5**1.5)


def test_a_combined_film_switches_long_wave_off_on_its_face() -> None:
    films = FixedCoefficients(inside_film_w_m2k=8.29, outside_film_w_m2k=29.3)
    wall = replace(box().panels[0], coefficients=films)
    net = network_tables(rig(shell=box(panels=(wall, *box().panels[1:]))), STEP_S)
    assert net.star[0] == 0.0
    assert net.emittance[0] == 0.0
    assert (net.fixed_inside[0], net.fixed_outside[0]) == (8.29, 29.3)
    assert (net.star[1:] > 0.0).all()
    assert np.isnan(net.fixed_inside[1:]).all()


def test_a_box_without_windows_or_layers_with_capacity_still_makes_tables() -> None:
    light = tuple(replace(part, density_kg_m3=0.0) for part in WALL)
    panels = tuple(replace(panel, layers=light) for panel in box().panels)
    net = network_tables(rig(shell=box(panels=panels, windows=()), cooler=None), STEP_S)
    assert len(net.decay) == 0
    assert net.window_transmittance.shape == (0,)
    assert net.cover_transmitted.shape == (0, 4)
    assert (net.stirred == 0.0).all()
