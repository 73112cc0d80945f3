"""Rated points made into tables: what they give back, and which are refused."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from noonhold.air.moist_air import dew_point, humidity_ratio_from_wet_bulb, vapour_pressure
from noonhold.cooling.coil import apparatus_sensible_ratio, rated_apparatus_c
from noonhold.cooling.cooler import cooler_tables, steady_stage
from noonhold.errors import DocumentError
from noonhold.rig import Cooler, PerformanceMap, RatingPoint, Stage

T1_HUMIDITY_RATIO = humidity_ratio_from_wet_bulb(27.0, 19.0, 101325.0)
TWO_STAGES = Cooler(
    stages=(Stage("low", 1000.0, 330.0), Stage("high", 2000.0, 750.0)),
    airflow_m3_h=450.0,
    sensible_heat_ratio=0.75,
    fan_power_w=60.0,
)


def test_the_rated_point_comes_back_for_every_stage():
    tables = cooler_tables(TWO_STAGES)
    for index, stage in enumerate(TWO_STAGES.stages):
        sensible_w, latent_w, power_w = steady_stage(
            tables, index, 35.0, 27.0, T1_HUMIDITY_RATIO, 101325.0
        )
        assert sensible_w == pytest.approx(0.75 * stage.cooling_w, rel=1e-8)
        assert latent_w == pytest.approx(0.25 * stage.cooling_w, rel=1e-8)
        assert power_w == pytest.approx(stage.power_w, rel=1e-8)


@given(
    cooling_w=st.floats(300.0, 5000.0),
    airflow_per_w=st.floats(0.15, 0.6),
    sensible_heat_ratio=st.floats(0.62, 0.999),
    fan_fraction=st.floats(0.0, 0.08),
    inside_c=st.floats(24.0, 32.0),
    spread_k=st.floats(5.0, 9.0),
    pressure_pa=st.floats(80000.0, 103000.0),
)
def test_any_possible_rated_point_comes_back(
    cooling_w, airflow_per_w, sensible_heat_ratio, fan_fraction, inside_c, spread_k, pressure_pa
):
    cooler = Cooler(
        stages=(Stage("on", cooling_w, 0.4 * cooling_w),),
        airflow_m3_h=airflow_per_w * cooling_w,
        sensible_heat_ratio=sensible_heat_ratio,
        fan_power_w=fan_fraction * cooling_w,
        rating=RatingPoint(36.0, inside_c, inside_c - spread_k, pressure_pa),
    )
    try:
        tables = cooler_tables(cooler)
    except DocumentError:
        assume(False)
    moist = humidity_ratio_from_wet_bulb(inside_c, inside_c - spread_k, pressure_pa)
    sensible_w, latent_w, power_w = steady_stage(tables, 0, 36.0, inside_c, moist, pressure_pa)
    assert sensible_w == pytest.approx(sensible_heat_ratio * cooling_w, rel=1e-6)
    assert sensible_w + latent_w == pytest.approx(cooling_w, rel=1e-9)
    assert power_w == pytest.approx(0.4 * cooling_w, rel=1e-9)


def test_apparatus_dew_point_lies_on_the_condition_line():
    apparatus_c = rated_apparatus_c(27.0, T1_HUMIDITY_RATIO, 101325.0, 0.75)
    ratio = apparatus_sensible_ratio(27.0, T1_HUMIDITY_RATIO, 101325.0, apparatus_c)
    assert ratio == pytest.approx(0.75, rel=1e-9)
    dew_c = dew_point(vapour_pressure(T1_HUMIDITY_RATIO, 101325.0))
    assert 5.0 < apparatus_c < dew_c
    assert rated_apparatus_c(27.0, T1_HUMIDITY_RATIO, 101325.0, 1.0) == dew_c
    assert np.isnan(rated_apparatus_c(27.0, T1_HUMIDITY_RATIO, 101325.0, 0.4))


def test_sensible_ratio_of_one_is_a_coil_that_is_just_dry():
    tables = cooler_tables(replace(TWO_STAGES, airflow_m3_h=900.0, sensible_heat_ratio=1.0))
    assert not tables.sensible_only.any()
    state = (35.0, 27.0)
    _, drier, _ = steady_stage(tables, 1, *state, T1_HUMIDITY_RATIO - 1e-4, 101325.0)
    _, wetter, _ = steady_stage(tables, 1, *state, T1_HUMIDITY_RATIO + 1e-4, 101325.0)
    assert drier == 0.0
    assert 0.0 < wetter < 50.0


def test_unlimited_ideal_cooler_never_dehumidifies():
    ideal = Cooler(
        stages=(Stage("ideal", 1e6, 1e6),),
        airflow_m3_h=1000.0,
        sensible_heat_ratio=1.0,
        fan_power_w=0.0,
        performance_map=PerformanceMap((35.0,), (19.0,), ((1.0,),), ((1.0,),)),
    )
    tables = cooler_tables(ideal)
    assert tables.sensible_only.all()
    for entering_c in (-20.0, 20.0, 70.0):
        for moist in (0.0, 0.002, 0.03):
            found = steady_stage(tables, 0, 60.0, entering_c, moist, 101325.0)
            assert found == pytest.approx((1e6, 0.0, 1e6), rel=1e-12)


def test_no_cooler_has_no_stages():
    assert len(cooler_tables(None).gross_capacity_w) == 0


@pytest.mark.parametrize(
    ("change", "pointers"),
    [
        ({"airflow_m3_h": 250.0}, ["/airflow_m3_h"]),
        ({"sensible_heat_ratio": 0.5}, ["/sensible_heat_ratio", "/sensible_heat_ratio"]),
        (
            {"sensible_heat_ratio": 1.2, "airflow_m3_h": 0.0},
            ["/airflow_m3_h", "/sensible_heat_ratio"],
        ),
        ({"fan_power_w": 400.0}, ["/stages/0/power_w"]),
        ({"stages": (Stage("none", 0.0, 100.0),)}, ["/stages/0/cooling_w"]),
        ({"rating": RatingPoint(35.0, 19.0, 19.0)}, ["/rating/inside_wet_bulb_c"]),
        ({"rating": RatingPoint(35.0, 27.0, 2.0)}, ["/rating/inside_wet_bulb_c"]),
        ({"airflow_m3_h": float("nan")}, ["/airflow_m3_h"]),
    ],
)
def test_impossible_rated_points_are_refused_together(change, pointers):
    with pytest.raises(DocumentError) as error:
        cooler_tables(replace(TWO_STAGES, **change), path="/rig/cooler")
    assert [fault.path for fault in error.value.faults] == ["/rig/cooler" + p for p in pointers]


def test_the_bound_that_is_told_is_the_bound():
    with pytest.raises(DocumentError) as error:
        cooler_tables(replace(TWO_STAGES, airflow_m3_h=250.0))
    least = float(error.value.faults[0].bound.removeprefix("> "))
    assert not cooler_tables(replace(TWO_STAGES, airflow_m3_h=least + 1.0)).sensible_only.any()
    with pytest.raises(DocumentError):
        cooler_tables(replace(TWO_STAGES, airflow_m3_h=least - 1.0))
