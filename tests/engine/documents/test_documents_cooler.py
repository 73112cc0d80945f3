"""What a cooler's, a load's, an array's and a battery's document say of their newer parts."""

from typing import Any

import pytest

from noonhold.documents import load_rig
from noonhold.errors import DocumentError
from noonhold.rig import CondenserInstallation, Modulation
from tests.engine.document_samples import RIG, changed


def cooler(**fields: Any) -> dict[str, Any]:
    one = [{"name": "on", "cooling_w": 2000, "power_w": 700}]
    part = {**RIG["cooler"], "stages": one, **fields}
    return {**RIG, "cooler": part}


def assumed(document: dict[str, Any]) -> dict[str, str]:
    return {each.path: each.reason for each in load_rig(document).assumptions}


def faults(document: dict[str, Any]) -> list[str]:
    with pytest.raises(DocumentError) as caught:
        load_rig(document)
    return [fault.path for fault in caught.value.faults]


def test_a_nameplate_says_which_class_it_was_taken_for() -> None:
    fixed = assumed(cooler())["/cooler/performance_map"]
    assert fixed.startswith("known by one rated point, taken for a fixed-speed compressor")
    variable = assumed(cooler(variable_speed=True))
    assert "taken for a variable-speed compressor" in variable["/cooler/performance_map"]
    assert "laboratory" in variable["/cooler/modulation"]
    assert "one rated point" not in assumed(RIG)["/cooler/performance_map"]


def test_a_modulation_makes_it_variable() -> None:
    loaded = load_rig(cooler(modulation={"least_fraction": 0.25})).value.cooler
    assert loaded is not None
    assert loaded.variable_speed
    assert loaded.modulation == Modulation(0.25)
    assert assumed(cooler(modulation={}))["/cooler/variable_speed"] == "it modulates"


def test_the_rise_is_a_number_or_follows_the_installation() -> None:
    assert assumed(cooler())["/cooler/condenser_air_rise_k"]
    enclosed = cooler(condenser_installation="enclosed")
    loaded = load_rig(enclosed).value.cooler
    assert loaded is not None
    assert loaded.condenser_installation is CondenserInstallation.ENCLOSED
    assert "/cooler/condenser_air_rise_k" not in assumed(enclosed)
    assert "12 K" in assumed(enclosed)["/cooler/condenser_airflow_m3_h"]


POINTS = [{"cooling_fraction": 0.6, "efficiency_ratio": 1.3}] * 2


@pytest.mark.parametrize(
    ("document", "paths"),
    [
        (cooler(variable_speed=False, modulation={}), ["/cooler/modulation"]),
        (
            cooler(modulation={"part_load": POINTS}),
            ["/cooler/modulation/part_load/1/cooling_fraction"],
        ),
        (
            cooler(stages=RIG["cooler"]["stages"], modulation={"part_load": POINTS[:1]}),
            ["/cooler/modulation/part_load"],
        ),
        (
            cooler(condenser_installation="free", condenser_air_rise_k=3),
            ["/cooler/condenser_air_rise_k"],
        ),
        (cooler(condenser_airflow_m3_h=600), ["/cooler/condenser_airflow_m3_h"]),
        (cooler(ducts={"loss_fraction": 10}), ["/cooler/ducts/loss_fraction"]),
        (
            changed(RIG, ("/battery/taper_from_fraction", 0.8)),
            ["/battery/taper_from_fraction"],
        ),
        (
            changed(RIG, ("/battery/by_temperature", [{"temperature_c": 5}] * 2)),
            ["/battery/by_temperature/1/temperature_c"],
        ),
        (
            changed(RIG, ("/loads/0/thermostatic", {"inside_c": 30})),
            ["/loads/0/thermostatic/inside_c"],
        ),
        (changed(RIG, ("/arrays/0/width_m", 1.0)), ["/arrays/0/width_m"]),
        (
            changed(
                RIG,
                (
                    "/arrays/0/obstacles",
                    [
                        {
                            "name": "hood", "right_m": 1, "front_m": 0, "width_m": 0.3,
                            "length_m": 0.4, "height_m": 0.3,
                        }
                    ],
                ),
            ),
            ["/arrays/0/length_m", "/arrays/0/width_m"],
        ),
    ],
)  # fmt: skip
def test_what_does_not_go_together_is_told(document: dict[str, Any], paths: list[str]) -> None:
    assert faults(document) == paths
