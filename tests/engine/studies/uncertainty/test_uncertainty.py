"""Uncertainty: a sample is the run of the changed rig, and bands and chances are what they say."""

import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from noonhold.documents import load_projection
from noonhold.documents.uncertainty_document import load_uncertainty
from noonhold.envelope.glazing import direct_transmittance, window_resistance
from noonhold.envelope.network import network_tables
from noonhold.errors import DocumentError
from noonhold.rig import Battery, Panel, Rig, Window
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.studies.study_base import Prepared, ProjectionCache
from noonhold.studies.uncertainty.conduction import conducting_networks
from noonhold.studies.uncertainty.sobol import two_samples
from noonhold.studies.uncertainty.uncertain_inputs import (
    ABSORPTANCE,
    ARRAY,
    AS_STATED,
    BATTERY,
    COOLER_CAPACITY,
    COOLER_POWER,
    INPUTS,
    LEAKAGE,
    NAMES,
    SHELL_CONDUCTANCE,
    SUN,
    TEMPERATURE,
    WIND,
    Condition,
    Range,
    sampled_members,
)
from noonhold.studies.uncertainty.uncertainty_study import (
    Uncertainty,
    UncertaintyRequest,
    _outcomes,
    _values,
    chance,
    estimate_uncertainty,
    uncertainty_report,
)
from noonhold.verdict import CAUTIONS
from tests.engine.document_samples import changed
from tests.engine.studies.study_samples import CHECKOUT, example, sample_rig, sample_stations

CATALOGUE = sample_stations()
BENCH = ProjectionCache(CATALOGUE)
LOADED = load_uncertainty(example("uncertainty_plateau"), sample_rig)
ASKED = replace(LOADED.value, samples=32, sensitivity_samples=0)
PREPARED: Prepared = BENCH.prepare(ASKED.base)


def with_layers(rig: Rig, factor: float) -> Rig:
    def panel(each: Panel) -> Panel:
        layers = tuple(
            replace(part, conductivity_w_mk=part.conductivity_w_mk * factor) for part in each.layers
        )
        return replace(each, layers=layers)

    def window(each: Window) -> Window:
        films = 1.0 / each.u_value_w_m2k - window_resistance(each)
        u_value = 1.0 / (films + window_resistance(each) / factor)
        return replace(each, u_value_w_m2k=u_value, solar_transmittance=direct_transmittance(each))

    shell = rig.shell
    return replace(
        rig,
        shell=replace(
            shell,
            panels=tuple(panel(each) for each in shell.panels),
            windows=tuple(window(each) for each in shell.windows),
        ),
    )


def without_windows(rig: Rig) -> Rig:
    return replace(rig, shell=replace(rig.shell, windows=()))


def with_leakage(rig: Rig, factor: float) -> Rig:
    leakage = rig.shell.leakage
    assert leakage.air_changes_per_hour is not None
    more = replace(leakage, air_changes_per_hour=leakage.air_changes_per_hour * factor)
    return replace(rig, shell=replace(rig.shell, leakage=more))


def with_absorptance(rig: Rig, factor: float) -> Rig:
    panels = tuple(
        replace(each, solar_absorptance=each.solar_absorptance * factor)
        for each in rig.shell.panels
    )
    return replace(rig, shell=replace(rig.shell, panels=panels))


def with_compressor(rig: Rig, factor: float) -> Rig:
    assert rig.cooler is not None
    fan = rig.cooler.fan_power_w
    stages = tuple(
        replace(each, power_w=fan + (each.power_w - fan) * factor) for each in rig.cooler.stages
    )
    return replace(rig, cooler=replace(rig.cooler, stages=stages))


def with_arrays(rig: Rig, factor: float) -> Rig:
    arrays = tuple(replace(a, rated_power_w=a.rated_power_w * factor) for a in rig.arrays)
    return replace(rig, arrays=arrays)


def with_battery(rig: Rig, factor: float) -> Rig:
    battery: Battery = rig.battery
    return replace(
        rig, battery=replace(battery, usable_energy_wh=battery.usable_energy_wh * factor)
    )


@pytest.mark.parametrize(
    ("name", "factor", "rig_with"),
    [
        (SHELL_CONDUCTANCE, 1.25, with_layers),
        (LEAKAGE, 1.7, with_leakage),
        (ABSORPTANCE, 1.2, with_absorptance),
        (COOLER_POWER, 1.1, with_compressor),
        (ARRAY, 0.85, with_arrays),
        (BATTERY, 0.8, with_battery),
    ],
)
def test_a_sample_is_the_run_of_the_changed_document(
    name: str, factor: float, rig_with: Callable[[Rig, float], Rig]
) -> None:
    # What a glass does to the sun depends a little on its conductance as it is rated, which a
    # sample leaves as it was; without windows the two are one.
    bare = without_windows(ASKED.base.rig)
    base = BENCH.prepare(replace(ASKED.base, rig=bare))
    sampled = run_cases(sampled_members(base, {name: np.array([factor])}))[0]
    other = BENCH.prepare(replace(ASKED.base, rig=rig_with(bare, factor)))
    assert sampled == pytest.approx(run_cases([other.case])[0], rel=1e-6, abs=1e-6, nan_ok=True)


def test_a_sample_as_stated_is_the_run_as_stated() -> None:
    stated = {name: np.array([value]) for name, value in AS_STATED.items()}
    sampled = run_cases(sampled_members(PREPARED, stated))
    plain = run_cases([PREPARED.case])
    assert sampled == pytest.approx(plain, rel=1e-9, abs=1e-9, nan_ok=True)


@pytest.mark.parametrize("factor", [0.9, 1.0, 1.25])
def test_scaled_networks_are_those_of_the_scaled_rig(factor: float) -> None:
    rig = ASKED.base.rig
    scaled = network_tables(with_layers(rig, factor), 300.0)
    net = network_tables(rig, 300.0)
    assert np.array_equal(net.first_mode, scaled.first_mode)
    (found,) = conducting_networks(rig, net, np.array([factor]))
    for name in NAMES_OF_THE_NETWORK:
        if name.startswith(("cover_", "sun_", "beam_", "diffuse_", "window_")):
            continue  # what concerns the sun, which a sample leaves as it was
        assert getattr(found, name) == pytest.approx(
            getattr(scaled, name), rel=1e-9, nan_ok=True
        ), name


NAMES_OF_THE_NETWORK = type(PREPARED.case.network)._fields


# Whether lowest charge and peak of the cabin's air without a cooler fall or rise.
@pytest.mark.parametrize(
    ("name", "low", "high", "charge", "heat"),
    [
        (SHELL_CONDUCTANCE, 0.9, 1.3, -1, None),
        (ABSORPTANCE, 0.9, 1.2, -1, 1),
        (COOLER_POWER, 0.95, 1.1, -1, 0),
        (ARRAY, 0.85, 1.0, 1, 0),
        (BATTERY, 0.8, 1.0, 1, 0),
        (TEMPERATURE, -1.5, 2.0, -1, 1),
        (SUN, 0.85, 1.05, 1, 1),
        (COOLER_CAPACITY, 0.9, 1.0, 1, 0),
        (WIND, 0.5, 1.2, 1, -1),
        (LEAKAGE, 0.5, 2.0, -1, None),
    ],
)
def test_an_input_moves_the_run_as_physics_says(
    name: str, low: float, high: float, charge: int, heat: int | None
) -> None:
    cooled = run_cases(sampled_members(PREPARED, {name: np.array([low, high])}))
    size = ASKED.base.rig.battery.usable_energy_wh * np.array(
        [low, high] if name == BATTERY else [1.0, 1.0]
    )
    lowest = cooled[:, :, ch.STORED_LOWEST].min(axis=1) / size
    assert np.sign(lowest[1] - lowest[0]) == charge
    bare = BENCH.prepare(replace(ASKED.base, rig=replace(ASKED.base.rig, cooler=None)))
    peak = run_cases(sampled_members(bare, {name: np.array([low, high])}))[:, :, ch.CABIN].max(1)
    if heat is not None:
        change = peak[1] - peak[0]
        assert int(change > 0.05) - int(change < -0.05) == heat


def run(**changes: Any) -> Uncertainty:
    return estimate_uncertainty(replace(ASKED, **changes), CATALOGUE)


@pytest.fixture(scope="module")
def found() -> Uncertainty:
    return run(sensitivity_samples=16)


def test_bands_lie_in_order_and_in_bounds(found: Uncertainty) -> None:
    for name in ("cabin_temperature_c", "operative_temperature_c", "state_of_charge"):
        band = getattr(found, name)
        assert (band.p10 <= band.p50).all()
        assert (band.p50 <= band.p90).all()
        assert band.p50.shape == (24,)
    assert (found.state_of_charge.p10 >= 0.0).all()
    assert (found.state_of_charge.p90 <= 1.0).all()
    assert len(found.times) == 24


def test_bands_close_on_the_run_where_ranges_do() -> None:
    narrow = {n: Range(v, v + 1e-9) for n, v in AS_STATED.items()}
    band = run(ranges=narrow, samples=16)
    (record,) = run_cases([PREPARED.case])
    assert band.cabin_temperature_c.p10 == pytest.approx(record[:, ch.CABIN], abs=1e-5)
    assert band.cabin_temperature_c.p90 == pytest.approx(record[:, ch.CABIN], abs=1e-5)


def test_a_held_input_is_held_at_its_value() -> None:
    only = {ARRAY: Range(0.85, 1.0), TEMPERATURE: Range(2.0, 2.0)}
    held = run(ranges=only, samples=16)
    assert list(held.ranges) == [ARRAY]
    free = run(ranges={ARRAY: Range(0.85, 1.0)}, samples=16)
    assert (held.lowest_charge.p50) < (free.lowest_charge.p50)


def test_chances_and_causes_hang_together(found: Uncertainty) -> None:
    failing = found.fails_by_capacity + found.fails_by_energy + found.fails_by_operation
    assert found.holds.probability + failing == pytest.approx(1.0)
    assert 0.0 < found.holds.standard_error < 0.1
    assert found.holding_days == (found.holds,)


def test_a_harder_day_is_less_likely_to_be_feasible() -> None:
    harder = {**ASKED.ranges, TEMPERATURE: Range(3.0, 6.0), ARRAY: Range(0.5, 0.7)}
    assert run(ranges=harder).holds.probability < run().holds.probability


def test_the_same_seed_gives_the_same_answer(found: Uncertainty) -> None:
    again = run(sensitivity_samples=16)
    assert uncertainty_report(again) == uncertainty_report(found)
    other = run(seed=99)
    assert not np.array_equal(other.state_of_charge.p50, found.state_of_charge.p50)


def test_shares_name_every_varying_input_with_the_largest_first(found: Uncertainty) -> None:
    assert list(found.shares) == ["lowest_charge", "peak_temperature_c"]
    for shares in found.shares.values():
        assert shares is not None
        assert {share.input for share in shares} == set(NAMES)
        totals = [share.total for share in shares]
        assert totals == sorted(totals, reverse=True)
        assert min(totals) >= 0.0


def test_an_input_that_cannot_matter_has_no_share() -> None:
    """Without a battery limit in sight the arrays leave the cabin's temperature alone."""
    two = {TEMPERATURE: Range(-1.0, 1.0), ARRAY: Range(0.99, 1.0)}
    rich = with_battery(ASKED.base.rig, 4.0)
    question = replace(ASKED.base, rig=replace(rich, battery=replace(rich.battery, in_cabin=False)))
    shares = run(base=question, ranges=two, sensitivity_samples=32).shares
    by_input = {share.input: share for share in shares["peak_temperature_c"] or ()}
    assert by_input[ARRAY].total == pytest.approx(0.0, abs=1e-9)
    assert by_input[TEMPERATURE].total == pytest.approx(1.0, abs=0.2)


def test_an_output_that_does_not_vary_is_told_as_none() -> None:
    question = replace(
        ASKED.base,
        scenario=replace(
            ASKED.base.scenario,
            start=replace(ASKED.base.scenario.start, state_of_charge=0.05),
        ),
        rig=replace(ASKED.base.rig, arrays=()),
    )
    shares = run(base=question, ranges={WIND: Range(0.9, 1.1)}, sensitivity_samples=16).shares
    assert shares["lowest_charge"] is None
    assert shares["peak_temperature_c"] is not None


@pytest.mark.parametrize(
    "wrong",
    [
        {"ranges": {}},
        {"ranges": {ARRAY: Range(1.0, 1.0)}},
        {"samples": 100},
        {"sensitivity_samples": 64},
    ],
)
def test_what_cannot_be_sampled_is_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"varies|power of two|rows"):
        run(**wrong)


@settings(max_examples=8)
@given(st.fixed_dictionaries({e.name: st.floats(e.likely.low, e.likely.high) for e in INPUTS}))
def test_any_sample_keeps_its_energy_ledger(values: dict[str, float]) -> None:
    (record,) = run_cases(
        sampled_members(PREPARED, {name: np.array([value]) for name, value in values.items()})
    )
    sources = record[:, [ch.SOLAR_USED, ch.ALTERNATOR, ch.SHORE, ch.UNMET]].sum(axis=1)
    uses = record[:, [ch.COOLER_POWER, ch.HEATER_POWER, ch.LOAD_POWER, ch.STANDING_POWER]].sum(1)
    through = sources - uses - record[:, ch.CHARGE] + record[:, ch.DISCHARGE]
    assert through == pytest.approx(np.zeros(len(record)), abs=1e-6)
    stored = np.diff(record[:, ch.STORED])
    into = record[1:, ch.CHARGE] - record[1:, ch.DISCHARGE] - record[1:, ch.BATTERY_LOSS]
    assert stored == pytest.approx(into, abs=1e-6)


@given(st.integers(1, 4096).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_a_chance_is_never_certain(counts: tuple[int, int]) -> None:
    found = chance(*counts)
    assert 0.0 <= found.probability <= 1.0
    assert 0.0 < found.standard_error <= 0.5


def test_the_report_is_plain_and_carries_the_cautions(found: Uncertainty) -> None:
    report = uncertainty_report(found)
    assert json.loads(json.dumps(report, allow_nan=False)) == report
    assert report["cautions"] == list(CAUTIONS)
    assert len(report["state_of_charge"]["p10"]) == 24
    assert report["station"] == "plateau_mesaquorn"


def test_default_ranges_are_told_with_their_reason() -> None:
    told = {a.path: a for a in LOADED.assumptions if a.path.startswith("/ranges")}
    assert set(told) == {f"/ranges/{name}" for name in NAMES}
    assert told["/ranges/leakage_factor"].value == {"low": 0.5, "high": 1.5}
    assert all("no source" in each.reason for each in told.values())
    assert {"/samples", "/sensitivity_samples"} <= {a.path for a in LOADED.assumptions}


def test_a_given_range_is_taken_and_not_told() -> None:
    document = changed(
        example("uncertainty_plateau"), ("/ranges", {"array_factor": {"low": 0.7, "high": 0.7}})
    )
    loaded = load_uncertainty(document, sample_rig)
    assert loaded.value.ranges[ARRAY] == Range(0.7, 0.7)
    assert "/ranges/array_factor" not in [a.path for a in loaded.assumptions]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        (("/samples", 100), "/samples"),
        (("/samples", 2**13), "/samples"),
        (("/samples", 256.5), "/samples"),
        (("/sensitivity_samples", 512), "/sensitivity_samples"),
        (("/seed", -1), "/seed"),
        (("/ranges", {"array_factor": {"low": 1.0}}), "/ranges/array_factor/high"),
        (("/ranges", {"array_factor": {"low": 1.0, "high": 0.9}}), "/ranges/array_factor/high"),
        (("/ranges", {"array_factor": {"low": 0, "high": 0.9}}), "/ranges/array_factor/low"),
        (("/ranges", {"arrays": {"low": 1, "high": 2}}), "/ranges/arrays"),
        (("/ranges", {n: {"low": 1, "high": 1} for n in NAMES}), "/ranges"),
        (("/projection/start", {}), "/projection/start/state_of_charge"),
        (("/colour", "red"), "/colour"),
    ],
)
def test_faults_are_told_at_their_place(change: tuple[str, Any], pointer: str) -> None:
    with pytest.raises(DocumentError) as caught:
        load_uncertainty(changed(example("uncertainty_plateau"), change), sample_rig)
    assert [fault.path for fault in caught.value.faults] == [pointer]


def test_more_work_than_a_minute_is_refused() -> None:
    document = changed(
        example("uncertainty_plateau"),
        ("/projection/weather/typical_year/days", 366),
        ("/samples", 1024),
    )
    with pytest.raises(DocumentError, match="at most 5000000 intervals") as caught:
        load_uncertainty(document, sample_rig)
    assert [fault.path for fault in caught.value.faults] == ["/samples"]


def test_the_request_of_the_example_is_the_default() -> None:
    assert LOADED.value == UncertaintyRequest(
        LOADED.value.base, {e.name: e.likely for e in INPUTS}, 256, 64, 1
    )


@pytest.mark.parametrize(
    "name", ["typical_day", "own_hours", "uncertainty", "plan", "short_rig", "sizing_battery"]
)
def test_the_nominal_lies_in_the_middle_of_its_own_band(name: str) -> None:
    """As built, between the 40th and the 60th percentile; what years change is apart.

    A day that runs into its reserve has no such middle: the cooler stops sooner or later.
    """
    document = json.loads(
        (CHECKOUT / "openapi" / "examples" / f"{name}.request.json").read_text(encoding="utf-8")
    )
    base = load_projection(document.get("projection", document), sample_rig).value
    prepared = ProjectionCache(CATALOGUE).prepare(base)
    nominal = _outcomes(prepared, {each.name: np.array([each.as_stated]) for each in INPUTS})
    ranges = {each.name: each.likely for each in INPUTS}
    points, _ = two_samples(len(ranges), 256, 0)
    sampled = _outcomes(prepared, _values(points, ranges, {}))
    for figure in ("lowest_charge", "peak"):
        (stated,) = getattr(nominal, figure)
        drawn = getattr(sampled, figure)
        # Where many samples are equal, as at a full or an empty battery, the nominal is among them.
        assert (drawn < stated - 1e-6).mean() <= 0.6
        assert (drawn > stated + 1e-6).mean() <= 0.6


def test_years_of_use_make_a_day_less_likely_to_hold() -> None:
    fresh = {each.name: each.default(Condition.AS_BUILT)[0] for each in INPUTS}
    old = {each.name: each.default(Condition.AFTER_SOME_YEARS)[0] for each in INPUTS}
    changed_by_years = {each.name for each in INPUTS if each.aged is not None}
    assert {name for name in fresh if fresh[name] != old[name]} == changed_by_years
    young, worn = (run(ranges=ranges, sensitivity_samples=0) for ranges in (fresh, old))
    assert worn.lowest_charge.p50 < young.lowest_charge.p50
    assert worn.holds.probability <= young.holds.probability


@pytest.mark.parametrize("name", ["hot_day", "warm_up"])
def test_a_day_that_runs_into_its_reserve_is_told_to_have_no_middle(name: str) -> None:
    """Every range is centred; how low the charge falls hangs on when the cooler starts again."""
    document = json.loads(
        (CHECKOUT / "openapi" / "examples" / f"{name}.request.json").read_text(encoding="utf-8")
    )
    base = load_projection(document.get("projection", document), sample_rig).value
    ranges = {each.name: each.likely for each in INPUTS}
    assert all(
        0.5 * (each.likely.low + each.likely.high) == pytest.approx(each.as_stated)
        for each in INPUTS
    )
    told = estimate_uncertainty(UncertaintyRequest(base, ranges, 64, 0), CATALOGUE)
    assert any("runs down to its reserve" in note for note in told.notes)
    assert not any("runs down to its reserve" in note for note in run(samples=16).notes)
    # The warmth of the cabin has a middle all the same, and the nominal lies in it.
    prepared = ProjectionCache(CATALOGUE).prepare(base)
    (stated,) = _outcomes(prepared, {e.name: np.array([e.as_stated]) for e in INPUTS}).peak
    points, _ = two_samples(len(ranges), 256, 0)
    drawn = _outcomes(prepared, _values(points, ranges, {})).peak
    assert 0.4 <= (drawn < stated).mean() <= 0.6
