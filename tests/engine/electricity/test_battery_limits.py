"""C-rates, taper near full, and a battery that is cold."""

import pytest

from noonhold.electricity.battery import battery_tables, bus_step, cooler_allowance_w
from noonhold.rig import Battery, BatteryPoint

HOUR = 3600.0


def charged(battery: Battery, stored: float, battery_c: float = 25.0):
    return bus_step(battery_tables(battery), stored, 0.0, 5000.0, 0.0, 0.0, battery_c, 60.0)


def drained(battery: Battery, stored: float, battery_c: float = 25.0):
    return bus_step(battery_tables(battery), stored, 5000.0, 0.0, 0.0, 0.0, battery_c, 60.0)


def test_the_lower_of_c_rate_and_power_limit_holds() -> None:
    assert charged(Battery(2000.0, charge_c_rate=0.5), 1000.0).charge_w == 1000.0
    assert charged(Battery(2000.0, charge_c_rate=0.5, max_charge_w=400.0), 1000.0).charge_w == 400.0
    assert drained(Battery(2000.0, discharge_c_rate=0.25), 1000.0).discharge_w == 500.0


def test_charging_tapers_from_a_charge_to_a_twentieth_at_full() -> None:
    battery = Battery(2000.0, max_charge_w=800.0, taper_from_fraction=0.8)
    assert charged(battery, 1600.0).charge_w == 800.0
    assert charged(battery, 1800.0).charge_w == pytest.approx(400.0)
    assert charged(battery, 1996.0).charge_w == pytest.approx(40.0)
    # It gets full all the same.
    stored = 1900.0
    for _ in range(600):
        stored = charged(battery, stored).stored_wh
    assert stored == 2000.0


COLD = Battery(
    2000.0, by_temperature=(BatteryPoint(-10.0, 0.6, 0.9), BatteryPoint(20.0)),
    reserve_fraction=0.1,
)  # fmt: skip


def test_a_cold_battery_keeps_part_of_its_energy() -> None:
    # At 5 degC halfway: 0.8 of the energy, so 400 Wh stay.
    step = bus_step(battery_tables(COLD), 1000.0, 5000.0, 0.0, 0.0, 0.0, 5.0, HOUR)
    assert step.stored_wh == pytest.approx(400.0)
    assert step.discharge_w == pytest.approx(600.0 * 0.97 * 0.95)
    assert step.loss_w == pytest.approx(600.0 - step.discharge_w)
    assert drained(COLD, 300.0, 5.0).discharge_w == 0.0
    assert drained(COLD, 300.0, 25.0).discharge_w > 0.0


def test_the_cooler_may_not_have_what_the_cold_keeps() -> None:
    def allowed(battery_c: float) -> float:
        return cooler_allowance_w(battery_tables(COLD), 1000.0, 0.0, 0.0, 0.0, 0.0, battery_c, HOUR)

    assert allowed(5.0) == pytest.approx(600.0 * 0.97 * 0.95)
    assert allowed(25.0) == pytest.approx(800.0 * 0.97)
    assert allowed(-30.0) == 0.0  # below the discharge range


def test_charging_is_less_efficient_when_cold() -> None:
    warm, cold = (charged(COLD, 500.0, battery_c) for battery_c in (25.0, 5.0))
    assert warm.charge_w == cold.charge_w
    assert (cold.stored_wh - 500.0) / (warm.stored_wh - 500.0) == pytest.approx(0.95)
