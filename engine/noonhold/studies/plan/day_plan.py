"""A day's plan: set point and stages for every hour of the clock, and when to drive."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.rig import Policy
from noonhold.scenario import Operation, Scenario, Setting, Span
from noonhold.simulation.controls import ControlTables, control_tables, in_span
from noonhold.simulation.simulation_case import SimulationCase
from noonhold.studies.study_base import Prepared

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

HOURS: Final = 24
_ALL_DAY: Final = (0.0, 24.0)


@dataclass(frozen=True)
class Drive:
    """A drive that belongs to the day, and when it may begin.

    Parameters
    ----------
    duration_h : float
        How long it takes. [h]
    speed_km_h : float
        How fast. [km/h]
    earliest, latest : float
        Hours of the clock between which it begins and ends. [h]
    """

    duration_h: float
    speed_km_h: float
    earliest: float
    latest: float

    def starts(self) -> tuple[float, ...]:
        """Return the hours at which it may begin, an hour apart."""
        last = self.latest - self.duration_h
        count = int(np.floor(last - self.earliest + 1e-9)) + 1
        return tuple(self.earliest + k for k in range(max(count, 0)))

    def span(self, start: float) -> Span:
        """Return the span of the clock in which it is driven."""
        return Span(start, start + self.duration_h, Setting(driving_speed_km_h=self.speed_km_h))


@dataclass(frozen=True)
class Plan:
    """What is set hour by hour; only hours within the cooling window matter.

    Parameters
    ----------
    set_point_c : tuple of float, 24 long
        [degC]
    policy : tuple of Policy, 24 long
        Which stages may run.
    drive_start : float or None
        Hour of the clock at which the drive begins, where there is one. [h]
    """

    set_point_c: tuple[float, ...]
    policy: tuple[Policy, ...]
    drive_start: float | None = None


def fixed_plan(
    policy: Policy, set_point_c: float, start_hour: int, hours: IntArray, drive: float | None
) -> Plan:
    """Return a schedule of one policy and one set point from an hour on.

    Parameters
    ----------
    policy : Policy
        From the start hour to the end of the cooling window; off before.
    set_point_c : float
        [degC]
    start_hour : int
        Position in ``hours``.
    hours : numpy.ndarray of int
        Hours of the clock in the order of the cooling window.
    drive : float or None
        When the drive begins. [h]
    """
    policies = [Policy.OFF] * HOURS
    for hour in hours[start_hour:].tolist():
        policies[hour] = policy
    return Plan((set_point_c,) * HOURS, tuple(policies), drive)


class PlanTables:
    """Turns plans into runs of the time loop without reading the operation again.

    Parameters
    ----------
    prepared : Prepared
        The question, ready to run.
    drive : Drive or None
        A drive that belongs to the day.
    """

    def __init__(self, prepared: Prepared, drive: Drive | None) -> None:
        self.prepared = prepared
        self.drive = drive
        question = prepared.request
        self._rig = question.rig
        self._scenario = question.scenario
        control = prepared.case.control
        rows = len(control.set_point)
        self._hour_of_row: IntArray = np.arange(rows, dtype=np.int64) * HOURS // rows
        self.hours = self._window_hours()
        self.lowest_allowed = np.full(HOURS, -np.inf)
        heated = np.nan_to_num(control.heating_set_point, nan=-np.inf)
        np.maximum.at(self.lowest_allowed, self._hour_of_row, heated)
        self._stages = {policy: self._stages_of(policy) for policy in self.policies()}
        starts: tuple[float | None, ...] = (None,) if drive is None else drive.starts()
        self.drive_starts = starts
        self._controls = {start: self._control_of(start) for start in starts}

    def policies(self) -> tuple[Policy, ...]:
        """Return the policies worth trying: with one stage there is only on and off."""
        cooler = self._rig.cooler
        if cooler is None:
            return (Policy.OFF,)
        if len(cooler.stages) == 1:
            return (Policy.OFF, Policy.LOW_THEN_HIGH)
        return (Policy.OFF, Policy.LOW_ONLY, Policy.LOW_THEN_HIGH, Policy.HIGH_ONLY)

    def case(self, plan: Plan) -> SimulationCase:
        """Return the run of a plan.

        Parameters
        ----------
        plan : Plan
            With policies of :meth:`policies` and a drive of ``drive_starts``.

        Returns
        -------
        SimulationCase
            The same tables that the plan's operation makes.
        """
        control = self._controls[plan.drive_start]
        hour = self._hour_of_row
        set_points = np.array(plan.set_point_c)[hour]
        within = np.zeros(HOURS, dtype=bool)
        within[self.hours] = True
        inside = within[hour]
        lowest, highest = control.lowest_stage.copy(), control.highest_stage.copy()
        for policy, (low, high) in self._stages.items():
            chosen = np.array([p is policy for p in plan.policy])[hour] & inside
            lowest[chosen], highest[chosen] = low[chosen], high[chosen]
        control = control._replace(
            set_point=np.where(inside, set_points, control.set_point),
            lowest_stage=lowest,
            highest_stage=highest,
        )
        return replace(self.prepared.case, control=control)

    def operation(self, plan: Plan) -> Operation:
        """Return a plan as an operation, equal hours in one span.

        Returns
        -------
        Operation
            What was asked for, overruled by the plan.
        """
        operation = self._scenario.operation
        spans = list(operation.spans)
        if self.drive is not None and plan.drive_start is not None:
            spans.append(self.drive.span(plan.drive_start))
        merged: list[Span] = []
        for hour in sorted(self.hours.tolist()):
            setting = Setting(set_point_c=plan.set_point_c[hour], policy=plan.policy[hour])
            if merged and merged[-1].to_hour == hour and merged[-1].setting == setting:
                merged[-1] = replace(merged[-1], to_hour=float(hour + 1))
            else:
                merged.append(Span(float(hour), float(hour + 1), setting))
        return replace(operation, spans=(*spans, *merged))

    def as_asked(self, drive_start: float | None) -> Plan:
        """Return the plan nearest to the operation as it was asked for."""
        control = self._controls[drive_start]
        first = np.searchsorted(self._hour_of_row, np.arange(HOURS))
        lows, highs = control.lowest_stage[first], control.highest_stage[first]
        policies = [Policy.OFF] * HOURS
        for policy, (low, high) in self._stages.items():
            for hour in range(HOURS):
                row = first[hour]
                if (low[row], high[row]) == (lows[hour], highs[hour]):
                    policies[hour] = policy
        return Plan(tuple(control.set_point[first].tolist()), tuple(policies), drive_start)

    def _window_hours(self) -> IntArray:
        """Return the hours of the clock that the cooling window touches, in its order."""
        start, end = self._scenario.operation.cooling_window
        first = int(np.floor(start))
        hours = (first + np.arange(HOURS)) % HOURS
        quarter = np.arange(0.0, 1.0, 1.0 / 60.0)
        touched = [bool(in_span(hour + quarter, start, end).any()) for hour in hours.tolist()]
        return np.asarray(hours[touched], dtype=np.int64)

    def _stages_of(self, policy: Policy) -> tuple[IntArray, IntArray]:
        """Return the stages a policy allows by row, within the cooling window."""
        operation = replace(
            self._scenario.operation, spans=(Span(*_ALL_DAY, Setting(policy=policy)),)
        )
        control = self._tables(replace(self._scenario, operation=operation))
        return control.lowest_stage, control.highest_stage

    def _control_of(self, drive_start: float | None) -> ControlTables:
        """Return the tables of the operation as asked, with the drive at an hour."""
        if self.drive is None or drive_start is None:
            return self.prepared.case.control
        operation = self._scenario.operation
        spans = (*operation.spans, self.drive.span(drive_start))
        return self._tables(replace(self._scenario, operation=replace(operation, spans=spans)))

    def _tables(self, scenario: Scenario) -> ControlTables:
        return control_tables(self._rig, scenario, self.prepared.step_s)
