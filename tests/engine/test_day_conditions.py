"""What a day must do, its margins and first causes, each from hand calculation."""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.projection import project
from noonhold.quantities import Cause, Verdict
from noonhold.rig import Battery, Load, Rig, Stage
from noonhold.scenario import Comfort, ComfortMeasure, Operation, Setting, Span, Start
from noonhold.simulation import channels as ch
from noonhold.verdict import DayVerdicts, judge
from tests.engine.made import COOLER, rig, scene, steady, summer

LOSSLESS = Battery(
    1000.0, charge_efficiency=1.0, discharge_efficiency=1.0, reserve_fraction=0.2, in_cabin=False
)
REST = Operation(24.0, cooling_window=(0.0, 0.0))  # the cooler never runs


def dark(battery: Battery, load_w: float, **changes: object) -> Rig:
    """Return a rig without sun whose one load runs all day."""
    return rig(
        battery=battery, arrays=(), loads=(Load("load", load_w),), standing_power_w=0.0, **changes
    )


def cause_of(days: DayVerdicts) -> Cause:
    return Cause(int(days.first_cause[0]))


@pytest.mark.parametrize(("load_w", "hours"), [(40.0, 20.0), (64.0, 12.5), (90.0, 800.0 / 90.0)])
def test_a_rig_without_sun_lasts_the_hours_that_its_battery_holds(
    load_w: float, hours: float
) -> None:
    # 1000 Wh less a reserve of 200 Wh at a constant load, outside any cooling window.
    days = judge(project(dark(LOSSLESS, load_w), scene(operation=REST, start=Start(1.0)), steady()))
    assert days.verdict[0] == Verdict.FAILS
    assert days.first_failure_hour[0] == pytest.approx(hours, abs=1e-6)
    assert cause_of(days) is Cause.ENERGY_BALANCE


def test_a_load_that_the_battery_outlasts_leaves_its_margin() -> None:
    days = judge(project(dark(LOSSLESS, 30.0), scene(operation=REST, start=Start(1.0)), steady()))
    assert days.verdict[0] == Verdict.HOLDS
    assert days.energy_margin_wh[0] == pytest.approx(1000.0 - 24 * 30.0 - 200.0, abs=1e-6)
    assert days.lowest_charge_hour[0] == 23.0
    assert not days.judged[0]


def test_a_battery_that_empties_never_holds_however_small_its_reserve() -> None:
    empty = replace(LOSSLESS, reserve_fraction=0.0)
    days = judge(project(dark(empty, 50.0), scene(operation=REST, start=Start(1.0)), steady()))
    assert days.lowest_charge[0] == 0.0
    assert days.unmet_wh[0] == pytest.approx(24 * 50.0 - 1000.0)
    assert days.verdict[0] == Verdict.FAILS
    assert days.first_failure_hour[0] == pytest.approx(20.0, abs=1e-6)


def test_a_load_that_a_weak_battery_cannot_feed_fails_though_it_is_full() -> None:
    weak = replace(LOSSLESS, max_discharge_w=20.0)
    days = judge(project(dark(weak, 30.0), scene(operation=REST, start=Start(1.0)), steady()))
    assert days.lowest_charge[0] > 0.2
    assert days.unmet_wh[0] == pytest.approx(240.0)
    assert days.verdict[0] == Verdict.FAILS
    assert days.first_failure_hour[0] == 0.0


def test_the_reserve_counts_at_night_too() -> None:
    # At the reserve at 20:00, long after the window has closed; a night's load alone.
    night = dark(replace(LOSSLESS, usable_energy_wh=3000.0), 0.0, cooler=None)
    loaded = replace(night, loads=(Load("load", 800.0, hours=((17.0, 24.0),)),))
    mild = scene(operation=Operation(24.0, cooling_window=(9.0, 15.0)), start=Start(1.0))
    days = judge(project(loaded, mild, steady(20.0)))
    assert days.comfortable_fraction[0] == 1.0
    assert days.verdict[0] == Verdict.FAILS
    assert days.first_failure_hour[0] == pytest.approx(20.0, abs=1e-6)


def test_the_comfort_margin_is_the_limit_less_the_warmest_judged_step() -> None:
    done = project(rig(battery=Battery(30000.0)), scene(), summer())
    days = judge(done)
    judged = done.record[:, ch.JUDGED_S] > 0.0
    worst = done.record[judged, ch.COMFORT_PEAK].max()
    assert days.comfort_margin_k[0] == pytest.approx(27.0 - worst, abs=1e-9)
    row = int(days.peak_comfort_hour[0])
    assert done.record[row, ch.COMFORT_PEAK] == worst


def test_the_cooling_margin_falls_with_the_cooler_and_is_negative_where_it_is_too_small() -> None:
    margins = []
    for cooling_w in (2000.0, 1600.0, 1200.0, 400.0):
        cooler = replace(COOLER, stages=(Stage("only", cooling_w, cooling_w / 3.0),))
        done = project(rig(battery=Battery(30000.0), cooler=cooler), scene(), summer())
        margins.append(float(judge(done).cooling_margin_w[0]))
    assert margins == sorted(margins, reverse=True)
    assert margins[0] > 0.0 > margins[-1]


def test_air_at_its_set_point_under_warm_walls_is_the_measure_s_fault() -> None:
    # Operative limit just above the air's set point: walls in the sun keep it over, with a strong
    # cooler far from full out. A lower set point restores the day.
    comfort = Comfort(ComfortMeasure.OPERATIVE, 24.4, allowance_h=2.0)
    strong = rig(battery=Battery(40000.0))

    def at(set_point_c: float) -> DayVerdicts:
        operation = Operation(set_point_c, cooling_window=(6.0, 20.0))
        return judge(project(strong, scene(operation=operation, comfort=comfort), summer()))

    days = at(24.0)
    assert days.verdict[0] == Verdict.FAILS
    assert days.cooling_margin_w[0] > 0.0
    assert cause_of(days) is Cause.MEASURE
    assert at(20.0).verdict[0] == Verdict.HOLDS


def test_a_stage_that_is_not_allowed_and_a_cooler_that_rests_are_the_schedule_s_fault() -> None:
    hot = summer(high_c=46.0)
    strong = rig(battery=Battery(40000.0))
    spans = (Span(12.0, 15.0, Setting(policy="off")),)
    off = Operation(24.0, cooling_window=(9.0, 18.0), spans=spans)
    resting = judge(project(strong, scene(operation=off), hot))
    assert cause_of(resting) is Cause.SCHEDULE
    assert 12.0 <= resting.first_failure_hour[0] < 15.0
    low = Operation(22.0, policy="low_only", cooling_window=(9.0, 18.0))
    tight = Comfort(ComfortMeasure.AIR, 22.05)
    held = judge(project(strong, scene(operation=low, comfort=tight), hot))
    assert cause_of(held) is Cause.SCHEDULE


def test_a_cooler_that_pulls_down_before_the_heat_but_after_the_allowance_began_too_late() -> None:
    # Judged from the moment the cooler starts at 11:00 on a warm morning: the set point is met
    # within the hour after the next, well before the warmest hour.
    strong = rig(battery=Battery(40000.0))
    operation = Operation(22.0, cooling_window=(11.0, 20.0))
    comfort = Comfort(ComfortMeasure.AIR, 23.0, allowance_h=0.0, required_fraction=1.0)
    done = project(strong, scene(operation=operation, comfort=comfort), summer(low_c=26.0))
    days = judge(done)
    assert days.first_failure_hour[0] == 11.0
    assert cause_of(days) is Cause.SCHEDULE


def test_a_cooler_that_never_gets_there_is_too_small() -> None:
    tiny = replace(COOLER, stages=(Stage("only", 300.0, 100.0),), airflow_m3_h=100.0)
    done = project(rig(battery=Battery(40000.0), cooler=tiny), scene(), summer())
    assert cause_of(judge(done)) is Cause.CAPACITY


def test_a_small_battery_under_large_arrays_is_the_storage_s_fault() -> None:
    # By day the sun gives far more than the day takes, but the night is longer than the battery.
    night = rig(battery=Battery(600.0), loads=(Load("load", 90.0),))
    sunny = replace(night, arrays=tuple(replace(a, rated_power_w=2000.0) for a in night.arrays))
    sunny = replace(sunny, controllers=(replace(sunny.controllers[0], max_power_w=2000.0),))
    days = judge(project(sunny, scene(operation=REST), summer()))
    assert days.verdict[0] == Verdict.FAILS
    assert cause_of(days) is Cause.ENERGY_STORAGE
    assert np.isfinite(days.first_failure_hour[0])
