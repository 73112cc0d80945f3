"""An area in square feet is reported, though it breaks no bound."""

import json
from pathlib import Path

import pytest

from noonhold.documents import load_projection, load_rig
from noonhold_service.description.request_examples import REQUESTS
from tests.engine.document_samples import changed

SQUARE_FEET = 10.7639  # in a square metre


@pytest.mark.parametrize("name", ["flatbed_cabin", "lined_panel_van", "plywood_teardrop"])
def test_a_panel_in_square_feet_is_told_and_the_samples_are_not(checkout: Path, name: str) -> None:
    document = json.loads((checkout / "sample_rigs" / f"{name}.json").read_text(encoding="utf-8"))
    assert not [each for each in load_rig(document).assumptions if "cube" in each.reason]
    areas = [panel["area_m2"] for panel in document["shell"]["panels"]]
    largest = areas.index(max(areas))
    pointer = f"/shell/panels/{largest}/area_m2"
    loaded = load_rig(changed(document, (pointer, SQUARE_FEET * areas[largest])))
    (told,) = [each for each in loaded.assumptions if "cube" in each.reason]
    assert told.path == pointer and "square feet" in told.reason
    asked = changed(
        REQUESTS["typical_day"].document,
        ("/rig", document),
        (f"/rig{pointer}", SQUARE_FEET * areas[largest]),
    )
    assumptions = load_projection(asked).assumptions
    assert [each.path for each in assumptions if "cube" in each.reason] == [f"/rig{pointer}"]
