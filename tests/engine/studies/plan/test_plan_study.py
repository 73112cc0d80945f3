"""The plan of a day: a projection repeats it, no fixed schedule betters it, no bound is broken."""

import json
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from noonhold.documents.plan_document import PlanSchema, dump_plan, load_plan
from noonhold.documents.scenario_document import load_operation
from noonhold.errors import DocumentError, StationNotFoundError
from noonhold.projection_request import ProjectionRequest
from noonhold.projection_result import run_projection
from noonhold.rig import Policy
from noonhold.scenario import Ground, Operation, Place, Setting, Span
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.controls import control_tables
from noonhold.studies.plan.day_plan import Drive, Plan, PlanTables
from noonhold.studies.plan.plan_search import merit_of
from noonhold.studies.plan.plan_study import PlanOutcome, PlanRequest, PlanResult, plan_day
from noonhold.studies.study_base import Prepared, ProjectionCache
from noonhold.twins import TwinRecords
from noonhold.verdict import CAUTIONS, judge
from noonhold.weather.catalogue import Catalogue, scan
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_request import TypicalYear
from tests.engine.document_samples import changed
from tests.engine.studies.study_samples import CHECKOUT, example, sample_rig, sample_stations

EXAMPLE = "plan_slide_in"
SAMPLES = sample_stations()
REAL = scan(CHECKOUT / "tests" / "data" / "weather")
read = lru_cache(read_weather)
FIXED = (Policy.LOW_ONLY, Policy.LOW_THEN_HIGH, Policy.HIGH_ONLY)


def request(*changes: tuple[str, Any]) -> PlanRequest:
    return load_plan(changed(example(EXAMPLE), *changes), sample_rig).value


def at_station(name: str, month: int, day: int) -> PlanRequest:
    """Ask the example's question under real weather."""
    station = next(s for s in REAL.stations if name in s.station_id)
    asked = request()
    site = station.site
    # On grass: over dry soil the day in the desert can be kept by no plan.
    scenario = replace(
        asked.base.scenario,
        place=Place(site.latitude, site.longitude, site.elevation_m, ground=Ground.GRASS),
    )
    weather = TypicalYear(month, day, 1, station.station_id)
    return replace(asked, base=ProjectionRequest(asked.base.rig, scenario, weather))


CASES = {
    "sample": (request(), SAMPLES),
    "denver": (at_station("Denver", 7, 20), REAL),
    "las_vegas": (at_station("Vegas", 6, 15), REAL),
}


@pytest.fixture(scope="module")
def plans() -> dict[str, PlanResult]:
    return {name: plan_day(asked, where, read) for name, (asked, where) in CASES.items()}


@pytest.fixture(params=CASES)
def case(
    request: pytest.FixtureRequest, plans: dict[str, PlanResult]
) -> tuple[PlanRequest, Catalogue, PlanResult]:
    asked, where = CASES[request.param]
    return asked, where, plans[request.param]


def merit(prepared: Prepared, record: np.ndarray[Any, Any]) -> tuple[float, ...]:
    question = prepared.request
    return merit_of(
        record,
        question.scenario.comfort,
        prepared.shown_clock(),
        question.rig.battery.usable_energy_wh,
    )


def test_a_projection_repeats_the_plan_to_the_watt_hour(
    case: tuple[PlanRequest, Catalogue, PlanResult],
) -> None:
    asked, where, plan = case
    document = json.loads(json.dumps(dump_plan(plan)["operation"]))
    operation = load_operation(document).value
    assert operation == plan.operation
    scenario = replace(asked.base.scenario, operation=operation)
    told = run_projection(asked.base.rig, scenario, asked.base.weather, where, read)
    assert told.summary.lowest_charge == plan.figures.lowest_charge
    assert told.summary.charge_at_end == plan.figures.charge_at_end
    assert told.days.cooler_wh.sum() == plan.figures.cooler_wh
    assert told.summary.holds == plan.figures.holds


def test_no_fixed_schedule_is_better(
    case: tuple[PlanRequest, Catalogue, PlanResult],
) -> None:
    """Run as operations, also at set points the search did not enumerate."""
    asked, where, plan = case
    bench = ProjectionCache(where, read)
    prepared = bench.prepare(asked.base)
    planned = bench.prepare(
        ProjectionRequest(
            asked.base.rig,
            replace(asked.base.scenario, operation=plan.operation),
            asked.base.weather,
        )
    )
    best = merit(planned, run_cases([planned.case])[0])
    first, last = asked.base.scenario.operation.cooling_window
    tried = 0
    for policy in FIXED:
        for set_point in np.arange(asked.lowest_set_point_c, asked.highest_set_point_c + 0.1, 0.5):
            for start in np.arange(first, last, 1.0):
                off = (Span(first, start, Setting(policy=Policy.OFF)),) if start > first else ()
                operation = Operation(float(set_point), policy, (first, last), spans=off)
                scenario = replace(asked.base.scenario, operation=operation)
                control = control_tables(asked.base.rig, scenario, prepared.step_s)
                record = run_cases([replace(prepared.case, control=control)])[0]
                assert best >= merit(prepared, record), (policy, set_point, start)
                tried += 1
    assert tried == 3 * 17 * 7


def test_the_plan_saves_charge_on_a_day_that_costs_some(plans: dict[str, PlanResult]) -> None:
    plan = plans["las_vegas"]
    assert plan.outcome is PlanOutcome.KEPT
    assert plan.figures.holds
    assert plan.best_fixed.figures.holds
    assert plan.figures.lowest_charge > plan.best_fixed.figures.lowest_charge + 0.005
    # Little is left to gain: the cooler lives on the day's own sun but for a few hours.
    assert plan.figures.lowest_charge <= plan.bounds.without_cooling
    assert plan.figures.lowest_charge > plan.bounds.without_cooling - 0.02


def test_no_plan_is_above_its_bounds(case: tuple[PlanRequest, Catalogue, PlanResult]) -> None:
    _, _, plan = case
    bounds = plan.bounds
    assert bounds.foresight is not None
    # The linear program is solved to 1e-7 of its constraints.
    assert plan.figures.lowest_charge <= bounds.foresight + 1e-6
    assert bounds.foresight <= bounds.without_cooling
    assert plan.best_fixed.figures.lowest_charge <= bounds.without_cooling


def test_the_bound_of_foresight_is_the_tighter_one_where_cooling_lasts_into_the_night() -> None:
    hours = ("/projection/operation/cooling_window", {"from": "12:00", "to": "24:00"})
    plan = plan_day(request(hours, ("/most_runs", 100)), SAMPLES, read)
    assert plan.bounds.foresight is not None
    assert plan.figures.lowest_charge <= plan.bounds.foresight + 1e-6
    assert plan.bounds.foresight < plan.bounds.without_cooling - 0.01


def test_the_same_request_gives_the_same_plan(plans: dict[str, PlanResult]) -> None:
    assert plan_day(request(), SAMPLES, read) == plans["sample"]


def test_more_runs_never_make_a_worse_plan(plans: dict[str, PlanResult]) -> None:
    none = plan_day(request(("/most_runs", 0)), SAMPLES, read)
    assert plans["sample"].figures.lowest_charge >= none.figures.lowest_charge
    assert none.runs < plans["sample"].runs


def test_where_nothing_keeps_the_limit_it_says_so_and_comes_nearest() -> None:
    plan = plan_day(request(("/projection/comfort/limit", 17), ("/most_runs", 50)), SAMPLES, read)
    assert plan.outcome is PlanOutcome.NOT_KEPT
    assert not plan.figures.holds
    share = plan.figures.worst_day_comfortable_fraction
    asked = plan.as_asked.worst_day_comfortable_fraction
    assert share is not None
    assert asked is not None
    assert share >= asked


DRIVE = ("/drive", {"duration_h": 2, "speed_km_h": 80, "earliest": "09:00", "latest": "14:00"})


def test_a_drive_is_put_where_it_serves_best_and_no_start_is_better() -> None:
    asked = request(DRIVE, ("/most_runs", 50))
    plan = plan_day(asked, SAMPLES, read)
    assert plan.drive_start in (9.0, 10.0, 11.0, 12.0)
    drives = [s for s in plan.operation.spans if s.setting.driving_speed_km_h is not None]
    assert [(s.from_hour, s.to_hour) for s in drives] == [(plan.drive_start, plan.drive_start + 2)]
    assert plan.figures.alternator_wh > 0.0
    for start in (9.0, 10.0, 11.0, 12.0):
        span = Span(start, start + 2.0, Setting(driving_speed_km_h=80.0))
        operation = replace(asked.base.scenario.operation, spans=(span,))
        scenario = replace(asked.base.scenario, operation=operation)
        fixed = run_projection(asked.base.rig, scenario, asked.base.weather, SAMPLES, read)
        assert plan.figures.holds >= fixed.summary.holds
        if fixed.summary.holds:
            assert plan.figures.lowest_charge >= fixed.summary.lowest_charge - 1e-9


@pytest.fixture(scope="module")
def tables() -> PlanTables:
    window = ("/projection/operation/cooling_window", {"from": "22:30", "to": "07:15"})
    prepared = ProjectionCache(SAMPLES, read).prepare(request(window).base)
    return PlanTables(prepared, Drive(1.5, 60.0, 5.0, 9.0))


@settings(max_examples=25)
@given(
    st.lists(st.sampled_from([20.0, 24.0, 25.5]), min_size=24, max_size=24),
    st.lists(st.sampled_from([*FIXED, Policy.OFF]), min_size=24, max_size=24),
    st.sampled_from([5.0, 6.0, 7.0]),
)
def test_the_tables_of_a_plan_are_those_of_its_operation(
    tables: PlanTables, set_points: list[float], policies: list[Policy], drive: float
) -> None:
    plan = Plan(tuple(set_points), tuple(policies), drive)
    prepared = tables.prepared
    scenario = replace(prepared.request.scenario, operation=tables.operation(plan))
    asked = control_tables(prepared.request.rig, scenario, prepared.step_s)
    quick = tables.case(plan).control
    inside = asked.in_window == 1
    np.testing.assert_array_equal(quick.set_point[inside], asked.set_point[inside])
    for name in set(asked._fields) - {"set_point"}:
        np.testing.assert_array_equal(getattr(quick, name), getattr(asked, name), err_msg=name)


def test_a_merit_ranks_as_the_verdict_judges(plans: dict[str, PlanResult]) -> None:
    question = request().base
    scenario = replace(question.scenario, operation=plans["sample"].operation)
    prepared = ProjectionCache(SAMPLES, read).prepare(replace(question, scenario=scenario))
    record = run_cases([prepared.case])[0]
    days = judge(prepared.projection(TwinRecords(record, record, record, None)))
    holding, _, _, lowest, end = merit(prepared, record)
    assert holding == int(days.holds.sum()) == 1
    assert lowest == pytest.approx(days.lowest_charge.min(), abs=1e-9)
    assert end == pytest.approx(days.charge_at_end[-1], abs=1e-9)
    stopped = record.copy()
    stopped[5, ch.FIRST_RESERVE] = 0.0
    assert merit(prepared, stopped)[0] == 0


def test_the_answer_is_a_document_with_its_cautions(plans: dict[str, PlanResult]) -> None:
    loaded = load_plan(example(EXAMPLE), sample_rig)
    document = dump_plan(plans["sample"], loaded.assumptions)
    text = json.loads(json.dumps(document, allow_nan=False))
    assert text["cautions"] == list(CAUTIONS)
    assert "proven" in text["lowest_charge_at_best"]["statement"]
    assert "/seed" in {each["path"] for each in text["assumptions"]}


FAULTS: list[tuple[tuple[str, Any], str]] = [
    (("/highest_set_point_c", 19), "/highest_set_point_c"),
    (("/most_runs", 2.5), "/most_runs"),
    (("/seed", -1), "/seed"),
    (("/surprise", 1), "/surprise"),
    (("/drive", {**DRIVE[1], "duration_h": 6}), "/drive/latest"),
    (("/drive", {**DRIVE[1], "speed_km_h": 0}), "/drive/speed_km_h"),
    (("/drive", {**DRIVE[1], "duration_h": 0.33}), "/drive/duration_h"),
    (("/projection/operation/set_point_c", 77), "/projection/operation/set_point_c"),
    (("/projection/operation/set_point_c", "cold"), "/projection/operation/set_point_c"),
]


@pytest.mark.parametrize(("change", "pointer"), FAULTS)
def test_a_faulty_request_is_refused_with_its_pointer(
    change: tuple[str, Any], pointer: str
) -> None:
    with pytest.raises(DocumentError) as caught:
        load_plan(changed(example(EXAMPLE), change), sample_rig)
    assert [fault.path for fault in caught.value.faults] == [pointer]


def test_heating_above_every_set_point_is_refused() -> None:
    operation = {"set_point_c": 35, "heating_set_point_c": 32}
    with pytest.raises(DocumentError) as caught:
        request(("/projection/operation", operation))
    assert [fault.path for fault in caught.value.faults] == ["/highest_set_point_c"]


def test_more_than_a_week_is_refused() -> None:
    with pytest.raises(DocumentError) as caught:
        plan_day(request(("/projection/weather/typical_year/days", 8)), SAMPLES, read)
    assert caught.value.faults[0].path == "/projection/weather"


def test_an_unknown_station_is_told_where_it_was_asked_for() -> None:
    change = ("/projection/weather/typical_year/station", "nowhere")
    with pytest.raises(StationNotFoundError) as caught:
        plan_day(request(change), SAMPLES, read)
    assert caught.value.faults[0].path == change[0]


def test_the_schema_describes_every_field() -> None:
    fields = PlanSchema().fields
    assert {name for name, field in fields.items() if field.required} == {"projection"}
    assert all(field.metadata.get("description") for field in fields.values())
