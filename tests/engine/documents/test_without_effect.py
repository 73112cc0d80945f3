"""A setting that a rig cannot follow is reported, at its pointer; one that it can is not."""

import json
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from noonhold.documents import load_projection, load_rig, load_scenario
from noonhold.documents.calibration_document import CalibrationSchema
from noonhold.documents.merge_patch import merge_patch
from noonhold.documents.without_effect import without_effect
from noonhold.rig import Policy
from tests.engine.document_samples import RIG

SPAN = {"from": "10:00", "to": "12:00"}
SCENARIO: dict[str, Any] = {
    "place": {"latitude": 35.0, "longitude": -110.0, "elevation_m": 1000.0},
    "operation": {"set_point_c": 25.0},
    "start": {"state_of_charge": 0.9},
    "comfort": {"measure": "operative", "limit": 27.0},
}
STAGES = [{"name": "low", "cooling_w": 700, "power_w": 250}]
COVER = {
    "position": "inside",
    "solar_transmittance": 0.1,
    "solar_reflectance": 0.6,
    "added_resistance_m2k_w": 0.1,
}


def bare_rig() -> dict[str, Any]:
    """Return a rig with as little as one can have: no cooler, heater, vents, covers, arrays."""
    rig = deepcopy(RIG)
    for name in ("cooler", "heater", "arrays", "controllers", "charging", "awnings", "notes"):
        rig.pop(name, None)
    rig["shell"].pop("vents", None)
    for window in rig["shell"].get("windows", ()):
        window.pop("covers", None)
    return rig


def reported(rig: dict[str, Any], patch: dict[str, Any]) -> dict[str, tuple[object, str]]:
    """Return what a scenario with a patch on it reports for a rig, by pointer."""
    document = merge_patch(SCENARIO, patch)
    plain = load_scenario(SCENARIO, load_rig(rig).value).assumptions
    loaded = load_scenario(document, load_rig(rig).value).assumptions
    before = {(each.path, each.reason) for each in plain}
    return {
        each.path: (each.value, each.reason)
        for each in loaded
        if (each.path, each.reason) not in before
    }


@pytest.mark.parametrize(
    ("name", "value", "word"),
    [
        ("set_point_c", 24.0, "no cooler"),
        ("policy", "low_only", "no cooler"),
        ("heating_set_point_c", 15.0, "no heater"),
        ("covers", "inside", "cover"),
        ("vents_open", True, "no vents"),
        ("deployed", False, "no set-out array and no awning"),
        ("shore", True, "no shore power"),
    ],
)
def test_a_span_for_a_part_that_the_rig_lacks(name: str, value: object, word: str) -> None:
    found = reported(bare_rig(), {"operation": {"spans": [SPAN, SPAN | {name: value}][1:]}})
    assert set(found) == {f"/operation/spans/0/{name}"}
    given, reason = found[f"/operation/spans/0/{name}"]
    assert given == value
    assert "no effect" in reason
    assert word in reason


def test_the_operation_itself_for_a_rig_without_cooler_and_heater() -> None:
    rig = load_rig(bare_rig()).value
    set_out = {"from": "09:00", "to": "17:00"}
    operation = {"policy": "low_only", "heating_set_point_c": 12.0, "set_out": set_out}
    loaded = load_scenario(merge_patch(SCENARIO, {"operation": operation}), rig)
    paths = {each.path for each in loaded.assumptions if "no effect" in each.reason}
    names = ("set_point_c", "policy", "heating_set_point_c", "set_out")
    assert paths == {f"/operation/{name}" for name in names}


def test_what_a_rig_has_is_not_reported() -> None:
    rig = bare_rig()
    stages = [*STAGES, {"name": "high", "cooling_w": 1500, "power_w": 600}]
    rig["cooler"] = {**RIG["cooler"], "stages": stages}
    rig["heater"] = {"heating_w": 500, "power_w": 500}
    rig["charging"] = {"shore_power_w": 500}
    rig["shell"]["vents"] = [{"name": "roof", "airflow_m3_h": 100, "fan_power_w": 5}]
    rig["shell"]["windows"][0]["covers"] = [COVER]
    aims = [{"from": "00:00", "tilt_deg": 30, "azimuth_deg": 180}]
    array = {"name": "out", "rated_power_w": 200, "mount": "open_stand"}
    rig["arrays"] = [{**array, "folding": True, "aims": aims}]
    span = SPAN | {
        "set_point_c": 24.0,
        "policy": "low_only",
        "heating_set_point_c": 15.0,
        "covers": "inside",
        "vents_open": True,
        "deployed": False,
        "shore": True,
        "occupants": 2,
        "driving_speed_km_h": 0.0,
    }
    found = reported(rig, {"operation": {"spans": [span], "sensible_w_per_occupant": 80}})
    assert not any("effect" in reason or "same" in reason for _, reason in found.values())


def test_a_cooler_of_one_stage_has_no_policies_of_stages() -> None:
    rig = bare_rig() | {"cooler": {**RIG["cooler"], "stages": STAGES}}
    found = reported(rig, {"operation": {"spans": [SPAN | {"policy": "high_only"}]}})
    assert "one stage" in found["/operation/spans/0/policy"][1]
    assert not reported(rig, {"operation": {"spans": [SPAN | {"policy": "off"}]}})


def test_a_cover_on_the_other_side() -> None:
    rig = bare_rig()
    rig["shell"]["windows"][0]["covers"] = [COVER]
    found = reported(rig, {"operation": {"spans": [SPAN | {"covers": "outside"}]}})
    assert found["/operation/spans/0/covers"][1].startswith("the same as open")
    assert not reported(rig, {"operation": {"spans": [SPAN | {"covers": "all"}]}})


def test_a_span_of_the_cooler_outside_the_cooling_window() -> None:
    rig = bare_rig() | {"cooler": RIG["cooler"]}
    window = {"cooling_window": {"from": "12:00", "to": "20:00"}}
    night = {"from": "20:00", "to": "12:00", "set_point_c": 22.0}
    found = reported(rig, {"operation": window | {"spans": [night]}})
    assert "outside the cooling window" in found["/operation/spans/0/set_point_c"][1]
    late = night | {"to": "12:01"}
    assert not reported(rig, {"operation": window | {"spans": [late]}}).keys() & {
        "/operation/spans/0/set_point_c"
    }


def test_occupants_and_their_figures_need_each_other() -> None:
    nobody = reported(bare_rig(), {"operation": {"latent_w_per_occupant": 50}})
    assert nobody["/operation/latent_w_per_occupant"] == (
        50.0,
        "has no effect: no span has occupants",
    )
    nothing = dict.fromkeys(
        ("fresh_air_m3_h_per_occupant", "sensible_w_per_occupant", "latent_w_per_occupant"), 0
    )
    found = reported(bare_rig(), {"operation": nothing | {"spans": [SPAN | {"occupants": 2}]}})
    assert set(found) == {"/operation/spans/0/occupants"}


def test_figures_of_the_predicted_mean_vote_for_another_measure() -> None:
    found = reported(bare_rig(), {"comfort": {"clothing_clo": 0.7}})
    assert found["/comfort/clothing_clo"][0] == 0.7
    votes = {"comfort": {"measure": "pmv", "limit": 0.5, "clothing_clo": 0.7}}
    assert "/comfort/clothing_clo" not in reported(bare_rig(), votes)


def test_shade_on_arrays_that_there_are_none_of() -> None:
    shade = {**SPAN, "beam_blocked": 1, "diffuse_blocked": 0.5, "applies_to": ["cabin", "arrays"]}
    found = reported(bare_rig(), {"place": {"shade": [shade]}})
    assert found["/place/shade/0/applies_to/1"][0] == "arrays"


def test_parts_of_a_rig_that_nothing_uses() -> None:
    rig = bare_rig() | {
        "controllers": [{"name": "spare", "max_power_w": 500}],
        "loads": [
            {"name": "lamp", "power_w": 5, "heat_to_cabin_fraction": 0, "radiant_fraction": 0.5}
        ],
    }
    found = {each.path: each.reason for each in load_rig(rig, ("rig",)).assumptions}
    assert "no array feeds it" in found["/rig/controllers/0/name"]
    assert "none of this load's power" in found["/rig/loads/0/radiant_fraction"]


def test_events_of_a_log_are_settings_too() -> None:
    data = {"log": {"events": [{"at": "2024-07-01T12:00Z", "policy": Policy.OFF}]}}
    found = without_effect(load_rig(bare_rig()).value, data, {"log": {}})
    assert [each.path for each in found] == ["/log/events/0/policy"]
    assert "events" in CalibrationSchema().fields["log"].schema.fields  # type: ignore[attr-defined]


def test_a_projection_reports_it(checkout: Path) -> None:
    document = json.loads((checkout / "openapi" / "examples" / "hot_day.request.json").read_text())
    document = merge_patch(document, {"rig": bare_rig(), "operation": {"heating_set_point_c": 9}})
    loaded = load_projection(document)
    assert "/operation/heating_set_point_c" in {each.path for each in loaded.assumptions}
