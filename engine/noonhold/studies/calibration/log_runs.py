"""A field log as runs of the time loop: what was switched when, and what was known to flow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from noonhold.cooling.cooler_tables import cooler_tables
from noonhold.electricity.arrays import array_tables
from noonhold.envelope.network import NetworkTables, network_tables
from noonhold.rig import Rig
from noonhold.scenario import (
    Comfort,
    ComfortMeasure,
    Operation,
    Place,
    Scenario,
    Setting,
    Span,
    Start,
)
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.controls import ControlTables, control_tables
from noonhold.simulation.simulation_case import SimulationCase, prepare
from noonhold.studies.calibration.factors import (
    CONTENTS_CAPACITY,
    CONTENTS_COUPLING,
    LEAKAGE,
    SHELL_CONDUCTANCE,
    SOLAR_GAIN,
    scaled_machines,
    scaled_rig,
)
from noonhold.studies.calibration.field_log import GRID_S, Event, FieldLog, LogPiece
from noonhold.studies.calibration.log_weather import (
    CLOUDS,
    Background,
    Sky,
    is_lit,
    logged_sky,
    piece_weather,
    plain_sky,
    site_of,
    sky_by_array,
    standard_start,
)
from noonhold.weather.clock import DAY_S, clock_over
from noonhold.weather.weather_table import Site, WeatherTable

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

# A calibration judges no comfort; the loop wants a limit all the same.
_COMFORT: Final = Comfort(ComfortMeasure.AIR, 26.0)
_SHELL_FACTORS: Final = (SHELL_CONDUCTANCE, SOLAR_GAIN)


@dataclass(frozen=True)
class LogSetup:
    """The rig and all that is said about its log.

    Parameters
    ----------
    rig : Rig
        As it was described before the log.
    place : Place
        Where it stood.
    operation : Operation
        What was done every day; the log's events overrule it.
    background : Background
        Weather that was not logged.
    state_of_charge : float
        At the start, where no charge was logged.
    heater_from_battery : bool
        Whether the logged heater drew from the battery.
    """

    rig: Rig
    place: Place
    operation: Operation
    background: Background = field(default_factory=Background)
    state_of_charge: float = 1.0
    heater_from_battery: bool = False


def joined_settings(earlier: Setting, later: Setting) -> Setting:
    """Return a setting in which what the later one says overrules the earlier."""
    said = {f.name: getattr(later, f.name) for f in fields(later)}
    return replace(earlier, **{name: value for name, value in said.items() if value is not None})


def event_controls(
    rig: Rig, scenario: Scenario, events: tuple[Event, ...], starts: IntArray, clock_row: IntArray
) -> ControlTables:
    """Return the operation along a log, one row a step.

    Parameters
    ----------
    scenario : Scenario
        With the operation of every day.
    events : tuple of Event
        Each holds from its moment on.
    starts : numpy.ndarray of int, shape (n,)
        Start of every step in UTC. [s since 1970]
    clock_row : numpy.ndarray of int, shape (n,)
        Row of the day's operation at the start of every step.

    Returns
    -------
    ControlTables
        ``n`` rows instead of those of a day.
    """
    ordered = sorted(events, key=lambda event: event.at)
    moments = np.array([int(e.at.astype("datetime64[s]").astype(np.int64)) for e in ordered])
    # A switch within a step counts from the nearer end of the step.
    holds = np.searchsorted(moments, starts + GRID_S // 2, side="right")
    settings = [Setting()]
    for event in ordered:
        settings.append(joined_settings(settings[-1], event.setting))
    whole: ControlTables | None = None
    for number in np.unique(holds):
        setting = settings[number]
        operation = scenario.operation
        if setting != Setting():
            operation = replace(operation, spans=(*operation.spans, Span(0.0, 24.0, setting)))
        day = control_tables(rig, replace(scenario, operation=operation), GRID_S)
        rows = len(day.set_point)
        along = _by_row(day, clock_row, rows)
        along = along._replace(sun_group=along.sun_group + rows * int(number))
        whole = along if whole is None else _chosen(holds == number, along, whole)
    if whole is None:
        raise ValueError("a log without steps has no operation")
    return whole


def _by_row(day: ControlTables, rows: IntArray, count: int) -> ControlTables:
    """Return a day's table with its rows picked."""
    picked: dict[str, Any] = {
        name: value[rows]
        for name, value in day._asdict().items()
        if isinstance(value, np.ndarray) and len(value) == count
    }
    return day._replace(**picked)


def _chosen(where: npt.NDArray[np.bool_], new: ControlTables, old: ControlTables) -> ControlTables:
    """Return a table with rows of the new one where asked."""
    mixed: dict[str, Any] = {}
    for name, value in new._asdict().items():
        if isinstance(value, np.ndarray) and len(value) == len(where):
            before = getattr(old, name)
            mixed[name] = np.where(where if value.ndim == 1 else where[:, None], value, before)
    return new._replace(**mixed)


def logged_loads(
    rig: Rig, control: ControlTables, load_w: FloatArray, from_battery_w: FloatArray
) -> ControlTables:
    """Return controls in which the logged loads stand instead of the rig's.

    Parameters
    ----------
    rig : Rig
        For the share of its loads that heats the cabin.
    control : ControlTables
        One row a step.
    load_w : numpy.ndarray, shape (n,)
        All that drew from the battery beside the cooler, electronics included; NaN where it was
        not logged. [W]
    from_battery_w : numpy.ndarray, shape (n,)
        What a logged heater drew from the battery. [W]
    """
    total = sum(load.power_w for load in rig.loads)
    heat = sum(load.power_w * load.heat_to_cabin_fraction for load in rig.loads)
    radiant = sum(
        load.power_w * load.heat_to_cabin_fraction * load.radiant_fraction for load in rig.loads
    )
    share, radiant_fraction = (heat / total, radiant / total) if total > 0.0 else (1.0, 0.0)
    house = np.maximum(load_w - control.standing_power, 0.0)
    known = ~np.isnan(load_w)
    power = np.where(known, house, control.load_power) + from_battery_w
    to_air = np.where(known, house * (share - radiant_fraction), control.load_to_air)
    to_radiant = np.where(known, house * radiant_fraction, control.load_to_radiant)
    return control._replace(
        load_power=power,
        load_to_air=to_air,
        load_to_radiant=to_radiant,
        thermostatic_power=np.where(known[:, None], 0.0, control.thermostatic_power),
    )


def piece_member(
    setup: LogSetup, site: Site, events: tuple[Event, ...], piece: LogPiece, weather: WeatherTable
) -> SimulationCase:
    """Return the run of a piece of a log.

    Parameters
    ----------
    setup : LogSetup
        The rig and its circumstances.
    site : Site
        The place on the log's clock.
    events : tuple of Event
        What was switched.
    piece : LogPiece
        Where it starts, and what loads and heater drew.
    weather : WeatherTable
        On the piece's grid.

    Returns
    -------
    SimulationCase
        With one row of operation a step, the logged loads, and the logged heater as heat into
        the cabin air.
    """
    count = len(piece)
    charge = piece.opening.get("state_of_charge", setup.state_of_charge)
    start = Start(min(max(charge, 0.0), 1.0), piece.opening["cabin_temperature_c"])
    scenario = Scenario(setup.place, setup.operation, _COMFORT, start)
    case, clock = prepare(setup.rig, scenario, weather, step_s=GRID_S)
    starts = clock_over(weather, None).starts.astype("datetime64[s]").astype(np.int64)
    to_utc = round(site.utc_offset_h * 3600.0)
    rows = (clock.second_of_day() // GRID_S) % (DAY_S // GRID_S)
    control = event_controls(setup.rig, scenario, events, starts - to_utc, rows)
    unknown = np.full(count, np.nan)
    heater_w = np.nan_to_num(piece.rows.get("heater_power_w", np.zeros(count)))
    drawn = heater_w if setup.heater_from_battery else np.zeros(count)
    control = logged_loads(setup.rig, control, piece.rows.get("load_power_w", unknown), drawn)
    forcing = case.forcing._replace(imposed_heat=np.ascontiguousarray(heater_w))
    return replace(
        case, control=control, forcing=forcing, clock_row=np.arange(count, dtype=np.int64)
    )


def array_under_sky(
    setup: LogSetup, site: Site, events: tuple[Event, ...], piece: LogPiece, cloud: float
) -> FloatArray:
    """Return what a rig's arrays would give over a piece under a cloud.

    Parameters
    ----------
    setup : LogSetup
        The rig and its circumstances.
    site : Site
        The place on the log's clock.
    events : tuple of Event
        What was switched.
    cloud : float
        Share of the sky.

    Returns
    -------
    numpy.ndarray, shape (n,)
        Used or not. [W]
    """
    sky = plain_sky(site, standard_start(piece, site), len(piece), cloud)
    weather = piece_weather(piece, site, sky, setup.background)
    record = run_cases([piece_member(setup, site, events, piece, weather)])[0]
    result: FloatArray = record[:, ch.SOLAR]
    return result


class LogModel:
    """A log's pieces ready to be run with any factors.

    Parameters
    ----------
    setup : LogSetup
        The rig and its circumstances; its rig may be cut finer than the one that was described.
    log : FieldLog
        For its events and its clock.
    pieces : tuple of LogPiece
        The log on the grid.

    Attributes
    ----------
    lit : bool
        Whether the light of every piece was logged.
    """

    def __init__(self, setup: LogSetup, log: FieldLog, pieces: tuple[LogPiece, ...]) -> None:
        self.setup = setup
        self.rig = setup.rig
        self.events = log.events
        self.site = site_of(setup.place, log.utc_offset_h)
        self.pieces = pieces
        self.lit = all(is_lit(piece) for piece in pieces)
        self.skies = tuple(self._sky(piece) for piece in pieces)
        self.cases = tuple(
            piece_member(
                setup,
                self.site,
                self.events,
                piece,
                piece_weather(piece, self.site, sky, setup.background),
            )
            for piece, sky in zip(pieces, self.skies, strict=True)
        )
        self._networks: dict[tuple[float, ...], NetworkTables] = {}

    def run(
        self, factors: Mapping[str, float], starts: FloatArray | None = None, sky_k: float = 0.0
    ) -> list[FloatArray]:
        """Run every piece with the rig's numbers multiplied.

        Parameters
        ----------
        factors : mapping of str to float
            By name; one that is missing is 1.
        starts : numpy.ndarray, shape (pieces, 3), optional
            What is added to each piece's first cabin temperature and state of charge, which are
            single readings, and to the outer faces of its walls, which begin as warm as the
            outdoor air. [K], [1], [K]
        sky_k : float, optional
            What is added to the sky's temperature, which no log holds. [K]

        Returns
        -------
        list of numpy.ndarray, shape (n, channels)
            A record a piece.
        """
        rig = scaled_machines(self.rig, factors)
        network, cooler = self._network(factors), cooler_tables(rig.cooler)
        arrays, size = array_tables(rig), rig.battery.usable_energy_wh
        records = []
        for number, case in enumerate(self.cases):
            warmer, fuller, walls = (0.0, 0.0, 0.0) if starts is None else starts[number]
            changed = replace(
                case,
                network=network,
                cooler=cooler,
                arrays=arrays,
                forcing=case.forcing._replace(sky=case.forcing.sky + sky_k),
                start_c=case.start_c + float(warmer),
                start_outdoor_c=case.start_outdoor_c + float(walls),
                stored_wh=min(max(case.stored_wh + float(fuller) * size, 0.0), size),
            )
            records.append(run_cases([changed])[0])
        return records

    def _network(self, factors: Mapping[str, float]) -> NetworkTables:
        """Return the network; what contents and leakage change needs no new elimination."""
        key = tuple(factors.get(name, 1.0) for name in _SHELL_FACTORS)
        if key not in self._networks:
            while len(self._networks) > len(_SHELL_FACTORS) + 1:
                del self._networks[next(iter(self._networks))]
            shell = {name: factors.get(name, 1.0) for name in _SHELL_FACTORS}
            self._networks[key] = network_tables(scaled_rig(self.rig, shell), float(GRID_S))
        net, tightness = self._networks[key], factors.get(LEAKAGE, 1.0)
        return net._replace(
            contents_capacity=net.contents_capacity * factors.get(CONTENTS_CAPACITY, 1.0),
            contents_conductance=net.contents_conductance * factors.get(CONTENTS_COUPLING, 1.0),
            air_changes=net.air_changes * tightness,
            leakage_area=net.leakage_area * tightness,
        )

    def _sky(self, piece: LogPiece) -> Sky:
        """Return a piece's light: logged, else derived from the array, else clear."""
        logged = logged_sky(piece, self.site)
        if logged is not None:
            return logged
        start = standard_start(piece, self.site)
        clear = plain_sky(self.site, start, len(piece), 0.0)
        power = piece.rows.get("array_power_w")
        if power is None or np.isnan(power).all() or not self.rig.arrays:
            return clear
        modelled = {
            cloud: array_under_sky(self.setup, self.site, self.events, piece, cloud)
            for cloud in CLOUDS
        }
        return sky_by_array(piece, self.site, modelled)
