"""What every study starts from, and the tables that its runs have in common, made once."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from noonhold.projection import Projection
from noonhold.projection_request import ProjectionRequest
from noonhold.simulation.forcing_cache import ForcingCache
from noonhold.simulation.simulation_case import DEFAULT_STEP_S, SimulationCase, prepare
from noonhold.twins import TwinRecords
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.clock import Clock
from noonhold.weather.selection import Reader, Selected, select_weather
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import WeatherTable


@dataclass(frozen=True)
class Prepared:
    """A projection request ready to run.

    Parameters
    ----------
    request : ProjectionRequest
        What was asked.
    selected : Selected
        Its weather, settling intervals first.
    clock : Clock
        Over the whole weather, settling intervals included.
    step_s : int
        Step of the time loop. [s]
    """

    request: ProjectionRequest
    selected: Selected
    case: SimulationCase
    clock: Clock
    step_s: int

    def shown_clock(self) -> Clock:
        """Return the clock of the answer, without the settling intervals."""
        first = self.selected.spin_up
        return Clock(self.clock.name, self.clock.starts[first:], self.clock.offset_s[first:])

    def shown_weather(self) -> WeatherTable:
        """Return the weather of the answer, without the settling intervals."""
        table, first = self.selected.table, self.selected.spin_up
        return table if first == 0 else table.slice(first, len(table) - first)

    def projection(self, twins: TwinRecords) -> Projection:
        """Return the projection that records of this request's runs make up."""
        asked = self.request
        return Projection(
            rig=asked.rig,
            scenario=asked.scenario,
            weather=self.shown_weather(),
            clock=self.shown_clock(),
            record=twins.record,
            uncooled=twins.uncooled,
            step_s=self.step_s,
            adverse=twins.adverse,
            fed=twins.fed,
        )


class ProjectionCache:
    """Prepares requests; weather, sun and sky are made once for all that share them.

    Parameters
    ----------
    catalogue : Catalogue
        Stations to choose from.
    read : callable, optional
        Reads a station's file.
    step_s : int, optional
        Step of the time loop. [s]
    """

    def __init__(
        self, catalogue: Catalogue, read: Reader = read_weather, step_s: int = DEFAULT_STEP_S
    ) -> None:
        self.catalogue = catalogue
        self.step_s = step_s
        self._read = read
        self._files: dict[Path, WeatherTable] = {}
        self._weather: list[tuple[tuple[object, ...], Selected]] = []
        self._forcing = ForcingCache()

    def select(self, request: ProjectionRequest) -> Selected:
        """Return a request's weather, the same object for requests with the same weather.

        Raises
        ------
        NoonholdError
            As :func:`noonhold.weather.selection.select_weather` raises it.
        """
        place, start = request.scenario.place, request.scenario.start
        key = (
            request.weather,
            (place.latitude, place.longitude, place.elevation_m, place.timezone),
            start.spin_up_days,
        )
        # Own columns cannot be hashed, so keys are compared; there are only a few.
        for known, selected in self._weather:
            if known == key:
                return selected
        selected = select_weather(
            request.weather, place, start.spin_up_days, self.catalogue, self.read
        )
        self._weather.append((key, selected))
        return selected

    def read(self, path: Path) -> WeatherTable:
        """Return a station's weather, read once.

        Parameters
        ----------
        path : pathlib.Path
            The station's file.
        """
        if path not in self._files:
            self._files[path] = self._read(path)
        return self._files[path]

    def prepare(self, request: ProjectionRequest) -> Prepared:
        """Make a request's tables.

        Raises
        ------
        NoonholdError
            Where the weather is not to be had, or a cooler is rated as none can be.
        """
        selected = self.select(request)
        place = request.scenario.place
        case, clock = prepare(
            request.rig,
            request.scenario,
            selected.table,
            selected.spin_up,
            self.step_s,
            self._forcing.get(id(selected), request.rig, place),
        )
        self._forcing.keep(id(selected), request.rig, place, case.forcing)
        return Prepared(request, selected, case, clock, self.step_s)
