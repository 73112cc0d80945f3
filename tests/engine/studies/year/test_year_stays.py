"""The stays of a year: by arithmetic, and against full runs from every date."""

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from noonhold.day_causes import day_conditions
from noonhold.documents import load_comfort, load_operation, load_place, load_rig, load_start
from noonhold.quantities import FIRST_DAY, LIVING_THERE, LONGEST_STAY_D, Cause, Horizon, Verdict
from noonhold.rig import Battery, Rig
from noonhold.scenario import Scenario
from noonhold.simulation import channels as ch
from noonhold.simulation.changed_case import with_endless_battery
from noonhold.simulation.run_state import charge_state, copied, first_run_state, run_part
from noonhold.simulation.simulation_case import SimulationCase
from noonhold.studies.year.year_run import DAYS, YearRun, judge_year, run_year
from noonhold.studies.year.year_stays import YearStays, asked_of, year_stays
from noonhold.verdict import day_verdicts
from noonhold.weather.clock import Clock
from noonhold.weather.weather_files import read_weather
from noonhold_batch.sweep.sweep_cases import DEFAULT_SCENARIO
from tests.engine.studies.year.made_year import HandMade, hand_made, hours

IntArray = npt.NDArray[np.int64]
LOSSLESS = Battery(2000.0, 1.0, 1.0, reserve_fraction=0.1, in_cabin=False)


def stays_of(made: HandMade, charge: float = 1.0) -> YearStays:
    return year_stays(made.rig, made.scenario.comfort, made.run, 3600, charge)


def test_a_stay_ends_when_arithmetic_says() -> None:
    """50 W all day against 100 W for eight hours: 400 Wh lost a day once the bank is not full.

    Midnights at 2000, 1500 (full at 14:00, then ten hours of 50 W), 1100, 700, 300 Wh: the fifth
    day is at the reserve of 200 Wh two hours after it began. With 60 W: 2000, 1400, 760, 120.
    """
    made = hand_made(LOSSLESS, np.full(96, 50.0), hours(4, from_06_to_14=100.0), np.full(96, 60.0))
    found = stays_of(made)
    assert found.days.tolist() == [4, 4, 4, 4]  # the year begins again after its last day
    assert found.adverse_days.tolist() == [2, 2, 2, 2]
    assert set(found.first_cause) == {Cause.ENERGY_BALANCE}
    assert found.first_failure_hour == pytest.approx(2.0, abs=1e-3)
    verdicts = [found.verdict(length)[0] for length in (1, 2, 3, 4, 5)]
    assert verdicts == [
        Verdict.HOLDS, Verdict.HOLDS, Verdict.NARROWLY, Verdict.NARROWLY, Verdict.FAILS,
    ]  # fmt: skip


def test_a_stay_that_arrives_with_less_is_shorter() -> None:
    """From 1000 Wh: 700 Wh at 06:00, 1100 at 14:00, then 600, 200 at the second midnight."""
    made = hand_made(LOSSLESS, np.full(96, 50.0), hours(4, from_06_to_14=100.0))
    assert stays_of(made, 0.5).days.tolist() == [1, 1, 1, 1]


def test_comfort_ends_a_stay_whatever_the_battery_holds() -> None:
    made = hand_made(LOSSLESS, np.full(96, 10.0), hours(4, from_06_to_14=100.0), too_warm=(2,))
    found = stays_of(made)
    assert found.days.tolist() == [2, 1, 0, 3]
    assert set(found.first_cause) == {Cause.CAPACITY}
    assert found.first_failure_hour == pytest.approx(12.0)


def test_a_night_too_long_for_the_battery_is_told_from_a_day_that_takes_too_much() -> None:
    small = replace(LOSSLESS, usable_energy_wh=500.0)
    found = stays_of(hand_made(small, np.full(48, 50.0), hours(2, from_06_to_14=400.0)))
    # Full at 14:00 with 500 Wh, and at the reserve of 50 Wh nine hours later.
    assert found.days.tolist() == [0, 0]
    assert found.first_failure_hour == pytest.approx(23.0, abs=1e-3)
    assert set(found.first_cause) == {Cause.ENERGY_STORAGE}


def test_a_question_gives_its_verdicts_and_their_causes() -> None:
    made = hand_made(LOSSLESS, np.full(96, 50.0), hours(4, from_06_to_14=100.0))
    stays = stays_of(made)
    twins = made.run.twins
    from_judge = day_verdicts(
        made.rig, made.scenario.comfort, made.run.clock, twins.record, twins.uncooled, 3600
    )
    assert asked_of(from_judge, stays, LIVING_THERE) is from_judge
    first = asked_of(from_judge, stays, FIRST_DAY)
    assert set(first.verdict) == {Verdict.HOLDS}
    assert set(first.first_cause) == {Cause.NONE}
    five = asked_of(from_judge, stays, Horizon(5))
    assert set(five.verdict) == {Verdict.FAILS}
    assert set(five.first_cause) == {Cause.ENERGY_BALANCE}


# -------------------------------------------------------------------------- against full runs


def year_of(
    checkout: Path, rig_name: str, station: str, in_cabin: bool
) -> tuple[Rig, Scenario, YearRun]:
    document = json.loads(DEFAULT_SCENARIO.read_text())
    weather = read_weather(checkout / "sample_weather" / f"{station}.epw.gz")
    site = weather.site
    place = document["place"] | {
        "latitude": site.latitude, "longitude": site.longitude, "elevation_m": site.elevation_m,
    }  # fmt: skip
    scenario = Scenario(
        place=load_place(place).value,
        operation=load_operation(document["operation"]).value,
        comfort=load_comfort(document["comfort"]).value,
        start=load_start(document["start"]).value,
    )
    path = checkout / "sample_rigs" / f"{rig_name}.json"
    whole = load_rig(json.loads(path.read_text())).value
    whole = replace(whole, battery=replace(whole.battery, in_cabin=in_cabin))
    return whole, scenario, run_year(whole, scenario, weather)


def full_stays(case: SimulationCase, clock: Clock, scenario: Scenario) -> IntArray:
    """Run every stay in full, the cabin on arrival as the cooler has kept it the days before."""
    fed = with_endless_battery(case)
    first = case.spin_up
    state = first_run_state(fed)
    record = np.empty((first, len(ch.CHANNELS)))
    run_part(fed, 0, first, state, record)
    state = state._replace(charge=charge_state(fed.stored_wh))
    found = np.zeros(DAYS, dtype=np.int64)
    record = np.empty((24, len(ch.CHANNELS)))
    for arrival in range(DAYS):
        here = copied(state)._replace(charge=charge_state(case.battery.usable_energy_wh))
        while found[arrival] < LONGEST_STAY_D:
            day = (arrival + int(found[arrival])) % DAYS
            rows = slice(24 * day, 24 * day + 24)
            run_part(case, first + rows.start, first + rows.stop, here, record)
            of_day = Clock(clock.name, clock.starts[rows], clock.offset_s[rows])
            if not day_conditions(scenario.comfort, of_day, record).holds[0]:
                break
            found[arrival] += 1
        run_part(fed, first + 24 * arrival, first + 24 * arrival + 24, state, record)
    return found


@pytest.mark.parametrize(
    ("rig_name", "station", "in_cabin", "most_unlike"),
    [
        ("flatbed_cabin", "coast_ostmarrow", False, 0),
        ("plywood_teardrop", "plateau_highorrin", False, 0),
        # A battery in the cabin warms it a little less in hours in which it is full: some
        # hundredths of a Wh, which decide a stay only where they meet the reserve.
        ("flatbed_cabin", "basin_desert_alkumbra", True, 2),
    ],
)
def test_every_stay_of_a_year_is_that_of_a_full_run(
    checkout: Path, rig_name: str, station: str, in_cabin: bool, most_unlike: int
) -> None:
    whole, scenario, run = year_of(checkout, rig_name, station, in_cabin)
    found = year_stays(whole, scenario.comfort, run, 3600)
    assert len(np.unique(found.days)) > 5
    for days, case in (
        (found.days, run.simulation_case),
        (found.adverse_days, run.fed.adverse.case),
    ):
        full = full_stays(case, run.clock, scenario)
        if days is found.adverse_days:
            full = np.minimum(full, found.days)
        unlike = np.flatnonzero(full != days)
        assert len(unlike) <= most_unlike
        assert (np.abs(full - days)[unlike] <= 1).all()


def test_longer_stays_never_hold_more_and_living_there_asks_most(checkout: Path) -> None:
    """Of every date: one day before two, and so on; and days that hold in a row living there hold
    for who arrives full on the first of them."""
    whole, scenario, run = year_of(checkout, "flatbed_cabin", "plateau_highorrin", True)
    stays = year_stays(whole, scenario.comfort, run, 3600)
    days = judge_year(whole, scenario, run, 3600)
    verdicts = [stays.verdict(length) for length in range(1, LONGEST_STAY_D + 1)]
    for shorter, longer in pairwise(verdicts):
        assert (shorter >= longer).all()
    assert (stays.adverse_days <= stays.days).all()
    for floor in (Verdict.NARROWLY, Verdict.HOLDS):
        in_a_row = np.zeros(DAYS, dtype=np.int64)
        living = days.verdict >= floor
        for length in range(1, LONGEST_STAY_D + 1):
            row = np.all([np.roll(living, -k) for k in range(length)], axis=0)
            in_a_row[row] = length
        assert (in_a_row <= (stays.days if floor is Verdict.NARROWLY else stays.adverse_days)).all()
        assert in_a_row.max() > 3
    assert (verdicts[0] >= days.verdict).all()
