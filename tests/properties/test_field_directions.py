"""Fields of cooler, loads, arrays, battery, shell and ground move an answer the way they must.

`test_every_field` asks that each field moves something; here a figure and its direction are named.
The last test holds the table to the fields of the parts.
"""

from dataclasses import fields, replace
from typing import Any, NamedTuple

import numpy as np
import pytest

from noonhold.projection import project
from noonhold.rig import (
    BatteryPoint,
    CondenserInstallation,
    Ducts,
    Modulation,
    Obstacle,
    SpeedPoint,
    Thermostatic,
)
from noonhold.scenario import Ground
from noonhold.simulation import channels as ch
from noonhold.simulation.forcing import forcing_tables
from tests.properties import rich as r
from tests.properties import test_every_field as every

# Enough in the battery that the cooler is never stopped.
PLENTY: tuple[tuple[Any, dict[str, Any]], ...] = ((r.BATTERY, {"usable_energy_wh": 20000.0}),)
NO_COOLER = ((r.RIG, {"cooler": None, "heater": None}),)
LARGE = (
    (r.RIG, {"cooler": None}),
    (r.BATTERY, {"usable_energy_wh": 6000.0, "max_charge_w": 300.0}),
)
HALF = SpeedPoint(0.5, 1.6)
MODULATION = Modulation(0.3, (HALF,))
MODULATING = ((r.COOLER, {**every.ONE_SPEED, "modulation": MODULATION}), *PLENTY)
DUCTS = Ducts(0.1, 0.2)
DUCTED = ((r.COOLER, {"ducts": DUCTS}), *PLENTY)
LOCKER = ((r.COOLER, {"condenser_installation": CondenserInstallation.ENCLOSED}), *PLENTY)
BOX = Thermostatic()
COLD_FOOD = (*NO_COOLER, *PLENTY, (r.REFRIGERATOR, {"thermostatic": BOX}))
HOOD = Obstacle("hood", 1.0, 0.0, 0.3, 1.0, 0.6)
SIZED = {"width_m": 1.3, "length_m": 1.0}
SHADED = ((r.ROOF_ARRAY, {**SIZED, "obstacles": (HOOD,)}), *PLENTY)
COLD = BatteryPoint(35.0, 0.8, 0.9)
IN_COLD = ((r.BATTERY, {"by_temperature": (COLD, BatteryPoint(36.0))}),)
IN_SUN = (*NO_COOLER, *PLENTY)


class Direction(NamedTuple):
    """A field, two values of it, and the figure that the second raises (+1) or lowers (-1)."""

    part: Any
    field: str
    less: Any
    more: Any
    figure: int
    sign: int
    first: tuple[tuple[Any, dict[str, Any]], ...] = PLENTY

    def __repr__(self) -> str:
        return f"{type(self.part).__name__}.{self.field}"


DIRECTIONS = [
    Direction(r.COOLER, "modulation", Modulation(1.0), MODULATION, ch.COOLER_POWER, -1,
              ((r.COOLER, every.ONE_SPEED), *PLENTY)),
    Direction(MODULATION, "least_fraction", 0.3, 0.9, ch.COOLER_POWER, 1, MODULATING),
    Direction(MODULATION, "part_load", (HALF,), (SpeedPoint(0.5, 1.1),), ch.COOLER_POWER, 1,
              MODULATING),
    Direction(HALF, "efficiency_ratio", 1.2, 1.8, ch.COOLER_POWER, -1, MODULATING),
    Direction(HALF, "cooling_fraction", 0.4, 0.7, ch.COOLER_POWER, -1, MODULATING),
    Direction(r.COOLER, "standby_power_w", 0.0, 6.0, ch.COOLER_POWER, 1),
    Direction(r.COOLER, "ducts", None, DUCTS, ch.COOLER_POWER, 1),
    Direction(DUCTS, "loss_fraction", 0.05, 0.3, ch.COOLER_POWER, 1, DUCTED),
    Direction(DUCTS, "to_cabin_fraction", 0.1, 0.9, ch.COOLER_POWER, -1, DUCTED),
    Direction(r.COOLER, "condenser_installation", CondenserInstallation.FREE,
              CondenserInstallation.ENCLOSED, ch.COOLER_POWER, 1),
    Direction(r.COOLER, "condenser_airflow_m3_h", 500.0, 3000.0, ch.COOLER_POWER, -1, LOCKER),
    Direction(r.REFRIGERATOR, "thermostatic", Thermostatic(rated_ambient_c=45.0),
              Thermostatic(rated_ambient_c=15.0), ch.LOAD_POWER, 1, IN_SUN),
    Direction(BOX, "rated_ambient_c", 20.0, 35.0, ch.LOAD_POWER, -1, COLD_FOOD),
    # Nearer to the temperature of its rating a given rise around it is a larger part.
    Direction(BOX, "inside_c", -15.0, 8.0, ch.LOAD_POWER, 1, COLD_FOOD),
    # What does not follow the temperature does not grow with it in a hot cabin.
    Direction(BOX, "constant_fraction", 0.0, 0.8, ch.LOAD_POWER, -1, COLD_FOOD),
    Direction(BOX, "most_power_w", 41.0, 200.0, ch.LOAD_POWER, 1, COLD_FOOD),
    Direction(BOX, "in_cabin", False, True, ch.LOAD_POWER, 1, COLD_FOOD),
    Direction(r.ROOF_ARRAY, "soiling_fraction", 0.0, 0.1, ch.SOLAR, -1),
    Direction(r.ROOF_ARRAY, "obstacles", (), (HOOD,), ch.SOLAR, -1,
              ((r.ROOF_ARRAY, SIZED), *PLENTY)),
    Direction(r.ROOF_ARRAY, "bypass_strips", 1, 12, ch.SOLAR, 1, SHADED),
    Direction(HOOD, "height_m", 0.2, 1.0, ch.SOLAR, -1, SHADED),
    Direction(HOOD, "hours", ((12.0, 13.0),), ((0.0, 24.0),), ch.SOLAR, -1, SHADED),
    Direction(r.BATTERY, "charge_c_rate", 0.03, 0.5, ch.CURTAILED, -1, LARGE),
    Direction(r.BATTERY, "taper_from_fraction", 0.4, 0.95, ch.CURTAILED, -1, LARGE),
    Direction(r.BATTERY, "discharge_c_rate", 0.01, 1.0, ch.UNMET, -1, ()),
    Direction(r.BATTERY, "by_temperature", (), (BatteryPoint(0.0, 0.4, 0.85), BatteryPoint(45.0)),
              ch.BATTERY_LOSS, 1, ()),
    Direction(COLD, "efficiency_ratio", 0.7, 1.0, ch.BATTERY_LOSS, -1, IN_COLD),
    Direction(r.SHELL, "thermal_bridges_w_k", 0.0, 8.0, ch.COOLER_POWER, 1),
    Direction(r.PLACE, "ground", Ground.GRASS, Ground.ASPHALT, ch.CABIN, 1, IN_SUN),
    Direction(r.PLACE, "ground_emittance", 0.5, 0.98, ch.CABIN, -1, IN_SUN),
    Direction(r.PLACE, "ground_evaporation_resistance_s_m", 50.0, 2000.0, ch.CABIN, 1, IN_SUN),
]  # fmt: skip


def record_of(line: Direction, more: bool) -> np.ndarray:
    """Return the record with one of a line's values."""
    change = every.Change(line.part, line.field, line.more if more else line.less, line.first)
    rig, scenario = every.applied((r.RIG, r.SCENARIO), change)[1]
    selected = every.weather_at(scenario.place, scenario.start.spin_up_days)
    return project(rig, scenario, selected.table, selected.spin_up).record


@pytest.mark.parametrize("line", DIRECTIONS, ids=repr)
def test_a_field_moves_its_figure_the_way_it_must(line: Direction) -> None:
    less, more = (float(record_of(line, each)[:, line.figure].sum()) for each in (False, True))
    assert line.sign * (more - less) > 0.0, (less, more)


def ground_range(inertia: float) -> float:
    """Return by how much the ground's temperature moves over the days. [K]"""
    place = replace(r.PLACE, ground_thermal_inertia_j_m2ks05=inertia)
    selected = every.weather_at(place, 1)
    hours = (np.arange(len(selected.table)) + 0.5) % 24.0
    return float(np.ptp(forcing_tables(r.RIG, place, selected.table, hours).ground_temperature))


def test_a_heavier_ground_moves_less() -> None:
    assert ground_range(2500.0) < 0.8 * ground_range(500.0)


# Fields whose direction another file asks for, or that have none: where a part stands, how large
# it is, which hours or temperatures a point is for.
ELSEWHERE = {
    ("Cooler", "variable_speed"),  # test_coolers_in_heat
    ("SolarArray", "width_m"), ("SolarArray", "length_m"), ("Obstacle", "name"),
    ("Obstacle", "right_m"), ("Obstacle", "front_m"), ("Obstacle", "width_m"),
    ("Obstacle", "length_m"), ("BatteryPoint", "temperature_c"),
    ("BatteryPoint", "capacity_ratio"),  # test_battery_limits
    ("Shell", "ground_clearance_m"),  # test_ground
    ("Place", "ground_albedo"), ("Place", "ground_thermal_inertia_j_m2ks05"),  # test_ground, above
    ("Operation", "set_out"),  # test_machine_directions
}  # fmt: skip
WHOLE_PARTS = (Ducts, Modulation, SpeedPoint, Thermostatic, Obstacle, BatteryPoint)
SINGLE = {
    "Cooler": ("variable_speed", "modulation", "standby_power_w", "ducts",
               "condenser_installation", "condenser_airflow_m3_h"),
    "Battery": ("charge_c_rate", "discharge_c_rate", "taper_from_fraction", "by_temperature"),
    "SolarArray": ("soiling_fraction", "obstacles", "width_m", "length_m", "bypass_strips"),
    "Load": ("thermostatic",),
    "Shell": ("thermal_bridges_w_k", "ground_clearance_m"),
    "Place": ("ground", "ground_albedo", "ground_emittance", "ground_thermal_inertia_j_m2ks05",
              "ground_evaporation_resistance_s_m"),
    "Operation": ("set_out",),
}  # fmt: skip


def test_the_table_has_every_field_of_these_parts() -> None:
    named = {(type(line.part).__name__, line.field) for line in DIRECTIONS}
    known = {(part.__name__, each.name) for part in WHOLE_PARTS for each in fields(part)}
    known |= {(part, field) for part, names in SINGLE.items() for field in names}
    assert named | ELSEWHERE == known
    assert not named & ELSEWHERE
