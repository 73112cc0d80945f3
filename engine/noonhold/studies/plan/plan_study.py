"""The plan of a day that keeps the comfort limit with the highest lowest charge.

Found by search over the compiled model: first every fixed schedule (one policy, one set point, from
an hour on), then changes of the best of them hour by hour. The plan comes back as an operation that
a projection repeats exactly, beside bounds on what perfect foresight could do.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, Final

from noonhold.errors import DocumentError, NumericalError
from noonhold.projection_request import ProjectionRequest
from noonhold.rig import Policy
from noonhold.scenario import Operation
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold.studies.fault_places import inside_projection
from noonhold.studies.plain_values import plain
from noonhold.studies.plan.charge_limits import STATEMENT, Foresight, charge_limits
from noonhold.studies.plan.day_plan import Drive, PlanTables
from noonhold.studies.plan.plan_search import FixedSchedule, PlanSearch, Rated
from noonhold.studies.run_figures import Figures, figures_of
from noonhold.studies.study_base import Prepared, ProjectionCache
from noonhold.twins import run_twins
from noonhold.verdict import CAUTIONS
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.selection import Reader
from noonhold.weather.weather_files import read_weather

MOST_DAYS: Final = 7
_DRIVES_KEPT: Final = 2  # that are searched in full


class PlanOutcome(StrEnum):
    """Whether the plan keeps the comfort limit."""

    KEPT = "kept"
    NOT_KEPT = "not_kept"  # no plan tried keeps it; the one returned comes nearest


@dataclass(frozen=True)
class PlanRequest:
    """What a plan is asked for.

    Parameters
    ----------
    base : ProjectionRequest
        As a projection is asked; its cooling window stays, set points and policies are replaced.
    lowest_set_point_c, highest_set_point_c : float
        Set points allowed. [degC]
    drive : Drive or None
        A drive that belongs to the day.
    most_runs : int
        Plans that may be tried after the fixed schedules.
    seed : int
        For the order in which changes are tried.
    """

    base: ProjectionRequest
    lowest_set_point_c: float
    highest_set_point_c: float
    drive: Drive | None = None
    most_runs: int = 1500
    seed: int = 1


@dataclass(frozen=True)
class Fixed:
    """The best fixed schedule.

    Parameters
    ----------
    policy : Policy
        From the start to the end of the cooling window.
    set_point_c : float
        [degC]
    start_hour : int
        Hour of the clock before which the cooler rests. [h]
    figures : Figures
        What it comes to.
    """

    policy: Policy
    set_point_c: float
    start_hour: int
    figures: Figures


@dataclass(frozen=True)
class PlanResult:
    """The plan.

    Parameters
    ----------
    outcome : PlanOutcome
        Whether every day of it holds.
    operation : Operation
        The plan, as a projection takes it.
    drive_start : float or None
        Hour of the clock at which to drive. [h]
    figures : Figures
        What the plan comes to, as a projection says.
    as_asked : Figures
        The operation as it was asked for, without a drive that the plan adds.
    best_fixed : Fixed
        The best of the fixed schedules.
    bounds : Foresight
        What no plan can better.
    runs : int
        Plans tried.
    notes : tuple of str
        What was assumed.
    """

    outcome: PlanOutcome
    operation: Operation
    drive_start: float | None
    figures: Figures
    as_asked: Figures
    best_fixed: Fixed
    bounds: Foresight
    runs: int
    notes: tuple[str, ...]


@inside_projection(NumericalError)  # a run raises it anywhere below
def plan_day(
    request: PlanRequest,
    catalogue: Catalogue,
    read: Reader = read_weather,
    step_s: int = DEFAULT_STEP_S,
) -> PlanResult:
    """Find the plan that keeps the comfort limit with the highest lowest charge.

    Parameters
    ----------
    request : PlanRequest
        What is asked, and what a plan may do.
    catalogue : Catalogue
        Stations to choose the weather from.
    read : callable, optional
        Reads a station's file.
    step_s : int, optional
        Step of the time loop. [s]

    Returns
    -------
    PlanResult
        Never worse than any fixed schedule tried, nor than the operation asked for where that
        changes by whole hours within the set points allowed.

    Raises
    ------
    DocumentError
        For a rig without a cooler, for more days than :data:`MOST_DAYS`, or a drive that does not
        fit between its hours.
    NoonholdError
        As weather and time loop raise it.

    Notes
    -----
    Plans are compared by days that hold, then the comfortable share of the worst day as far as it
    is asked for, then time at the reserve, then the lowest charge, then the charge at the end. A
    plan of several days is the same every day, and settling days follow it, too. The search is
    a pattern search and may end on a plan that only a larger change would better; the bounds say
    how much better at most.
    """
    if request.base.rig.cooler is None:
        raise DocumentError.single("/projection/rig/cooler", "a rig without a cooler has no plan")
    with inside_projection():
        bench = ProjectionCache(catalogue, read, step_s)
        prepared = bench.prepare(request.base)
    days = len(prepared.shown_clock().day_first())
    if days > MOST_DAYS:
        raise DocumentError.single(
            "/projection/weather", "is too long for a plan", days, f"at most {MOST_DAYS} days"
        )
    tables = PlanTables(prepared, request.drive)
    if not tables.drive_starts:
        raise DocumentError.single("/drive", "does not fit between its hours")
    search = PlanSearch(tables, request.lowest_set_point_c, request.highest_set_point_c)
    fixed, best = _best(search, request)
    operation = tables.operation(best.plan)
    own = bench.prepare(_with(request.base, operation))
    record = run_cases([own.case])[0]
    figures = _figures(own)
    return PlanResult(
        outcome=PlanOutcome.KEPT if figures.holds else PlanOutcome.NOT_KEPT,
        operation=operation,
        drive_start=best.plan.drive_start,
        figures=figures,
        as_asked=_figures(prepared),
        best_fixed=Fixed(
            fixed.policy,
            fixed.set_point_c,
            fixed.start_hour,
            _figures(bench.prepare(_with(request.base, tables.operation(fixed.rated.plan)))),
        ),
        bounds=charge_limits(own, own.case, record),
        runs=search.runs,
        notes=(
            "the cooling window was kept: outside it the cooler is off",
            *prepared.selected.notes,
            *prepared.selected.table.notes,
        ),
    )


def _best(search: PlanSearch, request: PlanRequest) -> tuple[FixedSchedule, Rated]:
    """Return the best fixed schedule and the best plan."""

    def merit(schedule: FixedSchedule) -> tuple[float, ...]:
        return schedule.rated.merit

    starts = search.tables.drive_starts
    if len(starts) > _DRIVES_KEPT:
        # A short look at every drive; the most promising are searched in full.
        looked = [(merit(max(search.fixed_schedules(s, True), key=merit)), s) for s in starts]
        looked.sort(key=lambda pair: pair[0], reverse=True)
        starts = tuple(start for _, start in looked[:_DRIVES_KEPT])
    fixed = max((f for start in starts for f in search.fixed_schedules(start, False)), key=merit)
    begin = fixed.rated
    for start in starts:
        asked = search.rate(search.within(search.tables.as_asked(start)))
        begin = max(begin, asked, key=lambda rated: rated.merit)
    best = search.improve(begin, request.most_runs, request.seed)
    return fixed, best


def _with(question: ProjectionRequest, operation: Operation) -> ProjectionRequest:
    return replace(question, scenario=replace(question.scenario, operation=operation))


def _figures(prepared: Prepared) -> Figures:
    return figures_of(prepared.projection(run_twins(prepared.case)))


def plan_report(plan_result: PlanResult) -> dict[str, Any]:
    """Return a plan as plain values for a JSON writer; its operation's document not among them.

    Parameters
    ----------
    plan_result : PlanResult
        From :func:`plan_day`.
    """
    members = {k: v for k, v in vars(plan_result).items() if k not in ("operation", "bounds")}
    bounds = plain(plan_result.bounds)
    return {
        "cautions": list(CAUTIONS),
        **plain(members),
        "lowest_charge_at_best": {**bounds, "statement": STATEMENT},
    }
