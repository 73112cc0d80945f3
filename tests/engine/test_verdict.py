"""Days judged: what failed first, when, and how a day is cut out of a run."""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.projection import Projection, project
from noonhold.quantities import Cause
from noonhold.rig import Battery, Stage
from noonhold.scenario import Comfort, ComfortMeasure, Operation, Start
from noonhold.simulation import channels as ch
from noonhold.verdict import judge, summarise
from tests.engine.made import COOLER, rig, scene, steady, summer

STRONG = Battery(30000.0, max_discharge_w=5000.0)
TINY = replace(COOLER, stages=(Stage("only", 300.0, 100.0),), airflow_m3_h=100.0, fan_power_w=8.0)


def judged(done: Projection) -> tuple[bool, bool, Cause, float]:
    days = judge(done)
    return (
        bool(days.holds[0]), bool(days.needs_cooling[0]), Cause(int(days.first_cause[0])),
        float(days.first_failure_hour[0]),
    )  # fmt: skip


def test_a_strong_rig_holds_a_day_that_needs_it() -> None:
    holds, needs, cause, hour = judged(project(rig(battery=STRONG), scene(), summer()))
    assert (holds, needs, cause) == (True, True, Cause.NONE)
    assert np.isnan(hour)


def test_a_cooler_that_is_too_small_fails_by_capacity() -> None:
    done = project(rig(battery=STRONG, cooler=TINY), scene(), summer())
    holds, needs, cause, hour = judged(done)
    assert (holds, needs, cause) == (False, True, Cause.CAPACITY)
    assert 10.0 <= hour < 18.0  # after the allowance
    assert judge(done).hours_at_reserve[0] == 0.0


def test_a_battery_that_is_too_small_fails_by_energy() -> None:
    done = project(rig(battery=Battery(300.0), arrays=()), scene(), summer())
    holds, _, cause, hour = judged(done)
    assert (holds, cause) == (False, Cause.ENERGY_BALANCE)
    assert 0.0 <= hour < 18.0
    assert judge(done).hours_at_reserve[0] > 0.0


def test_a_battery_that_gives_too_little_power_fails_by_energy_though_it_is_full() -> None:
    weak = Battery(30000.0, max_discharge_w=60.0)
    done = project(rig(battery=weak, arrays=()), scene(), summer())
    holds, _, cause, _ = judged(done)
    assert (holds, cause) == (False, Cause.ENERGY_BALANCE)
    assert judge(done).lowest_charge[0] > 0.5


def test_a_rig_without_a_cooler_fails_by_capacity() -> None:
    _, needs, cause, _ = judged(project(rig(battery=STRONG, cooler=None), scene(), summer()))
    assert (needs, cause) == (True, Cause.CAPACITY)


def test_a_cool_day_needs_nothing_and_holds() -> None:
    done = project(rig(), scene(start=Start(0.8)), steady(15.0))
    assert judged(done)[:3] == (True, False, Cause.NONE)
    assert summarise(done, judge(done)).feasible_fraction is None


def test_sums_of_a_day_are_the_records() -> None:
    done = project(rig(), scene(), summer(days=2))
    days = judge(done)
    assert len(days) == 2
    assert days.cooler_wh == pytest.approx(done.record[:, ch.COOLER_POWER].reshape(2, 24).sum(1))
    assert days.load_wh == pytest.approx([45.0 * 24.0] * 2)
    assert days.charge_at_end == pytest.approx(done.record[[23, 47], ch.STORED] / 3000.0)
    total = summarise(done, days)
    assert total.days_needing_cooling == 2
    assert total.lowest_charge == pytest.approx(days.lowest_charge.min())
    assert total.charge_at_end == pytest.approx(days.charge_at_end[-1])


def test_quarter_hours_and_hours_judge_alike() -> None:
    hours = judge(project(rig(battery=STRONG), scene(), summer()))
    quarters = judge(project(rig(battery=STRONG), scene(), summer(interval_s=900)))
    for name in ("cooler_wh", "solar_wh", "load_wh", "hours_of_cooling"):
        assert getattr(quarters, name) == pytest.approx(getattr(hours, name), rel=0.03), name


def test_a_window_without_an_hour_after_the_allowance_judges_nothing() -> None:
    operation = Operation(24.0, cooling_window=(9.0, 9.5))
    days = judge(project(rig(battery=STRONG), scene(operation=operation), summer()))
    assert not days.judged[0]
    assert days.holds[0]
    assert np.isnan(days.comfortable_fraction[0])
    assert np.isnan(days.peak_comfort[0])


def test_the_required_share_decides() -> None:
    strict = Comfort(ComfortMeasure.AIR, 23.99, required_fraction=1.0, allowance_h=0.0)
    loose = replace(strict, required_fraction=0.0)
    done = project(rig(battery=STRONG), scene(comfort=strict), summer())
    share = judge(done).comfortable_fraction[0]
    assert share < 1.0
    assert not judge(done).holds[0]
    assert judge(project(rig(battery=STRONG), scene(comfort=loose), summer())).holds[0]
