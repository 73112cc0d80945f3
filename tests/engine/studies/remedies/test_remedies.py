"""A remedy is never named before its run has held, and asks no more than it must."""

import json
from copy import deepcopy
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from noonhold import samples
from noonhold.documents import load_projection
from noonhold.projection_request import ProjectionRequest
from noonhold.projection_result import ProjectionResult, run_projection
from noonhold.quantities import Cause, Verdict
from noonhold.rig import Policy
from noonhold.studies.remedies.advice import advise, cause_to_mend
from noonhold.studies.remedies.levers import Lever, changes
from noonhold.studies.remedies.remedy_search import (
    MOST_TRIAL_DAYS,
    find_remedies,
    lasting_verdict_of,
    remedies_report,
    verdict_of,
)
from noonhold.studies.study_base import ProjectionCache
from noonhold.weather.catalogue import scan
from tests.engine.studies.study_samples import sample_rig
from tests.rig_files import rig_path

CATALOGUE = scan(samples.weather_folder())
EXAMPLES = rig_path("flatbed_cabin").parents[1] / "openapi" / "examples"
BASE: dict[str, Any] = json.loads((EXAMPLES / "typical_day.request.json").read_text())


def asked(**parts: dict[str, Any]) -> ProjectionRequest:
    """Return the sample day with fields of its parts changed."""
    document = deepcopy(BASE)
    for name, fields in parts.items():
        document[name].update(fields)
    return load_projection(document, sample_rig).value


def result_of(request: ProjectionRequest) -> ProjectionResult:
    return run_projection(request.rig, request.scenario, request.weather, CATALOGUE)


def test_what_holds_needs_no_remedy() -> None:
    request = asked()
    result = result_of(request)
    assert result.summary.verdict is Verdict.HOLDS
    assert advise(request, result, ProjectionCache(CATALOGUE)).remedies == ()


def test_a_set_point_too_near_the_limit_is_mended_by_the_set_point_first() -> None:
    """The finding: capacity to spare, the walls keep the measure above the limit."""
    request = asked(operation={"set_point_c": 26.5})
    result = result_of(request)
    assert result.summary.verdict is Verdict.FAILS
    assert result.summary.first_cause is Cause.MEASURE
    first = advise(request, result, ProjectionCache(CATALOGUE)).remedies[0]
    assert first.change.lever is Lever.SET_POINT
    assert first.change.value is not None and first.change.value < 26.5
    assert first.sentence.startswith(f"With the set point at {first.change.value:g} °C it holds")


def test_a_battery_named_is_the_smallest_of_those_tried() -> None:
    request = asked(start={"state_of_charge": "settled"})
    result = result_of(request)
    assert result.summary.first_cause.of_energy
    cache = ProjectionCache(CATALOGUE)
    remedies = advise(request, result, cache).remedies
    (battery,) = [each for each in remedies if each.change.lever is Lever.BATTERY]
    tried = changes(request, Lever.BATTERY, result.summary.first_cause)
    smaller = [each for each in tried if (each.value or 0.0) < (battery.change.value or 0.0)]
    assert all(verdict_of(each.request, cache) is Verdict.FAILS for each in smaller)


def test_a_narrow_day_is_mended_to_one_that_holds() -> None:
    """Some charge lies between the one with which the day fails and the one with which it holds."""
    for percent in range(10, 100, 5):
        request = asked(start={"state_of_charge": percent / 100.0})
        result = result_of(request)
        if result.summary.verdict is Verdict.NARROWLY:
            break
    assert result.summary.verdict is Verdict.NARROWLY
    assert result.summary.first_cause is Cause.NONE
    assert cause_to_mend(result).of_energy
    remedies = advise(request, result, ProjectionCache(CATALOGUE)).remedies
    assert remedies and all(each.verdict is Verdict.HOLDS for each in remedies)


def test_a_day_that_does_not_last_is_mended_day_after_day() -> None:
    request = asked()
    result = result_of(request)
    assert result.summary.holds
    assert result.sustained.verdict is Verdict.FAILS
    lasting = advise(request, result, ProjectionCache(CATALOGUE)).lasting_remedies
    assert lasting
    for each in lasting:
        mended = result_of(each.change.request).sustained
        assert mended.verdict is each.verdict is not Verdict.FAILS
        assert each.sentence.endswith(" day after day.")
    # The smallest of the arrays that were tried.
    arrays = [each for each in lasting if each.change.lever is Lever.ARRAYS]
    for each in arrays:
        tried = changes(request, Lever.ARRAYS, Cause.ENERGY_BALANCE)
        smaller = [t for t in tried if (t.value or 0.0) < (each.change.value or 0.0)]
        assert all(
            lasting_verdict_of(t.request, ProjectionCache(CATALOGUE)) is Verdict.FAILS
            for t in smaller
        )


def test_a_day_that_lasts_or_fails_already_has_no_lasting_remedy() -> None:
    failing = asked(operation={"set_point_c": 26.5})
    cache = ProjectionCache(CATALOGUE)
    assert advise(failing, result_of(failing), cache).lasting_remedies == ()


@given(
    st.sampled_from(["flatbed_cabin", "lined_panel_van", "plywood_teardrop"]),
    st.sampled_from(sorted(each.station_id for each in CATALOGUE.stations)[::5]),
    st.floats(22.0, 27.0),
    st.floats(0.1, 1.0),
    st.sampled_from(["low_only", "low_then_high", "off"]),
)
def test_every_remedy_named_holds_by_a_run_of_its_own(
    rig: str, station: str, set_point_c: float, charge: float, policy: str
) -> None:
    site = next(s for s in CATALOGUE.stations if s.station_id == station).site
    place = {
        "latitude": site.latitude,
        "longitude": site.longitude,
        "elevation_m": site.elevation_m,
    }
    document = deepcopy(BASE) | {"rig": rig, "place": place}
    document["weather"] = {"typical_year": {"from": "01-15", "station": station}}
    document["operation"].update(set_point_c=round(set_point_c, 1), policy=policy)
    document["start"].update(state_of_charge=round(charge, 2))
    request = load_projection(document, sample_rig).value
    result = result_of(request)
    assume(result.summary.verdict is not Verdict.HOLDS)
    remedies = advise(request, result, ProjectionCache(CATALOGUE)).remedies
    levers = [each.change.lever for each in remedies]
    assert levers == sorted(set(levers), key=list(Lever).index)
    for each in remedies:
        assert each.verdict > result.summary.verdict
        assert result_of(each.change.request).summary.verdict is each.verdict


def test_a_long_stretch_is_not_tried_for_long() -> None:
    request = asked(
        weather={"typical_year": BASE["weather"]["typical_year"] | {"days": 20}},
    )
    cache = ProjectionCache(CATALOGUE)
    ran = 0

    class Counted(ProjectionCache):
        def prepare(self, request: ProjectionRequest) -> Any:
            nonlocal ran
            ran += 1
            return cache.prepare(request)

    find_remedies(request, Verdict.FAILS, Cause.ENERGY_BALANCE, Counted(CATALOGUE))
    assert 1 <= ran <= MOST_TRIAL_DAYS // 23


def test_levers_that_the_rig_lacks_are_not_tried() -> None:
    request = asked()
    bare = replace(request, rig=replace(request.rig, cooler=None, arrays=()))
    for lever in (Lever.SET_POINT, Lever.COOLING_START, Lever.POLICY, Lever.ARRAYS, Lever.COOLER):
        assert changes(bare, lever, Cause.CAPACITY) == []


def test_a_set_point_goes_up_for_energy_and_never_to_the_limit() -> None:
    request = asked(operation={"set_point_c": 25.5})
    up = [each.value for each in changes(request, Lever.SET_POINT, Cause.ENERGY_BALANCE)]
    assert up == [26.0, 26.5]
    down = [each.value for each in changes(request, Lever.SET_POINT, Cause.MEASURE)]
    assert down == [25.0, 24.5, 24.0, 23.5, 22.5]


def test_the_policy_lever_frees_the_stages_that_were_not_allowed() -> None:
    request = asked(operation={"policy": "low_only"})
    (freed,) = changes(request, Lever.POLICY, Cause.SCHEDULE)
    assert freed.request.scenario.operation.policy is Policy.LOW_THEN_HIGH
    assert changes(asked(), Lever.POLICY, Cause.SCHEDULE) == []


def test_the_chance_is_given_where_it_is_asked_for() -> None:
    request = replace(asked(), chance=True)
    chance = advise(request, result_of(request), ProjectionCache(CATALOGUE)).chance
    assert chance is not None and 0.9 <= chance.probability <= 1.0


def test_the_report_is_plain() -> None:
    request = asked(operation={"set_point_c": 26.5})
    remedies = advise(request, result_of(request), ProjectionCache(CATALOGUE)).remedies
    for row in remedies_report(remedies):
        assert set(row) == {"lever", "sentence", "verdict", "value", "unit"}
        assert row["verdict"] in {"holds", "narrowly"}
        json.dumps(row, allow_nan=False)


@pytest.mark.parametrize("lever", list(Lever))
def test_every_lever_has_changes_for_some_day(lever: Lever) -> None:
    request = asked(
        operation={
            "policy": "low_only",
            "spans": [{"from": "09:00", "to": "20:00", "deployed": False, "occupants": 1}],
        },
        place={"shade": []},
    )
    assert changes(request, lever, Cause.CAPACITY)
