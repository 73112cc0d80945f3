"""A rig of another size: what grows along, and what stays."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.cooling.cooler_tables import cooler_tables
from noonhold.documents import load_rig
from noonhold.rig import Rig
from noonhold.studies.sizing.sizes import (
    Scaling,
    Size,
    panel_outgrown,
    resized,
    size_of,
    with_unlimited_energy,
)
from tests.engine.document_samples import RIG
from tests.engine.studies.study_samples import sample_rig


def slide_in() -> Rig:
    loaded = sample_rig("field_day_cabin")
    assert loaded is not None
    return loaded.value


ROOF = Scaling("roof")
GIVEN = size_of(slide_in(), ROOF)


def test_a_rig_of_its_own_size_is_the_same_rig() -> None:
    rig = slide_in()
    assert resized(rig, GIVEN, ROOF) is rig


def test_the_power_limits_of_a_battery_grow_with_it_or_stay() -> None:
    rig = slide_in()
    twice = replace(GIVEN, battery_wh=2.0 * GIVEN.battery_wh)
    grown = resized(rig, twice, ROOF).battery
    assert grown.max_discharge_w == 2.0 * rig.battery.max_discharge_w
    reserve_wh = rig.battery.reserve_fraction * rig.battery.usable_energy_wh
    assert grown.reserve_fraction * grown.usable_energy_wh == pytest.approx(reserve_wh)
    kept = resized(rig, twice, replace(ROOF, battery_limits=False)).battery
    assert kept.max_charge_w == rig.battery.max_charge_w


def test_only_the_named_array_grows_and_its_controller_with_it() -> None:
    rig = slide_in()
    grown = resized(rig, replace(GIVEN, array_w=750.0), ROOF)
    assert [a.rated_power_w for a in grown.arrays] == [750.0, rig.arrays[1].rated_power_w]
    assert grown.arrays[0].area_m2 == pytest.approx(1.5 * rig.arrays[0].area_m2)
    assert grown.controllers[0].max_power_w == pytest.approx(1.5 * rig.controllers[0].max_power_w)
    assert grown.controllers[1] == rig.controllers[1]


def test_a_shared_controller_grows_by_the_power_of_all_it_serves() -> None:
    rig = load_rig(RIG).value
    arrays = (rig.arrays[0], replace(rig.arrays[1], controller="mppt"))
    shared = replace(rig, arrays=arrays)
    scaling = Scaling("top")
    grown = resized(shared, replace(size_of(shared, scaling), array_w=1000.0), scaling)
    # 500 + 400 W before, 1000 + 400 W after
    assert grown.controllers[0].max_power_w == pytest.approx(600.0 * 1400.0 / 900.0)


def test_an_array_never_covers_more_than_its_panel() -> None:
    rig = slide_in()
    size = replace(GIVEN, array_w=5000.0)
    roof = next(panel for panel in rig.shell.panels if panel.name == "roof")
    assert resized(rig, size, ROOF).arrays[0].area_m2 == roof.area_m2
    assert panel_outgrown(rig, size, ROOF)
    assert not panel_outgrown(rig, GIVEN, ROOF)
    assert not panel_outgrown(rig, replace(size, array_w=None), ROOF)


@given(st.floats(0.1, 10.0))
def test_a_cooler_keeps_its_bypass_and_efficiency_at_any_size(factor: float) -> None:
    rig = slide_in()
    grown = resized(rig, replace(GIVEN, cooler_factor=factor), ROOF)
    assert rig.cooler is not None
    one, other = cooler_tables(rig.cooler), cooler_tables(grown.cooler)
    assert other.gross_capacity_w == pytest.approx(factor * one.gross_capacity_w)
    assert other.compressor_power_w == pytest.approx(factor * one.compressor_power_w)
    # A0 over the mass flow is what the bypass factor follows from.
    assert other.bypass_coefficient_kg_s == pytest.approx(factor * one.bypass_coefficient_kg_s)


def test_unlimited_energy_leaves_nothing_that_could_hold_the_cooler_back() -> None:
    battery = with_unlimited_energy(slide_in()).battery
    assert battery.reserve_fraction == 0.0
    assert battery.max_discharge_w == float("inf")


def test_a_size_without_an_array_leaves_the_arrays_alone() -> None:
    rig = slide_in()
    grown = resized(rig, Size(8000.0), Scaling())
    assert grown.arrays is rig.arrays
    assert grown.controllers is rig.controllers
