"""Newer parts of cooler, loads, arrays and battery move an hour's figures the way they must."""

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from noonhold.projection import project
from noonhold.rig import (
    BatteryPoint,
    CondenserInstallation,
    Cooler,
    Ducts,
    Modulation,
    Obstacle,
    Rig,
    Thermostatic,
)
from noonhold.scenario import Scenario
from noonhold.simulation import channels as ch
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.selection import select_weather
from tests.properties import rich as r

# Enough in the battery that the cooler is never stopped, and no other cooling set point than one.
BATTERY = replace(r.BATTERY, usable_energy_wh=20000.0)
PLENTY = replace(r.RIG, battery=BATTERY)
ONE = replace(
    r.COOLER,
    stages=(r.HIGH,),
    variable_speed=True,
    modulation=Modulation(1.0),
    performance_map=r.MAP,
)


@cache
def totals(rig: Rig, scenario: Scenario = r.SCENARIO) -> np.ndarray:
    selected = select_weather(r.WEATHER, scenario.place, 1, Catalogue((), ()))
    return project(rig, scenario, selected.table, selected.spin_up).record.sum(axis=0)


def with_cooler(**fields: Any) -> Rig:
    return replace(PLENTY, cooler=replace(r.COOLER, **fields))


def with_one(cooler: Cooler) -> Rig:
    return replace(PLENTY, cooler=cooler)


def more(channel: int, rig: Rig, than: Rig) -> None:
    assert totals(rig)[channel] > totals(than)[channel]


def test_modulation_saves_energy_and_a_deeper_one_more() -> None:
    deep, shallow, fixed = (
        with_one(replace(ONE, modulation=Modulation(least))) for least in (0.34, 0.7, 1.0)
    )
    more(ch.COOLER_POWER, fixed, shallow)
    more(ch.COOLER_POWER, shallow, deep)
    # At half load and below the laboratory has 1.7 to 1.9 times the efficiency; cycling loses more.
    saved = 1.0 - totals(deep)[ch.COOLER_POWER] / totals(fixed)[ch.COOLER_POWER]
    assert 0.2 < saved < 0.55


def test_ducts_standby_and_exhaust_cost_energy() -> None:
    for fields in (
        {"ducts": Ducts(0.15)},
        {"standby_power_w": 5.0},
        {"condenser_installation": CondenserInstallation.ENCLOSED},
    ):
        more(ch.COOLER_POWER, with_cooler(**fields), PLENTY)
    more(
        ch.COOLER_POWER,
        with_cooler(ducts=Ducts(0.15)),
        with_cooler(ducts=Ducts(0.15, to_cabin_fraction=0.8)),
    )


def test_a_refrigerator_draws_more_in_a_warmer_cabin() -> None:
    cold = replace(r.REFRIGERATOR, thermostatic=Thermostatic(inside_c=4.0))
    rig = replace(PLENTY, loads=(cold, r.LIGHTS))
    uncooled = replace(rig, cooler=None, heater=None)
    more(ch.LOAD_POWER, uncooled, rig)
    hungrier = replace(cold, thermostatic=replace(cold.thermostatic, rated_ambient_c=15.0))
    more(ch.LOAD_POWER, replace(rig, loads=(hungrier, r.LIGHTS)), rig)


@pytest.mark.parametrize(
    "fields",
    [
        {"soiling_fraction": 0.1},
        {
            "width_m": 1.3,
            "length_m": 1.0,
            "obstacles": (Obstacle("hood", 0.9, 0.0, 0.3, 1.0, 0.6),),
        },
    ],
)
def test_dirt_and_own_shade_cost_sun(fields: dict[str, Any]) -> None:
    worse = replace(r.ROOF_ARRAY, **fields)
    more(ch.SOLAR, PLENTY, replace(PLENTY, arrays=(worse, r.FOLDING)))


def test_later_set_out_arrays_give_less() -> None:
    late = replace(r.SCENARIO, operation=replace(r.OPERATION, set_out=(10.0, 20.0), spans=()))
    early = replace(late, operation=replace(late.operation, set_out=(6.0, 20.0)))
    assert totals(PLENTY, late)[ch.SOLAR] < totals(PLENTY, early)[ch.SOLAR]


def test_taper_and_c_rate_leave_sun_unused() -> None:
    # Too large to fill in a day, so that a limit is not made up for later.
    large = replace(r.BATTERY, usable_energy_wh=6000.0, max_charge_w=300.0)
    rig = replace(r.RIG, battery=large, cooler=None)
    for fields in ({"taper_from_fraction": 0.4}, {"charge_c_rate": 0.03}):
        limited = replace(rig, battery=replace(large, **fields))
        more(ch.CURTAILED, limited, rig)
        more(ch.CHARGE, rig, limited)


def test_a_battery_that_is_cold_has_less_to_give_and_loses_more() -> None:
    cold = (BatteryPoint(0.0, 0.4, 0.85), BatteryPoint(45.0))
    weak = replace(r.RIG, battery=replace(r.BATTERY, by_temperature=cold))
    assert totals(weak)[ch.UNMET] + totals(weak)[ch.BATTERY_LOSS] > (
        totals(r.RIG)[ch.UNMET] + totals(r.RIG)[ch.BATTERY_LOSS]
    )
