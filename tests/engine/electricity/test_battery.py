"""The bus serves in its order, its ledgers close, and nothing passes a limit."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.electricity.battery import BusStep, battery_tables, bus_step
from noonhold.rig import Battery

HOUR = 3600.0


def make_battery(usable_energy_wh=1000.0, **values):
    return battery_tables(Battery(usable_energy_wh, **values))


def step(
    battery,
    stored_wh=500.0,
    demand_w=0.0,
    solar_w=0.0,
    alternator_w=0.0,
    shore_w=0.0,
    battery_c=25.0,
    dt_s=HOUR,
):
    return bus_step(battery, stored_wh, demand_w, solar_w, alternator_w, shore_w, battery_c, dt_s)


powers = st.floats(0.0, 3000.0)
batteries = st.builds(
    make_battery,
    usable_energy_wh=st.floats(50.0, 20000.0),
    charge_efficiency=st.floats(0.6, 1.0),
    discharge_efficiency=st.floats(0.6, 1.0),
    max_charge_w=st.one_of(st.floats(0.0, 3000.0), st.just(math.inf)),
    max_discharge_w=st.one_of(st.floats(0.0, 3000.0), st.just(math.inf)),
)
moments = st.fixed_dictionaries(
    {
        "demand_w": powers,
        "solar_w": powers,
        "alternator_w": powers,
        "shore_w": powers,
        "battery_c": st.floats(-30.0, 70.0),
        "dt_s": st.floats(1.0, 7200.0),
    }
)
fractions = st.floats(0.0, 1.0)


def test_tables_say_the_reserve_in_watt_hours():
    battery = make_battery(5000, reserve_fraction=0.2, recovery_fraction=0.1)
    assert battery.reserve_wh == pytest.approx(1000.0)
    assert battery.recovery_wh == pytest.approx(1500.0)
    assert (battery.charge_low_c, battery.charge_high_c) == (0.0, 45.0)
    assert (battery.discharge_low_c, battery.discharge_high_c) == (-20.0, 60.0)
    assert {type(value) for value in battery} == {float, np.ndarray}


def test_a_recovery_beyond_full_is_full():
    assert make_battery(800.0, reserve_fraction=0.95, recovery_fraction=0.1).recovery_wh == 800.0


def test_one_hour_by_hand():
    battery = make_battery(charge_efficiency=0.9, discharge_efficiency=0.8)
    # 300 W of sun, 100 W of it to the loads; 200 Wh at the bus store 180 Wh.
    assert step(battery, demand_w=100.0, solar_w=300.0) == pytest.approx(
        BusStep(680.0, 300.0, 0.0, 0.0, 0.0, 200.0, 0.0, 0.0, 20.0)
    )
    # 160 Wh at the bus take 200 Wh from the store.
    assert step(battery, demand_w=200.0, solar_w=40.0) == pytest.approx(
        BusStep(300.0, 40.0, 0.0, 0.0, 0.0, 0.0, 160.0, 0.0, 40.0)
    )


def test_sources_serve_in_order():
    battery = make_battery(charge_efficiency=1.0, discharge_efficiency=1.0, max_charge_w=0.0)
    offered = {"solar_w": 100.0, "alternator_w": 100.0, "shore_w": 100.0}
    served = [step(battery, demand_w=demand_w, **offered) for demand_w in (50, 150, 250, 350)]
    drawn = [(s.solar_used_w, s.alternator_w, s.shore_w, s.discharge_w) for s in served]
    assert drawn == [(50, 0, 0, 0), (100, 50, 0, 0), (100, 100, 50, 0), (100, 100, 100, 50)]
    assert [s.curtailed_w for s in served] == [50, 0, 0, 0]


def test_solar_has_the_first_place_in_the_battery():
    battery = make_battery(max_charge_w=150.0)
    result = step(battery, solar_w=100.0, alternator_w=400.0, shore_w=400.0)
    assert (result.solar_used_w, result.alternator_w, result.shore_w) == (100.0, 50.0, 0.0)
    assert result.curtailed_w == 0.0


def test_a_full_battery_spills_sun_and_draws_nothing_else():
    result = step(make_battery(), 1000.0, 0.0, 300.0, 400.0, 500.0)
    assert result == BusStep(1000.0, 0.0, 300.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


def test_charging_ends_at_full():
    result = step(make_battery(charge_efficiency=0.97), 990.0, solar_w=300.0)
    assert result.stored_wh == pytest.approx(1000.0, rel=1e-12)
    assert result.stored_wh <= 1000.0
    assert result.charge_w == pytest.approx(10.0 / 0.97)
    assert result.curtailed_w == pytest.approx(300.0 - 10.0 / 0.97)


def test_rounding_never_leaves_the_range():
    """Unchecked, a tenth of these would end above full and a fifth below empty."""
    for place in range(1, 1000):
        usable_wh = 1000.0 + place / 7.0
        battery = make_battery(usable_wh, charge_efficiency=0.93, discharge_efficiency=0.91)
        stored_wh = usable_wh * place / 1000.0
        assert step(battery, stored_wh, solar_w=1e6, dt_s=300.0).stored_wh <= usable_wh
        assert step(battery, stored_wh, demand_w=1e6, dt_s=300.0).stored_wh >= 0.0


def test_loads_may_empty_the_battery_past_the_reserve():
    battery = make_battery(reserve_fraction=0.5, discharge_efficiency=0.97)
    result = step(battery, 100.0, demand_w=300.0)
    assert result.stored_wh == pytest.approx(0.0, abs=1e-12)
    assert result.stored_wh >= 0.0
    assert result.discharge_w == pytest.approx(97.0)
    assert result.unmet_w == pytest.approx(203.0)


@pytest.mark.parametrize(
    ("battery_c", "charges", "discharges"),
    [
        (-20.1, False, False),
        (-20.0, False, True),
        (-0.1, False, True),
        (0.0, True, True),
        (45.0, True, True),
        (45.1, False, True),
        (60.0, False, True),
        (60.1, False, False),
    ],
)
def test_temperature_limits_include_their_ends(battery_c, charges, discharges):
    battery = make_battery()
    assert (step(battery, solar_w=100.0, battery_c=battery_c).charge_w > 0.0) is charges
    assert (step(battery, demand_w=100.0, battery_c=battery_c).discharge_w > 0.0) is discharges


def test_sources_serve_the_loads_whatever_the_battery_feels():
    result = step(make_battery(), demand_w=200.0, solar_w=500.0, battery_c=70.0)
    assert (result.unmet_w, result.solar_used_w, result.curtailed_w) == (0.0, 200.0, 300.0)
    assert result.stored_wh == 500.0


@pytest.mark.parametrize(
    "field", ["stored_wh", "demand_w", "solar_w", "alternator_w", "shore_w", "battery_c"]
)
def test_a_missing_number_is_never_power(field):
    result = step(make_battery(), **({"demand_w": 50.0, "solar_w": 20.0} | {field: math.nan}))
    assert math.isnan(result.stored_wh)


@given(battery=batteries, fraction=fractions, moment=moments)
def test_both_ledgers_close(battery, fraction, moment):
    stored_wh = fraction * battery.usable_energy_wh
    result = step(battery, stored_wh, **moment)
    into_bus_w = result.solar_used_w + result.alternator_w + result.shore_w + result.discharge_w
    out_of_bus_w = moment["demand_w"] - result.unmet_w + result.charge_w
    assert into_bus_w == pytest.approx(out_of_bus_w, rel=1e-9, abs=1e-9)
    net_w = (
        result.charge_w * battery.charge_efficiency
        - result.discharge_w / battery.discharge_efficiency
    )
    hours = moment["dt_s"] / HOUR
    gained_wh = result.stored_wh - stored_wh
    assert gained_wh == pytest.approx(net_w * hours, rel=1e-9, abs=1e-9)
    assert result.charge_w - result.discharge_w - result.loss_w == pytest.approx(
        net_w, rel=1e-9, abs=1e-9
    )
    assert result.solar_used_w + result.curtailed_w == pytest.approx(
        moment["solar_w"], rel=1e-9, abs=1e-9
    )


@given(battery=batteries, fraction=fractions, moment=moments)
def test_nothing_passes_a_limit(battery, fraction, moment):
    result = step(battery, fraction * battery.usable_energy_wh, **moment)
    assert 0.0 <= result.stored_wh <= battery.usable_energy_wh
    assert min(result) >= 0.0
    assert result.charge_w <= battery.max_charge_w * (1.0 + 1e-12)
    assert result.discharge_w <= battery.max_discharge_w
    assert result.unmet_w <= moment["demand_w"]
    for source in ("alternator_w", "shore_w"):
        assert getattr(result, source) <= moment[source] * (1.0 + 1e-12)
    assert result.charge_w == 0.0 or result.discharge_w == 0.0
    # Sun is curtailed only where nothing else is drawn and nothing is missing.
    if result.curtailed_w > 0.0:
        assert (result.unmet_w, result.discharge_w) == (0.0, 0.0)
        assert result.alternator_w == pytest.approx(0.0, abs=1e-9)
        assert result.shore_w == pytest.approx(0.0, abs=1e-9)


@given(battery=batteries, fraction=fractions, moment=moments)
def test_no_sun_no_solar(battery, fraction, moment):
    result = step(battery, fraction * battery.usable_energy_wh, **(moment | {"solar_w": 0.0}))
    assert (result.solar_used_w, result.curtailed_w) == (0.0, 0.0)


@given(
    battery=batteries,
    fraction=fractions,
    more=st.floats(1.0, 3.0),
    hours=st.lists(st.tuples(powers, powers), min_size=1, max_size=24),
)
def test_a_larger_battery_never_serves_less(battery, fraction, more, hours):
    """Same power limits, same charge at the start in Wh: only the space grows."""
    larger = battery._replace(usable_energy_wh=more * battery.usable_energy_wh)
    unmet_wh = []
    for store in (battery, larger):
        stored_wh, missing_wh = fraction * battery.usable_energy_wh, 0.0
        for demand_w, solar_w in hours:
            result = step(store, stored_wh, demand_w, solar_w)
            stored_wh, missing_wh = result.stored_wh, missing_wh + result.unmet_w
        unmet_wh.append(missing_wh)
    assert unmet_wh[1] <= unmet_wh[0] + 1e-6
