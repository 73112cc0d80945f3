"""Cooler in given air and under its thermostat: continuity, signs, identities, rules."""

import itertools
import math
import os
import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.air.moist_air import (
    dry_air_density,
    enthalpy,
    humidity_ratio_from_rh,
    standard_pressure,
)
from noonhold.cooling.coil import vapour_enthalpy
from noonhold.cooling.cooler import cooler_tables, fan_only, map_clamped, meet_load, steady_stage
from noonhold.cooling.performance_map import default_map
from noonhold.rig import Cooler, Stage, Supply

TWO_STAGES = Cooler(
    stages=(Stage("low", 1000.0, 330.0), Stage("high", 2000.0, 750.0)),
    airflow_m3_h=450.0,
    sensible_heat_ratio=0.75,
    fan_power_w=60.0,
)
TABLES = cooler_tables(TWO_STAGES)
FAN_ON = cooler_tables(replace(TWO_STAGES, fan_always_on=True))
# On the same map: by default each class of compressor has its own.
VARIABLE = cooler_tables(
    replace(TWO_STAGES, variable_speed=True, performance_map=default_map(TWO_STAGES.rating))
)
INVERTER = cooler_tables(replace(TWO_STAGES, supply=Supply(0.9, 20.0, through_inverter=True)))
AIR = (38.0, 25.0, 0.010, 95000.0)  # outdoor, entering, humidity ratio, pressure
DRY_AIR = (38.0, 25.0, 0.004, 95000.0)
NO_LIMIT = math.inf
NOTHING = (0.0,) * 7

outdoors = st.floats(20.0, 51.0)
cabins = st.floats(18.0, 40.0)
humidities = st.floats(0.05, 0.9)
elevations = st.floats(0.0, 3000.0)


def air_of(entering_c, rh_fraction, elevation_m):
    pressure_pa = standard_pressure(elevation_m)
    return entering_c, humidity_ratio_from_rh(entering_c, rh_fraction, pressure_pa), pressure_pa


# ---- full load ------------------------------------------------------------------------------


@pytest.mark.parametrize("stage", [0, 1])
def test_dry_and_wet_coil_meet_at_the_dry_out_point(stage):
    outdoor_c, entering_c, _, pressure_pa = AIR
    dry, wet = 0.003, 0.012
    for _ in range(50):
        middle = (dry + wet) / 2.0
        if steady_stage(TABLES, stage, outdoor_c, entering_c, middle, pressure_pa)[1] > 0.0:
            wet = middle
        else:
            dry = middle
    below = steady_stage(TABLES, stage, outdoor_c, entering_c, dry - 1e-7, pressure_pa)
    above = steady_stage(TABLES, stage, outdoor_c, entering_c, wet + 1e-7, pressure_pa)
    assert above[0] == pytest.approx(below[0], rel=1e-4)
    assert above[1] == pytest.approx(0.0, abs=0.1)
    assert above[2] == pytest.approx(below[2], rel=1e-5)


def test_a_dry_coil_does_not_care_how_dry_the_air_is():
    # Only the weight of the vapour is left: 0.3 % of the flow.
    dry = steady_stage(TABLES, 1, 38.0, 25.0, 0.0, 95000.0)
    less_dry = steady_stage(TABLES, 1, 38.0, 25.0, 0.005, 95000.0)
    assert dry[1] == less_dry[1] == 0.0
    assert dry[0] == pytest.approx(less_dry[0], rel=5e-3)
    assert dry[2] == pytest.approx(less_dry[2], rel=1e-3)


@given(outdoors, cabins, humidities, elevations, st.integers(0, 1), st.floats(0.5, 5.0))
def test_hotter_outdoors_means_less_cooling_for_more_power(
    outdoor_c, entering_c, rh_fraction, elevation_m, stage, hotter_k
):
    air = air_of(entering_c, rh_fraction, elevation_m)
    hotter_c = min(outdoor_c + hotter_k, 52.0)
    mild = steady_stage(TABLES, stage, outdoor_c, *air)
    hot = steady_stage(TABLES, stage, hotter_c, *air)
    assert hot[0] + hot[1] < mild[0] + mild[1]
    assert hot[2] > mild[2]


@given(outdoors, cabins, humidities, st.floats(0.0, 2800.0), st.integers(0, 1))
def test_thinner_air_carries_less_sensible_heat(
    outdoor_c, entering_c, rh_fraction, elevation_m, stage
):
    low = steady_stage(TABLES, stage, outdoor_c, *air_of(entering_c, rh_fraction, elevation_m))
    high = steady_stage(
        TABLES, stage, outdoor_c, *air_of(entering_c, rh_fraction, elevation_m + 200.0)
    )
    assert high[0] < low[0]


@given(outdoors, cabins, humidities, elevations, st.integers(0, 1))
def test_air_loses_what_the_coil_takes(outdoor_c, entering_c, rh_fraction, elevation_m, stage):
    entering_c, moist, pressure_pa = air_of(entering_c, rh_fraction, elevation_m)
    sensible_w, latent_w, _ = steady_stage(TABLES, stage, outdoor_c, entering_c, moist, pressure_pa)
    flow_kg_s = 450.0 / 3600.0 * dry_air_density(entering_c, moist, pressure_pa)
    leaving = enthalpy(entering_c, moist) - (sensible_w + latent_w + 60.0) / flow_kg_s
    drier = moist - latent_w / (flow_kg_s * vapour_enthalpy(entering_c))
    assert latent_w >= 0.0
    assert 0.0 <= drier <= moist
    # The leaving air is on the line to the apparatus: colder than the cabin, never past saturation.
    leaving_c = (leaving - 2.501e6 * drier) / (1006.0 + 1860.0 * drier)
    assert leaving_c < entering_c
    assert drier <= humidity_ratio_from_rh(leaving_c, 1.0, pressure_pa) + 1e-9


def test_condenser_rise_is_added_to_the_outdoors():
    on_hot_roof = cooler_tables(replace(TWO_STAGES, condenser_air_rise_k=6.0))
    outdoor_c, *rest = AIR
    assert steady_stage(on_hot_roof, 1, outdoor_c, *rest) == steady_stage(
        TABLES, 1, outdoor_c + 6.0, *rest
    )


def test_map_clamped_tells_by_the_point_that_is_read():
    assert not map_clamped(TABLES, 1, *AIR)
    assert map_clamped(TABLES, 1, 53.0, *AIR[1:])
    assert map_clamped(TABLES, 1, 38.0, 40.0, 0.030, 95000.0)
    # The air's own wet bulb is below the map's edge, but a dry coil is not read there.
    assert not map_clamped(TABLES, 1, 38.0, 30.0, 0.001, 95000.0)


@given(
    st.floats(-40.0, 75.0), st.floats(-30.0, 80.0), st.floats(0.0, 1.0), st.floats(-400.0, 5000.0)
)
def test_no_weather_breaks_it(outdoor_c, entering_c, rh_fraction, elevation_m):
    air = (outdoor_c, *air_of(entering_c, rh_fraction, elevation_m))
    sensible_w, latent_w, power_w = steady_stage(TABLES, 1, *air)
    assert math.isfinite(sensible_w)
    assert latent_w >= 0.0
    assert power_w > 0.0
    assert all(math.isfinite(value) for value in meet_load(TABLES, 0, 1, 500.0, *air, 400.0))


def test_nan_passes_through():
    for broken in range(4):
        air = [math.nan if place == broken else value for place, value in enumerate(AIR)]
        assert all(math.isnan(value) for value in steady_stage(TABLES, 1, *air)[0::2])


# ---- thermostat -----------------------------------------------------------------------------


@given(st.floats(1.0, 4000.0), outdoors, cabins, humidities, elevations)
def test_the_need_is_met_exactly_or_the_cooler_runs_full(
    needed_w, outdoor_c, entering_c, rh_fraction, elevation_m
):
    air = (outdoor_c, *air_of(entering_c, rh_fraction, elevation_m))
    full = steady_stage(TABLES, 1, *air)
    for tables in (TABLES, FAN_ON, VARIABLE):
        step = meet_load(tables, 0, 1, needed_w, *air, NO_LIMIT)
        if needed_w < full[0]:
            assert step.net_sensible_w == needed_w
            assert step.latent_w <= full[1] * (1.0 + 1e-9) + 1e-9
        else:
            assert (step.net_sensible_w, step.latent_w, step.power_w) == full
            assert step.duty == 1.0
            assert step.high_fraction == 1.0
        assert 0.0 < step.duty <= 1.0
        assert 0.0 <= step.high_fraction <= 1.0
        assert step.bus_power_w == step.power_w


def test_cycling_follows_the_part_load_factor():
    sensible_w, latent_w, power_w = steady_stage(TABLES, 0, *AIR)
    step = meet_load(TABLES, 0, 1, 0.4 * sensible_w, *AIR, NO_LIMIT)
    run_time = 0.4 / (1.0 - 0.25 * 0.6)
    assert step.duty == pytest.approx(run_time, rel=1e-12)
    assert step.power_w == pytest.approx(run_time * power_w, rel=1e-12)
    assert step.fan_power_w == pytest.approx(run_time * 60.0, rel=1e-12)
    assert step.latent_w == pytest.approx(0.4 * latent_w, rel=1e-12)
    assert step.high_fraction == 0.0


def test_between_stages_time_is_shared_without_cycling_loss():
    low, high = steady_stage(TABLES, 0, *AIR), steady_stage(TABLES, 1, *AIR)
    step = meet_load(TABLES, 0, 1, 0.7 * low[0] + 0.3 * high[0], *AIR, NO_LIMIT)
    assert step.high_fraction == pytest.approx(0.3, rel=1e-12)
    assert step.latent_w == pytest.approx(0.7 * low[1] + 0.3 * high[1], rel=1e-12)
    assert step.power_w == pytest.approx(0.7 * low[2] + 0.3 * high[2], rel=1e-12)
    assert step.duty == 1.0
    assert step.fan_power_w == 60.0


@pytest.mark.parametrize("tables", [TABLES, FAN_ON, VARIABLE, INVERTER])
@pytest.mark.parametrize("air", [AIR, DRY_AIR])
def test_power_rises_without_a_jump_over_the_whole_range(tables, air):
    full_w = steady_stage(tables, 1, *air)[0]
    needs = [full_w * (index + 1) / 400.0 for index in range(400)]
    powers = [meet_load(tables, 0, 1, needed, *air, NO_LIMIT).power_w for needed in needs]
    rises = [after - before for before, after in itertools.pairwise(powers)]
    assert min(rises) > 0.0
    assert max(rises) < 0.01 * powers[-1]


@given(st.floats(0.02, 0.98), outdoors, cabins, humidities)
def test_variable_speed_is_better_at_part_load(share, outdoor_c, entering_c, rh_fraction):
    """Sign only: no public table of numbers was found for inverter-driven part load."""
    air = (outdoor_c, *air_of(entering_c, rh_fraction, 0.0))
    low_w, high_w = (steady_stage(TABLES, stage, *air)[0] for stage in (0, 1))
    needed_w = low_w + share * (high_w - low_w)
    variable = meet_load(VARIABLE, 0, 1, needed_w, *air, NO_LIMIT)
    assert variable.power_w < meet_load(TABLES, 0, 1, needed_w, *air, NO_LIMIT).power_w
    assert variable.power_w < meet_load(TABLES, 1, 1, needed_w, *air, NO_LIMIT).power_w


def test_only_allowed_stages_run():
    high = steady_stage(TABLES, 1, *AIR)
    low = steady_stage(TABLES, 0, *AIR)
    assert meet_load(TABLES, 0, 0, 1e5, *AIR, NO_LIMIT).net_sensible_w == low[0]
    step = meet_load(TABLES, 1, 1, 0.5 * high[0], *AIR, NO_LIMIT)
    assert step.duty == pytest.approx(0.5 / 0.875, rel=1e-12)
    assert meet_load(TABLES, 0, -1, 1e5, *AIR, NO_LIMIT) == NOTHING
    none = cooler_tables(None)
    assert meet_load(none, 0, 0, 1e5, *AIR, NO_LIMIT) == NOTHING
    assert fan_only(none) == NOTHING


def test_without_need_a_cycling_cooler_rests():
    assert meet_load(TABLES, 0, 1, 0.0, *AIR, NO_LIMIT) == NOTHING
    assert meet_load(TABLES, 0, 1, -50.0, *AIR, NO_LIMIT) == NOTHING


def test_a_fan_that_is_always_on_heats_and_the_coil_carries_it():
    low = steady_stage(FAN_ON, 0, *AIR)
    resting = meet_load(FAN_ON, 0, 1, -60.0, *AIR, NO_LIMIT)
    assert resting == fan_only(FAN_ON)
    assert resting.net_sensible_w == -60.0
    assert resting.power_w == resting.fan_power_w == 60.0
    step = meet_load(FAN_ON, 0, 1, 200.0, *AIR, NO_LIMIT)
    part_load = 260.0 / (low[0] + 60.0)
    assert step.duty == pytest.approx(part_load / (1.0 - 0.25 * (1.0 - part_load)), rel=1e-12)
    assert step.power_w == pytest.approx(60.0 + step.duty * (low[2] - 60.0), rel=1e-12)
    assert step.fan_power_w == 60.0
    assert step.power_w > meet_load(TABLES, 0, 1, 200.0, *AIR, NO_LIMIT).power_w


def test_fan_only_warms_the_cabin_by_its_power():
    step = fan_only(INVERTER)
    assert step.net_sensible_w == -60.0
    assert step.bus_power_w == pytest.approx(60.0 / 0.9 + 20.0, rel=1e-12)
    assert step.duty == 0.0
    assert fan_only(INVERTER, 0.0).bus_power_w == 0.0


def test_an_inverter_takes_its_loss_and_its_idle_power():
    direct = meet_load(TABLES, 0, 1, 900.0, *AIR, NO_LIMIT)
    through = meet_load(INVERTER, 0, 1, 900.0, *AIR, NO_LIMIT)
    assert through.power_w == direct.power_w
    assert through.bus_power_w == pytest.approx(direct.power_w / 0.9 + 20.0, rel=1e-12)


@given(st.floats(1.0, 3000.0), st.floats(1e-3, 1200.0))
def test_the_power_limit_holds_and_cuts_everything_alike(needed_w, limit_w):
    for tables in (TABLES, FAN_ON, VARIABLE, INVERTER):
        wanted = meet_load(tables, 0, 1, needed_w, *AIR, NO_LIMIT)
        step = meet_load(tables, 0, 1, needed_w, *AIR, limit_w)
        assert step.bus_power_w <= limit_w
        share = min(1.0, limit_w / wanted.bus_power_w)
        expected = [value * share for value in wanted]
        expected[5] = wanted.high_fraction
        assert step == pytest.approx(expected, rel=1e-12)


def test_no_power_means_no_cooling():
    for limit_w in (0.0, -100.0):
        step = meet_load(INVERTER, 0, 1, 900.0, *AIR, limit_w)
        assert (step.net_sensible_w, step.latent_w, step.bus_power_w, step.duty) == (0.0,) * 4


# ---- interpreted and compiled ---------------------------------------------------------------

PROGRAM = """
import sys
import numba
from noonhold.cooling.cooler import cooler_tables, map_clamped, meet_load, steady_stage
from noonhold.rig import Cooler, Stage

assert bool(numba.config.DISABLE_JIT) == (sys.argv[1] == "interpreted")
stages = (Stage("low", 1000.0, 330.0), Stage("high", 2000.0, 750.0))
for variable in (False, True):
    tables = cooler_tables(Cooler(stages, 450.0, 0.75, 60.0, variable_speed=variable))
    for air in [(38.0, 25.0, 0.010, 95e3), (54.0, 45.0, 0.002, 1e5), (25.0, 20.0, 0.007, 8e4)]:
        print(*(float(value) for value in steady_stage(tables, 1, *air)))
        print(int(map_clamped(tables, 0, *air)))
        for needed in (100.0, 1100.0, 1e4):
            print(*(float(value) for value in meet_load(tables, 0, 1, needed, *air, 600.0)))
"""


def numbers(checkout, mode):
    environment = dict(os.environ, NUMBA_DISABLE_JIT="1" if mode == "interpreted" else "0")
    finished = subprocess.run(
        [sys.executable, "-W", "error", "-c", PROGRAM, mode],
        cwd=checkout,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    return [float(word) for word in finished.stdout.split()]


def test_interpreted_and_compiled_agree(checkout):
    compiled = numbers(checkout, "compiled")
    assert len(compiled) == 2 * 3 * (3 + 1 + 3 * 7)
    # Not bit for bit: the compiler may contract a product and a sum into one rounding.
    assert numbers(checkout, "interpreted") == pytest.approx(compiled, rel=1e-9)
