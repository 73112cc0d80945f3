import math
from typing import Any

import pytest

from noonhold.documents import Assumption, dump_rig, load_rig
from noonhold.errors import DocumentError
from noonhold.rig import Exposure, FixedCoefficients, Panel, RatingPoint, Supply
from tests.engine.document_samples import RIG, changed, without

BOX: dict[str, Any] = {
    "length_m": 3,
    "width_m": 2,
    "height_m": 1.8,
    "walls": {"layers": [{"material": "xps", "thickness_m": 0.04}], "solar_absorptance": 0.3},
    "roof": {"u_value_w_m2k": 0.6, "heat_capacity_kj_m2k": 8},
    "floor": {"u_value_w_m2k": 0.8, "heat_capacity_kj_m2k": 12},
}
BOXED = changed(without(RIG, "/shell/panels", "/shell/volume_m3"), ("/shell/box", BOX))


def assumed(document: dict[str, Any], path: str) -> list[Assumption]:
    return [a for a in load_rig(document).assumptions if a.path == path]


def test_faces_become_angles() -> None:
    shell = load_rig(RIG).value.shell
    assert [(p.tilt_deg, p.azimuth_from_front_deg) for p in shell.panels] == [
        (90.0, 270.0),
        (90.0, 90.0),
        (0.0, 0.0),
    ]
    assert (shell.windows[0].tilt_deg, shell.windows[0].azimuth_from_front_deg) == (90.0, 270.0)


def test_a_material_stands_for_its_values_and_says_so() -> None:
    layer = load_rig(RIG).value.shell.panels[0].layers[0]
    # EN ISO 13164 class of extruded polystyrene, common data-sheet value, from memory
    assert (layer.conductivity_w_mk, layer.density_kg_m3) == (0.034, 33.0)
    (line,) = assumed(RIG, "/shell/panels/0/layers/0/material")
    assert line.value == "xps"
    assert "0.034" in line.reason


def test_own_values_overrule_the_table_of_materials() -> None:
    own = changed(RIG, ("/shell/panels/0/layers/0/conductivity_w_mk", 0.029))
    layer = load_rig(own).value.shell.panels[0].layers[0]
    assert (layer.conductivity_w_mk, layer.density_kg_m3) == (0.029, 33.0)


def test_a_bare_resistance_is_a_layer_without_capacity() -> None:
    layer = load_rig(RIG).value.shell.panels[2].layers[0]
    assert layer.resistance_m2k_w == 1.5
    assert layer.capacity_j_m2k == 0.0


def test_whole_numbers_are_numbers() -> None:
    assert load_rig(RIG).value.battery.usable_energy_wh == 5000.0
    assert type(load_rig(RIG).value.battery.usable_energy_wh) is float


def test_defaults_that_panels_share_take_one_line() -> None:
    lines = assumed(RIG, "/shell/panels/*/thermal_emittance")
    assert [line.value for line in lines] == [0.9]


def test_a_default_of_one_item_keeps_its_index() -> None:
    lines = assumed(
        changed(
            RIG,
            ("/shell/panels/0/thermal_emittance", 0.1),
            ("/shell/panels/2/thermal_emittance", 0.1),
        ),
        "/shell/panels/1/thermal_emittance",
    )
    assert [line.value for line in lines] == [0.9]


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("/shell/contents_area_m2", 20.0),
        ("/shell/moisture_buffer_factor", 10.0),
        ("/shell/panels/*/exposed_to", "outdoors"),
        ("/battery/reserve_fraction", 0.1),
        ("/battery/charge_temperature_c", [0.0, 45.0]),
        ("/battery/max_charge_w", None),
        ("/cooler/degradation_coefficient", 0.25),
        ("/cooler/supply/path", "direct"),
        ("/cooler/supply/efficiency", 1.0),
        ("/cooler/performance_map", None),
        ("/charging/alternator_w", 0.0),
        ("/arrays/0/tilt_deg", 0.0),
        ("/arrays/1/controller", None),
        ("/standing_power_w", 0.0),
    ],
)
def test_every_default_is_told(path: str, value: object) -> None:
    (line,) = assumed(RIG, path)
    assert line.value == value
    assert line.reason


def test_a_rating_by_name_is_told_only_where_it_was_not_given() -> None:
    (line,) = assumed(RIG, "/cooler/rating")
    assert line.value == {
        "outdoor_c": 35.0,
        "inside_c": 27.0,
        "inside_wet_bulb_c": 19.0,
        "pressure_pa": 101325.0,
    }
    named = changed(RIG, ("/cooler/rating", "ISO 5151 T1"))
    assert assumed(named, "/cooler/rating") == []


@pytest.mark.parametrize(
    ("name", "point"),
    [
        # ISO 5151 T1 and T3, AHRI 210/240: from memory
        ("ISO 5151 T1", RatingPoint(35.0, 27.0, 19.0, 101325.0)),
        ("ISO 5151 T3", RatingPoint(46.0, 29.0, 19.0, 101325.0)),
        ("AHRI 210/240", RatingPoint(35.0, 26.7, 19.4, 101325.0)),
    ],
)
def test_ratings_by_name(name: str, point: RatingPoint) -> None:
    cooler = load_rig(changed(RIG, ("/cooler/rating", name))).value.cooler
    assert cooler is not None
    assert cooler.rating == point


def test_an_inverter_loses_unless_its_values_are_given() -> None:
    path = changed(RIG, ("/cooler/supply", {"path": "inverter"}))
    cooler = load_rig(path).value.cooler
    assert cooler is not None
    assert cooler.supply == Supply(0.9, 15.0, True)
    assert len(assumed(path, "/cooler/supply/idle_power_w")) == 1


def test_a_map_is_a_grid_whatever_the_order_of_its_points() -> None:
    points = [
        {"outdoor_c": o, "wet_bulb_c": w, "capacity_ratio": o / w, "power_ratio": w / o}
        for w in (20, 16, 18)
        for o in (40, 30)
    ]
    cooler = load_rig(changed(RIG, ("/cooler/performance_map", points))).value.cooler
    assert cooler is not None
    chart = cooler.performance_map
    assert chart is not None
    assert chart.outdoor_c == (30.0, 40.0)
    assert chart.wet_bulb_c == (16.0, 18.0, 20.0)
    assert chart.capacity_ratio[1][2] == 40.0 / 20.0
    assert chart.power_ratio[0][1] == 18.0 / 30.0


def test_a_limit_that_is_not_given_is_none() -> None:
    assert load_rig(RIG).value.battery.max_charge_w == math.inf


def test_a_set_out_array_keeps_its_aims() -> None:
    array = load_rig(RIG).value.arrays[1]
    assert array.folding
    assert [(aim.from_hour, aim.azimuth_deg) for aim in array.aims] == [(0.0, 180.0)]


def test_hours_of_the_clock_become_numbers() -> None:
    late = changed(RIG, ("/loads/0/hours/0", {"from": "22:30", "to": "06:15"}))
    assert load_rig(late).value.loads[0].hours == ((22.5, 6.25),)
    assert load_rig(RIG).value.loads[0].hours == ((20.0, 24.0),)


def test_a_box_becomes_six_panels_and_says_so() -> None:
    loaded = load_rig(BOXED)
    shell = loaded.value.shell
    assert [panel.name for panel in shell.panels] == [
        "front", "right", "rear", "left", "roof", "floor",
    ]  # fmt: skip
    areas = {panel.name: panel.area_m2 for panel in shell.panels}
    # 3 x 2 x 1.8 m with a window of 0.5 m2 on the left
    expected = {"front": 3.6, "right": 5.4, "rear": 3.6, "left": 4.9, "roof": 6.0, "floor": 6.0}
    assert areas == pytest.approx(expected)
    assert shell.volume_m3 == pytest.approx(10.8)
    by_name: dict[str, Panel] = {panel.name: panel for panel in shell.panels}
    assert by_name["floor"].exposed_to is Exposure.UNDERSIDE
    assert by_name["roof"].exposed_to is Exposure.OUTDOORS
    assert by_name["left"].solar_absorptance == 0.3
    assert by_name["left"].layers[0].conductivity_w_mk == 0.034
    assert by_name["roof"].u_value_w_m2k == 0.6
    assert by_name["roof"].coefficients == FixedCoefficients()
    told = {line.path: line for line in loaded.assumptions}
    assert told["/shell/volume_m3"].value == pytest.approx(10.8)
    assert [p["name"] for p in told["/shell/panels"].value] == list(by_name)  # type: ignore[attr-defined] # a list


def test_the_walls_of_a_box_have_the_extents_an_awning_needs() -> None:
    awning = {"side": "right", "depth_m": 2, "length_m": 3, "height_m": 1.8}
    rig = load_rig(changed(BOXED, ("/awnings", [awning]))).value
    right = next(panel for panel in rig.shell.panels if panel.name == "right")
    assert right.extent is not None
    assert (right.extent.width_m, right.extent.height_m) == (3.0, 1.8)
    assert rig.awnings[0].side_azimuth_from_front_deg == 90.0


def test_an_awning_has_no_curtains_but_those_it_is_given_and_none_longer_than_it_is_high() -> None:
    awning = {"side": "right", "depth_m": 2, "length_m": 3, "height_m": 1.8}
    curtained = {**awning, "left_curtain_drop_m": 1.8, "right_curtain_drop_m": 0.7}
    bare, other = (changed(BOXED, ("/awnings", [each])) for each in (awning, curtained))
    (cloth,) = load_rig(bare).value.awnings
    assert (cloth.left_curtain_drop_m, cloth.right_curtain_drop_m) == (0.0, 0.0)
    (line,) = assumed(bare, "/awnings/0/left_curtain_drop_m")
    assert (line.value, line.reason) == (0.0, "no curtain is given")
    rig = load_rig(other).value
    assert (rig.awnings[0].left_curtain_drop_m, rig.awnings[0].right_curtain_drop_m) == (1.8, 0.7)
    assert not assumed(other, "/awnings/0/left_curtain_drop_m")
    assert load_rig(dump_rig(rig)).value.awnings == rig.awnings
    with pytest.raises(DocumentError) as caught:
        load_rig(changed(other, ("/awnings/0/height_m", 1.7)))
    (fault,) = caught.value.faults
    assert fault.path == "/awnings/0/left_curtain_drop_m"
    assert (fault.value, fault.bound) == (1.8, "value <= 1.7 m")


def test_what_faces_the_ground_sees_the_underside() -> None:
    down = changed(RIG, ("/shell/panels/0/face", "floor"))
    assert load_rig(down).value.shell.panels[0].exposed_to is Exposure.UNDERSIDE


def test_notes_may_stand_at_any_field_and_change_nothing() -> None:
    noted = changed(RIG, ("/notes", {"/battery/usable_energy_wh": "why", "/arrays/0": "why"}))
    assert load_rig(noted).value == load_rig(RIG).value


def test_reading_leaves_the_document_as_it_was() -> None:
    before = changed(BOXED)
    load_rig(BOXED)
    assert before == BOXED
