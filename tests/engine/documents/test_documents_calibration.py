"""The request for a calibration: read whole, refused with pointers, answered with a patch."""

import json
from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from noonhold.documents import Loaded, load_rig
from noonhold.documents.calibration_document import (
    dump_calibration,
    load_calibration,
    patch_between,
    rig_patch,
)
from noonhold.documents.merge_patch import merge_patch
from noonhold.documents.rig_document import dump_rig
from noonhold.errors import DocumentError
from noonhold.rig import Policy, Rig
from noonhold.studies.calibration.calibration_study import Calibration, FitOptions, calibrate
from noonhold.studies.calibration.factors import applicable, scaled_rig
from noonhold.studies.calibration.log_unknowns import Learned
from tests.engine.document_samples import RIG, changed, without

STEMS = ("flatbed_cabin", "lined_panel_van", "plywood_teardrop")


@pytest.fixture(scope="module")
def resolver(checkout: Path) -> Callable[[str], Loaded[Rig] | None]:
    def resolve(name: str) -> Loaded[Rig] | None:
        path = checkout / "sample_rigs" / f"{name}.json"
        return load_rig(json.loads(path.read_text())) if path.exists() else None

    return resolve


@pytest.fixture(scope="module")
def document(checkout: Path) -> dict[str, Any]:
    path = checkout / "service/noonhold_service/description/calibration_request.json"
    found: dict[str, Any] = json.loads(path.read_text())
    return found


def test_the_example_is_read(document: dict[str, Any], resolver: Any) -> None:
    loaded = load_calibration(document, resolver)
    request = loaded.value
    assert request.setup.rig.name == "Plywood teardrop"
    assert len(request.log.times) == len(document["log"]["times"])
    assert request.log.utc_offset_h == -8.0
    assert str(request.log.times[0]) == "2026-01-21T02:15:00"
    assert request.log.events[0].setting.policy is Policy.LOW_THEN_HIGH
    assert request.options == FitOptions(prior_widths={})
    told = {each.path: each.value for each in loaded.assumptions}
    assert told["/fit/held_out_fraction"] == 0.25
    assert told["/fit/settling_h"] == 1.0
    assert told["/heater_from_battery"] is False


def test_the_example_answers_with_a_patch_that_makes_the_rig_to_use(
    document: dict[str, Any], resolver: Any, checkout: Path
) -> None:
    loaded = load_calibration(document, resolver)
    request = loaded.value
    answer = calibrate(request.setup, request.log, request.options)
    told = dump_calibration(answer, loaded.assumptions, request.rig_document)
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    found = {factor["name"]: factor for factor in told["factors"]}
    # The example was made with these factors, see make_calibration_example. What a log separates
    # only in part (shell, leakage and sky all lose heat at night) is shared between them as their
    # priors have it: the estimate lies towards 1, and it is the interval that must hold the truth.
    truths = {"shell_conductance": 1.2, "cooler_power": 1.05, "array_power": 0.85}
    for name, truth in truths.items():
        assert found[name]["identified"]
        assert found[name]["factor"] == pytest.approx(truth, rel=0.08)
        assert abs(found[name]["factor"] - truth) < abs(1.0 - truth)
    shell = found["shell_conductance"]
    assert shell["low"] < 1.2 < shell["high"] < 1.5
    assert found["cooler_power"]["factor"] == pytest.approx(1.05, rel=0.02)
    assert found["array_power"]["factor"] == pytest.approx(0.85, rel=0.02)
    sample = json.loads((checkout / "sample_rigs" / "plywood_teardrop.json").read_text())
    assert load_rig(merge_patch(sample, told["rig_patch"])).value == answer.fitted_rig


def test_degrees_fahrenheit_are_the_same_log(document: dict[str, Any], resolver: Any) -> None:
    columns = document["log"]["columns"]
    hot = changed(
        document,
        ("/log/temperature_unit", "degF"),
        *(
            (f"/log/columns/{name}", [v * 1.8 + 32.0 for v in columns[name]])
            for name in ("outdoor_temperature", "cabin_temperature")
        ),
    )
    as_c = load_calibration(document, resolver).value.log
    as_f = load_calibration(hot, resolver).value.log
    assert as_f.fahrenheit
    for name, values in as_c.columns.items():
        assert as_f.columns[name] == pytest.approx(values, abs=1e-9)


def test_nulls_are_gaps(document: dict[str, Any], resolver: Any) -> None:
    gap = changed(document, ("/log/columns/state_of_charge/3", None))
    assert np.isnan(load_calibration(gap, resolver).value.log.columns["state_of_charge"][3])


FAULTS: dict[str, tuple[tuple[tuple[str, Any], ...], tuple[str, ...], set[str]]] = {
    "unknown rig": ((("/rig", "no_such_rig"),), (), {"/rig"}),
    "no cabin": ((), ("/log/columns/cabin_temperature",), {"/log/columns/cabin_temperature"}),
    "a part of the light without the whole": (
        (),
        ("/log/columns/ghi",),
        {"/log/columns/ghi"},
    ),
    "no humidity": ((), ("/weather/dew_point_c",), {"/weather/dew_point_c"}),
    "no charge": ((), ("/log/columns/state_of_charge",), {"/state_of_charge"}),
    "two charges": ((("/state_of_charge", 0.9),), (), {"/state_of_charge"}),
    "a time without offset": (
        (("/log/times/4", "2026-01-20T19:30:00"),),
        (),
        {"/log/times/4"},
    ),
    "a unit nobody uses": ((("/log/temperature_unit", "K"),), (), {"/log/temperature_unit"}),
    "too few values": (
        (("/log/columns/ghi", [0.0] * 20),),
        (),
        {"/log/columns/ghi"},
    ),
    "a text for a number, an idle event and an unknown factor, at once": (
        (
            ("/log/columns/ghi/7", "bright"),
            ("/log/events/0", {"at": "2026-01-21T11:00:00-08:00"}),
            ("/fit", {"factors": ["paint"]}),
        ),
        (),
        {"/log/columns/ghi/7", "/log/events/0", "/fit/factors/0"},
    ),
    "a fault that cannot be accepted": (
        (("/fit", {"accepted": ["missing_channel"]}),),
        (),
        {"/fit/accepted/0"},
    ),
    "more held out than is left": (
        (("/fit", {"held_out_fraction": 0.95}),),
        (),
        {"/fit/held_out_fraction"},
    ),
}


@pytest.mark.parametrize("name", sorted(FAULTS))
def test_faults_carry_their_pointers(name: str, document: dict[str, Any], resolver: Any) -> None:
    changes, gone, pointers = FAULTS[name]
    with pytest.raises(DocumentError) as raised:
        load_calibration(without(changed(document, *changes), *gone), resolver)
    assert {fault.path for fault in raised.value.faults} == pointers


def test_a_factor_that_the_rig_has_nothing_for_is_refused(
    document: dict[str, Any], resolver: Any
) -> None:
    bare = without(RIG, "/cooler")
    asked = changed(document, ("/rig", bare), ("/fit", {"factors": ["leakage", "cooler_power"]}))
    request = load_calibration(asked, resolver).value
    with pytest.raises(DocumentError) as raised:
        calibrate(request.setup, request.log, request.options)
    assert [fault.path for fault in raised.value.faults] == ["/fit/factors/1"]


def answer_of(rig: Rig, factors: dict[str, float]) -> Calibration:
    none = np.zeros((0, 0))
    learned = Learned({}, np.zeros(0), none, {})
    return Calibration(rig, scaled_rig(rig, factors), (), none, (), (), (), (), 0, (), learned, ())


@pytest.mark.parametrize("factor", [0.8, 1.1])
@pytest.mark.parametrize("stem", STEMS)
def test_a_patch_makes_the_scaled_rig_of_every_sample(
    stem: str, factor: float, checkout: Path
) -> None:
    document = json.loads((checkout / "sample_rigs" / f"{stem}.json").read_text())
    rig = load_rig(document).value
    answer = answer_of(rig, dict.fromkeys(applicable(rig), factor))
    patched = load_rig(merge_patch(document, rig_patch(answer, document))).value
    assert patched == answer.fitted_rig


def test_a_box_gives_way_to_its_panels() -> None:
    boxed = deepcopy(RIG)
    del boxed["shell"]["panels"], boxed["shell"]["volume_m3"]
    boxed["shell"]["box"] = {
        "length_m": 4.0,
        "width_m": 2.0,
        "height_m": 1.9,
        "walls": {"layers": [{"material": "xps", "thickness_m": 0.04}]},
        "roof": {"layers": [{"material": "xps", "thickness_m": 0.05}]},
        "floor": {"layers": [{"material": "xps", "thickness_m": 0.04}]},
    }
    rig = load_rig(boxed).value
    answer = answer_of(rig, {"shell_conductance": 1.2, "leakage": 0.9})
    assert load_rig(merge_patch(boxed, rig_patch(answer, boxed))).value == answer.fitted_rig


def test_nothing_found_changes_nothing() -> None:
    rig = load_rig(RIG).value
    assert rig_patch(answer_of(rig, {})) == {}
    assert patch_between(dump_rig(rig), dump_rig(rig)) == {}
