"""Warm-up: against parked cars, against the projection itself, and in the right order."""

import json
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.documents import load_rig
from noonhold.documents.warm_up_document import load_warm_up
from noonhold.errors import DocumentError
from noonhold.projection_request import ProjectionRequest
from noonhold.rig import Rig
from noonhold.scenario import Comfort, ComfortMeasure, CoverState, Operation, Place, Scenario, Start
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.run_state import slice_forcing
from noonhold.simulation.simulation_case import prepare
from noonhold.studies.study_base import ProjectionCache
from noonhold.studies.warm_up.cooler_stop import (
    StoppableRun,
    fine_forcing,
    fine_step,
    minutes_until,
)
from noonhold.studies.warm_up.warm_up_study import (
    PARKED_CAR_RISE_K,
    WARM_UP_CAUTION,
    WarmUp,
    WarmUpRequest,
    warm_up,
    warm_up_report,
)
from noonhold.verdict import CAUTIONS
from noonhold.weather.hot_day import HotDay
from tests.engine.document_samples import changed, without
from tests.engine.studies.study_samples import example, sample_rig, sample_stations

CATALOGUE = sample_stations()

# Invented, of the size and make of a saloon car: thin metal with a lining, single tinted glass.
CAR: dict[str, Any] = {
    "name": "parked car",
    "shell": {
        "volume_m3": 3.0,
        "contents_heat_capacity_kj_k": 60.0,
        "contents_area_m2": 6.0,
        "contents_solar_fraction": 0.6,
        "leakage": {"air_changes_per_hour": 1.0},
        "panels": [
            {"name": name, "face": face, "area_m2": area, "u_value_w_m2k": 3.0,
             "heat_capacity_kj_m2k": 8.0, "solar_absorptance": 0.7}
            for name, face, area in (
                ("roof", "roof", 2.0), ("left", "left", 2.0), ("right", "right", 2.0),
                ("front", "front", 1.0), ("rear", "rear", 1.0),
            )
        ] + [{"name": "floor", "face": "floor", "area_m2": 3.5, "u_value_w_m2k": 3.0,
              "heat_capacity_kj_m2k": 8.0, "exposed_to": "underside"}],
        "windows": [
            {"name": name, "tilt_deg": tilt, "azimuth_from_front_deg": azimuth, "area_m2": area,
             "u_value_w_m2k": 5.7, "solar_heat_gain_coefficient": 0.65, "panes": 1}
            for name, tilt, azimuth, area in (
                ("windscreen", 45.0, 0.0, 1.0), ("rear", 45.0, 180.0, 0.8),
                ("left", 80.0, 270.0, 0.6), ("right", 80.0, 90.0, 0.6),
            )
        ],
    },
    "cooler": {
        "stages": [{"name": "only", "cooling_w": 6000, "power_w": 2000}],
        "airflow_m3_h": 1500, "sensible_heat_ratio": 0.85, "fan_power_w": 100,
    },
    "battery": {"usable_energy_wh": 30000},
}  # fmt: skip


def in_car(outdoor_c: float) -> WarmUpRequest:
    """A clear day, the car at noon as warm as the air, as the experiment began."""
    scenario = Scenario(
        place=Place(latitude=37.0, longitude=-122.0, elevation_m=30.0),
        operation=Operation(set_point_c=outdoor_c),
        comfort=Comfort(ComfortMeasure.AIR, 26.0),
        start=Start(1.0, outdoor_c),
    )
    day = HotDay(date(2026, 7, 15), outdoor_c, outdoor_c - 8.0, 12.0, 2.0, hour_of_high=13.0)
    return WarmUpRequest(
        ProjectionRequest(load_rig(CAR).value, scenario, day), stop_hour=12.0, horizon_h=1
    )


def run(name: str) -> WarmUp:
    return warm_up(load_warm_up(example(name), sample_rig).value, CATALOGUE)


@pytest.fixture(scope="module")
def desert() -> WarmUp:
    return run("warm_up_desert")


@pytest.fixture(scope="module")
def van() -> WarmUp:
    return run("warm_up_van")


@pytest.mark.parametrize("outdoor_c", [24.0, 30.0, 36.0])
def test_a_car_warms_as_parked_cars_were_seen_to(outdoor_c: float) -> None:
    """McLaren, Null, Quinn, Pediatrics 116(1) e109, 2005: 22 K in an hour, outdoors 22 to 36 degC.

    They saw 80 % of it in the first half hour. Cars differ: half to one and a half of the
    published rise from 20 minutes on is the right order. In the first minutes ours is faster than
    seen (11 K in 5 minutes, 16 in 10): its air was held cool in a shell hot from the sun, theirs
    was let warm from a car that was cool throughout. Such a car's first ten minutes are held to
    the published 7 to 10.6 K in tests/published/test_parked_vehicle.py.
    """
    found = warm_up(in_car(outdoor_c), CATALOGUE)
    rise = found.cases[0].rise_k
    assert found.cabin_c == pytest.approx(outdoor_c, abs=0.3)
    for minute, published in PARKED_CAR_RISE_K.items():
        assert rise[minute] > 0.5 * published
        assert minute < 20 or rise[minute] < 1.5 * published
    assert 0.65 < rise[30] / rise[60] < 0.95


def test_the_rise_hardly_asks_for_the_outdoor_temperature() -> None:
    """The same study: about 22 K whatever the outdoor temperature."""
    cool, hot = (warm_up(in_car(t), CATALOGUE).cases[0].rise_k[60] for t in (24.0, 36.0))
    assert cool == pytest.approx(hot, rel=0.15)


def test_a_cabin_with_insulation_warms_slower_than_a_car(van: WarmUp) -> None:
    car = warm_up(in_car(36.0), CATALOGUE).cases[0]
    assert van.cases[0].rise_k[60] < car.rise_k[60]


def test_until_the_stop_the_run_is_the_projection() -> None:
    asked = load_warm_up(example("warm_up_desert"), sample_rig).value.base
    # The cells of arrays take the middle of a row, which here is a minute and there an hour.
    asked = replace(asked, rig=replace(asked.rig, arrays=()))
    prepared = ProjectionCache(CATALOGUE, step_s=60).prepare(asked)
    stoppable = StoppableRun(prepared)
    (record,) = run_cases([prepared.case])
    moment = stoppable.start()
    for hour in range(24):
        for quarter in range(4):
            moment = stoppable.advance(moment, hour * 60 + (quarter + 1) * 15)
        assert moment.charge.stored_wh[0] == pytest.approx(record[hour, ch.STORED], rel=1e-10)
    assert moment.step == len(stoppable)


def test_every_column_by_interval_is_cut_into_steps() -> None:
    """The compiled loop does not check indices: a column left out would be read past its end."""
    forcing = ProjectionCache(CATALOGUE).prepare(in_car(30.0).base).case.forcing
    fine = fine_forcing(forcing, 60)
    one = slice_forcing(forcing, 0, 1)
    by_interval = [
        name
        for name in forcing._fields
        if isinstance(getattr(forcing, name), np.ndarray)
        and len(getattr(one, name)) != len(getattr(forcing, name))
    ]
    assert "imposed_heat" in by_interval
    for name in by_interval:
        assert len(getattr(fine, name)) == 60 * len(getattr(forcing, name)), name
    assert fine.interval_s == 60
    assert np.array_equal(fine.outdoor_start[1:], fine.outdoor_end[:-1])


def test_after_the_stop_the_run_is_that_of_a_rig_without_its_cooler() -> None:
    asked = load_warm_up(example("warm_up_van"), sample_rig).value
    start = Start(1.0, 24.0)
    scenario = replace(asked.base.scenario, start=start)
    question = replace(asked.base, scenario=scenario)
    found = warm_up(replace(asked, base=question, stop_hour=0.0), CATALOGUE)
    (case,) = [c for c in found.cases if c.covers is CoverState.ALL and c.occupants == 0.0]

    bare = replace(question.rig, cooler=None)
    spans = tuple(
        replace(s, setting=replace(s.setting, covers=CoverState.ALL))
        for s in scenario.operation.spans
    )
    alone = replace(scenario, operation=replace(scenario.operation, spans=spans))
    table = ProjectionCache(CATALOGUE).select(question).table
    simulation_case, _ = prepare(bare, alone, table, 0, 60)
    (record,) = run_cases([simulation_case])
    by_hour = case.temperature_c[1:].reshape(-1, 60).mean(axis=1)
    assert by_hour == pytest.approx(record[:6, ch.CABIN], abs=0.05)


def test_people_inside_make_it_faster(desert: WarmUp, van: WarmUp) -> None:
    for found in (desert, van):
        for covers in (CoverState.OPEN, CoverState.ALL):
            empty, full = (c for c in found.cases if c.covers is covers)
            assert (empty.occupants, full.occupants) == (0.0, 2.0)
            assert (full.temperature_c[1:] > empty.temperature_c[1:]).all()
            for threshold, minutes in empty.minutes_until.items():
                sooner = full.minutes_until[threshold]
                assert minutes is None or (sooner is not None and sooner < minutes)


def test_drawn_covers_make_it_slower_by_day(van: WarmUp) -> None:
    empty = {c.covers: c for c in van.cases if c.occupants == 0.0}
    for threshold in (30.0, 35.0, 40.0):
        drawn = empty[CoverState.ALL].minutes_until[threshold]
        bare = empty[CoverState.OPEN].minutes_until[threshold]
        assert drawn is not None
        assert bare is not None
        assert drawn > bare


def test_a_higher_threshold_comes_later(desert: WarmUp, van: WarmUp) -> None:
    for case in (*desert.cases, *van.cases):
        minutes = [m for m in case.minutes_until.values() if m is not None]
        assert minutes == sorted(minutes)
        assert len(minutes) == sum(t <= case.highest_c for t in case.minutes_until)


def test_the_worst_moment_is_the_fastest_of_those_tried(desert: WarmUp) -> None:
    fastest = min(t.minutes for t in desert.trials if t.minutes is not None)
    (chosen,) = [t for t in desert.trials if t.at == desert.stop_at]
    assert chosen.minutes == fastest
    assert fastest == min(c.minutes_until[30.0] or 0.0 for c in desert.cases)
    assert len(desert.trials) == 13 * 4
    assert "T14:" < desert.stop_at[10:14] + ":" < "T18:"


def test_the_worst_moment_asked_for_by_its_hour_gives_the_same(desert: WarmUp) -> None:
    document = changed(example("warm_up_desert"), ("/stop_at", desert.stop_at[11:16]))
    stated = warm_up(load_warm_up(document, sample_rig).value, CATALOGUE)
    assert not stated.worst
    assert stated.trials == ()
    assert stated.stop_at == desert.stop_at
    for one, other in zip(stated.cases, desert.cases, strict=True):
        assert np.array_equal(one.temperature_c, other.temperature_c)


def test_a_stop_late_in_the_day_is_followed_into_the_next() -> None:
    document = changed(
        example("warm_up_van"), ("/stop_at", "18:30"), ("/horizon_h", 10), ("/thresholds_c", [60])
    )
    found = warm_up(load_warm_up(document, sample_rig).value, CATALOGUE)
    assert found.stop_at == "2026-01-20T18:30:00-08:00"
    assert found.followed_h == 10.0
    assert len(found.cases[0].temperature_c) == 601
    assert [c.minutes_until for c in found.cases] == [{60.0: None}] * 4


def test_own_columns_end_where_they_end() -> None:
    columns = {
        "temp_air": [33.0] * 24,
        "relative_humidity": [30] * 24,
        "ghi": [0] * 7 + [300, 450, 600, 700, 750, 750, 700, 600, 450, 300] + [0] * 7,
        "wind_speed": [2] * 24,
    }
    hourly = {"start": "2026-01-20T00:00:00-08:00", "columns": columns}
    document = changed(
        example("warm_up_van"),
        ("/projection/weather", {"hourly": hourly}),
        ("/projection/start", {"state_of_charge": 1}),
        ("/stop_at", "22:00"),
    )
    found = warm_up(load_warm_up(document, sample_rig).value, CATALOGUE)
    assert found.followed_h == 2.0
    assert any("weather ends" in note for note in found.notes)


def test_a_cabin_already_past_a_threshold_counts_no_minutes() -> None:
    document = changed(example("warm_up_van"), ("/thresholds_c", [15, 20, 30]))
    found = warm_up(load_warm_up(document, sample_rig).value, CATALOGUE)
    assert found.cases[0].minutes_until[15.0] == 0.0
    assert (found.cases[0].minutes_until[30.0] or 0.0) > 0.0


def test_a_rig_without_covers_says_so() -> None:
    found = warm_up(in_car(30.0), CATALOGUE)
    assert any("no covers" in note for note in found.notes)
    assert np.array_equal(found.cases[0].temperature_c, found.cases[2].temperature_c)


@pytest.mark.parametrize("policy", ["off", "fan_only"])
def test_a_cooler_that_never_runs_cannot_stop(policy: str) -> None:
    document = changed(example("warm_up_desert"), ("/projection/operation/policy", policy))
    with pytest.raises(DocumentError) as caught:
        warm_up(load_warm_up(document, sample_rig).value, CATALOGUE)
    assert [f.path for f in caught.value.faults] == ["/projection/operation"]


def test_an_hour_outside_the_weather_is_told() -> None:
    document = changed(example("warm_up_van"), ("/stop_day", 9))
    with pytest.raises(DocumentError) as caught:
        warm_up(load_warm_up(document, sample_rig).value, CATALOGUE)
    assert [f.path for f in caught.value.faults] == ["/stop_at"]


def test_the_cautions_come_first(van: WarmUp) -> None:
    report = warm_up_report(van)
    assert next(iter(report)) == "cautions"
    assert report["cautions"] == [WARM_UP_CAUTION, *CAUTIONS]
    assert json.loads(json.dumps(report, allow_nan=False)) == report
    case = report["cases"][0]
    assert [each["temperature_c"] for each in case["minutes_until"]] == [30.0, 35.0, 40.0]
    assert case["rise"][-1]["parked_car_rise_k"] == 23.9


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        (("/stop_at", "25:00"), "/stop_at"),
        (("/stop_day", 0), "/stop_day"),
        (("/thresholds_c", [40, 30]), "/thresholds_c/1"),
        (("/thresholds_c", []), "/thresholds_c"),
        (("/horizon_h", "6"), "/horizon_h"),
        (("/horizon_h", 0), "/horizon_h"),
        (("/occupants", -1), "/occupants"),
        (("/colour", "red"), "/colour"),
        (("/projection/place/latitude", 99), "/projection/place/latitude"),
        (("/projection/weather/hot_day/days", 15), "/projection/weather"),
    ],
)
def test_faults_are_told_at_their_place(change: tuple[str, Any], pointer: str) -> None:
    with pytest.raises(DocumentError) as caught:
        load_warm_up(changed(example("warm_up_van"), change), sample_rig)
    assert [fault.path for fault in caught.value.faults] == [pointer]


def test_a_day_without_an_hour_is_refused_and_defaults_are_told() -> None:
    document = without(changed(example("warm_up_van"), ("/stop_day", 1)), "/stop_at")
    with pytest.raises(DocumentError) as caught:
        load_warm_up(document, sample_rig)
    assert [f.path for f in caught.value.faults] == ["/stop_day"]
    told = {
        a.path: a.value for a in load_warm_up(example("warm_up_desert"), sample_rig).assumptions
    }
    assert told["/horizon_h"] == 6.0
    assert told["/thresholds_c"] == [30.0, 35.0, 40.0]
    assert "/stop_at" in told


@given(
    st.lists(st.floats(-10, 60), min_size=2, max_size=30), st.floats(-10, 60), st.integers(1, 600)
)
def test_minutes_lie_where_the_line_first_reaches_the_threshold(
    curve: list[float], threshold: float, step_s: int
) -> None:
    found = minutes_until(np.array(curve), threshold, step_s)
    if found is None:
        assert max(curve) < threshold
        return
    at = found * 60.0 / step_s
    assert np.interp(at, np.arange(len(curve)), curve) == pytest.approx(threshold, abs=1e-6) or (
        found == 0.0 and curve[0] >= threshold
    )
    assert all(value < threshold for value in curve[: int(np.ceil(at - 1e-9))])


@given(st.sampled_from([60, 75, 90, 100, 120, 300, 450, 900, 1800, 3600]))
def test_a_step_divides_its_interval(interval_s: int) -> None:
    assert interval_s % fine_step(interval_s) == 0
    assert fine_step(interval_s) <= 60


def test_the_car_is_a_rig() -> None:
    rig: Rig = load_rig(CAR).value
    assert sum(w.area_m2 for w in rig.shell.windows) == pytest.approx(3.0)
