"""The three horizons of one question: as asked, day after day, and the stay."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from noonhold.projection import Projection
from noonhold.scenario import Scenario
from noonhold.simulation.rig_tables import RigTables
from noonhold.simulation.simulation_case import SimulationCase, prepare
from noonhold.stay import MOST_DAYS, Stay, stay_from
from noonhold.sustained import Sustained, is_one_day, sustained_day, sustained_stretch
from noonhold.verdict import DayVerdicts
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.clock import Clock
from noonhold.weather.selection import Reader, select_weather
from noonhold.weather.weather_request import Hourly, TypicalYear, WeatherRequest

_OWN_COLUMNS: Final = "own columns of other than one whole day do not say what comes after them"
_NO_DAYS_BEFORE: Final = (
    "the charge is carried through the days before a stretch, and there are none: let the cabin"
    " begin settled"
)


def sustained_of(
    projection: Projection, case: SimulationCase, days: DayVerdicts, weather: WeatherRequest
) -> Sustained:
    """Return what becomes of a projection's day, or stretch, in the long run.

    Parameters
    ----------
    projection : Projection
        As asked.
    weather : TypicalYear, HotDay or Hourly
        What was asked for.

    Returns
    -------
    Sustained
        With a reason in place of a verdict where the question has no answer.
    """
    if is_one_day(case, projection.clock):
        return sustained_day(projection, case, days)
    if isinstance(weather, Hourly):
        return Sustained(None, _OWN_COLUMNS)
    if not case.spin_up:
        return Sustained(None, _NO_DAYS_BEFORE)
    return sustained_stretch(projection, case, projection.clock, days)


def stay_of(
    projection: Projection,
    case: SimulationCase,
    weather: WeatherRequest,
    catalogue: Catalogue,
    read: Reader,
    tables: RigTables,
) -> Stay | None:
    """Return how long a rig holds that arrives full on a projection's first day.

    Parameters
    ----------
    projection : Projection
        As asked.
    weather : TypicalYear, HotDay or Hourly
        What was asked for; a stretch of a typical year is looked at for 14 days.
    catalogue : Catalogue
        Stations to choose from.
    read : callable
        Reads a station's file.

    Returns
    -------
    Stay or None
        ``None`` for own columns, which do not say what comes after them.
    """
    if isinstance(weather, Hourly):
        return None
    rig, scenario = projection.rig, projection.scenario
    clock = projection.clock
    if isinstance(weather, TypicalYear) and weather.days < MOST_DAYS:
        case, clock = _longer(projection, scenario, weather, catalogue, read, tables)
    return stay_from(rig, scenario.comfort, case, clock)


def _longer(
    projection: Projection,
    scenario: Scenario,
    weather: TypicalYear,
    catalogue: Catalogue,
    read: Reader,
    tables: RigTables,
) -> tuple[SimulationCase, Clock]:
    """Return the tables and the clock of 14 days from a projection's first on."""
    asked = replace(weather, days=MOST_DAYS)
    selected = select_weather(asked, scenario.place, scenario.start.spin_up_days, catalogue, read)
    case, clock = prepare(
        projection.rig, scenario, selected.table, selected.spin_up, projection.step_s, tables=tables
    )
    first = selected.spin_up
    return case, Clock(clock.name, clock.starts[first:], clock.offset_s[first:])
