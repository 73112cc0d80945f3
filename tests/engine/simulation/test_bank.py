"""The bank alone against full runs, and periodic states by arithmetic."""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.rig import Battery, Controller, Rig
from noonhold.scenario import Operation, Start
from noonhold.simulation import channels as ch
from noonhold.simulation.bank import ENDS, LAST_DAY_REPEATS, bank_over, holding_spell, stays
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.changed_case import with_endless_battery
from noonhold.simulation.record import TRACE_COLUMNS
from noonhold.simulation.repeated_day import repeat_day
from noonhold.simulation.run_state import charge_state, first_run_state, run_part
from noonhold.simulation.simulation_case import prepare
from tests.engine.made import rig, scene, summer

OUTSIDE = Battery(6000.0, reserve_fraction=0.1, in_cabin=False)
STEPS = 288


def constant(demand_w: float, solar_w: float, hours: float, days: int = 1) -> np.ndarray:
    """Return a trace of a load all day and sun for some hours from 06:00 on."""
    trace = np.zeros((STEPS * days, TRACE_COLUMNS))
    trace[:, 0] = demand_w
    lit = (np.arange(STEPS * days) % STEPS - 72 >= 0) & (
        np.arange(STEPS * days) % STEPS - 72 < hours * 12
    )
    trace[lit, 1] = solar_w
    trace[:, 4] = 20.0
    return trace


def fed_trace(whole: Rig, days: int) -> tuple[np.ndarray, object]:
    case, _ = prepare(whole, scene(start=Start(1.0)), summer(days=days))
    fed = with_endless_battery(case)
    trace = np.empty((days * STEPS, TRACE_COLUMNS))
    record = np.empty((days * 24, len(ch.CHANNELS)))
    run_part(fed, 0, days * 24, first_run_state(fed), record, trace)
    return trace, case


@pytest.mark.parametrize("stored_wh", [6000.0, 4500.0, 3300.0])
def test_the_bank_alone_does_what_a_full_run_does_until_the_reserve(stored_wh: float) -> None:
    trace, case = fed_trace(rig(battery=OUTSIDE), 6)
    record = run_cases([replace(case, stored_wh=stored_wh)])[0]
    reached = np.flatnonzero(np.isfinite(record[:, ch.FIRST_RESERVE]))
    alone = bank_over(case.battery, trace, 0, len(trace), stored_wh, 300.0)
    if len(reached):
        at = reached[0] * 3600.0 + record[reached[0], ch.FIRST_RESERVE]
        # A cooler that is about to stop is cut within its last step, in the full run only.
        assert alone.lacking_at_s == pytest.approx(at, abs=300.0)
    else:
        assert alone.lacking_at_s == np.inf
        assert alone.stored_wh == pytest.approx(record[-1, ch.STORED], abs=1e-6)
        assert alone.lowest_wh == pytest.approx(record[:, ch.STORED_LOWEST].min(), abs=1e-6)


def test_a_loss_of_a_day_counts_the_days_by_arithmetic() -> None:
    # 50 W all day are 1200 Wh; 100 W of sun for 8 h are 800 Wh: 400 Wh lost a day. Full at 14:00
    # of the first day, then 500 Wh to midnight: midnights at 2000, 1500, 1100, 700, 300.
    case, _ = prepare(
        rig(battery=Battery(2000.0, 1.0, 1.0, reserve_fraction=0.1)), scene(), summer()
    )
    trace = constant(50.0, 100.0, 8.0)
    bounds, fine = np.array([0, STEPS]), np.ones(1, dtype=bool)
    spell = holding_spell(
        case.battery, trace, bounds, fine, 0, 2000.0, 300.0, 100, LAST_DAY_REPEATS
    )
    # Day 5 begins with 300 Wh and is at the reserve of 200 Wh two hours later.
    assert spell.days == 4
    assert spell.lacking_at_s == pytest.approx(2 * 3600.0, abs=0.001)
    assert spell.stored_wh == pytest.approx(300.0)


def test_days_that_give_more_than_they_take_never_end() -> None:
    case, _ = prepare(
        rig(battery=Battery(2000.0, 1.0, 1.0, reserve_fraction=0.1)), scene(), summer()
    )
    trace = constant(50.0, 200.0, 8.0)
    spell = holding_spell(
        case.battery, trace, np.array([0, STEPS]), np.ones(1, dtype=bool), 0, 900.0, 300.0, 100,
        LAST_DAY_REPEATS,
    )  # fmt: skip
    assert spell.days == 100
    # Full at 14:00, ten hours of 50 W to midnight.
    assert spell.stored_wh == pytest.approx(1500.0)


def test_stays_from_every_day_of_a_stretch_are_those_of_single_spells() -> None:
    trace, case = fed_trace(rig(battery=replace(OUTSIDE, usable_energy_wh=3500.0)), 8)
    bounds = np.arange(9) * STEPS
    comfortable = np.array([True] * 6 + [False, True])
    starts = np.arange(8)
    days, lacking = stays(case.battery, trace, bounds, comfortable, starts, 3500.0, 300.0, 14, ENDS)
    for start in starts.tolist():
        spell = holding_spell(
            case.battery, trace, bounds, comfortable, start, 3500.0, 300.0, 14, ENDS
        )
        assert (days[start], lacking[start]) == (spell.days, spell.lacking_at_s)
    assert days[6] == 0
    assert days[7] == 1
    assert lacking[6] == np.inf


def test_a_constant_day_settles_where_arithmetic_says() -> None:
    # No cooler, no heat: 40 W of loads and the sun of the day; the charge repeats at the day's end
    # of a bank that began full, and the balance is the sun less the loads through the losses.
    quiet = rig(cooler=None, battery=OUTSIDE, standing_power_w=0.0)
    case, _ = prepare(quiet, scene(operation=Operation(24.0), start=Start(1.0)), summer())
    day = repeat_day(case, first_run_state(case))
    trace = day.traces[-1]
    surplus = trace[:, 1] - trace[:, 0]
    into = 0.97 * surplus.clip(min=0.0).sum() / 12.0
    out_of = (-surplus).clip(min=0.0).sum() / 0.97 / 12.0
    assert day.balance_wh == pytest.approx(into - out_of, abs=0.01)
    dark_after_full = np.flatnonzero(surplus > 0.0)[-1] + 1
    left = 6000.0 + np.minimum(surplus[dark_after_full:], 0.0).sum() / 0.97 / 12.0
    assert day.settled_wh == pytest.approx(left, abs=0.01)


def test_a_full_run_from_the_settled_charge_ends_with_it() -> None:
    cool = rig(battery=replace(OUTSIDE, usable_energy_wh=9000.0))
    big = replace(cool, arrays=tuple(replace(a, rated_power_w=1500.0) for a in cool.arrays))
    big = replace(big, controllers=(replace(big.controllers[0], max_power_w=1500.0),))
    case, _ = prepare(big, scene(start=Start(1.0)), summer())
    day = repeat_day(case, first_run_state(case))
    state = day.state._replace(charge=charge_state(day.settled_wh))
    record = np.empty((24, len(ch.CHANNELS)))
    run_part(case, 0, 24, state, record)
    assert record[-1, ch.STORED] == pytest.approx(day.settled_wh, abs=0.01)


def test_a_settled_start_begins_with_the_charge_that_repeats() -> None:
    scenario = scene(start=Start(None, spin_up_days=3))
    large = replace(OUTSIDE, usable_energy_wh=9000.0)
    rich = rig(battery=large, controllers=(Controller("controller", 1500.0),))
    rich = replace(rich, arrays=tuple(replace(a, rated_power_w=1500.0) for a in rich.arrays))
    case, _ = prepare(rich, scenario, summer(days=4), spin_up=72)
    assert case.charge_is_settled
    assert case.day_repeats
    record = run_cases([case])[0]
    # The cabin of the answer is the one of the days before it, which differ by a minute of sun.
    assert record[-1, ch.STORED] == pytest.approx(begun_with(record), abs=2.0)


def test_a_rig_whose_days_take_too_much_settles_low() -> None:
    scenario = scene(start=Start(None, spin_up_days=3))
    case, _ = prepare(rig(battery=OUTSIDE), scenario, summer(days=4), spin_up=72)
    record = run_cases([case])[0]
    assert begun_with(record) < 0.2 * 6000.0
    assert np.isfinite(record[:, ch.FIRST_RESERVE]).any()


def test_a_stretch_of_a_year_carries_its_charge_from_full_through_the_days_before() -> None:
    scenario = scene(start=Start(None, spin_up_days=2))
    stretch = replace(summer(days=4), day_repeats=False)
    case, _ = prepare(rig(battery=OUTSIDE), scenario, stretch, spin_up=48)
    whole, _ = prepare(rig(battery=OUTSIDE), scene(start=Start(1.0)), stretch)
    carried, through = run_cases([case])[0], run_cases([whole])[0]
    np.testing.assert_array_equal(carried, through[48:])


def begun_with(record: np.ndarray) -> float:
    """Return the energy in the battery at a record's first moment, efficiencies 0.97."""
    first = record[0]
    return float(first[ch.STORED] - 0.97 * first[ch.CHARGE] + first[ch.DISCHARGE] / 0.97)
