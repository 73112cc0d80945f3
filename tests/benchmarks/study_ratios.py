"""What a study costs in projections: ``python -m tests.benchmarks studies``.

Ratios instead of seconds, by the processor time of this process, study and projection in turn, so
that a busy machine blurs them less. The projection is the study's own base over the same days,
with the cooler and without; weather is read once for all.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from noonhold.documents.calibration_document import load_calibration
from noonhold.documents.comparison_document import load_comparison
from noonhold.documents.plan_document import load_plan
from noonhold.documents.sizing_document import load_sizing
from noonhold.documents.uncertainty_document import load_uncertainty
from noonhold.documents.warm_up_document import load_warm_up
from noonhold.projection_request import ProjectionRequest
from noonhold.projection_result import run_projection
from noonhold.studies.calibration.calibration_study import calibrate
from noonhold.studies.comparison.comparison_study import compare
from noonhold.studies.plan.plan_study import plan_day
from noonhold.studies.sizing.sizing_study import size_rig
from noonhold.studies.uncertainty.uncertainty_study import estimate_uncertainty
from noonhold.studies.warm_up.warm_up_study import warm_up
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import WeatherTable
from noonhold_service.description.study_examples import STUDY_REQUESTS
from tests.engine.document_samples import changed
from tests.engine.studies.study_samples import sample_rig, sample_stations

TURNS = 5
LONG_S = 3.0  # what takes longer is timed once
CATALOGUE = sample_stations()


class Case(NamedTuple):
    """A study beside its projection."""

    name: str
    study: Callable[[], Any]
    projection: Callable[[], Any]


@cache
def read(path: Path) -> WeatherTable:
    """Read a file once."""
    return read_weather(path)


def document(name: str, *changes: tuple[str, Any]) -> dict[str, Any]:
    """Return an example's request with some of it changed."""
    return changed(STUDY_REQUESTS[name][1].document, *changes)


def projected(question: ProjectionRequest) -> Callable[[], Any]:
    """Return the projection of a question."""
    return lambda: run_projection(
        question.rig, question.scenario, question.weather, CATALOGUE, read
    )


def cases() -> list[Case]:
    """Return every study beside its projection."""
    comparison = load_comparison(document("comparison"), sample_rig).value
    stop = load_warm_up(document("warm_up"), sample_rig).value
    uncertain = load_uncertainty(
        document("uncertainty", ("/sensitivity_samples", 0)), sample_rig
    ).value
    year = (("/projection/weather/typical_year/days", 365),)
    sized = load_sizing(document("sizing_battery", *year), sample_rig).value
    frontier = load_sizing(document("sizing_frontier", *year), sample_rig).value
    planned = load_plan(document("plan"), sample_rig).value
    logged = load_calibration(document("calibration"), sample_rig).value
    return [
        Case(
            "comparison, 11 variants of a day",
            lambda: compare(comparison.base, comparison.variants, CATALOGUE, read),
            projected(comparison.base),
        ),
        Case(
            "warm-up, a stated stop",
            lambda: warm_up(stop, CATALOGUE, read),
            projected(stop.base),
        ),
        Case(
            "uncertainty, 256 samples of a day",
            lambda: estimate_uncertainty(uncertain, CATALOGUE, read),
            projected(uncertain.base),
        ),
        Case(
            "sizing, a battery over a year",
            lambda: size_rig(sized, CATALOGUE, read),
            projected(sized.base),
        ),
        Case(
            "sizing, a frontier of 12 x 12 over a year",
            lambda: size_rig(frontier, CATALOGUE, read),
            projected(frontier.base),
        ),
        Case(
            "plan, a day, 400 plans after the fixed ones",
            lambda: plan_day(planned, CATALOGUE, read),
            projected(planned.base),
        ),
        Case(
            "calibration, 40 h of log, over the plan's day",
            lambda: calibrate(logged.setup, logged.log, logged.options),
            projected(planned.base),
        ),
    ]


def processor_s(work: Callable[[], Any]) -> float:
    """Return the processor time of some work. [s]."""
    began = time.process_time()
    work()
    return time.process_time() - began


def table() -> Iterator[str]:
    """Return the lines of the table as they are measured, the least of all turns."""
    yield f"{'study':48} {'projections':>11} {'study, s':>9}"
    for case in cases():
        first, _ = processor_s(case.study), case.projection()  # compile, read
        turns = TURNS if first < LONG_S else 1
        pairs = [(processor_s(case.study), processor_s(case.projection)) for _ in range(turns)]
        study, one = (min(each) for each in zip(*pairs, strict=True))
        yield f"{case.name:48} {study / one:11.1f} {study:9.2f}"
