"""The time loop: cuts, settling, steps, the reserve, the twin without cooling, plain Python."""

import json
import os
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from noonhold.envelope.cabin_step import first_state
from noonhold.projection import project
from noonhold.rig import Battery, Heater, Policy
from noonhold.scenario import Operation, Setting, Span, Start
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.kernel import ChargeState, PreviousStep, simulate
from noonhold.simulation.record import NO_TRACE
from noonhold.simulation.run_state import slice_forcing
from noonhold.simulation.simulation_case import SimulationCase, prepare
from tests.engine.made import rig, scene, steady, summer


def run_in_parts(case: SimulationCase, cuts: tuple[int, ...]) -> np.ndarray:
    """Run a case cut into parts, every state handed on."""
    count = len(case.clock_row)
    record = np.empty((count, len(ch.CHANNELS)))
    cabin = first_state(case.network, case.start_c, case.start_outdoor_c, case.start_humidity)
    charge = ChargeState(np.array([case.stored_wh]), np.zeros(1, dtype=np.int64))
    before = PreviousStep(np.zeros(1), np.ones(1), np.zeros(1))
    bounds = (0, *cuts, count)
    for first, last in pairwise(bounds):
        simulate(
            case.network, slice_forcing(case.forcing, first, last), case.cooler,
            case.arrays, case.battery, case.control, case.comfort,
            case.clock_row[first:last], case.air_density, case.air_specific_heat, cabin,
            charge, before, record[first:last], NO_TRACE,
        )  # fmt: skip
    return record


def test_a_run_in_parts_is_the_whole_to_the_last_bit() -> None:
    # A small battery, so that loads go unserved and its losses heat the cabin at the cut too.
    small = rig(battery=Battery(900.0, charge_efficiency=0.8, discharge_efficiency=0.8))
    case, _ = prepare(small, scene(), summer(days=3))
    whole = run_cases([case])[0]
    parts = run_in_parts(case, (11, 12, 37, 60))
    assert np.array_equal(whole, parts, equal_nan=True)


def test_settling_carries_the_cabin_and_not_the_charge() -> None:
    table = summer(days=3)
    # A battery that serves the loads all the time, for what they take heats the cabin.
    ample = rig(battery=Battery(12000.0))
    settled = project(ample, scene(), table, spin_up=48)
    whole = project(ample, scene(), table)
    assert len(settled.record) == 24
    # The same cabin to the last few hundredths: by then only the charge differs.
    assert settled.record[:8, ch.CABIN] == pytest.approx(whole.record[48:56, ch.CABIN], abs=0.05)
    assert settled.record[0, ch.STORED] == pytest.approx(0.8 * 12000.0, abs=60.0)
    assert abs(whole.record[47, ch.STORED] - 9600.0) > 100.0
    assert str(settled.clock.starts[0]) == "2026-07-17T00:00:00"


def test_the_cabin_lands_on_the_set_point_whatever_the_step() -> None:
    strong = rig(battery=Battery(20000.0))
    start = Start(1.0, cabin_temperature_c=24.0)
    operation = Operation(24.0, Policy.LOW_THEN_HIGH, (0.0, 24.0))
    for step_s in (60, 300, 1800, 3600):
        done = project(strong, scene(operation=operation, start=start), summer(), step_s=step_s)
        cooled = done.record[:, ch.SENSIBLE] > 0.0
        assert cooled.any()
        assert (done.record[:, ch.CABIN] <= 24.0 + 1e-9).all()
        held = done.record[:, ch.DUTY] > 0.2
        assert done.record[held, ch.CABIN] == pytest.approx(24.0, abs=0.3)


def test_a_step_must_divide_the_interval() -> None:
    with pytest.raises(ValueError, match="does not divide"):
        project(rig(), scene(), summer(interval_s=900), step_s=600)


def test_quarter_hours_tell_the_day_of_hours() -> None:
    hourly = project(rig(), scene(), summer())
    quarters = project(rig(), scene(), summer(interval_s=900))
    means = quarters.record[:, ch.CABIN].reshape(24, 4).mean(axis=1)
    # The sun moves within the hour; the hour's mean of it is the same.
    assert means == pytest.approx(hourly.record[:, ch.CABIN], abs=0.5)
    assert quarters.record[-1, ch.STORED] == pytest.approx(hourly.record[-1, ch.STORED], rel=0.02)


def test_the_reserve_stops_the_cooler_and_lets_it_go_with_the_margin() -> None:
    battery = Battery(1200.0, reserve_fraction=0.3, recovery_fraction=0.2)
    operation = Operation(18.0, Policy.HIGH_ONLY, (0.0, 24.0))
    done = project(rig(battery=battery), scene(operation=operation), summer(interval_s=300))
    record = done.record
    stopped = record[:, ch.RESERVE_S] > 0.0
    assert stopped.any() and not stopped.all()
    # What runs stops at the reserve exactly; only the loads go below it.
    down = np.flatnonzero(~stopped[:-1] & stopped[1:]) + 1
    assert record[down, ch.STORED] == pytest.approx(0.3 * 1200.0)
    up = np.flatnonzero(stopped[:-1] & ~stopped[1:]) + 1
    assert (record[up, ch.STORED] >= 0.5 * 1200.0).all()
    both = stopped[:-1] & stopped[1:]
    assert (record[1:][both, ch.COOLER_POWER] == 0.0).all()
    assert record[:, ch.LOAD_POWER] == pytest.approx(40.0)  # the loads go on
    assert record[:, ch.STORED].min() < 0.3 * 1200.0


def test_the_twin_differs_by_the_cooler_alone() -> None:
    done = project(rig(), scene(), summer())
    before = slice(0, 9)
    same = [ch.CABIN, ch.RADIANT, ch.STORED, ch.SOLAR, ch.HUMIDITY]
    assert np.array_equal(done.record[before][:, same], done.uncooled[before][:, same])
    assert (done.uncooled[10:18, ch.CABIN] > done.record[10:18, ch.CABIN]).all()
    assert np.array_equal(done.record[:, ch.SOLAR], done.uncooled[:, ch.SOLAR])
    assert (done.uncooled[:, ch.COOLER_POWER] == 0.0).all()


def test_no_policy_no_shortage() -> None:
    # Nothing to discharge, so nothing is allowed; but nothing was asked for either.
    weak = rig(battery=Battery(3000.0, max_discharge_w=1.0))
    spans = (Span(0.0, 24.0, Setting(policy=Policy.OFF)),)
    operation = Operation(24.0, cooling_window=(9.0, 18.0), spans=spans)
    done = project(weak, scene(operation=operation), summer())
    assert np.isnan(done.record[:, ch.FIRST_SHORTAGE]).all()
    asked = project(weak, scene(), summer())
    assert np.isfinite(asked.record[:, ch.FIRST_SHORTAGE]).any()


def test_a_heater_lands_on_its_set_point_within_the_bus() -> None:
    warm = rig(heater=Heater(5000.0, 100.0), arrays=())
    operation = Operation(24.0, heating_set_point_c=18.0)
    done = project(warm, scene(operation=operation), steady(0.0))
    assert done.record[1:, ch.CABIN] == pytest.approx(18.0, abs=1e-6)
    share = done.record[:, ch.HEATING] / 5000.0
    assert done.record[:, ch.HEATER_POWER] == pytest.approx(100.0 * share)


def test_nothing_shines_in_the_dark() -> None:
    done = project(rig(), scene(), steady(30.0))
    for channel in (ch.SOLAR, ch.SOLAR_IN, ch.CURTAILED, ch.INCIDENT_ARRAYS):
        assert (done.record[:, channel] == 0.0).all()


SCRIPT = """
import json, sys
import numpy as np
from noonhold.simulation import channels as ch
from noonhold.projection import project
from noonhold.weather.selection import select_weather
from noonhold.weather.catalogue import Catalogue
from tests.properties import rich
made = select_weather(rich.WEATHER, rich.PLACE, 0, Catalogue((), ()))
done = project(rich.RIG, rich.SCENARIO, made.table.slice(10, 4))
json.dump(np.nan_to_num(done.record, neginf=-1e9).tolist(), sys.stdout)
"""


def test_plain_python_gives_the_same_numbers(checkout: Path) -> None:
    runs = []
    paths = os.pathsep.join((str(checkout), os.environ.get("PYTHONPATH", "")))
    for disabled in ("0", "1"):
        environment = {**os.environ, "NUMBA_DISABLE_JIT": disabled, "PYTHONPATH": paths}
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT], cwd=checkout, env=environment, check=True,
            capture_output=True, text=True,
        )  # fmt: skip
        runs.append(np.array(json.loads(done.stdout)))
    compiled, plain = runs
    assert compiled.shape == (4, len(ch.CHANNELS))
    # The compiler may fuse a multiplication and an addition: the last bits are free.
    assert compiled == pytest.approx(plain, rel=1e-11, abs=1e-11)


def test_a_start_at_its_own_temperature() -> None:
    start = replace(scene().start, cabin_temperature_c=40.0)
    done = project(rig(), scene(start=start), steady(20.0))
    assert 30.0 < done.record[0, ch.CABIN] < 40.0
