"""Rigs at the stations of a list or a box: what a sweep computes, one row a rig and station."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from noonhold.errors import DocumentError, Fault, NoonholdError, StationNotFoundError
from noonhold.quantities import Cause, Verdict
from noonhold.rig import Rig
from noonhold.scenario import Scenario
from noonhold.simulation.forcing_cache import ForcingCache
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold.studies.year.year_run import (
    days_of_year,
    judge_stretch,
    judge_year,
    longest_run,
    run_stretch,
    run_year,
)
from noonhold.studies.year.year_study import MONTH_OF_DAY, count_days
from noonhold.verdict import DayVerdicts
from noonhold.weather.catalogue import Catalogue, Station
from noonhold.weather.selection import Reader
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import Site, WeatherTable


@dataclass(frozen=True)
class MapBox:
    """A part of the map; west of the date line and east of it where ``west > east``.

    Parameters
    ----------
    south, north : float
        [degree]
    west, east : float
        [degree]
    """

    south: float
    north: float
    west: float
    east: float

    def holds(self, site: Site) -> bool:
        """Return whether a site lies in the box, its edges included."""
        if not self.south <= site.latitude <= self.north:
            return False
        if self.west <= self.east:
            return self.west <= site.longitude <= self.east
        return site.longitude >= self.west or site.longitude <= self.east


@dataclass(frozen=True)
class SurveyRequest:
    """What is asked for.

    Parameters
    ----------
    rigs : tuple of (str, Rig)
        Each with the name that its rows carry.
    scenario : Scenario
        What is done at every station; its place's coordinates are replaced by the station's.
    stations : tuple of str or None
        Identifiers.
    box : MapBox or None
        Instead of the identifiers.
    month : int or None
        1 to 12; ``None`` for the whole year.
    """

    rigs: tuple[tuple[str, Rig], ...]
    scenario: Scenario
    stations: tuple[str, ...] | None = None
    box: MapBox | None = None
    month: int | None = None

    @property
    def days(self) -> int:
        """Return how many days a row stands for."""
        if self.month is None:
            return len(MONTH_OF_DAY)
        return int(np.count_nonzero(self.month - 1 == MONTH_OF_DAY))


@dataclass(frozen=True)
class SurveyRow:
    """A rig at a station: its figures, or what stood against them.

    Parameters
    ----------
    rig : str
        Name of the rig.
    station : Station
        Where it stood.
    figures : Mapping or None
        From :func:`figures_of`.
    error : NoonholdError or None
        What made them impossible.
    """

    rig: str
    station: Station
    figures: Mapping[str, Any] | None = None
    error: NoonholdError | None = None


def stations_of(asked: SurveyRequest, catalogue: Catalogue) -> tuple[Station, ...]:
    """Return the stations of a request, in its order or, of a box, in that of their names.

    Raises
    ------
    DocumentError
        With every station that is unknown, or where the box has none.
    """
    if asked.stations is None:
        box = asked.box
        found = tuple(x for x in catalogue.stations if box is not None and box.holds(x.site))
        if not found:
            raise DocumentError([Fault("/box", "no station stands in the box")])
        return found
    stations, faults = [], []
    for index, name in enumerate(asked.stations):
        try:
            stations.append(catalogue.get(name))
        except StationNotFoundError as error:
            first = error.faults[0]
            faults.append(replace(first, path=f"/stations/{index}"))
    if faults:
        raise DocumentError(faults)
    return tuple(stations)


def survey_station(
    asked: SurveyRequest,
    station: Station,
    read: Reader = read_weather,
    step_s: int = DEFAULT_STEP_S,
) -> list[SurveyRow]:
    """Run every rig through the weather of one station.

    Parameters
    ----------
    station : Station
        One of :func:`stations_of`.
    read : callable, optional
        Reads its file.
    step_s : int, optional
        Step of the time loop. [s]

    Returns
    -------
    list of SurveyRow
        One a rig. A file that cannot be used, and a rig that leaves the physical range, are rows
        with their reason.
    """
    try:
        table = read(station.path)
        days = days_of_year(table)
    except NoonholdError as error:
        return [SurveyRow(name, station, error=error) for name, _ in asked.rigs]
    site = station.site
    place = replace(
        asked.scenario.place,
        latitude=site.latitude,
        longitude=site.longitude,
        elevation_m=site.elevation_m,
        timezone=None,
    )
    scenario = replace(asked.scenario, place=place)
    forcing = ForcingCache(len(asked.rigs))
    rows = []
    for name, rig in asked.rigs:
        try:
            figures = _run(rig, scenario, table, days, asked.month, step_s, forcing)
        except NoonholdError as error:
            rows.append(SurveyRow(name, station, error=error))
        else:
            rows.append(SurveyRow(name, station, figures))
    return rows


def _run(
    rig: Rig,
    scenario: Scenario,
    table: WeatherTable,
    days: npt.NDArray[np.int64],
    month: int | None,
    step_s: int,
    forcing: ForcingCache,
) -> dict[str, Any]:
    """Return the figures of one rig."""
    highs = table.temp_air.reshape(len(days), -1).max(axis=1)
    if month is None:
        year = run_year(rig, scenario, table, step_s, forcing)
        judged, here = judge_year(rig, scenario, year, table.interval_s), days.argsort()
        judged = DayVerdicts(**{name: each[here] for name, each in vars(judged).items()})
        return figures_of(judged, highs[here], month)
    # A month may run over the end of a file that begins on any day of the year.
    wanted = np.flatnonzero(month - 1 == MONTH_OF_DAY)
    first = int(np.flatnonzero(days == wanted[0])[0])
    a_day = len(table) // len(days)
    run = run_stretch(rig, scenario, table, first * a_day, len(wanted) * a_day, step_s, forcing)
    here = np.arange(first, first + len(wanted)) % len(days)
    return figures_of(judge_stretch(rig, scenario, run, table.interval_s), highs[here], month)


def figures_of(
    days: DayVerdicts, outdoor_high_c: npt.NDArray[np.float64], month: int | None
) -> dict[str, Any]:
    """Return what one asks first of a rig at a station.

    Parameters
    ----------
    days : DayVerdicts
        Of the month, or of the year from 1 January on.
    outdoor_high_c : numpy.ndarray, shape (days,)
        [degC]
    month : int or None
        Which month, where it is one.

    Returns
    -------
    dict
        Counts of days, feasible fraction, longest stretch of days needing cooling that fail, the
        cause that is first most often, months without a failing day (of a year), lowest charge.
    """
    failing = days.verdict == int(Verdict.FAILS)
    needing = days.needs_cooling
    causes = days.first_cause[failing]
    most = int(np.bincount(causes).argmax()) if causes.size else int(Cause.NONE)
    holding = needing & ~failing
    figures: dict[str, Any] = {
        "days": len(days),
        **count_days(days, np.ones(len(days), dtype=bool)),
        "feasible_fraction": float(holding.sum() / needing.sum()) if needing.any() else None,
        "longest_failing_run_d": longest_run((failing & needing)[None, :]),
        "most_frequent_cause": Cause(most).word,
        "lowest_charge": float(days.lowest_charge.min()),
        "mean_outdoor_high_c": float(outdoor_high_c.mean()),
    }
    if month is None:
        figures["best_months"] = [m + 1 for m in range(12) if not failing[m == MONTH_OF_DAY].any()]
    return figures


def rigs_by_name(rigs: Sequence[tuple[str, Rig]]) -> tuple[tuple[str, Rig], ...]:
    """Return rigs with names that differ: the second of a name gets its number."""
    seen: dict[str, int] = {}
    found = []
    for name, rig in rigs:
        seen[name] = seen.get(name, 0) + 1
        found.append((name if seen[name] == 1 else f"{name} ({seen[name]})", rig))
    return tuple(found)
