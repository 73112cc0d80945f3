"""Controllers share and limit, nothing is negative, and a wrong name is an error."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.electricity.arrays import (
    HEAT_LOSS_FACTORS,
    NO_CONTROLLER,
    array_power,
    array_tables,
    cell_temperature,
    controlled_power,
)
from noonhold.errors import DocumentError
from noonhold.rig import Battery, Controller, Leakage, Mount, Rig, Shell, SolarArray


def make_rig(arrays=(), controllers=()):
    shell = Shell(12.0, 60.0, 8.0, Leakage(air_changes_per_hour=0.5), ())
    return Rig("rig", shell, Battery(5000.0), arrays=tuple(arrays), controllers=tuple(controllers))


def make_array(controller="", **values):
    given_values = {"name": "a", "rated_power_w": 400.0, "mount": Mount.OPEN_STAND} | values
    return SolarArray(controller=controller, **given_values)


def test_tables_keep_the_order_and_the_values():
    rig = make_rig(
        [
            make_array("second", rated_power_w=500, mount=Mount.ROOF_FLUSH),
            make_array("", folding=True, temperature_coefficient_per_k=-0.003),
            make_array("first", system_loss_fraction=0.05),
        ],
        [Controller("first", 200, 0.95), Controller("second", 300, 0.98)],
    )
    tables = array_tables(rig)
    assert tables.controller.tolist() == [1, NO_CONTROLLER, 0]
    assert tables.folding.tolist() == [0, 1, 0]
    assert tables.rated_power_w.tolist() == [500.0, 400.0, 400.0]
    assert tables.temperature_coefficient_per_k.tolist() == [-0.0035, -0.003, -0.0035]
    assert tables.system_loss_fraction.tolist() == [0.1, 0.1, 0.05]
    assert (tables.u0[0], tables.u1[0]) == HEAT_LOSS_FACTORS[Mount.ROOF_FLUSH]
    assert (tables.u0[1], tables.u1[1]) == HEAT_LOSS_FACTORS[Mount.OPEN_STAND]
    assert tables.controller_max_power_w.tolist() == [200.0, 300.0]
    assert tables.controller_efficiency.tolist() == [0.95, 0.98]
    assert [column.dtype.kind for column in tables] == list("fffffiiff")
    assert tables.controller.dtype == tables.folding.dtype == np.int64


def test_a_rig_without_arrays_has_tables_of_the_same_types():
    tables = array_tables(make_rig())
    assert [column.shape for column in tables] == [(0,)] * 9
    assert [column.dtype for column in tables] == [
        column.dtype for column in array_tables(make_rig([make_array()]))
    ]
    assert controlled_power(tables, np.empty(0)) == (0.0, 0.0)


def test_every_unknown_controller_is_told_at_once():
    rig = make_rig(
        [make_array("no"), make_array("yes"), make_array("nor this")], [Controller("yes", 1.0)]
    )
    with pytest.raises(DocumentError) as caught:
        array_tables(rig)
    assert [(fault.path, fault.value) for fault in caught.value.faults] == [
        ("/arrays/0/controller", "no"),
        ("/arrays/2/controller", "nor this"),
    ]


def test_every_mount_has_factors_and_more_air_is_cooler():
    assert set(HEAT_LOSS_FACTORS) == set(Mount)
    flush_c, raised_c, open_c = (
        cell_temperature(1000.0, 35.0, 1.0, *HEAT_LOSS_FACTORS[mount])
        for mount in (Mount.ROOF_FLUSH, Mount.ROOF_RAISED, Mount.OPEN_STAND)
    )
    assert flush_c > raised_c > open_c > 35.0


def test_a_shared_controller_limits_the_sum_and_the_rest_passes_whole():
    rig = make_rig(
        [make_array("shared"), make_array(""), make_array("shared"), make_array("own")],
        [Controller("shared", 550.0, 0.9), Controller("own", 500.0, 0.8)],
    )
    delivered_w, clipped_w = controlled_power(
        array_tables(rig), np.array([300.0, 100.0, 400.0, 50.0])
    )
    # shared: 700 * 0.9 = 630, of which 550 pass; alone: 100; own: 50 * 0.8 = 40
    assert delivered_w == pytest.approx(550.0 + 100.0 + 40.0)
    assert clipped_w == pytest.approx(80.0)


def test_no_sun_no_power():
    assert array_power(400.0, 0.0, -10.0, -0.0035, 0.1) == 0.0
    assert cell_temperature(0.0, 12.5, 3.0, 25.0, 6.84) == 12.5


@pytest.mark.parametrize(
    ("irradiance_w_m2", "cell_c"),
    [
        (-0.5, 20.0),  # pyranometers read a little below zero at night
        (500.0, 400.0),  # beyond 25 + 1 / 0.0035 the line crosses zero
        (-0.5, 400.0),  # two negatives make no power
    ],
)
def test_power_is_never_negative(irradiance_w_m2, cell_c):
    assert array_power(400.0, irradiance_w_m2, cell_c, -0.0035, 0.1) == 0.0


@pytest.mark.parametrize("values", [(math.nan, 25.0), (800.0, math.nan)])
def test_missing_weather_is_not_darkness(values):
    assert math.isnan(array_power(400.0, *values, -0.0035, 0.1))


powers = st.floats(0.0, 2000.0)


@given(
    raw_w=st.lists(powers, min_size=4, max_size=4),
    places=st.lists(st.integers(-1, 1), min_size=4, max_size=4),
    limits_w=st.tuples(powers, powers),
    efficiencies=st.tuples(st.floats(0.5, 1.0), st.floats(0.5, 1.0)),
)
def test_controllers_neither_make_nor_lose_power(raw_w, places, limits_w, efficiencies):
    names = ("one", "two", "")
    rig = make_rig(
        [make_array(names[place]) for place in places],
        [Controller(names[k], limits_w[k], efficiencies[k]) for k in range(2)],
    )
    delivered_w, clipped_w = controlled_power(array_tables(rig), np.array(raw_w))
    factors = (*efficiencies, 1.0)
    converted_w = sum(raw * factors[place] for raw, place in zip(raw_w, places, strict=True))
    alone_w = sum(raw for raw, place in zip(raw_w, places, strict=True) if place < 0)
    assert delivered_w + clipped_w == pytest.approx(converted_w, rel=1e-12, abs=1e-9)
    assert clipped_w >= 0.0
    assert alone_w <= delivered_w + 1e-9 and delivered_w <= alone_w + sum(limits_w) + 1e-9


@given(
    irradiance_w_m2=st.floats(0.0, 1400.0),
    cell_c=st.floats(-40.0, 110.0),
    coefficient=st.floats(-0.005, -0.002),
    loss=st.floats(0.0, 1.0),
)
def test_power_rises_with_light_and_falls_with_heat(irradiance_w_m2, cell_c, coefficient, loss):
    power_w = array_power(400.0, irradiance_w_m2, cell_c, coefficient, loss)
    assert 0.0 <= power_w <= array_power(400.0, irradiance_w_m2 + 10.0, cell_c, coefficient, loss)
    assert power_w >= array_power(400.0, irradiance_w_m2, cell_c + 5.0, coefficient, loss)
