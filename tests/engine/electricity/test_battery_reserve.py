"""The cooler's allowance is exact, and the reserve stops it once."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from noonhold.electricity.battery import battery_tables, bus_step, cooler_allowance_w, reserve_state
from noonhold.rig import Battery

STEP_S = 300.0


def make_battery(usable_energy_wh=1000.0, **values):
    return battery_tables(Battery(usable_energy_wh, **values))


batteries = st.builds(
    make_battery,
    usable_energy_wh=st.floats(50.0, 20000.0),
    charge_efficiency=st.floats(0.6, 1.0),
    discharge_efficiency=st.floats(0.6, 1.0),
    max_charge_w=st.one_of(st.floats(0.0, 3000.0), st.just(math.inf)),
    max_discharge_w=st.one_of(st.floats(0.0, 3000.0), st.just(math.inf)),
    reserve_fraction=st.floats(0.0, 0.5),
    recovery_fraction=st.floats(0.0, 0.5),
)
fractions = st.floats(0.0, 1.0)
powers = st.floats(0.0, 3000.0)
sources = st.tuples(powers, powers, powers)
temperatures = st.floats(-30.0, 70.0)
steps = st.floats(1.0, 7200.0)


def holds(battery, stored_wh, demand_w, offered, battery_c, dt_s, slack):
    """Whether the demand is served and the store ends on or above the reserve."""
    result = bus_step(battery, stored_wh, demand_w, *offered, battery_c, dt_s)
    lowest_wh = battery.reserve_wh - slack * battery.usable_energy_wh
    return result.unmet_w <= slack * max(1.0, demand_w) and result.stored_wh >= lowest_wh


@given(
    battery=batteries,
    fraction=fractions,
    base_w=powers,
    offered=sources,
    battery_c=temperatures,
    dt_s=steps,
)
def test_the_allowance_holds_and_more_does_not(battery, fraction, base_w, offered, battery_c, dt_s):
    stored_wh = fraction * battery.usable_energy_wh
    assume(abs(stored_wh - battery.reserve_wh) > 1e-6 * battery.usable_energy_wh)
    allowance_w = cooler_allowance_w(battery, stored_wh, base_w, *offered, battery_c, dt_s)
    assert math.isfinite(allowance_w) and allowance_w >= 0.0
    case = (offered, battery_c, dt_s)
    if allowance_w > 0.0:
        assert holds(battery, stored_wh, base_w + allowance_w, *case, slack=1e-9)
    # A thousandth of the battery's energy within the step, or a watt if that is more.
    more_w = max(1.0, 3.6 * battery.usable_energy_wh / dt_s)
    assert not holds(battery, stored_wh, base_w + allowance_w + more_w, *case, slack=1e-9)


def test_drawing_the_allowance_lands_on_the_reserve():
    battery = make_battery(reserve_fraction=0.2, discharge_efficiency=0.9)
    allowance_w = cooler_allowance_w(battery, 210.0, 30.0, 50.0, 20.0, 10.0, 25.0, STEP_S)
    # 10 Wh above the reserve give 9 Wh, 108 W for five minutes; 80 W of sources, 30 W of loads.
    assert allowance_w == pytest.approx(158.0)
    result = bus_step(battery, 210.0, 30.0 + allowance_w, 50.0, 20.0, 10.0, 25.0, STEP_S)
    assert result.stored_wh == pytest.approx(200.0, rel=1e-12)
    assert reserve_state(battery, result.stored_wh, False)


def test_the_discharge_limit_counts_and_sources_come_on_top():
    battery = make_battery(max_discharge_w=400.0)
    assert cooler_allowance_w(battery, 900.0, 100.0, 0.0, 0.0, 0.0, 25.0, STEP_S) == 300.0
    assert cooler_allowance_w(battery, 900.0, 100.0, 250.0, 0.0, 0.0, 25.0, STEP_S) == 550.0
    assert cooler_allowance_w(battery, 900.0, 500.0, 0.0, 0.0, 0.0, 25.0, STEP_S) == 0.0


def test_too_hot_a_battery_leaves_the_sources():
    battery = make_battery()
    assert cooler_allowance_w(battery, 900.0, 100.0, 250.0, 0.0, 0.0, 61.0, STEP_S) == 150.0


def test_on_the_reserve_only_the_sources_are_free():
    battery = make_battery(reserve_fraction=0.1)
    just_below_wh = 100.0 - 1e-10
    for stored_wh in (100.0, just_below_wh):
        for battery_c in (25.0, 50.0):  # at 50 degC it may not charge, and need not
            free_w = cooler_allowance_w(
                battery, stored_wh, 40.0, 0.0, 0.0, 600.0, battery_c, STEP_S
            )
            assert free_w == pytest.approx(560.0)


def test_below_the_reserve_the_store_comes_first():
    battery = make_battery(reserve_fraction=0.1, charge_efficiency=0.8, max_charge_w=300.0)
    # 16 Wh short take 20 Wh at the bus: 240 W for five minutes.
    short = (battery, 84.0, 40.0, 0.0, 0.0)
    assert cooler_allowance_w(*short, 600.0, 25.0, STEP_S) == pytest.approx(320.0)
    assert cooler_allowance_w(*short, 200.0, 25.0, STEP_S) == 0.0
    assert cooler_allowance_w(*short, 600.0, 50.0, STEP_S) == 0.0  # too hot to charge
    assert cooler_allowance_w(battery, 60.0, 40.0, 0.0, 0.0, 6000.0, 25.0, STEP_S) == 0.0


@pytest.mark.parametrize("place", range(1, 7))
def test_a_missing_number_is_no_allowance(place):
    case = [900.0, 100.0, 250.0, 0.0, 0.0, 25.0]
    case[place - 1] = math.nan
    assert math.isnan(cooler_allowance_w(make_battery(), *case, STEP_S))


def test_the_reserve_stops_and_the_recovery_releases():
    battery = make_battery(reserve_fraction=0.1, recovery_fraction=0.05)
    path = [200.0, 149.0, 101.0, 100.0, 101.0, 149.0, 150.0, 149.0, 100.0 + 1e-8, 99.0]
    stopped, states = False, []
    for stored_wh in path:
        stopped = reserve_state(battery, stored_wh, stopped)
        states.append(stopped)
    expected = [False, False, False, True, True, True, False, False, True, True]
    assert states == expected


def test_rounding_does_not_hide_the_recovery():
    battery = make_battery(reserve_fraction=0.1, recovery_fraction=0.05)
    assert not reserve_state(battery, 150.0 - 1e-8, True)


def test_a_full_battery_has_always_recovered():
    battery = make_battery(reserve_fraction=0.9, recovery_fraction=0.5)
    assert not reserve_state(battery, 1000.0, True)


def test_no_start_and_stop_on_one_charge():
    battery = make_battery(reserve_fraction=0.1, recovery_fraction=0.0)
    assert reserve_state(battery, 100.0, False)
    assert reserve_state(battery, 100.0, True)
    assert not reserve_state(battery, 100.1, True)


@given(battery=batteries, fraction=fractions)
def test_a_stopped_cooler_stays_stopped_at_least_as_long(battery, fraction):
    stored_wh = fraction * battery.usable_energy_wh
    assert reserve_state(battery, stored_wh, True) or not reserve_state(battery, stored_wh, False)
    settled = reserve_state(battery, stored_wh, True)
    assert reserve_state(battery, stored_wh, settled) == settled
