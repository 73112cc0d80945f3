"""The whole way of one question: weather chosen, rig projected, days judged, assumptions kept."""

from __future__ import annotations

from dataclasses import dataclass, field

from noonhold.horizons import stay_of, sustained_of
from noonhold.projection import Projection, projection_of
from noonhold.rig import Rig
from noonhold.scenario import Scenario
from noonhold.simulation.rig_tables import TableFactory, rig_tables
from noonhold.simulation.simulation_case import DEFAULT_STEP_S, SimulationCase, prepare
from noonhold.stay import Stay
from noonhold.sustained import Sustained
from noonhold.verdict import DayVerdicts, Summary, judge, summarise
from noonhold.weather.catalogue import Catalogue, Near
from noonhold.weather.clock import DAY_S
from noonhold.weather.selection import Reader, is_far, select_weather
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_request import WeatherRequest


@dataclass(frozen=True)
class ProjectionResult:
    """What a projection has to say.

    Parameters
    ----------
    near : Near or None
        The station the weather came from.
    notes : tuple of str
        What choosing, reading or making the weather assumed.
    sustained : Sustained
        What becomes of the day, or the stretch, in the long run.
    stay : Stay or None
        Days that hold from an arrival with a full battery on.
    far : bool
        Whether the station is farther off than its weather is good for, which was allowed.
    """

    # Not printed: their arrays fill a screen many times over.
    projection: Projection = field(repr=False)
    days: DayVerdicts = field(repr=False)
    summary: Summary
    near: Near | None
    notes: tuple[str, ...]
    sustained: Sustained = field(repr=False)
    stay: Stay | None = field(repr=False)
    far: bool = False


def run_projection(
    rig: Rig,
    scenario: Scenario,
    weather: WeatherRequest,
    catalogue: Catalogue,
    read: Reader = read_weather,
    step_s: int = DEFAULT_STEP_S,
    table_factory: TableFactory = rig_tables,
) -> ProjectionResult:
    """Run a projection from a request for weather to its verdict.

    Parameters
    ----------
    scenario : Scenario
        Place, operation, comfort, start.
    weather : WeatherRequest
        Which weather.
    catalogue : Catalogue
        Stations to choose from.
    read : callable, optional
        Reads a station's file.
    step_s : int, optional
        Step of the time loop. [s]
    table_factory : callable, optional
        Makes a rig's tables; a caller may keep what it has made.

    Returns
    -------
    ProjectionResult
        With every assumption that the weather brought.

    Raises
    ------
    NoonholdError
        As the parts raise it.
    """
    selected = select_weather(weather, scenario.place, scenario.start.spin_up_days, catalogue, read)
    tables = table_factory(rig, step_s)
    case, clock = prepare(rig, scenario, selected.table, selected.spin_up, step_s, tables=tables)
    projection = projection_of(rig, scenario, selected.table, case, clock, step_s)
    days = judge(projection)
    return ProjectionResult(
        projection=projection,
        days=days,
        summary=summarise(projection, days),
        near=selected.near,
        notes=selected.notes + selected.table.notes + _charge_notes(case),
        sustained=sustained_of(projection, case, days, weather),
        stay=stay_of(projection, case, weather, catalogue, read, tables),
        far=selected.near is not None and is_far(selected.near),
    )


def _charge_notes(case: SimulationCase) -> tuple[str, ...]:
    """Return what a settled charge assumes."""
    if not case.spin_up or case.day_repeats:
        return ()
    days = case.spin_up * case.forcing.interval_s // DAY_S
    return (f"a settled battery was full {days} days before the first",)
