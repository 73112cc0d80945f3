"""What one study may ask for, at most; each refusal names the limit and the value."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Final

import numpy as np

from noonhold.documents.calibration_document import CalibrationRequest
from noonhold.documents.comparison_document import ComparisonRequest
from noonhold.documents.schema import pointer
from noonhold.errors import Fault, prefix_pointers
from noonhold.projection_request import ProjectionRequest
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold.studies.calibration.field_log import FieldLog
from noonhold.studies.plan.plan_study import PlanRequest
from noonhold.studies.sizing.sizing_terms import SizingRequest
from noonhold.studies.survey.survey_study import SurveyRequest
from noonhold.studies.uncertainty.uncertainty_study import UncertaintyRequest
from noonhold.studies.warm_up.warm_up_study import WarmUpRequest
from noonhold.weather.weather_request import Hourly
from noonhold_service.http.request_limits import days_of
from noonhold_service.http.study_costs import Work
from noonhold_service.problems import ProblemError
from noonhold_service.settings import Settings

_INSIDE: Final = ("projection",)
_YEAR_DAYS: Final = 365
_TWINS: Final = 4  # cooled, uncooled, adverse, fed
_VARIANT_S: Final = 0.004
_SAMPLE_S: Final = 0.0004
_PREDICTING_RUNS: Final = 30  # two an unknown, and one
_FITTING_RUNS: Final = 150  # of a calibration of the usual factors, measured
_FIXED_SCHEDULES: Final = 3 * 24 * 30  # policies, hours and set points of a plan, at most


def check_comparison(asked: ComparisonRequest, settings: Settings) -> Work:
    """Refuse too many variants, or too many days in all of them.

    Parameters
    ----------
    asked : ComparisonRequest
        Sound.
    settings : Settings
        The operator's limits.

    Returns
    -------
    Work
        All its runs.

    Raises
    ------
    ProblemError
        ``limit-exceeded`` with every limit that is exceeded.
    """
    count = len(asked.variants)
    faults = _more("/variants", "variants", count, settings.max_variants)
    days, found = _days(asked.base, ("base",), settings)
    faults += found
    for index, variant in enumerate(asked.variants):
        more, found = _days(variant.request, ("variants", index, "patch"), settings)
        days += more
        faults += found
    return _allowed(
        faults, "/variants", Work(2 * (1 + count), 2 * days, _VARIANT_S * (1 + count)), settings
    )


def check_sizing(asked: SizingRequest, settings: Settings) -> Work:
    """Refuse too long a stretch, or too many sizes; see :func:`check_comparison`."""
    days, faults = _days(asked.base, _INSIDE, replace(settings, max_days=settings.max_sizing_days))
    axes = [
        (name, len(each.values()))
        for name in ("battery_wh", "array_w", "cooler_factor")
        if (each := getattr(asked, name)) is not None
    ]
    sizes = math.prod(count for _, count in axes)
    faults += _more(f"/{axes[0][0]}", "sizes", sizes, settings.max_sizes)
    # A single size is narrowed down; a frontier is walked along its border.
    sizes_run = 2 * sum(count for _, count in axes) if len(axes) > 1 else 20
    runs = (_TWINS - 1) * sizes_run  # the uncooled twin is run once for all
    if faults:
        _refuse(faults)
    return Work(runs, days * runs, 0.1)


def check_calibration(asked: CalibrationRequest, settings: Settings) -> Work:
    """Refuse too long a log; see :func:`check_comparison`."""
    days, faults = _log_days("/log/times", asked.log, settings)
    runs, run_days = _FITTING_RUNS, _FITTING_RUNS * (days + 1)
    if asked.second is not None:
        more, found = _log_days("/prediction/log/times", asked.second.log, settings)
        faults += found
        runs += _PREDICTING_RUNS
        run_days += _PREDICTING_RUNS * (more + 1)
    if faults:
        _refuse(faults)
    return Work(runs, run_days, 0.25)


def _log_days(pointer: str, log: FieldLog, settings: Settings) -> tuple[int, list[Fault]]:
    """Return how many days a log spans, and what of it is too much."""
    faults = _more(pointer, "rows", len(log.times), settings.max_log_rows)
    span = log.times.max() - log.times.min()
    days = math.ceil(float(span / np.timedelta64(1, "D")))
    return days, faults + _more(pointer, "days", days, settings.max_days)


def check_year(asked: ProjectionRequest, settings: Settings) -> Work:
    """Refuse a year where the operator allows no stretch as long; see :func:`check_comparison`."""
    _, faults = _days(asked, (), settings)
    faults += _more("", "days", _YEAR_DAYS, settings.max_sizing_days)
    if faults:
        _refuse(faults)
    days = _YEAR_DAYS + asked.scenario.start.spin_up_days
    return Work(_TWINS, _TWINS * days, 0.02)


def check_survey(asked: SurveyRequest, stations: int, settings: Settings) -> Work:
    """Refuse too many rows; see :func:`check_comparison`.

    Returns
    -------
    Work
        Of one rig at one station.
    """
    faults = _more("", "rows", stations * len(asked.rigs), settings.max_survey_rows)
    faults += _more("", "days", asked.days, settings.max_sizing_days)
    settled = asked.scenario.start.spin_up_days
    faults += _more("/start/spin_up_days", "days", settled, settings.max_spin_up_days)
    if faults:
        _refuse(faults)
    return Work(_TWINS, _TWINS * (asked.days + settled), 0.02)


def check_warm_up(asked: WarmUpRequest, settings: Settings) -> Work:
    """Refuse too long a stretch; see :func:`check_comparison`."""
    days, faults = _days(asked.base, _INSIDE, settings)
    if faults:
        _refuse(faults)
    # Looking for the worst stop tries every hour of the days.
    runs = 12 if asked.stop_hour is not None else 12 + 8 * days
    return Work(runs, 2 * days + runs, 0.03)


def check_uncertainty(asked: UncertaintyRequest, settings: Settings) -> Work:
    """Refuse too many samples, or too many days in all of them; see :func:`check_comparison`."""
    faults = _more("/samples", "samples", asked.samples, settings.max_samples)
    rows = asked.sensitivity_samples
    faults += _more("/sensitivity_samples", "rows", rows, settings.max_samples)
    varying = sum(limits.high > limits.low for limits in asked.ranges.values())
    days, found = _days(asked.base, _INSIDE, settings)
    runs = asked.samples + rows * (varying + 1)
    return _allowed(faults + found, "/samples", Work(runs, days * runs, _SAMPLE_S * runs), settings)


def check_plan(asked: PlanRequest, settings: Settings) -> Work:
    """Refuse too many plans, or too many days in all of them; see :func:`check_comparison`."""
    faults = _more("/most_runs", "plans", asked.most_runs, settings.max_plans)
    days, found = _days(asked.base, _INSIDE, settings)
    runs = asked.most_runs + _FIXED_SCHEDULES
    return _allowed(faults + found, "/most_runs", Work(runs, days * runs), settings)


def common_step_s(questions: Iterable[ProjectionRequest]) -> int:
    """Return the step of the time loop: the usual one, or less where any weather is finer.

    Parameters
    ----------
    questions : iterable of ProjectionRequest
        What is run by it.

    Returns
    -------
    int
        Divides the interval of every weather. [s]
    """
    intervals = [q.weather.interval_s for q in questions if isinstance(q.weather, Hourly)]
    steps = range(DEFAULT_STEP_S, 0, -1)
    return next(step for step in steps if all(interval % step == 0 for interval in intervals))


def _days(
    base: ProjectionRequest, place: tuple[str | int, ...], settings: Settings
) -> tuple[int, list[Fault]]:
    """Return the days of one run, or what stands against them."""
    try:
        return days_of(base, settings), []
    except ProblemError as error:
        return 0, prefix_pointers(error.response.faults, pointer(place))


def _more(path: str, what: str, value: int, most: int) -> list[Fault]:
    if value <= most:
        return []
    return [Fault(path, f"asks for more {what} than are allowed", value, f"<= {most}")]


def _allowed(faults: list[Fault], path: str, work: Work, settings: Settings) -> Work:
    """Return the work, or refuse the request."""
    run_days = work.run_days
    if not faults and run_days > settings.max_run_days:
        message = "makes runs of more days in all than are allowed"
        faults = [Fault(path, message, run_days, f"<= {settings.max_run_days} d")]
    if faults:
        _refuse(faults)
    return work


def _refuse(faults: list[Fault]) -> None:
    message = "; ".join(f"{f.path} {f.message}: {f.value}, allowed {f.bound}" for f in faults)
    raise ProblemError("limit-exceeded", message, faults)
