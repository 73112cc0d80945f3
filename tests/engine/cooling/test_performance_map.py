"""Performance maps: published fits, the default between them, reading a table."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.cooling.performance_map import (
    DEFAULT_OUTDOOR_C,
    DEFAULT_WET_BULB_C,
    bestest_ratios,
    beyond_map,
    cutler_ratios,
    default_map,
    map_ratios,
    map_tables,
)
from noonhold.rig import PerformanceMap, RatingPoint

AHRI = RatingPoint(35.0, 26.7, 19.4)
SMALL = PerformanceMap(
    outdoor_c=(25.0, 35.0, 50.0),
    wet_bulb_c=(15.0, 19.0),
    capacity_ratio=((1.00, 1.10), (0.90, 1.00), (0.75, 0.85)),
    power_ratio=((0.80, 0.82), (0.98, 1.00), (1.28, 1.30)),
)


# Capacity and COP over those at 95 degF outdoors, entering wet bulb 67 degF (19.44 degC), worked
# out to three digits: the first from the coefficients of NREL/TP-5500-56354 (2013), at 125 degF
# extrapolated; the second from those of the unit of ANSI/ASHRAE Standard 140 CE100 to CE200
# (NREL/TP-550-30152, 2002).
@pytest.mark.parametrize(
    ("ratios", "outdoor_f", "capacity", "cop"),
    [
        (cutler_ratios, 95.0, 1.000, 1.000),
        (cutler_ratios, 115.0, 0.886, 0.703),
        (cutler_ratios, 125.0, 0.825, 0.592),
        (bestest_ratios, 115.0, 0.881, 0.757),
    ],
)
def test_published_fits(ratios, outdoor_f, capacity, cop):
    wet_bulb_c = (67.0 - 32.0) / 1.8
    rated_capacity, rated_power = ratios(35.0, wet_bulb_c)
    found_capacity, found_power = ratios((outdoor_f - 32.0) / 1.8, wet_bulb_c)
    found_capacity /= rated_capacity
    found_power /= rated_power
    assert found_capacity == pytest.approx(capacity, abs=5e-4)
    assert found_capacity / found_power == pytest.approx(cop, abs=5e-4)


def test_second_fit_gives_its_unit_back_at_the_rating_point():
    # 8181 W and COP 4.161 (NREL/TP-550-30152, 2002); the fit misses them by 0.05 % and 0.15 %.
    capacity, power = bestest_ratios(35.0, 19.4)
    assert capacity == pytest.approx(1.0, abs=1e-3)
    assert capacity / power == pytest.approx(1.0, abs=2e-3)


def test_default_lies_between_the_published_fits_in_heat():
    capacity, power = map_ratios(map_tables(default_map(AHRI)), 46.1, 19.4)
    assert 0.881 <= capacity <= 0.886
    assert 0.703 <= capacity / power <= 0.757


@given(st.floats(20.0, 52.0), st.floats(14.0, 24.0))
def test_default_is_one_at_any_rating_point(outdoor_c, wet_bulb_c):
    rating = RatingPoint(outdoor_c, wet_bulb_c + 8.0, wet_bulb_c)
    capacity, power = map_ratios(map_tables(default_map(rating)), outdoor_c, wet_bulb_c)
    assert capacity == pytest.approx(1.0, rel=1e-12)
    assert power == pytest.approx(1.0, rel=1e-12)


def test_default_loses_capacity_and_takes_power_with_heat_everywhere():
    default = default_map(RatingPoint())
    assert np.all(np.diff(default.capacity_ratio, axis=0) < 0.0)
    assert np.all(np.diff(default.power_ratio, axis=0) > 0.0)
    assert np.all(np.diff(default.capacity_ratio, axis=1) > 0.0)


def test_table_points_are_read_exactly_and_between_them_straight():
    tables = map_tables(SMALL)
    for i, outdoor_c in enumerate(SMALL.outdoor_c):
        for j, wet_bulb_c in enumerate(SMALL.wet_bulb_c):
            assert map_ratios(tables, outdoor_c, wet_bulb_c) == (
                pytest.approx(SMALL.capacity_ratio[i][j], rel=1e-14),
                pytest.approx(SMALL.power_ratio[i][j], rel=1e-14),
            )
    assert map_ratios(tables, 30.0, 17.0) == pytest.approx((1.0, 0.9), rel=1e-14)


@pytest.mark.parametrize(
    ("condenser_c", "wet_bulb_c", "edge"),
    [
        (10.0, 17.0, (25.0, 17.0)),
        (60.0, 17.0, (50.0, 17.0)),
        (40.0, 5.0, (40.0, 15.0)),
        (60.0, 30.0, (50.0, 19.0)),
    ],
)
def test_beyond_the_map_its_edge_stands_in_and_it_is_told(condenser_c, wet_bulb_c, edge):
    tables = map_tables(SMALL)
    assert map_ratios(tables, condenser_c, wet_bulb_c) == map_ratios(tables, *edge)
    assert beyond_map(tables, condenser_c, wet_bulb_c)
    assert not beyond_map(tables, *edge)


def test_one_point_means_no_dependence():
    single = map_tables(PerformanceMap((35.0,), (15.0, 19.0), ((0.9, 1.0),), ((1.0, 1.0),)))
    assert map_ratios(single, -30.0, 17.0) == pytest.approx((0.95, 1.0), rel=1e-9)
    assert map_ratios(single, 70.0, 17.0) == pytest.approx((0.95, 1.0), rel=1e-9)
    assert not beyond_map(single, 70.0, 17.0)
    assert beyond_map(single, 35.0, 14.0)


def test_a_given_map_is_not_normalised():
    halved = PerformanceMap((35.0,), (19.0,), ((0.5,),), ((0.7,),))
    assert map_ratios(map_tables(halved), 35.0, 19.0) == (0.5, 0.7)


def test_nan_passes_through():
    capacity, power = map_ratios(map_tables(SMALL), float("nan"), 17.0)
    assert np.isnan(capacity)
    assert np.isnan(power)


def test_default_axes_end_where_the_fits_still_turn_the_right_way():
    # The first fit has its least capacity near 14.5 degC wet bulb and rises again below it.
    assert cutler_ratios(35.0, 12.0)[0] > cutler_ratios(35.0, 14.0)[0]
    assert DEFAULT_WET_BULB_C[0] == 14.0
    assert DEFAULT_OUTDOOR_C[-1] == 52.0
