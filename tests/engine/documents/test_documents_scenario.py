from typing import Any

import pytest

from noonhold.documents import (
    Loaded,
    ProjectionSchema,
    load_comfort,
    load_operation,
    load_place,
    load_projection,
    load_rig,
    load_start,
)
from noonhold.errors import DocumentError
from noonhold.rig import Policy, Rig
from noonhold.scenario import Setting, Start
from tests.engine.document_samples import (
    COMFORT,
    OPERATION,
    PLACE,
    PROJECTION,
    RIG,
    START,
    changed,
    without,
)


def paths(loaded: Loaded[Any]) -> set[str]:
    return {line.path for line in loaded.assumptions}


def test_a_place_tells_its_defaults() -> None:
    assert paths(load_place(PLACE)) == {
        "/timezone",
        "/heading_deg",
        "/ground",
        "/ground_albedo",
        "/ground_emittance",
        "/ground_thermal_inertia_j_m2ks05",
        "/terrain",
    }


def test_shade_without_a_target_falls_on_everything() -> None:
    shade = {"from": "13:00", "to": "24:00", "beam_blocked": 1, "diffuse_blocked": 0.5}
    loaded = load_place({**PLACE, "shade": [shade]})
    assert loaded.value.shade[0].applies_to == ("cabin", "arrays")
    assert loaded.value.shade[0].to_hour == 24.0
    assert "/shade/0/applies_to" in paths(loaded)


def test_an_operation_tells_its_defaults() -> None:
    loaded = load_operation(OPERATION, ("operation",))
    assert loaded.value.cooling_window == (0.0, 24.0)
    assert paths(loaded) == {
        "/operation/policy",
        "/operation/cooling_window",
        "/operation/set_out",
        "/operation/fresh_air_m3_h_per_occupant",
        "/operation/sensible_w_per_occupant",
        "/operation/latent_w_per_occupant",
    }


def test_a_span_holds_only_what_it_changes() -> None:
    spans = [{"from": "22:00", "to": "06:00", "policy": "low_only", "occupants": 2}]
    (span,) = load_operation({**OPERATION, "spans": spans}).value.spans
    assert (span.from_hour, span.to_hour) == (22.0, 6.0)
    assert span.setting == Setting(policy=Policy.LOW_ONLY, occupants=2.0)


def test_heating_and_cooling_may_share_a_set_point_but_never_cross() -> None:
    same = {"set_point_c": 20, "heating_set_point_c": 20}
    assert load_operation(same).value.heating_set_point_c == 20.0
    night = {"from": "22:00", "to": "06:00", "heating_set_point_c": 25}
    mended = {"from": "20:00", "to": "08:00", "set_point_c": 26}
    for spans in ([night, mended], [mended, night]):
        assert len(load_operation({**OPERATION, "spans": spans}).value.spans) == 2
    with pytest.raises(DocumentError) as caught:
        load_operation({**OPERATION, "spans": [night, {**mended, "from": "23:00"}]})
    assert [f.path for f in caught.value.faults] == ["/spans/0/heating_set_point_c"]


@pytest.mark.parametrize(
    ("document", "start"),
    [
        (START, Start(0.9)),
        ({**START, "cabin_temperature_c": "outdoor"}, Start(0.9)),
        ({**START, "cabin_temperature_c": 31}, Start(0.9, 31.0)),
        ({**START, "cabin_temperature_c": "settled"}, Start(0.9, None, 3)),
        ({**START, "cabin_temperature_c": "settled", "spin_up_days": 7}, Start(0.9, None, 7)),
    ],
)
def test_starts(document: dict[str, Any], start: Start) -> None:
    assert load_start(document).value == start


def test_a_start_tells_what_it_chose() -> None:
    assert paths(load_start(START)) == {"/cabin_temperature_c"}
    settled = load_start({**START, "cabin_temperature_c": "settled"})
    assert paths(settled) == {"/spin_up_days"}


def test_pmv_has_its_own_scale() -> None:
    assert load_comfort({"measure": "pmv", "limit": 0.5}).value.limit == 0.5
    with pytest.raises(DocumentError):
        load_comfort({"measure": "pmv", "limit": 26})
    assert load_comfort(COMFORT).value.limit == 26.0


def test_a_projection_gathers_its_parts_and_their_assumptions() -> None:
    loaded = load_projection(PROJECTION)
    assert loaded.value.rig == load_rig(RIG).value
    assert loaded.value.scenario.start == Start(0.9)
    told = paths(loaded)
    assert told >= paths(load_rig(RIG, ("rig",)))
    assert "/weather/typical_year/max_distance_km" in told
    assert "/comfort/required_fraction" in told
    assert not {p for p in told if p.split("/")[1] not in ProjectionSchema().fields}


def held(identifier: str) -> Loaded[Rig] | None:
    return load_rig(RIG, ("rig",)) if identifier == "sample" else None


def test_a_rig_can_be_named_where_something_holds_it() -> None:
    named = load_projection({**PROJECTION, "rig": "sample"}, held)
    assert named == load_projection(PROJECTION)


@pytest.mark.parametrize("resolver", [held, None])
def test_a_rig_that_nobody_holds_is_told_beside_all_other_faults(resolver: Any) -> None:
    document = changed(PROJECTION, ("/rig", "other"), ("/place/latitude", 99))
    with pytest.raises(DocumentError) as caught:
        load_projection(without(document, "/start"), resolver)
    assert {f.path for f in caught.value.faults} == {"/place/latitude", "/rig", "/start"}


@pytest.mark.parametrize("rig", [RIG, "sample"])
def test_shade_may_fall_only_on_arrays_of_the_rig(rig: Any) -> None:
    shade = {
        "from": "09:00",
        "to": "12:00",
        "beam_blocked": 1,
        "diffuse_blocked": 0,
        "applies_to": ["top", "cabin", "topp"],
    }
    document = changed(PROJECTION, ("/rig", rig), ("/place/shade", [shade]))
    with pytest.raises(DocumentError) as caught:
        load_projection(document, held)
    (fault,) = caught.value.faults
    assert fault.path == "/place/shade/0/applies_to/2"
    assert "topp" not in (fault.bound or "")
    assert "out" in (fault.bound or "")
