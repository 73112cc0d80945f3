"""Bad payloads, one rule broken each, with the exact pointer that must be reported."""

import json
from typing import Any

import pytest

from noonhold.documents import load_projection, load_rig
from noonhold.errors import DocumentError, Fault
from tests.engine.document_samples import PROJECTION, RIG, changed, without

LAYER = "/shell/panels/2/layers/1"
GRID = [
    {"outdoor_c": o, "wet_bulb_c": w, "capacity_ratio": 1, "power_ratio": 1}
    for o in (30, 40)
    for w in (16, 20)
]
COVER = RIG["shell"]["windows"][0]["covers"][0]
BOX_PART = {"u_value_w_m2k": 1, "heat_capacity_kj_m2k": 10}
BOX = {
    "length_m": 3,
    "width_m": 2,
    "height_m": 2,
    "walls": BOX_PART,
    "roof": BOX_PART,
    "floor": BOX_PART,
}


def faults_of_rig(document: Any) -> tuple[Fault, ...]:
    with pytest.raises(DocumentError) as caught:
        load_rig(document)
    return caught.value.faults


def faults_of_projection(document: Any) -> tuple[Fault, ...]:
    with pytest.raises(DocumentError) as caught:
        load_projection(document)
    return caught.value.faults


BROKEN_RIGS = [
    # what a number may be
    ("/shell/panels/2/area_m2", "6", ["/shell/panels/2/area_m2"]),
    ("/shell/panels/2/area_m2", True, ["/shell/panels/2/area_m2"]),
    ("/shell/panels/2/area_m2", None, ["/shell/panels/2/area_m2"]),
    ("/shell/panels/2/area_m2", [6], ["/shell/panels/2/area_m2"]),
    ("/shell/panels/2/area_m2", float("nan"), ["/shell/panels/2/area_m2"]),
    ("/shell/panels/2/area_m2", float("inf"), ["/shell/panels/2/area_m2"]),
    ("/shell/panels/2/area_m2", 10**400, ["/shell/panels/2/area_m2"]),
    ("/shell/panels/2/area_m2", -1, ["/shell/panels/2/area_m2"]),
    ("/shell/panels/2/area_m2", 0, ["/shell/panels/2/area_m2"]),
    ("/shell/windows/0/panes", 1.5, ["/shell/windows/0/panes"]),
    ("/shell/windows/0/panes", 5, ["/shell/windows/0/panes"]),
    # what a word, a text, a flag, a list, an object may be
    ("/name", "", ["/name"]),
    ("/name", " ", ["/name"]),
    ("/name", "x" * 201, ["/name"]),
    ("/name", 7, ["/name"]),
    ("/cooler/variable_speed", "true", ["/cooler/variable_speed"]),
    ("/cooler/variable_speed", 1, ["/cooler/variable_speed"]),
    ("/arrays/0/mount", "roof", ["/arrays/0/mount"]),
    ("/shell/panels", {}, ["/shell/panels"]),
    ("/shell/panels", [], ["/shell/panels"]),
    ("/shell/panels/0", "left", ["/shell/panels/0"]),
    ("/shell", [], ["/shell"]),
    ("/battery", None, ["/battery"]),
    ("/heater", None, ["/heater"]),
    # fields nobody knows, with the pointer's own escapes
    ("/colour", "red", ["/colour"]),
    ("/shell/panels/0/are_m2", 1, ["/shell/panels/0/are_m2"]),
    # layers and constructions
    ("/shell/panels/0/layers/0/material", "unobtainium", ["/shell/panels/0/layers/0/material"]),
    (LAYER + "/thermal_resistance_m2k_w", 1, [
        LAYER + "/conductivity_w_mk", LAYER + "/density_kg_m3",
        LAYER + "/specific_heat_j_kgk", LAYER + "/thickness_m",
    ]),
    ("/shell/panels/0/layers", [{"material": "xps"}], ["/shell/panels/0/layers/0/thickness_m"]),
    ("/shell/panels/0/layers", [{"thickness_m": 0.1, "density_kg_m3": 9}], [
        "/shell/panels/0/layers/0/conductivity_w_mk",
        "/shell/panels/0/layers/0/specific_heat_j_kgk",
    ]),
    ("/shell/panels/0/layers", [], ["/shell/panels/0/layers"]),
    ("/shell/panels/0/u_value_w_m2k", 1, ["/shell/panels/0/u_value_w_m2k"]),
    ("/shell/panels/0/tilt_deg", 90, ["/shell/panels/0/tilt_deg"]),
    ("/shell/panels/0/face", "port", ["/shell/panels/0/face"]),
    ("/shell/panels/0/coefficients", {
        "inside_film_w_m2k": 8, "inside_convection_w_m2k": 3, "outside_film_w_m2k": 20,
        "outside_convection_w_m2k": 9, "inside_radiation_w_m2k": 5,
    }, [
        "/shell/panels/0/coefficients/inside_convection_w_m2k",
        "/shell/panels/0/coefficients/inside_radiation_w_m2k",
        "/shell/panels/0/coefficients/outside_convection_w_m2k",
    ]),
    # the shell as a whole
    ("/shell/leakage/leakage_area_cm2", 50, ["/shell/leakage/leakage_area_cm2"]),
    ("/shell/leakage", {}, ["/shell/leakage/air_changes_per_hour"]),
    ("/shell/panels/1/name", "left", ["/shell/panels/1/name"]),
    ("/shell/vents/0", {"name": "hole"}, ["/shell/vents/0/airflow_m3_h"]),
    ("/shell/vents/0", {"name": "hole", "airflow_m3_h": 9}, ["/shell/vents/0/fan_power_w"]),
    ("/shell/box", BOX, ["/shell/box"]),
    ("/shell/windows/0/solar_transmittance", 0.7, ["/shell/windows/0/solar_transmittance"]),
    ("/shell/windows/0/covers", [COVER, COVER], ["/shell/windows/0/covers/1/position"]),
    ("/shell/windows/0/covers/0/solar_reflectance", 0.95, [
        "/shell/windows/0/covers/0/solar_reflectance",
    ]),
    # awnings
    ("/awnings", [{"side": "left", "depth_m": 2, "length_m": 2, "height_m": 2}], [
        "/shell/panels/0/extent", "/shell/windows/0/extent",
    ]),
    ("/awnings", [{"side": "rear", "depth_m": 2, "length_m": 2, "height_m": 2}], [
        "/awnings/0/side",
    ]),
    ("/awnings", [{"depth_m": 2, "length_m": 2, "height_m": 2}], ["/awnings/0/side"]),
    ("/awnings", [{
        "side": "left", "depth_m": 2, "length_m": 2, "height_m": 2,
        "left_curtain_drop_m": 2.01, "right_curtain_drop_m": -0.1,
    }], [
        "/awnings/0/left_curtain_drop_m", "/awnings/0/right_curtain_drop_m",
        "/shell/panels/0/extent", "/shell/windows/0/extent",
    ]),
    ("/shell/panels/0/extent", {"width_m": 2, "height_m": 2}, ["/shell/panels/0/area_m2"]),
    # cooler
    ("/cooler/stages/1/cooling_w", 1000, ["/cooler/stages/1/cooling_w"]),
    ("/cooler/stages/1/power_w", 300, ["/cooler/stages/1/power_w"]),
    ("/cooler/fan_power_w", 331, ["/cooler/stages/0/power_w"]),
    ("/cooler/stages/1/name", "low", ["/cooler/stages/1/name"]),
    ("/cooler/rating", "ISO 5151 T2", ["/cooler/rating"]),
    ("/cooler/rating", {"outdoor_c": 35}, [
        "/cooler/rating/inside_c", "/cooler/rating/inside_wet_bulb_c", "/cooler/rating/pressure_pa",
    ]),
    ("/cooler/rating", {
        "outdoor_c": 35, "inside_c": 19, "inside_wet_bulb_c": 20, "pressure_pa": 101325,
    }, ["/cooler/rating/inside_wet_bulb_c"]),
    ("/cooler/performance_map", GRID[:3], ["/cooler/performance_map"]),
    ("/cooler/performance_map", [*GRID, GRID[0]], ["/cooler/performance_map/4"]),
    ("/cooler/performance_map", [{**GRID[0], "power_ratio": 0}], [
        "/cooler/performance_map/0/power_ratio",
    ]),
    ("/cooler/supply", {"path": "mains"}, ["/cooler/supply/path"]),
    # electricity
    ("/battery/charge_temperature_c", [45, 0], ["/battery/charge_temperature_c"]),
    ("/battery/charge_temperature_c", [0], ["/battery/charge_temperature_c"]),
    ("/battery/recovery_fraction", 0.95, ["/battery/recovery_fraction"]),
    ("/arrays/0/controller", "mpt", ["/arrays/0/controller"]),
    ("/arrays/1/name", "top", ["/arrays/1/name"]),
    ("/arrays/1/aims", [], ["/arrays/1/aims"]),
    ("/arrays/1/tilt_deg", 5, ["/arrays/1/tilt_deg"]),
    ("/arrays/0/aims", RIG["arrays"][1]["aims"], ["/arrays/0/aims"]),
    # A whole with a fault of its own keeps it beside the faults of its parts.
    ("/arrays/0/aims", [*RIG["arrays"][1]["aims"], *RIG["arrays"][1]["aims"]], [
        "/arrays/0/aims", "/arrays/0/aims/1/from",
    ]),
    ("/arrays/1/aims", [*RIG["arrays"][1]["aims"], *RIG["arrays"][1]["aims"]], [
        "/arrays/1/aims/1/from",
    ]),
    ("/arrays/0/shades_panel", "roof", ["/arrays/0/area_m2"]),
    ("/loads/0/hours/0/to", "20:00", ["/loads/0/hours/0/to"]),
    ("/loads/0/hours/0/from", "24:00", ["/loads/0/hours/0/from"]),
    ("/loads/0/hours/0/from", "8:00", ["/loads/0/hours/0/from"]),
    ("/loads/0/hours/0/from", 20, ["/loads/0/hours/0/from"]),
    ("/loads/0/hours/0/to", "24:30", ["/loads/0/hours/0/to"]),
    ("/loads/0/hours", [], ["/loads/0/hours"]),
    # notes
    ("/notes", {"/nowhere": "why", "/name": "", "name": "why"}, [
        "/notes/~1name", "/notes/~1nowhere", "/notes/name",
    ]),
    ("/notes", [], ["/notes"]),
]  # fmt: skip


@pytest.mark.parametrize(("where", "value", "pointers"), BROKEN_RIGS)
def test_a_broken_rig_is_told_where(where: str, value: Any, pointers: list[str]) -> None:
    document = changed(RIG, (where, value))
    assert [fault.path for fault in faults_of_rig(document)] == pointers


@pytest.mark.parametrize(
    ("where", "pointer"),
    [
        ("/name", "/name"),
        ("/shell", "/shell"),
        ("/shell/volume_m3", "/shell/volume_m3"),
        ("/shell/panels", "/shell/panels"),
        ("/shell/panels/0/area_m2", "/shell/panels/0/area_m2"),
        ("/shell/panels/0/face", "/shell/panels/0/face"),
        ("/shell/panels/2/tilt_deg", "/shell/panels/2/tilt_deg"),
        ("/shell/panels/0/layers", "/shell/panels/0/layers"),
        ("/shell/panels/1/u_value_w_m2k", "/shell/panels/1/u_value_w_m2k"),
        ("/shell/panels/1/heat_capacity_kj_m2k", "/shell/panels/1/heat_capacity_kj_m2k"),
        ("/cooler/stages", "/cooler/stages"),
        ("/battery/usable_energy_wh", "/battery/usable_energy_wh"),
    ],
)
def test_what_is_needed_is_asked_for(where: str, pointer: str) -> None:
    faults = faults_of_rig(without(RIG, where))
    assert [fault.path for fault in faults] == [pointer]
    assert faults[0].message.startswith("required field is missing")


BOXED = changed(without(RIG, "/shell/panels"), ("/shell/box", BOX))


@pytest.mark.parametrize(
    ("where", "value", "pointer"),
    [
        ("/shell/volume_m3", 12.1, "/shell/volume_m3"),
        ("/shell/windows/0/area_m2", 6, "/shell/windows/0/area_m2"),
        ("/shell/box/height_m", "2", "/shell/box/height_m"),
        ("/shell/box/roof", {}, "/shell/box/roof/layers"),
        ("/shell/box/floor", {"u_value_w_m2k": 1}, "/shell/box/floor/heat_capacity_kj_m2k"),
    ],
)
def test_a_broken_box_is_told_where(where: str, value: Any, pointer: str) -> None:
    faults = faults_of_rig(changed(BOXED, (where, value)))
    assert [fault.path for fault in faults] == [pointer]


def test_a_window_of_a_box_must_lie_on_a_face() -> None:
    sloped = changed(
        without(BOXED, "/shell/windows/0/face"),
        ("/shell/windows/0/tilt_deg", 60),
        ("/shell/windows/0/azimuth_from_front_deg", 0),
    )
    assert [fault.path for fault in faults_of_rig(sloped)] == ["/shell/windows/0/face"]


BROKEN_PROJECTIONS = [
    ("/place/latitude", 91, "/place/latitude"),
    ("/place/longitude", -181, "/place/longitude"),
    ("/place/elevation_m", 9001, "/place/elevation_m"),
    ("/place/timezone", "Mars/Olympus", "/place/timezone"),
    ("/place/timezone", None, "/place/timezone"),
    ("/place/timezone", "America", "/place/timezone"),
    ("/place/timezone", "../UTC", "/place/timezone"),
    ("/place/terrain", "sea", "/place/terrain"),
    (
        "/place/shade",
        [{"from": "09:00", "to": "09:00", "beam_blocked": 1, "diffuse_blocked": 0}],
        "/place/shade/0/to",
    ),
    (
        "/place/horizon",
        [{"azimuth_deg": 90, "elevation_deg": 3}, {"azimuth_deg": 90, "elevation_deg": 4}],
        "/place/horizon/1/azimuth_deg",
    ),
    (
        "/place/horizon",
        [{"azimuth_deg": 0, "elevation_deg": 3}, {"azimuth_deg": 360, "elevation_deg": 4}],
        "/place/horizon/1/azimuth_deg",
    ),
    ("/operation/policy", "full", "/operation/policy"),
    ("/operation/cooling_window", {"from": "00:00", "to": "00:00"}, "/operation/cooling_window/to"),
    ("/operation/spans", [{"from": "09:00", "to": "10:00"}], "/operation/spans/0"),
    ("/operation/heating_set_point_c", 25, "/operation/heating_set_point_c"),
    (
        "/operation/spans",
        [{"from": "22:00", "to": "06:00", "heating_set_point_c": 25}],
        "/operation/spans/0/heating_set_point_c",
    ),
    ("/start/cabin_temperature_c", "warm", "/start/cabin_temperature_c"),
    ("/start/cabin_temperature_c", 90, "/start/cabin_temperature_c"),
    ("/start/state_of_charge", 45, "/start/state_of_charge"),
    ("/start/spin_up_days", 3, "/start/spin_up_days"),
    ("/comfort/measure", "wet", "/comfort/measure"),
    ("/comfort/limit", 2, "/comfort/limit"),
    ("/weather", {}, "/weather"),
    ("/weather/typical_year/from", "02-29", "/weather/typical_year/from"),
    ("/weather/typical_year/from", "04-31", "/weather/typical_year/from"),
    ("/weather/typical_year/from", "7-1", "/weather/typical_year/from"),
    ("/weather/typical_year/days", 367, "/weather/typical_year/days"),
]


@pytest.mark.parametrize(("where", "value", "pointer"), BROKEN_PROJECTIONS)
def test_a_broken_projection_is_told_where(where: str, value: Any, pointer: str) -> None:
    faults = faults_of_projection(changed(PROJECTION, (where, value)))
    assert [fault.path for fault in faults] == [pointer]


HINTS = [
    ("/operation/set_point_c", 72, "degF"),
    ("/comfort/limit", 80, "degF"),
    ("/rig/battery/usable_energy_wh", 5, "kWh"),
    ("/rig/cooler/stages/0/cooling_w", 0.9, "kW"),
    ("/rig/shell/panels/0/area_m2", 2000, "square feet"),
    ("/rig/shell/panels/0/layers/0/thickness_m", 40, "mm"),
    ("/rig/shell/volume_m3", 12000, "litres"),
    ("/start/state_of_charge", 45, "percent"),
    ("/place/latitude", -104.9, "swapped"),
    ("/place/elevation_m", 9500, "feet"),
]


@pytest.mark.parametrize(("where", "value", "word"), HINTS)
def test_a_likely_mix_up_of_units_is_named(where: str, value: float, word: str) -> None:
    faults = faults_of_projection(changed(PROJECTION, (where, value)))
    (fault,) = (fault for fault in faults if fault.path == where)
    assert word in (fault.hint or "")
    assert fault.value == value
    assert "<= value <=" in (fault.bound or "")


def test_a_misspelt_field_is_recognised() -> None:
    (fault,) = faults_of_rig(changed(RIG, ("/shell/panels/0/are_m2", 1)))
    assert fault.hint == "did you mean area_m2?"


def test_a_fieldname_is_escaped_in_its_pointer() -> None:
    (fault,) = faults_of_rig({**RIG, "a/b~c": 1})
    assert fault.path == "/a~1b~0c"


def test_many_faults_are_told_at_once_in_the_order_of_the_paths() -> None:
    broken = changed(
        PROJECTION,
        ("/place/latitude", -104.9),
        ("/operation/set_point_c", 72),
        ("/rig/battery/usable_energy_wh", 5),
        ("/rig/shell/panels/2/area_m2", "6"),
        ("/rig/shell/panels/1/name", "left"),
        ("/rig/arrays/0/controller", "x"),
        ("/rig/cooler/stages/1/cooling_w", 900),
        ("/comfort", {}),
    )
    assert [fault.path for fault in faults_of_projection(without(broken, "/start"))] == [
        "/comfort/limit",
        "/comfort/measure",
        "/operation/set_point_c",
        "/place/latitude",
        "/rig/arrays/0/controller",
        "/rig/battery/usable_energy_wh",
        "/rig/cooler/stages/1/cooling_w",
        "/rig/shell/panels/1/name",
        "/rig/shell/panels/2/area_m2",
        "/start",
    ]


def test_a_rule_across_items_still_counts_right_after_a_faulty_item() -> None:
    broken = changed(RIG, ("/arrays/0", 7), ("/arrays/1/controller", "x"))
    paths = [fault.path for fault in faults_of_rig(broken)]
    assert paths == ["/arrays/0", "/arrays/1/controller"]


def test_a_map_with_a_hole_names_the_hole() -> None:
    (fault,) = faults_of_rig(changed(RIG, ("/cooler/performance_map", GRID[:3])))
    assert "40/20" in fault.message


@pytest.mark.parametrize("document", [None, [], "rig", 3, True])
def test_a_document_that_is_no_object_is_told_so(document: Any) -> None:
    for load in (load_rig, load_projection):
        with pytest.raises(DocumentError) as caught:
            load(document)
        assert [fault.path for fault in caught.value.faults] == [""]


def test_numbers_that_json_should_not_have_are_refused() -> None:
    text = json.dumps(RIG).replace('"usable_energy_wh": 5000', '"usable_energy_wh": NaN')
    assert [fault.path for fault in faults_of_rig(json.loads(text))] == [
        "/battery/usable_energy_wh"
    ]


def test_pointers_begin_where_the_rig_stands() -> None:
    with pytest.raises(DocumentError) as caught:
        load_rig(changed(RIG, ("/name", "")), ("rigs", 1))
    assert [fault.path for fault in caught.value.faults] == ["/rigs/1/name"]
