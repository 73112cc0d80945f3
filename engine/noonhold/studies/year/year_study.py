"""The year of a rig at a place: 365 daily verdicts, its months, its longest bad stretch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from noonhold.errors import StationNotFoundError
from noonhold.quantities import Cause, Verdict
from noonhold.rig import Rig
from noonhold.scenario import Scenario
from noonhold.simulation import channels as ch
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold.studies.year.year_run import days_of_year, judge_year, longest_run, run_year
from noonhold.verdict import CAUTIONS, DayVerdicts
from noonhold.weather.catalogue import Catalogue, Near
from noonhold.weather.selection import Reader, select_weather
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_request import TypicalYear

FloatArray = npt.NDArray[np.float64]
MONTH_OF_DAY = np.repeat(np.arange(12), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


@dataclass(frozen=True)
class YearRequest:
    """What is asked for.

    Parameters
    ----------
    rig : Rig
        What stands there.
    scenario : Scenario
        Where, what is done, what is comfortable, the state on 1 January.
    weather : TypicalYear
        Which station; its days are not used.
    """

    rig: Rig
    scenario: Scenario
    weather: TypicalYear


@dataclass(frozen=True)
class Year:
    """A year from 1 January on.

    Parameters
    ----------
    rig : Rig
        What stood there.
    scenario : Scenario
        As it was run, on the standard time of the weather.
    days : DayVerdicts
        365 days.
    cabin_c : numpy.ndarray, shape (365, intervals of a day)
        [degC]
    outdoor_high_c : numpy.ndarray, shape (365,)
        [degC]
    notes : tuple of str
        What choosing and reading the weather assumed.
    """

    rig: Rig
    scenario: Scenario
    days: DayVerdicts
    cabin_c: FloatArray
    outdoor_high_c: FloatArray
    near: Near
    notes: tuple[str, ...]


def project_year(
    asked: YearRequest,
    catalogue: Catalogue,
    read: Reader = read_weather,
    step_s: int = DEFAULT_STEP_S,
) -> Year:
    """Run a rig through the typical year of a place.

    Parameters
    ----------
    catalogue : Catalogue
        Stations to choose from.
    read : callable, optional
        Reads a station's file.
    step_s : int, optional
        Step of the time loop. [s]

    Raises
    ------
    NoonholdError
        As choosing the station, reading its file or the run raise it.
    """
    # The guards of a day's projection hold for a year too: the same choice of the station.
    selected = select_weather(asked.weather, asked.scenario.place, 0, catalogue, read)
    if selected.near is None:
        raise StationNotFoundError.single("/place", "a year needs a station")
    table = read(selected.near.station.path)
    order = days_of_year(table).argsort()
    scenario = asked.scenario
    notes = selected.notes + table.notes
    if scenario.place.timezone is not None:
        scenario = replace(scenario, place=replace(scenario.place, timezone=None))
        notes += ("a year is run on the standard time of its weather, without daylight saving",)
    run = run_year(asked.rig, scenario, table, step_s)
    days = judge_year(asked.rig, scenario, run, table.interval_s)
    return Year(
        rig=asked.rig,
        scenario=scenario,
        days=DayVerdicts(**{name: each[order] for name, each in vars(days).items()}),
        cabin_c=run.twins.record[:, ch.CABIN].reshape(len(order), -1)[order],
        outdoor_high_c=table.temp_air.reshape(len(order), -1).max(axis=1)[order],
        near=selected.near,
        notes=tuple(dict.fromkeys(notes)),
    )


def year_summary(year: Year) -> dict[str, Any]:
    """Return what one asks of a year first.

    Parameters
    ----------
    year : Year
        From :func:`project_year`.

    Returns
    -------
    dict
        Counts of days, the longest stretch of days needing cooling that fail, and the months (1
        to 12) in which no day fails.
    """
    days = year.days
    failing = days.verdict == int(Verdict.FAILS)
    months = [int(m) + 1 for m in range(12) if not failing[m == MONTH_OF_DAY].any()]
    causes = days.first_cause[failing]
    most = int(np.bincount(causes).argmax()) if causes.size else int(Cause.NONE)
    return {
        **count_days(days, np.ones(len(days), dtype=bool)),
        "longest_failing_run_d": longest_run((failing & days.needs_cooling)[None, :]),
        "most_frequent_cause": Cause(most).word,
        "best_months": months,
        "lowest_charge": float(days.lowest_charge.min()),
    }


def year_months(year: Year) -> list[dict[str, Any]]:
    """Return the months of a year.

    Parameters
    ----------
    year : Year
        From :func:`project_year`.

    Returns
    -------
    list of dict
        Twelve.
    """
    days = year.days
    rows = []
    for month in range(12):
        here = np.equal(MONTH_OF_DAY, month)
        rows.append(
            {
                "month": month + 1,
                **count_days(days, here),
                "lowest_charge": float(days.lowest_charge[here].min()),
                "cooler_wh_a_day": float(days.cooler_wh[here].mean()),
                "solar_wh_a_day": float(days.solar_wh[here].mean()),
                "mean_outdoor_high_c": float(year.outdoor_high_c[here].mean()),
            }
        )
    return rows


def year_report(year: Year) -> Mapping[str, Any]:
    """Return a year as a plain document.

    Parameters
    ----------
    year : Year
        From :func:`project_year`.

    Returns
    -------
    mapping
        ``summary``, ``months``, ``days`` as columns, ``notes`` and the cautions.
    """
    days = year.days
    dates = np.datetime64("2001-01-01") + np.arange(len(days))
    return {
        "summary": year_summary(year),
        "months": year_months(year),
        "days": {
            "day": [str(date)[5:] for date in dates],
            "verdict": [Verdict(int(each)).word for each in days.verdict],
            "first_cause": [Cause(int(each)).word for each in days.first_cause],
            "needs_cooling": days.needs_cooling.tolist(),
            "comfortable_fraction": days.comfortable_fraction,
            "lowest_charge": days.lowest_charge,
            "outdoor_high_c": year.outdoor_high_c,
            "cabin_high_c": year.cabin_c.max(axis=1),
        },
        "notes": list(year.notes),
        "cautions": list(CAUTIONS),
    }


def count_days(days: DayVerdicts, here: npt.NDArray[np.bool_]) -> dict[str, int]:
    """Return how many of some days need cooling, hold, hold narrowly and fail.

    Parameters
    ----------
    here : numpy.ndarray of bool, shape (days,)
        Which of them count.
    """
    verdict = days.verdict[here]
    return {
        "days_needing_cooling": int(days.needs_cooling[here].sum()),
        "holds": int((verdict == int(Verdict.HOLDS)).sum()),
        "narrowly": int((verdict == int(Verdict.NARROWLY)).sum()),
        "fails": int((verdict == int(Verdict.FAILS)).sum()),
    }
