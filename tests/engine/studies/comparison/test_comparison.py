"""Comparison: every variant moves the base as physics says, and is run as if it stood alone."""

import json
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from noonhold.documents.comparison_document import ComparisonRequest, load_comparison
from noonhold.errors import DocumentError, StationNotFoundError
from noonhold.projection_result import run_projection
from noonhold.quantities import Cause
from noonhold.studies.comparison.comparison_study import Comparison, compare, comparison_report
from noonhold.studies.run_figures import figures_of
from noonhold.studies.study_base import ProjectionCache
from noonhold.verdict import CAUTIONS
from tests.engine.document_samples import changed, without
from tests.engine.studies.study_samples import example, sample_rig, sample_stations

SLIDE_IN = "comparison_slide_in"
CATALOGUE = sample_stations()


def request(name: str) -> ComparisonRequest:
    return load_comparison(example(name), sample_rig).value


def run(name: str) -> Comparison:
    asked = request(name)
    return compare(asked.base, asked.variants, CATALOGUE)


@pytest.fixture(scope="module")
def ran() -> dict[str, Comparison]:
    names = (SLIDE_IN, "comparison_van", "comparison_teardrop")
    return {name.removeprefix("comparison_"): run(name) for name in names}


# Variant of the example, figure, and whether it must fall (-1), rise (1) or stay (0).
SIGNS = [
    ("slide_in", "cabin in the shade, arrays in the sun", "cooler_wh", -1),
    ("slide_in", "cabin in the shade, arrays in the sun", "lowest_charge", 1),
    ("slide_in", "cabin in the shade, arrays in the sun", "uncooled_peak_comfort", -1),
    ("slide_in", "no folding panel", "solar_wh", -1),
    ("slide_in", "no folding panel", "lowest_charge", -1),
    ("slide_in", "covers open", "cooler_wh", 1),
    ("slide_in", "covers open", "comfortable_fraction", -1),
    ("slide_in", "covers open", "peak_comfort", 1),
    ("slide_in", "cooler on while driving to camp", "comfortable_fraction", 1),
    ("slide_in", "cooler on while driving to camp", "alternator_wh", 1),
    ("slide_in", "cooler on while driving to camp", "cooler_wh", 1),
    ("slide_in", "pre-cooling", "cooler_wh", 1),
    ("slide_in", "pre-cooling", "curtailed_wh", -1),
    ("slide_in", "start at 37 degrees", "cooler_wh", 1),
    ("slide_in", "start at 37 degrees", "peak_comfort", 1),
    ("slide_in", "start at 37 degrees", "lowest_charge", -1),
    ("slide_in", "low stage only", "cooler_wh", -1),
    ("slide_in", "low stage only", "comfortable_fraction", -1),
    ("slide_in", "through an inverter", "cooler_wh", 1),
    ("slide_in", "through an inverter", "lowest_charge", -1),
    ("slide_in", "at the humid coast", "cooling_wh", 1),
    ("slide_in", "the same again", "worst_margin", 0),
    ("slide_in", "the same again", "cooler_wh", 0),
    ("van", "windscreen away from the sun", "uncooled_peak_comfort", -1),
    ("van", "windscreen away from the sun", "peak_comfort", -1),
    ("van", "windscreen away from the sun", "solar_wh", 0),
    ("van", "under cloud", "solar_wh", -1),
    ("van", "under cloud", "uncooled_peak_comfort", -1),
    ("teardrop", "no awning", "uncooled_peak_comfort", 1),
    ("teardrop", "no awning", "comfortable_fraction", -1),
    ("teardrop", "twice the battery", "comfortable_fraction", 1),
]


@pytest.mark.parametrize(("rig", "variant", "figure", "sign"), SIGNS)
def test_a_variant_moves_the_base_as_physics_says(
    ran: dict[str, Comparison], rig: str, variant: str, figure: str, sign: int
) -> None:
    (found,) = [v for v in ran[rig].variants if v.name == variant]
    moved = found.difference[figure]
    assert moved is not None
    assert (moved > 0) - (moved < 0) == sign


def test_shade_an_awning_and_a_turned_heading_are_variants_too() -> None:
    """The issue's own list has them beside those of the examples."""
    shade = {"from": "09:00", "to": "18:00", "beam_blocked": 0.9, "diffuse_blocked": 0.5}
    both, cabin = ({**shade, "applies_to": names} for names in (["cabin", "arrays"], ["cabin"]))
    stowed = {"from": "00:00", "to": "24:00", "deployed": False}
    # The teardrop's awning and its only array, a folding one, are set out together.
    out = {"operation": {"spans": [{**stowed, "deployed": True}]}}
    document = changed(
        example("comparison_teardrop"),
        ("/base/operation/spans", [stowed]),
        ("/variants", [
            {"name": "awning out", "patch": out},
            {"name": "in the shade", "patch": {**out, "place": {"shade": [both]}}},
            {"name": "cabin in the shade", "patch": {**out, "place": {"shade": [cabin]}}},
            {"name": "turned", "patch": {"place": {"heading_deg": 0}}},
        ]),
    )  # fmt: skip
    asked = load_comparison(document, sample_rig).value
    found = {v.name: v for v in compare(asked.base, asked.variants, CATALOGUE).variants}
    moved = {name: variant.difference["uncooled_peak_comfort"] for name, variant in found.items()}
    assert all(value is not None for value in moved.values())
    for name in ("awning out", "in the shade", "cabin in the shade"):
        assert (moved[name] or 0.0) < 0.0
    assert moved["turned"] != 0.0
    solar = {
        n: v.outcome.figures.solar_wh + v.outcome.figures.curtailed_wh for n, v in found.items()
    }
    assert solar["in the shade"] < solar["cabin in the shade"]


def test_curtains_at_an_awning_keep_the_low_sun_out() -> None:
    """The awning's side looks north at 35 S: seen from outside, the evening sun is on its right."""
    document = example("comparison_teardrop")
    awning = {"side": "right", "depth_m": 1.8, "length_m": 2.2, "height_m": 1.15}
    drops = {"left": (1.15, 0.0), "right": (0.0, 1.15), "both": (1.15, 1.15), "none": (0.0, 0.0)}
    variants = []
    for name, (left, right) in drops.items():
        curtained = {**awning, "left_curtain_drop_m": left, "right_curtain_drop_m": right}
        variants.append({"name": name, "patch": {"rig": {"awnings": [curtained]}}})
    asked = load_comparison(changed(document, ("/variants", variants)), sample_rig).value
    found = {v.name: v for v in compare(asked.base, asked.variants, CATALOGUE).variants}
    moved = {name: v.difference["uncooled_peak_comfort"] or 0.0 for name, v in found.items()}
    assert moved["both"] <= moved["right"] < moved["left"] <= 0.0
    assert moved["right"] < -0.02
    assert found["none"].changes_nothing


def test_humid_air_costs_the_cooler_latent_work(ran: dict[str, Comparison]) -> None:
    (coast,) = [v for v in ran["slide_in"].variants if v.name == "at the humid coast"]
    base = ran["slide_in"].base.figures
    own = coast.outcome.figures
    assert own.cooling_wh / own.hours_of_cooling > base.cooling_wh / base.hours_of_cooling
    assert coast.outcome.station == "coast_quellhaven"


def test_only_the_patch_without_a_change_is_told_to_change_nothing(
    ran: dict[str, Comparison],
) -> None:
    told = [v.name for v in ran["slide_in"].variants if v.changes_nothing]
    assert told == ["the same again"]
    (same,) = [v for v in ran["slide_in"].variants if v.changes_nothing]
    assert set(same.difference.values()) == {0}
    assert ran["slide_in"].order[-1] == "the same again"


def test_every_outcome_is_that_of_the_question_alone() -> None:
    asked = request(SLIDE_IN)
    together = compare(asked.base, asked.variants, CATALOGUE)
    pairs = [(asked.base, together.base)]
    pairs += [
        (v.request, o.outcome) for v, o in zip(asked.variants, together.variants, strict=True)
    ]
    for question, outcome in pairs:
        alone = run_projection(question.rig, question.scenario, question.weather, CATALOGUE)
        assert outcome.figures == figures_of(alone.projection)


GLASS = {
    "u_value_w_m2k": 1.4,
    "solar_heat_gain_coefficient": 0.4,
    "panes": 3,
    "solar_transmittance": 0.3,
    "area_m2": 0.3,
    "covers": (),
    "name": "another",
}


@pytest.mark.parametrize("field", GLASS)
def test_a_rig_with_another_glass_gets_the_sun_of_its_own(field: str) -> None:
    question = request(SLIDE_IN).base
    shell = question.rig.shell
    first, *others = shell.windows
    changed_glass = replace(first, **{field: GLASS[field]})
    rig = replace(question.rig, shell=replace(shell, windows=(changed_glass, *others)))
    bench = ProjectionCache(CATALOGUE)
    bench.prepare(question)
    shared = bench.prepare(replace(question, rig=rig)).case.forcing
    alone = ProjectionCache(CATALOGUE).prepare(replace(question, rig=rig)).case.forcing
    for mine, fresh in zip(shared, alone, strict=True):
        assert np.array_equal(mine, fresh)


def test_sun_and_weather_are_made_once_where_they_do_not_change() -> None:
    asked = request(SLIDE_IN)
    bench = ProjectionCache(CATALOGUE)
    made = {v.name: bench.prepare(v.request).case.forcing for v in asked.variants}
    base = bench.prepare(asked.base).case.forcing
    other = {name for name, forcing in made.items() if forcing is not base}
    # Shade of the cabin is shade of the ground around it.
    shaded = "cabin in the shade, arrays in the sun"
    assert other == {"no folding panel", "at the humid coast", shaded}


def test_the_order_follows_the_change_of_the_worst_margin(ran: dict[str, Comparison]) -> None:
    for comparison in ran.values():
        by_name = {v.name: v for v in comparison.variants}
        moves = [abs(by_name[name].difference["worst_margin"] or 0) for name in comparison.order]
        assert sorted(by_name) == sorted(comparison.order)
        assert all(a >= b - 1e-4 for a, b in pairwise(moves))


def test_figures_of_the_base_hang_together(ran: dict[str, Comparison]) -> None:
    base = ran["slide_in"].base.figures
    assert base.first_cause is Cause.SCHEDULE
    assert not base.holds
    assert str(base.failed_day).endswith("-01-20")
    assert base.comfort_margin is not None
    assert base.worst_margin == min(base.comfort_margin, base.charge_margin)


def test_the_report_is_plain_and_carries_the_cautions(ran: dict[str, Comparison]) -> None:
    report = comparison_report(ran["slide_in"])
    assert json.loads(json.dumps(report, allow_nan=False)) == report
    assert report["cautions"] == list(CAUTIONS)
    assert next(iter(report)) == "cautions"
    assert sorted(v["rank"] for v in report["variants"]) == list(range(1, 11))
    low = next(v for v in report["variants"] if v["name"] == "low stage only")
    assert (low["direction"], low["figures"]["first_cause"]) == ("worse", "schedule")


def test_comfort_by_another_measure_is_not_set_off_against_the_base() -> None:
    document = changed(
        example(SLIDE_IN), ("/variants", [{"name": "by air", "patch": {"comfort": {}}}])
    )
    document["variants"][0]["patch"]["comfort"] = {"measure": "air"}
    asked = load_comparison(document, sample_rig).value
    (variant,) = compare(asked.base, asked.variants, CATALOGUE).variants
    assert variant.difference["peak_comfort"] is None
    assert variant.difference["cooler_wh"] == 0.0


def variant(patch: Any, name: str = "v") -> tuple[str, Any]:
    return "/variants", [{"name": name, "patch": patch}]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        (variant({"operation": {"policy": "sideways"}}), "/variants/0/patch/operation/policy"),
        (variant({"place": {"latitude": None}}), "/variants/0/patch/place/latitude"),
        (variant({"colour": "red"}), "/variants/0/patch/colour"),
        (variant({"rig": "no such rig"}), "/variants/0/patch/rig"),
        (variant({"rig": {"battery": {"usable_energy_wh": -1}}}),
         "/variants/0/patch/rig/battery/usable_energy_wh"),
        (variant({"weather": {"hot_day": {"high_c": 40}}}),
         "/variants/0/patch/weather/hot_day"),
        (variant("shade"), "/variants/0/patch"),
        (("/variants", []), "/variants"),
        (("/base/start", {"state_of_charge": 2}), "/base/start/state_of_charge"),
        (("/base", "a rig"), "/base"),
    ],
)  # fmt: skip
def test_faults_are_told_at_their_place(change: tuple[str, Any], pointer: str) -> None:
    with pytest.raises(DocumentError) as caught:
        load_comparison(changed(example(SLIDE_IN), change), sample_rig)
    assert pointer in [fault.path for fault in caught.value.faults]


def test_faults_of_all_variants_are_told_at_once() -> None:
    document = changed(
        example(SLIDE_IN),
        ("/variants/0/patch", {"comfort": {"limit": 99}}),
        ("/variants/6/patch", {"operation": {"policy": 3}}),
    )
    with pytest.raises(DocumentError) as caught:
        load_comparison(document, sample_rig)
    assert [fault.path for fault in caught.value.faults] == [
        "/variants/0/patch/comfort/limit",
        "/variants/6/patch/operation/policy",
    ]


def test_two_variants_of_one_name_are_refused() -> None:
    document = changed(example(SLIDE_IN), ("/variants/1/name", "covers open"))
    with pytest.raises(DocumentError) as caught:
        load_comparison(document, sample_rig)
    assert [fault.path for fault in caught.value.faults] == ["/variants/2/name"]


def test_missing_parts_are_told() -> None:
    with pytest.raises(DocumentError) as caught:
        load_comparison(without(example(SLIDE_IN), "/base", "/variants/0/patch"), sample_rig)
    assert [f.path for f in caught.value.faults] == ["/base", "/variants/0/patch"]


def test_a_fault_found_while_running_is_told_at_its_variant() -> None:
    impossible = {"rig": {"cooler": {"sensible_heat_ratio": 0.2}}}
    nowhere = {"weather": {"typical_year": {"station": "atlantis"}}}
    document = changed(example(SLIDE_IN), variant(impossible))
    asked = load_comparison(document, sample_rig).value
    with pytest.raises(DocumentError) as caught:
        compare(asked.base, asked.variants, CATALOGUE)
    assert {f.path for f in caught.value.faults} == {
        "/variants/0/patch/rig/cooler/sensible_heat_ratio"
    }
    asked = load_comparison(changed(example(SLIDE_IN), variant(nowhere)), sample_rig).value
    with pytest.raises(StationNotFoundError) as missed:
        compare(asked.base, asked.variants, CATALOGUE)
    assert [f.path for f in missed.value.faults] == [
        "/variants/0/patch/weather/typical_year/station"
    ]


def test_assumptions_are_those_of_the_base_and_the_new_ones_of_variants() -> None:
    loaded = load_comparison(example(SLIDE_IN), sample_rig)
    paths = [each.path for each in loaded.assumptions]
    assert "/base/comfort/required_fraction" in paths
    assert "/variants/1/patch/rig/arrays/0/tilt_deg" in paths
    assert not [p for p in paths if p.startswith("/variants") and "comfort" in p]
