"""Every field of a rig and a scenario moves some number of the answer; none is decoration.

The table names each field of each part with a change of it. A field that is added without a line
here fails the last test.
"""

from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import pytest

from noonhold import rig as rig_module
from noonhold import scenario as scenario_module
from noonhold.projection import project
from noonhold.rig import (
    Aim,
    Awning,
    Battery,
    BatteryPoint,
    Charging,
    CondenserInstallation,
    Controller,
    Cooler,
    Cover,
    CoverPosition,
    Ducts,
    Exposure,
    Extent,
    FixedCoefficients,
    Heater,
    Layer,
    Leakage,
    Load,
    Modulation,
    Mount,
    Obstacle,
    Panel,
    PerformanceMap,
    Policy,
    RatingPoint,
    Rig,
    Roughness,
    Shell,
    SolarArray,
    SpeedPoint,
    Stage,
    Supply,
    Thermostatic,
    Vent,
    Window,
)
from noonhold.scenario import (
    Comfort,
    ComfortMeasure,
    CoverState,
    Ground,
    Operation,
    Place,
    Scenario,
    Setting,
    Shade,
    Span,
    Start,
    Terrain,
)
from noonhold.verdict import judge
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.selection import Selected, select_weather
from tests.properties import rich as r

NO_STATIONS = Catalogue((), ())


class Change(NamedTuple):
    """One field changed, after other changes that give it something to act on."""

    part: Any
    field: str
    value: Any
    first: tuple[tuple[Any, dict[str, Any]], ...] = ()


def swapped(tree: Any, old: Any, new: Any) -> Any:
    """Return a tree of dataclasses and tuples with one part exchanged."""
    if tree is old:
        return new
    if is_dataclass(tree) and not isinstance(tree, type):
        parts = {f.name: swapped(getattr(tree, f.name), old, new) for f in fields(tree)}
        same = all(parts[name] is getattr(tree, name) for name in parts)
        return tree if same else replace(tree, **parts)
    if isinstance(tree, tuple):
        parts_of = tuple(swapped(item, old, new) for item in tree)
        return tree if all(a is b for a, b in zip(parts_of, tree, strict=True)) else parts_of
    return tree


@cache
def weather_at(place: Place, spin_up_days: int) -> Selected:
    """Return the described days there; made once for each place."""
    return select_weather(r.WEATHER, place, spin_up_days, NO_STATIONS)


def numbers(rig: Rig, scenario: Scenario) -> list[np.ndarray]:
    """Return everything an answer says, as arrays."""
    selected = weather_at(scenario.place, scenario.start.spin_up_days)
    projection = project(rig, scenario, selected.table, selected.spin_up)
    days = judge(projection)
    return [
        projection.record, projection.uncooled, projection.clock.offset_s,
        *(np.asarray(value) for value in vars(days).values()),
    ]  # fmt: skip


PMV = ((r.COMFORT, {"measure": ComfortMeasure.PMV, "limit": 0.5}),)
# Enough in the battery that comfort, not the reserve, decides the day.
AMPLE = ((r.BATTERY, {"usable_energy_wh": 9000.0}), (r.COMFORT, {"limit": 22.5}))

# A stated map is relative to the rating point, whatever that is; the default map knows its own.
DEFAULT_MAP = ((r.COOLER, {"performance_map": None}),)

HALF_SPEED = SpeedPoint(0.5, 1.6)
MODULATION = Modulation(0.3, (HALF_SPEED,))
ONE_SPEED = {"stages": (r.HIGH,), "variable_speed": True, "performance_map": None}
MODULATING = ((r.COOLER, {**ONE_SPEED, "modulation": MODULATION}),)
DUCTS = Ducts(0.1, 0.2)
DUCTED = ((r.COOLER, {"ducts": DUCTS}),)
IN_A_LOCKER = ((r.COOLER, {"condenser_installation": CondenserInstallation.ENCLOSED}),)
COLD = BatteryPoint(35.0, 0.8, 0.9)
IN_COLD = ((r.BATTERY, {"by_temperature": (COLD, BatteryPoint(36.0))}),)
HOOD = Obstacle("hood", 1.0, 0.0, 0.3, 1.0, 0.6)
SIZED = {"width_m": 1.3, "length_m": 1.0}
SHADED = ((r.ROOF_ARRAY, {**SIZED, "obstacles": (HOOD,)}),)
COOL_BOX = Thermostatic()
COLD_FOOD = ((r.REFRIGERATOR, {"thermostatic": COOL_BOX}),)

CHANGES = (
    Change(r.FOAM, "thickness_m", 0.05),
    Change(r.FOAM, "conductivity_w_mk", 0.03),
    Change(r.FOAM, "density_kg_m3", 60.0),
    Change(r.FOAM, "specific_heat_j_kgk", 2000.0),
    Change(r.RIGHT.coefficients, "inside_convection_w_m2k", 9.0),
    Change(r.RIGHT.coefficients, "inside_radiation_w_m2k", 9.0),
    Change(r.RIGHT.coefficients, "inside_film_w_m2k", 15.0),
    Change(r.RIGHT.coefficients, "outside_convection_w_m2k", 40.0),
    Change(r.RIGHT.coefficients, "outside_film_w_m2k", 40.0),
    Change(r.WINDOW_EXTENT, "width_m", 0.4),
    Change(r.WINDOW_EXTENT, "height_m", 0.4),
    Change(r.WINDOW_EXTENT, "bottom_m", 0.2),
    Change(r.WINDOW_EXTENT, "offset_m", -0.6),
    Change(r.RIGHT, "tilt_deg", 70.0),
    Change(r.RIGHT, "azimuth_from_front_deg", 45.0),
    Change(r.RIGHT, "area_m2", 4.0),
    Change(r.RIGHT, "layers", (r.SKIN, r.FOAM)),
    Change(r.LEFT, "u_value_w_m2k", 2.0),
    Change(r.LEFT, "heat_capacity_kj_m2k", 40.0),
    Change(r.RIGHT, "solar_absorptance", 0.9),
    Change(r.RIGHT, "thermal_emittance", 0.3),
    Change(r.RIGHT, "inside_solar_absorptance", 0.1),
    Change(r.RIGHT, "inside_thermal_emittance", 0.2),
    Change(r.RIGHT, "surface_roughness", Roughness.ROUGH),
    Change(r.RIGHT, "exposed_to", Exposure.SHELTERED),
    Change(r.RIGHT, "coefficients", FixedCoefficients(inside_film_w_m2k=4.0)),
    Change(r.RIGHT, "extent", None),
    Change(r.MAT, "position", CoverPosition.OUTSIDE),
    Change(r.MAT, "solar_transmittance", 0.3),
    Change(r.MAT, "solar_reflectance", 0.2),
    Change(r.MAT, "added_resistance_m2k_w", 0.5),
    Change(r.GLASS, "tilt_deg", 45.0),
    Change(r.GLASS, "azimuth_from_front_deg", 270.0),
    Change(r.GLASS, "area_m2", 0.8),
    Change(r.GLASS, "u_value_w_m2k", 5.0),
    Change(r.GLASS, "solar_heat_gain_coefficient", 0.3),
    Change(r.GLASS, "solar_transmittance", 0.2),
    Change(r.GLASS, "panes", 1),
    Change(r.GLASS, "thermal_emittance", 0.1),
    Change(r.GLASS, "covers", ()),
    Change(r.GLASS, "coefficients", FixedCoefficients(inside_film_w_m2k=2.0)),
    Change(r.GLASS, "extent", None),
    Change(r.LEAKAGE, "air_changes_per_hour", 2.0),
    Change(r.LEAKAGE, "leakage_area_cm2", 80.0),
    Change(r.LEAKAGE, "shelter_class", 5),
    Change(r.VENT, "airflow_m3_h", 150.0, ((r.REST, {"vents_open": True}),)),
    Change(r.VENT, "opening_area_cm2", 400.0, ((r.REST, {"vents_open": True}),)),
    Change(r.VENT, "fan_power_w", 40.0, ((r.REST, {"vents_open": True}),)),
    Change(r.SHELL, "volume_m3", 12.0),
    Change(r.SHELL, "contents_heat_capacity_kj_k", 300.0),
    Change(r.SHELL, "contents_area_m2", 4.0),
    Change(r.SHELL, "leakage", Leakage(air_changes_per_hour=0.1)),
    Change(r.SHELL, "panels", r.PANELS[:-1]),
    Change(r.SHELL, "windows", ()),
    Change(r.SHELL, "vents", (), ((r.REST, {"vents_open": True}),)),
    Change(r.SHELL, "moisture_buffer_factor", 1.0),
    Change(r.SHELL, "contents_solar_fraction", 0.8),
    Change(r.SHELL, "mid_height_m", 3.0),
    Change(r.SHELL, "ground_clearance_m", 0.2),
    Change(r.SHELL, "thermal_bridges_w_k", 3.0),
    Change(r.AWNING, "side_azimuth_from_front_deg", 270.0),
    Change(r.AWNING, "depth_m", 2.5),
    Change(r.AWNING, "length_m", 0.8),
    Change(r.AWNING, "height_m", 1.6),
    Change(r.AWNING, "solar_transmittance", 0.5),
    Change(r.AWNING, "left_curtain_drop_m", 1.0),
    Change(r.AWNING, "right_curtain_drop_m", 1.0),
    Change(r.LOW, "cooling_w", 700.0),
    Change(r.LOW, "power_w", 350.0),
    Change(r.RATING, "outdoor_c", 30.0, DEFAULT_MAP),
    Change(r.RATING, "inside_c", 28.0),
    Change(r.RATING, "inside_wet_bulb_c", 17.0),
    Change(r.RATING, "pressure_pa", 90000.0),
    Change(r.MAP, "outdoor_c", (15.0, 30.0, 45.0)),
    Change(r.MAP, "wet_bulb_c", (10.0, 16.0, 22.0)),
    Change(r.MAP, "capacity_ratio", ((1.0,) * 3,) * 3),
    Change(r.MAP, "power_ratio", ((1.0,) * 3,) * 3),
    Change(r.SUPPLY, "efficiency", 0.7),
    Change(r.SUPPLY, "idle_power_w", 60.0),
    Change(r.COOLER, "stages", (r.LOW,)),
    Change(r.COOLER, "airflow_m3_h", 250.0),
    Change(r.COOLER, "sensible_heat_ratio", 0.7),
    Change(r.COOLER, "fan_power_w", 60.0),
    Change(r.COOLER, "rating", RatingPoint(pressure_pa=95000.0)),
    Change(r.COOLER, "performance_map", None),
    Change(r.COOLER, "degradation_coefficient", 0.0),
    Change(r.COOLER, "variable_speed", True),
    Change(r.COOLER, "fan_always_on", True),
    Change(r.COOLER, "condenser_air_rise_k", 8.0),
    Change(r.COOLER, "condenser_installation", CondenserInstallation.ROOF_SHROUD),
    Change(r.COOLER, "condenser_airflow_m3_h", 500.0, IN_A_LOCKER),
    Change(r.COOLER, "modulation", MODULATION, ((r.COOLER, ONE_SPEED),)),
    Change(MODULATION, "least_fraction", 0.2, MODULATING),
    Change(MODULATION, "part_load", (), MODULATING),
    Change(HALF_SPEED, "cooling_fraction", 0.6, MODULATING),
    Change(HALF_SPEED, "efficiency_ratio", 1.2, MODULATING),
    Change(r.COOLER, "standby_power_w", 4.0),
    Change(r.COOLER, "ducts", DUCTS),
    Change(DUCTS, "loss_fraction", 0.3, DUCTED),
    Change(DUCTS, "to_cabin_fraction", 0.9, DUCTED),
    Change(r.COOLER, "supply", Supply()),
    Change(r.HEATER, "heating_w", 200.0),
    Change(r.HEATER, "power_w", 200.0),
    Change(r.BATTERY, "usable_energy_wh", 2000.0),
    Change(r.BATTERY, "charge_efficiency", 0.8),
    Change(r.BATTERY, "discharge_efficiency", 0.8),
    Change(r.BATTERY, "max_charge_w", 50.0),
    Change(r.BATTERY, "max_discharge_w", 100.0),
    Change(r.BATTERY, "reserve_fraction", 0.5),
    Change(r.BATTERY, "recovery_fraction", 0.4, ((r.BATTERY, {"reserve_fraction": 0.5}),)),
    Change(r.BATTERY, "charge_temperature_c", (20.0, 30.0)),
    Change(r.BATTERY, "discharge_temperature_c", (20.0, 30.0)),
    Change(r.BATTERY, "in_cabin", True),
    Change(r.BATTERY, "charge_c_rate", 0.05),
    Change(r.BATTERY, "discharge_c_rate", 0.1),
    Change(r.BATTERY, "taper_from_fraction", 0.3, ((r.BATTERY, {"max_charge_w": 100.0}),)),
    Change(r.BATTERY, "by_temperature", (COLD,)),
    Change(COLD, "temperature_c", 15.0, IN_COLD),
    Change(COLD, "capacity_ratio", 0.5, IN_COLD),
    Change(COLD, "efficiency_ratio", 0.8, IN_COLD),
    Change(r.MORNING, "from_hour", 9.0),
    Change(r.MORNING, "tilt_deg", 10.0),
    Change(r.MORNING, "azimuth_deg", 200.0),
    Change(r.ROOF_ARRAY, "rated_power_w", 100.0),
    Change(r.ROOF_ARRAY, "mount", Mount.ROOF_FLUSH),
    Change(r.ROOF_ARRAY, "tilt_deg", 20.0),
    Change(r.ROOF_ARRAY, "azimuth_from_front_deg", 90.0, ((r.ROOF_ARRAY, {"tilt_deg": 20.0}),)),
    Change(r.ROOF_ARRAY, "folding", True),
    Change(r.FOLDING, "aims", ()),
    Change(r.ROOF_ARRAY, "temperature_coefficient_per_k", -0.005),
    Change(r.ROOF_ARRAY, "system_loss_fraction", 0.3),
    Change(r.ROOF_ARRAY, "controller", ""),
    Change(r.ROOF_ARRAY, "shades_panel", ""),
    Change(r.ROOF_ARRAY, "area_m2", 3.0),
    Change(r.ROOF_ARRAY, "soiling_fraction", 0.1),
    Change(r.ROOF_ARRAY, "obstacles", (HOOD,), ((r.ROOF_ARRAY, SIZED),)),
    Change(r.ROOF_ARRAY, "width_m", 2.0, SHADED),
    Change(r.ROOF_ARRAY, "length_m", 2.0, SHADED),
    Change(r.ROOF_ARRAY, "bypass_strips", 6, SHADED),
    *(
        Change(HOOD, name, value, SHADED)
        for name, value in {
            "right_m": -0.9,
            "front_m": 0.4,
            "width_m": 0.6,
            "length_m": 0.8,
            "height_m": 0.3,
            "hours": ((12.0, 13.0),),
        }.items()
    ),
    Change(r.CONTROLLER, "max_power_w", 200.0),
    Change(r.CONTROLLER, "efficiency", 0.8),
    Change(r.CHARGING, "alternator_w", 50.0),
    Change(r.CHARGING, "shore_power_w", 50.0, ((r.REST, {"shore": True}),)),
    Change(r.REFRIGERATOR, "power_w", 80.0),
    Change(r.LIGHTS, "hours", ((5.0, 7.0),)),
    Change(r.LIGHTS, "heat_to_cabin_fraction", 0.1),
    Change(r.LIGHTS, "radiant_fraction", 0.9),
    Change(r.REFRIGERATOR, "thermostatic", COOL_BOX),
    Change(COOL_BOX, "rated_ambient_c", 32.0, COLD_FOOD),
    Change(COOL_BOX, "inside_c", -10.0, COLD_FOOD),
    Change(COOL_BOX, "constant_fraction", 0.5, COLD_FOOD),
    Change(COOL_BOX, "most_power_w", 41.0, COLD_FOOD),
    Change(COOL_BOX, "in_cabin", False, COLD_FOOD),
    Change(r.RIG, "shell", replace(r.SHELL, volume_m3=7.0)),
    Change(r.RIG, "battery", replace(r.BATTERY, usable_energy_wh=1400.0)),
    Change(r.RIG, "cooler", None),
    Change(r.RIG, "heater", None),
    Change(r.RIG, "arrays", (r.FOLDING,)),
    Change(r.RIG, "controllers", (replace(r.CONTROLLER, max_power_w=100.0),)),
    Change(r.RIG, "charging", Charging()),
    Change(r.RIG, "loads", ()),
    Change(r.RIG, "standing_power_w", 30.0),
    Change(r.RIG, "awnings", ()),
    Change(r.TREE, "from_hour", 9.0),
    Change(r.TREE, "to_hour", 12.0),
    Change(r.TREE, "beam_blocked", 1.0),
    Change(r.TREE, "diffuse_blocked", 0.9),
    Change(r.TREE, "applies_to", ("folding",)),
    Change(r.PLACE, "latitude", 20.0),
    Change(r.PLACE, "longitude", -120.0),
    Change(r.PLACE, "elevation_m", 2500.0),
    Change(r.PLACE, "timezone", "America/Denver"),
    Change(r.PLACE, "heading_deg", 90.0),
    Change(r.PLACE, "ground", Ground.GRASS),
    Change(r.PLACE, "ground_albedo", 0.5),
    Change(r.PLACE, "ground_emittance", 0.7),
    Change(r.PLACE, "ground_thermal_inertia_j_m2ks05", 2000.0),
    Change(r.PLACE, "ground_evaporation_resistance_s_m", 100.0),
    Change(r.PLACE, "terrain", Terrain.URBAN),
    Change(r.PLACE, "shade", ()),
    Change(r.PLACE, "horizon", ((0.0, 30.0), (180.0, 30.0))),
    Change(r.REST, "set_point_c", 20.0),
    Change(r.REST, "heating_set_point_c", 22.5),
    Change(r.REST, "policy", Policy.HIGH_ONLY),
    Change(r.DRIVE, "driving_speed_km_h", 20.0),
    Change(r.REST, "covers", CoverState.OPEN),
    Change(r.REST, "vents_open", True),
    Change(r.REST, "occupants", 4.0),
    Change(r.REST, "deployed", False),
    Change(r.REST, "shore", True),
    Change(r.RESTING, "from_hour", 10.0),
    Change(r.RESTING, "to_hour", 18.0),
    Change(r.RESTING, "setting", Setting(occupants=5.0)),
    Change(r.OPERATION, "set_point_c", 21.0),
    Change(r.OPERATION, "policy", Policy.FAN_ONLY),
    Change(r.OPERATION, "cooling_window", (12.0, 18.0)),
    Change(r.OPERATION, "heating_set_point_c", None),
    Change(r.OPERATION, "spans", ()),
    Change(r.OPERATION, "set_out", (10.0, 18.0)),
    Change(r.OPERATION, "fresh_air_m3_h_per_occupant", 60.0),
    Change(r.OPERATION, "sensible_w_per_occupant", 120.0),
    Change(r.OPERATION, "latent_w_per_occupant", 120.0),
    Change(r.COMFORT, "measure", ComfortMeasure.AIR),
    Change(r.COMFORT, "limit", 22.0),
    Change(r.COMFORT, "required_fraction", 0.01, AMPLE),
    Change(r.COMFORT, "allowance_h", 3.0),
    Change(r.COMFORT, "metabolic_met", 2.0, PMV),
    Change(r.COMFORT, "clothing_clo", 1.0, PMV),
    Change(r.COMFORT, "air_speed_m_s", 0.05, PMV),
    Change(r.START, "state_of_charge", 0.9),
    Change(r.START, "cabin_temperature_c", 40.0, ((r.START, {"spin_up_days": 0}),)),
    Change(r.START, "spin_up_days", 0),
    Change(r.SCENARIO, "place", replace(r.PLACE, ground_albedo=0.3)),
    Change(r.SCENARIO, "operation", replace(r.OPERATION, set_point_c=22.0)),
    Change(r.SCENARIO, "comfort", replace(r.COMFORT, limit=24.0)),
    Change(r.SCENARIO, "start", Start(0.2, spin_up_days=1)),
)

# What only names a thing, or says in the document how the other fields came about.
LABELS = {
    (Layer, "material"), (Panel, "name"), (Window, "name"), (Vent, "name"), (Stage, "name"),
    (SolarArray, "name"), (Controller, "name"), (Load, "name"), (Rig, "name"),
    (Supply, "through_inverter"), (Obstacle, "name"),
    (SolarArray, "mirrored_south"),  # acts in the south alone: test_forcing.py
}  # fmt: skip


def applied(tree: Any, change: Change) -> tuple[Any, Any]:
    """Return a tree before and after a change."""
    before, part = tree, change.part
    for other, values in change.first:
        new = replace(other, **values)
        before = swapped(before, other, new)
        part = new if part is other else part
    return before, swapped(before, part, replace(part, **{change.field: change.value}))


@pytest.fixture(scope="module")
def unchanged() -> dict[tuple[Any, ...], list[np.ndarray]]:
    return {}


@pytest.mark.parametrize(
    "change", CHANGES, ids=lambda change: f"{type(change.part).__name__}.{change.field}"
)
def test_a_field_moves_the_answer(
    change: Change, unchanged: dict[tuple[Any, ...], list[np.ndarray]]
) -> None:
    (rig_before, scenario_before), (rig_after, scenario_after) = applied(
        (r.RIG, r.SCENARIO), change
    )
    assert (rig_before, scenario_before) != (rig_after, scenario_after), "nothing was changed"
    key = (rig_before, scenario_before)
    if key not in unchanged:
        unchanged[key] = numbers(*key)
    before, after = unchanged[key], numbers(rig_after, scenario_after)
    same = [
        a.shape == b.shape and np.array_equal(a, b, equal_nan=a.dtype.kind == "f")
        for a, b in zip(before, after, strict=True)
    ]
    assert not all(same), "the answer is the same to the last bit"


def test_the_table_names_every_field() -> None:
    parts = [
        part
        for module in (rig_module, scenario_module)
        for part in vars(module).values()
        if isinstance(part, type) and is_dataclass(part) and part.__module__ == module.__name__
    ]
    known = {(part, each.name) for part in parts for each in fields(part)}
    told = {(type(change.part), change.field) for change in CHANGES}
    assert told | LABELS == known
    assert not told & LABELS
    # Every part stands in the rich rig or scene.
    for part in (
        Aim, Awning, Battery, Charging, Cooler, Cover, Extent, Heater, PerformanceMap, RatingPoint,
        Shell, Comfort, Operation, Place, Setting, Shade, Span, Start,
    ):  # fmt: skip
        assert part in {type(change.part) for change in CHANGES}
