"""Whatever JSON comes in, the answer is a request or a list of faults, never another error."""

import json
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from noonhold.documents import dump_projection, load_projection
from noonhold.errors import DocumentError
from tests.engine.document_samples import PROJECTION, changed

AWNING = {"side": "left", "depth_m": 2, "length_m": 2, "height_m": 2}
POINT = {"outdoor_c": 35, "wet_bulb_c": 19, "capacity_ratio": 1, "power_ratio": 1}
PART = {"u_value_w_m2k": 1, "heat_capacity_kj_m2k": 10}
BOX = {"length_m": 3, "width_m": 2, "height_m": 2, "walls": PART, "roof": PART, "floor": PART}
SPAN = {"from": "09:00", "to": "17:00", "heating_set_point_c": 10}
SHADE = {"from": "09:00", "to": "17:00", "beam_blocked": 1, "diffuse_blocked": 1}
FULL = changed(
    PROJECTION,
    ("/rig/awnings", [AWNING]),
    ("/rig/shell/box", BOX),
    ("/rig/cooler/performance_map", [POINT]),
    ("/rig/cooler/rating", "ISO 5151 T1"),
    ("/rig/cooler/supply", {"path": "inverter"}),
    ("/rig/arrays/0/shades_panel", "roof"),
    ("/rig/arrays/0/area_m2", 2),
    ("/rig/shell/panels/0/extent", {"width_m": 3, "height_m": 2}),
    ("/rig/shell/windows/0/extent", {"width_m": 1, "height_m": 1}),
    ("/rig/notes", {"/name": "why"}),
    ("/operation/spans", [SPAN]),
    ("/place/shade", [SHADE]),
    ("/place/horizon", [{"azimuth_deg": 0, "elevation_deg": 2}]),
    ("/weather/hot_day", {"date": "2026-07-21", "high_c": 38, "low_c": 20, "dew_point_c": 8}),
    (
        "/weather/hourly",
        {"start": "2026-07-21T00:00:00Z", "columns": {"temp_air": [1], "ghi": [0]}},
    ),
)


def pointers(node: Any, path: str = "") -> Iterator[str]:
    """Yield the pointer of everything in a document."""
    items = node.items() if isinstance(node, dict) else enumerate(node)
    for key, value in items:
        yield f"{path}/{key}"
        if isinstance(value, (dict, list)):
            yield from pointers(value, f"{path}/{key}")


PLACES = sorted(pointers(FULL))
scalars = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=8),
    st.sampled_from(["left", "roof", "24:00", "lights", "direct", "xps", "02-29", "settled"]),
)
keys = st.sampled_from(["name", "from", "to", "layers", "box", "_schema", "", "a/b", "face"])
anything = st.recursive(
    scalars, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=3)
)


def told(document: Any) -> None:
    """Read a document; whatever is refused is refused in order, whatever is read can be written."""
    before = deepcopy(document)
    try:
        loaded = load_projection(document)
    except DocumentError as error:
        assert error.faults
        assert all(f.path == "" or f.path.startswith("/") for f in error.faults)
        assert all(f.message for f in error.faults)
    else:
        text = json.dumps(dump_projection(loaded.value), allow_nan=False)
        assert load_projection(json.loads(text)).value == loaded.value
    assert repr(document) == repr(before)


@given(st.lists(st.tuples(st.sampled_from(PLACES), anything), min_size=1, max_size=3))
@settings(max_examples=200)
@example([("/rig/shell/panels", [None])])
@example([("/rig/cooler/stages", [None, 3])])
@example([("/rig/arrays", [[]])])
def test_a_document_with_anything_anywhere(changes: list[tuple[str, Any]]) -> None:
    document = FULL
    for where, value in changes:
        try:
            document = changed(document, (where, value))
        except (KeyError, IndexError, TypeError, ValueError):
            continue  # an earlier change took the place away
    told(document)


@given(st.sampled_from(sorted(pointers(PROJECTION))), anything)
@settings(max_examples=120)
def test_a_valid_document_with_anything_in_one_place(where: str, value: Any) -> None:
    told(changed(PROJECTION, (where, value)))


@given(anything)
def test_anything(document: Any) -> None:
    told(document)
