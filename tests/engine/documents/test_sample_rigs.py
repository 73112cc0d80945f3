"""The bundled rigs: read without a fault, plausible by hand, every value with a reason."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from noonhold.documents import load_rig
from noonhold.rig import Panel, Rig

STEMS = ("flatbed_cabin", "lined_panel_van", "plywood_teardrop")


@pytest.fixture(params=STEMS)
def document(request: pytest.FixtureRequest, checkout: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(
        (checkout / "sample_rigs" / f"{request.param}.json").read_text()
    )
    return found


def rig_of(checkout: Path, stem: str) -> Rig:
    return load_rig(json.loads((checkout / "sample_rigs" / f"{stem}.json").read_text())).value


def leaves(node: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield the pointer and value of everything that is neither object nor list."""
    items = node.items() if isinstance(node, dict) else enumerate(node)
    for key, value in items:
        if isinstance(value, (dict, list)):
            yield from leaves(value, f"{path}/{key}")
        else:
            yield f"{path}/{key}", value


def u_value(panel: Panel) -> float:
    """ISO 6946: films 0.13 inside and 0.04 outside, horizontal heat flow."""
    if panel.u_value_w_m2k is not None:
        return panel.u_value_w_m2k
    return 1.0 / (0.17 + sum(layer.resistance_m2k_w for layer in panel.layers))


def test_every_file_is_known(checkout: Path) -> None:
    assert sorted(path.stem for path in (checkout / "sample_rigs").glob("*.json")) == sorted(STEMS)


def test_it_reads_without_a_fault(document: dict[str, Any]) -> None:
    assert load_rig(document).value.name == document["name"]


def test_every_value_has_a_reason(document: dict[str, Any]) -> None:
    notes = document["notes"]
    for pointer, _ in leaves({key: part for key, part in document.items() if key != "notes"}):
        parts = pointer.split("/")
        covers = {"/".join(parts[:length]) for length in range(2, len(parts) + 1)}
        assert covers & notes.keys(), pointer


def test_the_readme_repeats_every_reason(document: dict[str, Any], checkout: Path) -> None:
    readme = (checkout / "sample_rigs" / "README.md").read_text()
    chapter = readme.split(f"## {document['name']} ")[1].split("\n## ")[0]
    rows = [line for line in chapter.splitlines() if line.startswith("| `")]
    assert rows == [f"| `{pointer}` | {reason} |" for pointer, reason in document["notes"].items()]


def test_the_flatbed_cabin_is_what_its_name_says(checkout: Path) -> None:
    rig = rig_of(checkout, "flatbed_cabin")
    assert (len(rig.shell.panels), len(rig.shell.windows), len(rig.arrays)) == (6, 4, 2)
    assert rig.shell.volume_m3 == 14.6
    assert rig.battery.usable_energy_wh == 6800.0
    assert [array.rated_power_w for array in rig.arrays] == [620.0, 280.0]
    # 50 mm of foam with battens, 0.036 W/mK, and two thin skins: by hand 1.39 + 0.04 + 0.17 m2K/W
    assert u_value(rig.shell.panels[0]) == pytest.approx(0.625, abs=0.01)


def test_no_sample_rig_sits_on_the_figures_of_the_field_day(
    document: dict[str, Any], checkout: Path
) -> None:
    field = json.loads((checkout / "tests/data/rigs/field_day_cabin.json").read_text())
    assert document["shell"]["volume_m3"] != field["shell"]["volume_m3"]
    assert document["battery"]["usable_energy_wh"] != field["battery"]["usable_energy_wh"]
    own = {each["rated_power_w"] for each in document["arrays"] if not each.get("folding")}
    theirs = {each["rated_power_w"] for each in field["arrays"]}
    assert not own & theirs


def test_the_teardrop_leaks_more_heat_an_area_than_the_flatbed_cabin(checkout: Path) -> None:
    flatbed = rig_of(checkout, "flatbed_cabin").shell.panels[0]
    van = rig_of(checkout, "lined_panel_van").shell.panels[0]
    teardrop = rig_of(checkout, "plywood_teardrop").shell.panels[0]
    assert u_value(flatbed) < u_value(teardrop) < u_value(van)


def test_no_window_is_larger_than_the_wall_around_it(document: dict[str, Any]) -> None:
    shell = load_rig(document).value.shell
    for window in shell.windows:
        around = [
            panel.area_m2
            for panel in shell.panels
            if panel.azimuth_from_front_deg == window.azimuth_from_front_deg
        ]
        assert window.area_m2 < sum(around)
