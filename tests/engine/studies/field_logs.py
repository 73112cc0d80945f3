"""Synthetic field logs: a rig that is not quite as described, run and read with noise."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from noonhold.rig import (
    Battery,
    Controller,
    Cooler,
    Layer,
    Leakage,
    Load,
    Mount,
    Panel,
    Policy,
    Rig,
    Shell,
    SolarArray,
    Stage,
    Window,
)
from noonhold.scenario import (
    Comfort,
    ComfortMeasure,
    Operation,
    Place,
    Scenario,
    Setting,
    Start,
)
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import prepare
from noonhold.studies.calibration.factors import FACTORS, factor_limits, scaled_rig
from noonhold.studies.calibration.field_log import GRID_S, Event, FieldLog
from noonhold.studies.calibration.log_runs import LogSetup, event_controls
from noonhold.studies.calibration.log_weather import Background
from noonhold.weather.hot_day import HotDay, hot_day
from noonhold.weather.weather_table import Site, WeatherTable

OFFSET_H = -8.0
PLACE = Place(-34.2, -112.4, 400.0, heading_deg=30.0)
SITE = Site("test yard", -34.2, -112.4, 400.0, OFFSET_H)
HOURS = 40
START = np.datetime64("2026-01-20T18:00:00", "s")  # on the log's clock, a southern summer


def _layers(thickness: float) -> tuple[Layer, ...]:
    skin = Layer(0.0015, 0.3, 1700.0, 1200.0)
    foam = Layer(thickness, 0.034, 32.0, 1400.0)
    lining = Layer(0.003, 0.12, 450.0, 1600.0)
    return skin, foam, lining


def _panel(name: str, tilt: float, azimuth: float, area: float) -> Panel:
    return Panel(name, tilt, azimuth, area, _layers(0.04), solar_absorptance=0.5)


RIG = Rig(
    name="test cabin",
    shell=Shell(
        volume_m3=11.0,
        contents_heat_capacity_kj_k=250.0,
        contents_area_m2=20.0,
        leakage=Leakage(air_changes_per_hour=0.8),
        panels=(
            _panel("front", 90.0, 0.0, 4.0),
            _panel("right", 90.0, 90.0, 6.0),
            _panel("rear", 90.0, 180.0, 4.0),
            _panel("left", 90.0, 270.0, 6.0),
            _panel("roof", 0.0, 0.0, 7.0),
            _panel("floor", 180.0, 0.0, 7.0),
        ),
        windows=(
            Window("right window", 90.0, 90.0, 0.5, 2.7, 0.45),
            Window("left window", 90.0, 270.0, 0.5, 2.7, 0.45),
        ),
    ),
    battery=Battery(5000.0, charge_temperature_c=(0.0, 60.0)),
    cooler=Cooler((Stage("low", 800.0, 300.0), Stage("high", 1700.0, 700.0)), 380.0, 0.78, 35.0),
    arrays=(SolarArray("roof", 500.0, Mount.ROOF_RAISED, controller="mppt"),),
    controllers=(Controller("mppt", 700.0),),
    loads=(Load("fridge", 40.0, heat_to_cabin_fraction=0.5),),
    standing_power_w=5.0,
)
OPERATION = Operation(set_point_c=23.0, policy=Policy.OFF)


def at(hours: float) -> np.datetime64:
    """Return a moment in UTC, hours after the log's start."""
    shift = np.timedelta64(round((hours - OFFSET_H) * 3600), "s")
    moment: np.datetime64 = START + shift
    return moment


# Cooler off over night and morning, on at eleven, low only from three on, off at seven.
EVENTS = (
    Event(at(17.0), Setting(policy=Policy.LOW_THEN_HIGH)),
    Event(at(21.0), Setting(policy=Policy.LOW_ONLY)),
    Event(at(25.0), Setting(policy=Policy.OFF)),
)
SETUP = LogSetup(RIG, PLACE, OPERATION, Background(dew_point_c=8.0, wind_speed_m_s=2.5))


@dataclass(frozen=True)
class Noise:
    """Standard errors of the instruments."""

    outdoor_k: float = 0.2
    cabin_k: float = 0.3
    charge: float = 0.015
    watts: float = 0.03


QUIET = Noise(0.0, 0.0, 0.0, 0.0)


def weather(cloud: float = 0.1, high_c: float = 38.0, days: int = 3) -> WeatherTable:
    """Return the weather of the log, from its start on."""
    day = HotDay(date(2026, 1, 20), high_c, 19.0, 8.0, 2.5, cloud_fraction=cloud, days=days)
    first = 18 * 3600 // GRID_S
    return hot_day(SITE, day, GRID_S).slice(first, HOURS * 3600 // GRID_S)


def synthetic_log(
    factors: Mapping[str, float],
    seed: int = 0,
    noise: Noise = Noise(),
    setup: LogSetup = SETUP,
    events: tuple[Event, ...] = EVENTS,
    table: WeatherTable | None = None,
    heater_w: np.ndarray[Any, Any] | None = None,
    start_c: float = 27.0,
    light: bool = True,
) -> FieldLog:
    """Return what instruments would have read on a rig with these factors."""
    rng = np.random.default_rng(seed)
    table = weather() if table is None else table
    count = len(table)
    rig = scaled_rig(setup.rig, factors)
    scenario = Scenario(
        setup.place, setup.operation, Comfort(ComfortMeasure.AIR, 26.0), Start(0.85, start_c)
    )
    case, clock = prepare(rig, scenario, table, step_s=GRID_S)
    starts = table.starts().astype(np.int64) - round(OFFSET_H * 3600)
    rows = clock.second_of_day() // GRID_S
    control = event_controls(rig, scenario, events, starts, rows)
    forcing = case.forcing
    if heater_w is not None:
        forcing = forcing._replace(imposed_heat=heater_w.copy())
    case = replace(case, control=control, forcing=forcing, clock_row=np.arange(count))
    record = run_cases([case])[0]
    ends = (starts + GRID_S).astype("datetime64[s]")

    def read(values: np.ndarray[Any, Any], error: float) -> np.ndarray[Any, Any]:
        return values + error * rng.standard_normal(count)

    def power(values: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
        return values * (1.0 + noise.watts * rng.standard_normal(count))

    size = rig.battery.usable_energy_wh
    columns = {
        "outdoor_temperature_c": read(table.temp_air, noise.outdoor_k),
        "cabin_temperature_c": read(record[:, ch.CABIN], noise.cabin_k),
        "state_of_charge": np.clip(read(record[:, ch.STORED] / size, noise.charge), 0.0, 1.0),
        "array_power_w": power(record[:, ch.SOLAR_USED]),
        "load_power_w": power(record[:, ch.LOAD_POWER] + record[:, ch.STANDING_POWER]),
        "cooler_power_w": power(record[:, ch.COOLER_POWER]),
    }
    if light:
        columns |= {"ghi": table.ghi, "dni": table.dni, "dhi": table.dhi}
    if heater_w is not None:
        columns["heater_power_w"] = power(heater_w)
        del columns["cooler_power_w"]
    return FieldLog(ends, OFFSET_H, columns, events)


def drawn_truth(seed: int) -> dict[str, float]:
    """Return factors drawn from their priors, within two widths and what the rig allows."""
    rng = np.random.default_rng(1000 + seed)
    limits = factor_limits(RIG, {kind.name: kind.prior_width for kind in FACTORS})
    truth = {}
    for kind in FACTORS:
        drawn = np.exp(kind.prior_width * np.clip(rng.standard_normal(), -2.0, 2.0))
        bound = limits[kind.name]
        truth[kind.name] = float(np.clip(drawn, 1.02 * bound.lower, 0.98 * bound.upper))
    return truth


def drawn_noise(seed: int) -> Noise:
    """Return instruments of 0.2 to 0.5 K, 1 to 2 % of charge and 3 % of watts."""
    rng = np.random.default_rng(5000 + seed)
    return Noise(0.2, float(rng.uniform(0.2, 0.5)), float(rng.uniform(0.01, 0.02)), 0.03)
