"""What loads and the battery give to the cabin and feel of it, by hand in steady weather."""

from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from noonhold.rig import Battery, Heater, Load
from noonhold.scenario import Operation
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import prepare
from tests.engine.made import rig, scene, steady

LOAD_W = 100.0


def dark_day(battery: Battery, outdoor_c: float, **changes: Any) -> npt.NDArray[np.float64]:
    """Return the record of a day without sun that begins with a full battery."""
    dark = rig(battery=battery, cooler=None, arrays=(), standing_power_w=0.0, **changes)
    operation = Operation(set_point_c=90.0, heating_set_point_c=20.0)
    start = replace(scene().start, state_of_charge=1.0, cabin_temperature_c=20.0)
    case, _ = prepare(dark, scene(operation=operation, start=start), steady(outdoor_c))
    return run_cases([case])[0]


def test_a_load_without_power_gives_no_heat() -> None:
    # 0.95 kWh at the bus serve 100 W for nine hours and a half.
    battery = Battery(1000.0, discharge_efficiency=0.95, reserve_fraction=0.0, in_cabin=False)
    record = dark_day(battery, 20.0, loads=(Load("lamp", LOAD_W),))
    assert record[:9, ch.GAINS] == pytest.approx(np.full(9, LOAD_W))
    assert record[:9, ch.UNMET] == pytest.approx(np.zeros(9))
    assert record[11:, ch.GAINS] == pytest.approx(np.zeros(13), abs=1e-9)
    assert record[11:, ch.UNMET] == pytest.approx(np.full(13, LOAD_W))


@pytest.mark.parametrize("in_cabin", [True, False])
def test_what_a_battery_loses_warms_the_cabin_that_it_stands_in(in_cabin: bool) -> None:
    battery = Battery(10000.0, discharge_efficiency=0.8, in_cabin=in_cabin)
    outside = Load("pump", LOAD_W, heat_to_cabin_fraction=0.0)
    record = dark_day(battery, 20.0, loads=(outside,))
    lost_w = LOAD_W / 0.8 - LOAD_W
    assert record[1:, ch.BATTERY_LOSS] == pytest.approx(np.full(23, lost_w))
    assert record[1:, ch.GAINS] == pytest.approx(np.full(23, lost_w if in_cabin else 0.0), abs=1e-9)


@pytest.mark.parametrize("in_cabin", [True, False])
def test_a_battery_is_as_cold_as_what_it_stands_in(in_cabin: bool) -> None:
    battery = Battery(10000.0, discharge_temperature_c=(-20.0, 60.0), in_cabin=in_cabin)
    record = dark_day(
        battery, -30.0, loads=(Load("lamp", LOAD_W),), heater=Heater(20000.0, power_w=0.0)
    )
    unmet_w = 0.0 if in_cabin else LOAD_W
    assert record[:, ch.UNMET] == pytest.approx(np.full(24, unmet_w), abs=1e-9)
