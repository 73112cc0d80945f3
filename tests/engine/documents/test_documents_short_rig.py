"""The short form of a rig: every field has its effect, every fault says what would be right."""

from typing import Any

import pytest

from noonhold.documents import dump_rig, load_projection, load_rig
from noonhold.documents.short_rig_document import expand_rig
from noonhold.documents.short_rig_rules import BUILD_UPS, COLOURS, GLASS
from noonhold.envelope.shell import u_value
from noonhold.errors import DocumentError
from noonhold.rig import Rig
from tests.engine.document_samples import changed, without

SHORT: dict[str, Any] = {
    "outer_size": {"length_m": 2.6, "width_m": 1.9, "height_m": 1.8},
    "walls": {"foam_mm": 50},
    "colour": "white",
    "windows": [{"face": "left", "width_m": 0.9, "height_m": 0.5}],
    "battery_kwh": 2.5,
    "roof_array_w": 300,
    "set_out_array_w": 200,
    "cooler": {"cooling_w": 1500, "power_w": 600},
}


def rig(*changes: tuple[str, Any]) -> Rig:
    return load_rig(changed(SHORT, *changes)).value


def faults(document: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(DocumentError) as caught:
        load_rig(document)
    return {each.path: str(each) for each in caught.value.faults}


def test_it_is_a_whole_rig_that_can_be_sent_again() -> None:
    whole, found = expand_rig(SHORT)
    assert found
    assert expand_rig(whole) == (whole, [])
    assert load_rig(whole).value == rig() == load_rig(dump_rig(rig())).value


def test_the_inside_is_the_outside_less_the_walls() -> None:
    # 50 mm of foam and two skins of 1.5 mm: 53 mm on either side
    inside = (2.6 - 0.106) * (1.9 - 0.106) * (1.8 - 0.106)
    assert rig().shell.volume_m3 == pytest.approx(inside, rel=1e-4)
    thick = rig(("/floor", {"foam_mm": 100}))
    assert thick.shell.volume_m3 == pytest.approx(inside * (1.694 - 0.05) / 1.694, rel=1e-4)


def test_foam_of_50_mm_by_hand() -> None:
    # ISO 6946: 0.13 + 0.04 of the surfaces, 0.0015/0.25 twice, 0.05/0.026 of the foam
    wall = next(each for each in rig().shell.panels if each.name == "left")
    assert u_value(wall) == pytest.approx(1.0 / (0.17 + 2 * 0.006 + 0.05 / 0.026), rel=1e-6)


@pytest.mark.parametrize("name", BUILD_UPS)
def test_more_of_a_build_up_insulates_more(name: str) -> None:
    thin, thick = (
        u_value(rig(("/walls", {name: t})).shell.panels[0])
        for t in (BUILD_UPS[name].typical_mm, 1.5 * BUILD_UPS[name].typical_mm)
    )
    assert thick < thin


def test_a_u_value_stands_for_any_other() -> None:
    assert u_value(rig(("/walls", {"u_value_w_m2k": 0.7})).shell.panels[0]) == pytest.approx(0.7)


@pytest.mark.parametrize("colour", COLOURS)
def test_the_colour_is_that_of_every_face(colour: str) -> None:
    found = {p.solar_absorptance for p in rig(("/colour", colour)).shell.panels}
    assert found == {COLOURS[colour]}


@pytest.mark.parametrize("kind", GLASS)
def test_the_glass_of_a_window(kind: str) -> None:
    (window,) = rig(("/windows/0/kind", kind)).shell.windows
    assert window.area_m2 == pytest.approx(0.45)
    assert window.u_value_w_m2k == GLASS[kind].u_value_w_m2k
    assert window.solar_heat_gain_coefficient == GLASS[kind].solar_heat_gain_coefficient


def test_battery_arrays_cooler_and_loads() -> None:
    made = rig(("/loads_w", 55), ("/alternator_w", 300), ("/name", "Mine"))
    assert made.name == "Mine"
    assert made.battery.usable_energy_wh == 2500.0
    assert [a.rated_power_w for a in made.arrays] == [300.0, 200.0]
    assert [a.folding for a in made.arrays] == [False, True]
    assert made.cooler is not None
    assert [(s.cooling_w, s.power_w) for s in made.cooler.stages] == [(1500.0, 600.0)]
    assert [load.power_w for load in made.loads] == [55.0]
    assert made.charging.alternator_w == 300.0
    assert rig(("/cooler/variable_speed", True)).cooler.variable_speed  # type: ignore[union-attr]
    bare = load_rig(without(SHORT, "/cooler", "/roof_array_w", "/set_out_array_w")).value
    assert bare.cooler is None and not bare.arrays


def test_what_it_leaves_out_is_told_with_its_reason_the_decisive_first() -> None:
    told = load_rig(without(SHORT, "/colour")).assumptions
    assert told[0].path == "/shell/box/roof/solar_absorptance" and told[0].value == 0.6
    assert "white is 0.25" in told[0].reason
    paths = {each.path: each.value for each in told}
    assert paths["/loads/0/power_w"] == 40.0
    assert paths["/shell/leakage/air_changes_per_hour"] == 0.7
    assert all(each.reason for each in told)


@pytest.mark.parametrize(
    ("pointer", "value", "said"),
    [
        ("/kwh", 3, "did you mean battery_kwh?"),
        ("/outer_size/length", 3, "did you mean length_m?"),
        ("/color", "white", "did you mean colour?"),
        ("/walls", {"foam_mm": 5000}, "300 mm, usually about 50"),
        ("/walls", {}, "exactly one"),
        ("/walls", {"foam_mm": 50, "bare_steel_mm": 1}, "exactly one"),
        ("/colour", "mauve", "one of white"),
        ("/battery_kwh", 2500, "200 kW h, usually about 2.5"),
        ("/windows/0", {"face": "front", "width_m": 2.5, "height_m": 1.5}, "larger than the face"),
        ("/outer_size/height_m", 0.5, "usually about 1.9"),
    ],
)
def test_a_fault_says_what_would_be_right(pointer: str, value: Any, said: str) -> None:
    found = faults(changed(SHORT, (pointer, value)))
    assert any(said in each for each in found.values()), found
    assert any(path.startswith(pointer) for path in found), found


def test_what_is_missing_is_told_with_unit_range_and_a_usual_value() -> None:
    found = faults(without(SHORT, "/battery_kwh", "/outer_size/width_m"))
    assert "0.025 <= value <= 200 kW h, usually about 2.5" in found["/battery_kwh"]
    assert "0.8 <= value <= 4 m, usually about 1.9" in found["/outer_size/width_m"]


def test_a_request_takes_it_and_tells_all_faults_at_once() -> None:
    request = {
        "rig": SHORT,
        "place": {"latitude": -34, "longitude": -120, "elevation_m": 100},
        "weather": {
            "hot_day": {"date": "2026-01-20", "high_c": 38, "low_c": 22, "dew_point_c": 10}
        },
        "operation": {"set_point_c": 24},
        "start": {"state_of_charge": 0.9},
        "comfort": {"measure": "operative", "limit": 27},
    }
    loaded = load_projection(request)
    assert loaded.value.rig == rig()
    paths = {each.path for each in loaded.assumptions}
    assert "/rig/shell/leakage/air_changes_per_hour" in paths
    broken = changed(request, ("/rig/kwh", 3), ("/place/lat", 3), ("/comfort/limit", 99))
    with pytest.raises(DocumentError) as caught:
        load_projection(broken)
    told = {each.path: each.hint for each in caught.value.faults}
    assert told["/rig/kwh"] == "did you mean battery_kwh?"
    assert told["/place/lat"] == "did you mean latitude?"
    assert "/comfort/limit" in told


def test_a_name_that_only_ends_alike_is_no_hint() -> None:
    whole, _ = expand_rig(SHORT)
    with pytest.raises(DocumentError) as caught:
        load_rig(changed(whole, ("/shell/height_m", 1.9)))
    assert [(each.path, each.hint) for each in caught.value.faults] == [("/shell/height_m", None)]


def test_no_panel_passes_more_than_the_air_films_alone() -> None:
    # 1 / (0.17 + 0.04) = 4.76 W/m2K of a floor by ISO 6946: above it no layer is left
    assert u_value(rig(("/walls", {"u_value_w_m2k": 4.7})).shell.panels[0]) == pytest.approx(4.7)
    whole = changed(
        expand_rig(SHORT)[0],
        ("/shell/box/floor", {"u_value_w_m2k": 5.9, "heat_capacity_kj_m2k": 10}),
    )
    assert "4.7" in faults(whole)["/shell/box/floor/u_value_w_m2k"]
