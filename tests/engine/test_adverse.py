"""The adverse twin: what its steps change, and that it never does better."""

from dataclasses import asdict, replace

import numpy as np
import pytest

from noonhold.adverse import ADVERSE, AdverseSteps, adverse_case, adverse_table
from noonhold.projection import project
from noonhold.quantities import Verdict
from noonhold.rig import Battery
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import prepare
from noonhold.verdict import judge
from tests.engine.made import rig, scene, summer

STILL = AdverseSteps(0.0, 1.0, 1.0, 1.0, 1.0)


def test_every_step_has_a_reason_and_is_a_step() -> None:
    rows = adverse_table()
    assert [row["name"] for row in rows] == list(asdict(ADVERSE))
    assert all(row["reason"] for row in rows)
    assert {row["name"]: row["unit"] for row in rows}["outdoor_offset_k"] == "K"
    assert ADVERSE.outdoor_offset_k > 0.0
    assert all(ADVERSE.__dict__[n] < 1.0 for n in ("array_factor", "cooler_capacity_factor"))
    assert all(ADVERSE.__dict__[n] > 1.0 for n in ("cooler_power_factor", "load_factor"))


def test_no_step_changes_nothing() -> None:
    case, _ = prepare(rig(), scene(), summer())
    same = run_cases([case, adverse_case(case, STILL)])
    np.testing.assert_array_equal(same[0], same[1])


@pytest.mark.parametrize("name", list(asdict(STILL)))
def test_every_step_alone_leaves_less_in_the_battery_or_a_warmer_cabin(name: str) -> None:
    case, _ = prepare(rig(battery=Battery(20000.0)), scene(), summer())
    step = replace(STILL, **{name: getattr(ADVERSE, name)})
    stated, worse = run_cases([case, adverse_case(case, step)])
    charge = worse[-1, ch.STORED] - stated[-1, ch.STORED]
    warmth = worse[:, ch.COMFORT_PEAK_WINDOW].max() - stated[:, ch.COMFORT_PEAK_WINDOW].max()
    assert charge < -1.0 or warmth > 0.01


def test_loads_give_their_heat_too() -> None:
    case, _ = prepare(rig(), scene(), summer())
    worse = adverse_case(case)
    factor = ADVERSE.load_factor
    assert worse.control.load_power == pytest.approx(case.control.load_power * factor)
    assert worse.control.load_to_air == pytest.approx(case.control.load_to_air * factor)
    assert worse.control.standing_power == pytest.approx(case.control.standing_power * factor)


def test_a_day_holds_narrowly_exactly_where_it_holds_and_its_adverse_twin_does_not() -> None:
    seen = set()
    for usable_wh in np.geomspace(500.0, 8000.0, 14):
        done = project(rig(battery=Battery(float(usable_wh))), scene(), summer())
        stated = judge(replace(done, adverse=None)).holds[0]
        adverse = judge(replace(done, record=done.adverse, adverse=None)).holds[0]
        verdict = judge(done).verdict[0]
        assert adverse <= stated
        expected = Verdict.FAILS
        if stated:
            expected = Verdict.HOLDS if adverse else Verdict.NARROWLY
        assert verdict == expected
        seen.add(int(verdict))
    assert seen == {0, 1, 2}
