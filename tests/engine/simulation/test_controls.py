"""The operation by steps of the clock: spans, windows, policies, shade, what moves."""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.rig import Aim, Load, Mount, Policy, SolarArray, Vent
from noonhold.scenario import CoverState, Operation, Setting, Shade, Span
from noonhold.simulation.controls import FAN_ONLY, NO_STAGE, control_tables, in_span
from tests.engine.made import ROOF_ARRAY, box, rig, scene

STEP_S = 900
HOURS = np.arange(96) / 4.0


def on(flags: np.ndarray) -> list[float]:
    """Return the hours at which something is on."""
    return HOURS[flags.astype(bool)].tolist()


def test_a_span_has_its_beginning_and_not_its_end() -> None:
    assert on(in_span(HOURS, 9.0, 9.5)) == [9.0, 9.25]


def test_a_span_over_midnight_and_one_to_24() -> None:
    assert on(in_span(HOURS, 23.5, 0.5)) == [0.0, 0.25, 23.5, 23.75]
    assert on(in_span(HOURS, 23.5, 24.0)) == [23.5, 23.75]
    assert on(in_span(HOURS, 0.0, 24.0)) == HOURS.tolist()
    assert on(in_span(HOURS, 5.0, 5.0)) == []


def test_later_spans_overrule_earlier_ones_field_by_field() -> None:
    spans = (
        Span(8.0, 12.0, Setting(set_point_c=20.0, occupants=2.0)),
        Span(10.0, 11.0, Setting(set_point_c=26.0)),
    )
    table = control_tables(rig(), scene(operation=Operation(24.0, spans=spans)), STEP_S)
    at = {hour: int(hour * 4) for hour in (7.75, 8.0, 10.0, 11.0, 12.0)}
    points = [table.set_point[row] for row in at.values()]
    assert points == [24.0, 20.0, 26.0, 20.0, 24.0]
    assert table.people_sensible[at[10.0]] == 140.0  # untouched by the later span
    assert table.people_sensible[at[12.0]] == 0.0


@pytest.mark.parametrize(
    ("policy", "stages"),
    [
        (Policy.OFF, (NO_STAGE, NO_STAGE)),
        (Policy.FAN_ONLY, (FAN_ONLY, FAN_ONLY)),
        (Policy.LOW_ONLY, (0, 0)),
        (Policy.LOW_THEN_HIGH, (0, 1)),
        (Policy.HIGH_ONLY, (1, 1)),
    ],
)
@pytest.mark.parametrize("by_span", [False, True])
def test_policies(policy: Policy, stages: tuple[int, int], by_span: bool) -> None:
    spans = (Span(0.0, 24.0, Setting(policy=policy)),) if by_span else ()
    base = Policy.LOW_THEN_HIGH if by_span else policy
    operation = Operation(24.0, base, (9.0, 18.0), spans=spans)
    table = control_tables(rig(), scene(operation=operation), STEP_S)
    for row in range(96):
        expected = stages if 9.0 <= HOURS[row] < 18.0 else (NO_STAGE, NO_STAGE)
        assert (table.lowest_stage[row], table.highest_stage[row]) == expected


def test_the_allowance_runs_from_the_windows_beginning_over_midnight() -> None:
    operation = Operation(24.0, cooling_window=(23.5, 2.0))
    table = control_tables(rig(), scene(operation=operation), STEP_S)
    assert on(table.in_window) == [*np.arange(0.0, 2.0, 0.25), 23.5, 23.75]
    assert on(table.judged) == [0.5, 0.75, 1.0, 1.25, 1.5, 1.75]


def test_a_rig_on_the_move_stows_leaves_the_shade_and_charges() -> None:
    folding = SolarArray(
        "set", 100.0, Mount.OPEN_STAND, folding=True, aims=(Aim(0.0, 30.0, 180.0),)
    )
    place = replace(scene().place, shade=(Shade(0.0, 24.0, 1.0, 0.5),))
    spans = (Span(8.0, 9.0, Setting(driving_speed_km_h=72.0)),)
    table = control_tables(
        rig(arrays=(ROOF_ARRAY, folding)),
        scene(place=place, operation=Operation(24.0, spans=spans)), STEP_S,
    )  # fmt: skip
    moving, parked = 32, 40
    assert table.driving_speed[moving] == pytest.approx(20.0)
    assert table.alternator[[moving, parked]].tolist() == [500.0, 0.0]
    assert table.deployed[[moving, parked]].tolist() == [0, 1]
    assert table.cabin_beam[[moving, parked]].tolist() == [1.0, 0.0]
    assert table.cabin_diffuse[[moving, parked]].tolist() == [1.0, 0.5]
    assert table.array_beam[moving].tolist() == [1.0, 0.0]
    assert table.array_diffuse[parked].tolist() == [0.5, 0.5]


def test_shade_falls_on_what_it_names_and_shades_add_up() -> None:
    shade = (
        Shade(8.0, 12.0, 0.5, 0.2, ("cabin",)),
        Shade(10.0, 14.0, 0.5, 0.2, ("roof array",)),
        Shade(10.0, 14.0, 0.4, 0.0, ("arrays", "cabin")),
    )
    table = control_tables(rig(), scene(place=replace(scene().place, shade=shade)), STEP_S)
    nine, eleven = 36, 44
    assert (table.cabin_beam[nine], table.array_beam[nine, 0]) == (0.5, 1.0)
    assert table.cabin_beam[eleven] == pytest.approx(0.5 * 0.6)
    assert table.array_beam[eleven, 0] == pytest.approx(0.5 * 0.6)
    assert table.cabin_diffuse[eleven] == pytest.approx(0.8)


def test_loads_by_the_clock_and_where_their_heat_goes() -> None:
    loads = (Load("a", 40.0, (), 0.5, 0.2), Load("b", 10.0, ((22.0, 2.0), (5.0, 6.0)), 1.0))
    table = control_tables(rig(loads=loads), scene(), STEP_S)
    assert on(table.load_power > 45.0) == [*np.arange(0, 2, 0.25), *np.arange(5, 6, 0.25),
                                           *np.arange(22, 24, 0.25)]  # fmt: skip
    noon, night = 48, 0
    assert (table.load_to_air[noon], table.load_to_radiant[noon]) == (16.0, 4.0)
    assert table.load_to_air[night] == 26.0


def test_vents_and_fresh_air() -> None:
    shell = box(vents=(Vent("fan", 90.0, 0.0, 12.0), Vent("hatch", 0.0, 300.0)))
    spans = (
        Span(8.0, 9.0, Setting(vents_open=True)),
        Span(8.5, 10.0, Setting(occupants=2.0)),
    )
    operation = Operation(24.0, spans=spans, fresh_air_m3_h_per_occupant=18.0)
    table = control_tables(rig(shell=shell, loads=()), scene(operation=operation), STEP_S)
    assert (table.vent_airflow[[32, 34, 36, 44]] * 3600.0).tolist() == pytest.approx(
        [90.0, 126.0, 36.0, 0.0]
    )
    assert table.vent_area[[32, 36]].tolist() == [300.0, 0.0]
    assert table.load_power[[32, 36]].tolist() == [12.0, 0.0]


def test_a_group_ends_where_the_sun_is_let_through_otherwise_and_nowhere_else() -> None:
    spans = (Span(8.0, 9.0, Setting(covers=CoverState.INSIDE)),)
    shade = (Shade(12.0, 13.0, 0.5, 0.5),)
    scenario = scene(
        operation=Operation(24.0, spans=spans), place=replace(scene().place, shade=shade)
    )
    group = control_tables(rig(), scenario, STEP_S).sun_group
    quarter = 3600 // STEP_S
    changes = np.flatnonzero(np.diff(group)) + 1
    assert changes.tolist() == [hour * quarter for hour in (8, 9, 12, 13)]
    assert len(set(group.tolist())) == 5


def test_without_a_cooler_no_stage_runs() -> None:
    table = control_tables(rig(cooler=None), scene(), STEP_S)
    assert (table.lowest_stage == NO_STAGE).all()


def test_set_out_arrays_stand_outside_when_people_are_up_or_a_span_says_so() -> None:
    folding = SolarArray(
        "set", 100.0, Mount.OPEN_STAND, folding=True, aims=(Aim(0.0, 30.0, 180.0),)
    )
    shown = rig(arrays=(ROOF_ARRAY, folding))

    def out(**operation: object) -> list[float]:
        table = control_tables(shown, scene(operation=Operation(24.0, **operation)), STEP_S)
        assert table.array_beam[:, 0].all()
        return on(table.array_beam[:, 1])

    assert out() == [*np.arange(8.0, 20.0, 0.25)]
    assert out(set_out=(10.0, 18.0)) == [*np.arange(10.0, 18.0, 0.25)]
    early = (Span(6.0, 9.0, Setting(deployed=True)), Span(17.0, 18.0, Setting(deployed=False)))
    assert out(spans=early) == [*np.arange(6.0, 17.0, 0.25), *np.arange(18.0, 20.0, 0.25)]
