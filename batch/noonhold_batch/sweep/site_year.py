"""A case of a sweep through a whole year at one site, by the library's year."""

from __future__ import annotations

from noonhold.simulation.forcing_cache import ForcingCache
from noonhold.studies.year import year_run
from noonhold.studies.year.year_run import DAYS, YearRun
from noonhold.verdict import DayVerdicts
from noonhold.weather.weather_table import WeatherTable
from noonhold_batch.sweep.sweep_cases import Case

__all__ = ["DAYS", "YearRun", "judge_year", "run_year"]


def run_year(
    case: Case, weather: WeatherTable, step_s: int, forcing: ForcingCache | None = None
) -> YearRun:
    """Run a case through a year; see :func:`noonhold.studies.year.year_run.run_year`."""
    return year_run.run_year(case.rig, case.at_site(weather.site), weather, step_s, forcing)


def judge_year(case: Case, run: YearRun, interval_s: int) -> DayVerdicts:
    """Judge the days of a year; see :func:`noonhold.studies.year.year_run.judge_year`."""
    return year_run.judge_year(case.rig, case.scenario, run, interval_s)
