"""How a run is put together: its tables, its settling days, its uncooled twin, its limits."""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.errors import NumericalError
from noonhold.projection import project
from noonhold.scenario import Setting, Span
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.run_state import slice_forcing
from noonhold.simulation.simulation_case import prepare, without_cooling
from tests.engine.made import rig, scene, summer

TWO_DAYS = summer(days=2)


def test_a_step_must_divide_the_interval() -> None:
    with pytest.raises(ValueError, match="700 s does not divide an interval of 3600 s"):
        prepare(rig(), scene(), TWO_DAYS, step_s=700)


def test_a_run_starts_where_it_is_told_or_at_the_outdoor_air() -> None:
    case, _ = prepare(rig(), scene(), TWO_DAYS)
    assert case.start_c == TWO_DAYS.instants_at_start("temp_air")[0] == case.start_outdoor_c
    assert case.stored_wh == pytest.approx(0.8 * 3000.0)
    told = replace(scene().start, cabin_temperature_c=35.5)
    assert prepare(rig(), scene(start=told), TWO_DAYS)[0].start_c == 35.5


def test_settling_days_warm_the_cabin_and_leave_the_charge() -> None:
    whole, settled = (
        run_cases([prepare(rig(), scene(), TWO_DAYS, spin_up)[0]])[0] for spin_up in (0, 24)
    )
    assert (len(whole), len(settled)) == (48, 24)
    # The charge starts again when the answer does; the cabin goes on.
    assert settled[0, ch.STORED] == pytest.approx(whole[0, ch.STORED], abs=1.0)
    fresh = run_cases([prepare(rig(), scene(), TWO_DAYS.slice(24, 24))[0]])[0]
    assert settled[0, ch.CABIN] > fresh[0, ch.CABIN] + 0.5
    assert settled[0, ch.CABIN] == pytest.approx(whole[24, ch.CABIN], abs=0.3)


def test_what_is_shown_begins_after_the_settling_days() -> None:
    done = project(rig(), scene(), TWO_DAYS, spin_up=24)
    assert len(done.record) == len(done.uncooled) == len(done.weather) == 24
    assert len(done.clock.starts) == len(done.clock.offset_s) == 24
    assert str(done.clock.starts[0]) == "2026-07-16T00:00:00"
    assert (done.channel(ch.CABIN) == done.record[:, ch.CABIN]).all()
    before = done.weather.instants_at_start("temp_air")[0]
    assert before == TWO_DAYS.temp_air[23]


def test_the_uncooled_twin_shares_everything_but_the_cooler() -> None:
    case, _ = prepare(rig(), scene(), TWO_DAYS)
    twin = without_cooling(case)
    assert twin.forcing is case.forcing
    assert twin.network is case.network
    cooled, uncooled = run_cases([case, twin])
    assert (uncooled[:, [ch.COOLER_POWER, ch.SENSIBLE, ch.DUTY]] == 0.0).all()
    assert cooled[:, ch.SENSIBLE].sum() > 0.0
    before = slice(0, 9)  # the cooler starts at 09:00
    assert (cooled[before, ch.CABIN] == uncooled[before, ch.CABIN]).all()


def test_members_do_not_touch_each_other() -> None:
    one, _ = prepare(rig(), scene(), TWO_DAYS)
    other, _ = prepare(rig(cooler=None), scene(), TWO_DAYS)
    together = run_cases([one, other, one])
    alone = run_cases([one])[0]
    np.testing.assert_array_equal(together[0], alone)
    np.testing.assert_array_equal(together[2], alone)


def test_a_slice_of_the_forcing_is_the_same_hours() -> None:
    case, _ = prepare(rig(), scene(), TWO_DAYS)
    part = slice_forcing(case.forcing, 24, 30)
    assert (part.outdoor_end == case.forcing.outdoor_end[24:30]).all()
    assert part.beam.shape[0] == part.window_beam.shape[0] == 6
    assert part.orientation is case.forcing.orientation


def test_a_cabin_that_leaves_the_physical_range_is_an_error() -> None:
    crowd = Span(0.0, 24.0, Setting(occupants=5.0))
    operation = replace(scene().operation, spans=(crowd,), sensible_w_per_occupant=1e5)
    with pytest.raises(NumericalError, match="leaves the physical range") as caught:
        project(rig(), scene(operation=operation), TWO_DAYS)
    (fault,) = caught.value.faults
    assert (fault.path, fault.bound) == ("/rig", "-120.0 < cabin < 200.0 degC")
    assert isinstance(fault.value, float)
    assert fault.value > 200.0
