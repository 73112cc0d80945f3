"""Today, day after day, the stay: against full runs, and what must hang together."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from noonhold.errors import StationNotFoundError
from noonhold.projection import project
from noonhold.projection_result import ProjectionResult, run_projection
from noonhold.quantities import Cause, Verdict
from noonhold.rig import Battery, Controller, Policy, Rig
from noonhold.samples import weather_folder
from noonhold.scenario import Scenario, Start
from noonhold.verdict import judge
from noonhold.verdict_sentence import sentence
from noonhold.weather.catalogue import Catalogue, scan
from noonhold.weather.hot_day import HotDay
from noonhold.weather.weather_request import TypicalYear, WeatherRequest
from tests.engine.made import ROOF_ARRAY, rig, scene, summer

SETTLED = Start(0.8, spin_up_days=3)
HOT = HotDay(date=date(2026, 7, 15), high_c=36.0, low_c=18.0, dew_point_c=6.0, wind_speed_m_s=3.0)


def with_sizes(usable_wh: float, array_w: float) -> Rig:
    return rig(
        battery=Battery(usable_wh, in_cabin=False),
        arrays=(replace(ROOF_ARRAY, rated_power_w=array_w),),
        controllers=(Controller("controller", array_w),),
    )


def answer(
    whole: Rig, scenario: Scenario, weather: WeatherRequest = HOT, where: Catalogue | None = None
) -> ProjectionResult:
    return run_projection(whole, scenario, weather, where or Catalogue(()))


def test_a_day_that_takes_more_than_it_gives_holds_today_and_not_day_after_day() -> None:
    found = answer(with_sizes(9000.0, 400.0), scene(start=replace(SETTLED, state_of_charge=1.0)))
    assert found.summary.holds
    sustained = found.sustained
    assert sustained.verdict is Verdict.FAILS
    assert sustained.daily_balance_wh is not None
    assert sustained.daily_balance_wh < 0.0
    failed = sustained.first_failure
    assert failed is not None
    assert failed.day > 1
    assert failed.first_cause is Cause.ENERGY_BALANCE
    said = sentence(found)
    assert "today" in said
    assert "Not day after day: each such day takes" in said


def test_the_first_day_that_fails_is_that_of_the_same_day_run_in_full() -> None:
    whole = with_sizes(4500.0, 400.0)
    # At the solstice, where the sun is the same from date to date.
    solstice = replace(HOT, date=date(2026, 6, 21))
    found = answer(whole, scene(start=replace(SETTLED, state_of_charge=1.0)), solstice)
    failed = found.sustained.first_failure
    assert failed is not None
    # The very same day again and again: its weather repeated, behind the days that settle it.
    day = summer(first=date(2026, 6, 18))
    rows = np.tile(np.arange(24), 3 + failed.day + 1)
    names = (
        "ghi", "dni", "dhi", "horizontal_infrared", "temp_air", "relative_humidity", "pressure",
        "wind_speed",
    )  # fmt: skip
    repeated = replace(day, **{name: getattr(day, name)[rows] for name in names})
    done = project(whole, scene(start=Start(1.0, spin_up_days=3)), repeated, 72)
    days = judge(done)
    assert np.flatnonzero(~days.holds)[0] + 1 == failed.day
    assert days.first_failure_hour[failed.day - 1] == pytest.approx(failed.hour, abs=0.25)


def test_a_day_that_gives_what_it_takes_holds_day_after_day() -> None:
    found = answer(with_sizes(12000.0, 2500.0), scene(start=SETTLED))
    sustained = found.sustained
    assert sustained.verdict is Verdict.HOLDS
    assert sustained.first_failure is None
    assert sustained.days is not None
    assert sustained.days.energy_margin_wh[0] > 0.0
    assert found.stay is not None
    assert (found.stay.days, found.stay.first_failure) == (14, None)
    assert sentence(found).endswith("Day after day as well.")


def test_day_after_day_is_today_from_the_settled_charge() -> None:
    for array_w in (900.0, 1200.0, 2500.0):
        whole = with_sizes(9000.0, array_w)
        sustained = answer(whole, scene(start=SETTLED)).sustained
        settled = answer(whole, scene(start=Start(None, spin_up_days=3)))
        if sustained.verdict is not Verdict.FAILS:
            assert settled.summary.holds
            assert settled.projection.charge_at_start == pytest.approx(
                sustained.settled_charge, abs=1e-3
            )
        else:
            assert not settled.summary.holds


def test_a_battery_too_small_for_the_night_is_told_from_a_day_that_takes_too_much() -> None:
    small = answer(with_sizes(420.0, 3000.0), scene(start=SETTLED)).sustained
    assert small.verdict is Verdict.FAILS
    assert small.daily_balance_wh is not None
    assert small.daily_balance_wh > 0.0
    assert small.first_failure is not None
    assert small.first_failure.first_cause is Cause.ENERGY_STORAGE


YEAR = TypicalYear(1, 12, 1)


@pytest.mark.parametrize("usable_wh", [5000.0, 8000.0, 12000.0])
def test_a_stay_is_what_a_full_run_of_its_days_shows(usable_wh: float) -> None:
    near = scan(weather_folder())
    station = near.stations[0]
    place = replace(
        scene().place,
        latitude=station.site.latitude,
        longitude=station.site.longitude,
        elevation_m=station.site.elevation_m,
    )
    whole = with_sizes(usable_wh, 700.0)
    asked = replace(YEAR, station=station.station_id)
    scenario = scene(place=place, start=SETTLED)
    stay = answer(whole, scenario, asked, near).stay
    assert stay is not None
    full = scene(place=place, start=replace(SETTLED, state_of_charge=1.0))
    days = answer(whole, full, replace(asked, days=14), near).days
    failed = np.flatnonzero(~days.holds)
    assert stay.days == (failed[0] if len(failed) else 14)
    if len(failed):
        assert stay.first_failure is not None
        assert stay.first_failure.date == str(days.date[failed[0]])
        assert stay.first_failure.hour == pytest.approx(
            days.first_failure_hour[failed[0]], abs=5.1 / 60.0
        )
        assert int(stay.first_failure.first_cause) == days.first_cause[failed[0]]


def test_a_stretch_carries_its_charge_and_needs_days_before_it() -> None:
    near = scan(weather_folder())
    station = near.stations[0]
    asked = TypicalYear(7, 1, 3, station=station.station_id, allow_far=True)
    told = answer(with_sizes(9000.0, 900.0), scene(start=SETTLED), asked, near)
    again = answer(with_sizes(9000.0, 900.0), scene(start=Start(None, None, 3)), asked, near)
    assert told.sustained.verdict is again.summary.verdict
    assert told.sustained.settled_charge == pytest.approx(again.projection.charge_at_start)
    bare = answer(with_sizes(9000.0, 900.0), scene(), asked, near).sustained
    assert bare.verdict is None
    assert bare.reason is not None
    assert "settled" in bare.reason


def test_a_station_that_is_named_must_be_near_unless_far_is_allowed() -> None:
    near = scan(weather_folder())
    station = near.stations[0]
    site = station.site
    here = replace(
        scene().place,
        latitude=site.latitude,
        longitude=site.longitude,
        elevation_m=site.elevation_m,
    )
    far_away = replace(here, longitude=site.longitude + 90.0)
    high_up = replace(here, elevation_m=site.elevation_m + 301.0)
    asked = TypicalYear(1, 12, 1, station=station.station_id)
    for place in (far_away, high_up):
        with pytest.raises(StationNotFoundError, match="another place's"):
            answer(rig(), scene(place=place, start=SETTLED), asked, near)
        told = answer(
            rig(), scene(place=place, start=SETTLED), replace(asked, allow_far=True), near
        )
        assert told.far
        assert f"The weather is that of {site.name}" in sentence(told)
    assert not answer(rig(), scene(place=here, start=SETTLED), asked, near).far


def test_a_battery_full_before_a_stretch_is_an_assumption_that_is_told() -> None:
    near = scan(weather_folder())
    station = near.stations[0]
    asked = TypicalYear(7, 1, 3, station=station.station_id, allow_far=True)
    full = "a settled battery was full 3 days before the first"
    assert full in answer(rig(), scene(start=Start(None, None, 3)), asked, near).notes
    assert full not in answer(rig(), scene(start=Start(None, None, 3))).notes


def test_sentences_do_not_contradict_themselves() -> None:
    """No "n days" of one, no clause about a charge that is at its reserve from the first moment."""
    empty = answer(with_sizes(9000.0, 400.0), scene(start=replace(SETTLED, state_of_charge=0.05)))
    assert sentence(empty).startswith(
        "Does not hold today: it begins with the battery at its reserve."
    )
    cool = replace(HOT, high_c=6.0, low_c=-4.0, dew_point_c=-8.0)
    easy = scene(start=SETTLED, comfort=replace(scene().comfort, limit=45.0))
    mild = answer(with_sizes(9000.0, 1200.0), easy, cool)
    assert sentence(mild).startswith("Needs no cooling: without it the cabin stays at or below")
    for policy, said in (
        (Policy.OFF, "because the cooler may not run then"),
        (Policy.LOW_ONLY, "because only the low stage may run then"),
    ):
        operation = replace(scene().operation, policy=policy, set_point_c=20.0)
        comfort = replace(scene().comfort, limit=20.5)
        held_back = scene(start=SETTLED, operation=operation, comfort=comfort)
        found = answer(with_sizes(20000.0, 1200.0), held_back)
        if found.summary.first_cause is Cause.SCHEDULE:
            assert said in sentence(found)
    bare = replace(with_sizes(9000.0, 1200.0), cooler=None)
    assert "without a cooler" in sentence(answer(bare, scene(start=SETTLED)))


def test_a_stay_of_one_day_is_no_plural_and_dates_have_no_invented_year() -> None:
    near = scan(weather_folder())
    site = near.stations[0].site
    place = replace(
        scene().place, latitude=site.latitude, longitude=site.longitude,
        elevation_m=site.elevation_m,
    )  # fmt: skip
    asked = replace(YEAR, station=near.stations[0].station_id)
    said = set()
    for usable_wh in np.linspace(2000.0, 9000.0, 8):
        found = answer(with_sizes(float(usable_wh), 500.0), scene(place=place, start=SETTLED),
                       asked, near)  # fmt: skip
        assert "2025" not in sentence(found)
        assert "one days" not in sentence(found)
        said.add("it holds for one day;" in sentence(found))
    assert True in said
