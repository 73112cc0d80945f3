"""Searching for the plan that keeps the comfort limit with the highest lowest charge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt

from noonhold.day_causes import day_conditions
from noonhold.rig import Policy
from noonhold.scenario import Comfort
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.studies.plan.day_plan import Plan, PlanTables, fixed_plan
from noonhold.weather.clock import Clock

FloatArray = npt.NDArray[np.float64]

FIXED_STEP_K: Final = 1.0  # from one set point of the fixed schedules to the next
_SHIFTS_K: Final = (2.0, 0.5, 0.1)
_LENGTHS: Final = (24, 12, 8, 6, 4, 3, 2, 1)  # hours that a move changes together
_DIGITS: Final = 9  # of a merit; less is rounding of the time loop

Merit: TypeAlias = tuple[int, float, float, float, float]


@dataclass(frozen=True)
class Rated:
    """A plan and how good it is; a larger merit is better."""

    plan: Plan
    merit: Merit


@dataclass(frozen=True)
class FixedSchedule:
    """One policy and one set point from an hour on, with its merit.

    Parameters
    ----------
    policy : Policy
        From the start to the end of the cooling window.
    set_point_c : float
        [degC]
    start_hour : int
        Hour of the clock before which the cooler rests. [h]
    rated : Rated
        As a plan.
    """

    policy: Policy
    set_point_c: float
    start_hour: int
    rated: Rated


def merit_of(record: FloatArray, comfort: Comfort, clock: Clock, energy_wh: float) -> Merit:
    """Return how good a run is.

    Parameters
    ----------
    comfort : Comfort
        For the share of the judged time that must be comfortable.
    clock : Clock
        Days are the clock's.
    energy_wh : float
        Usable energy of the battery. [Wh]

    Returns
    -------
    tuple
        In this order, more is better: days that hold; the comfortable share of the worst day as
        far as it is asked for; less time at the reserve; the lowest charge; the charge at the end.
    """
    met = day_conditions(comfort, clock, record)
    share = np.where(met.judged, met.comfortable_fraction, 1.0)
    return (
        int(met.holds.sum()),
        round(float(min(share.min(), comfort.required_fraction)), _DIGITS),
        -float(record[:, ch.RESERVE_S].sum()),
        round(float(record[:, ch.STORED_LOWEST].min()) / energy_wh, _DIGITS),
        round(float(record[-1, ch.STORED]) / energy_wh, _DIGITS),
    )


class PlanSearch:
    """Tries plans, none of them twice.

    Parameters
    ----------
    tables : PlanTables
        Turns plans into runs.
    lowest_c, highest_c : float
        Set points allowed. [degC]
    """

    def __init__(self, tables: PlanTables, lowest_c: float, highest_c: float) -> None:
        self.tables = tables
        self.lowest_c, self.highest_c = lowest_c, highest_c
        prepared = tables.prepared
        self._clock = prepared.shown_clock()
        self._comfort = prepared.request.scenario.comfort
        self._energy_wh = prepared.request.rig.battery.usable_energy_wh
        self._known: dict[Plan, Merit] = {}

    @property
    def runs(self) -> int:
        """Number of plans tried."""
        return len(self._known)

    def rate(self, plan: Plan) -> Rated:
        """Return a plan with its merit."""
        if plan not in self._known:
            record = run_cases([self.tables.case(plan)])[0]
            self._known[plan] = merit_of(record, self._comfort, self._clock, self._energy_wh)
        return Rated(plan, self._known[plan])

    def within(self, plan: Plan) -> Plan:
        """Return a plan with its set points within what is allowed, at tenths of a kelvin."""
        bounded = np.clip(plan.set_point_c, self.lowest_c, self.highest_c)
        raised = np.maximum(bounded, self.tables.lowest_allowed)
        return replace(plan, set_point_c=tuple(np.round(raised, 2).tolist()))

    def fixed_schedules(self, drive: float | None, whole_window: bool) -> Iterator[FixedSchedule]:
        """Yield every fixed schedule, or only those that begin with the cooling window."""
        steps = int(np.floor((self.highest_c - self.lowest_c) / FIXED_STEP_K + 1e-9))
        set_points = [round(self.lowest_c + k * FIXED_STEP_K, 6) for k in range(steps + 1)]
        hours = self.tables.hours
        for policy in self.tables.policies():
            if policy is Policy.OFF:
                continue
            for set_point in set_points:
                for start in range(1 if whole_window else len(hours)):
                    plan = self.within(fixed_plan(policy, set_point, start, hours, drive))
                    yield FixedSchedule(policy, set_point, int(hours[start]), self.rate(plan))

    def improve(self, best: Rated, most_runs: int, seed: int) -> Rated:
        """Change blocks of hours as long as that helps.

        Parameters
        ----------
        best : Rated
            Where to begin.
        most_runs : int
            Plans that may be tried from here on.
        seed : int
            For the order of the moves.

        Returns
        -------
        Rated
            At least as good.

        Notes
        -----
        A pattern search: every block of the window's hours is shifted up and down by a step and
        given every policy; what helps is kept at once; when nothing helps any more the step gets
        smaller. The last step is a tenth of a kelvin.
        """
        random = np.random.default_rng(seed)
        last = self.runs + most_runs
        for shift in _SHIFTS_K:
            helped = True
            while helped and self.runs < last:
                helped = False
                moves = list(self._moves(shift))
                for index in random.permutation(len(moves)).tolist():
                    if self.runs >= last:
                        break
                    rated = self.rate(self._moved(best.plan, *moves[index]))
                    if rated.merit > best.merit:
                        best, helped = rated, True
        return best

    def _moves(self, shift: float) -> Iterator[tuple[list[int], float | Policy]]:
        """Yield blocks of hours with what is done to them."""
        hours = self.tables.hours.tolist()
        lengths = sorted({min(length, len(hours)) for length in _LENGTHS}, reverse=True)
        for length in lengths:
            for start in range(len(hours) - length + 1):
                block = hours[start : start + length]
                yield block, shift
                yield block, -shift
                for policy in self.tables.policies():
                    yield block, policy

    def _moved(self, plan: Plan, block: list[int], change: float | Policy) -> Plan:
        """Return a plan with a block of hours changed."""
        if isinstance(change, Policy):
            policies = list(plan.policy)
            for hour in block:
                policies[hour] = change
            return replace(plan, policy=tuple(policies))
        set_points = list(plan.set_point_c)
        for hour in block:
            set_points[hour] += change
        return self.within(replace(plan, set_point_c=tuple(set_points)))
