"""Rigs, scenes and weather that tests make up: small, plain, and of known symmetry."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import numpy.typing as npt

from noonhold.rig import (
    Battery,
    Charging,
    Controller,
    Cooler,
    Cover,
    CoverPosition,
    Exposure,
    Layer,
    Leakage,
    Load,
    Mount,
    Panel,
    Rig,
    Shell,
    SolarArray,
    Stage,
    Window,
)
from noonhold.scenario import Comfort, ComfortMeasure, Operation, Place, Scenario, Start
from noonhold.solar.sun import SolarGeometry
from noonhold.weather.hot_day import HotDay, hot_day
from noonhold.weather.weather_table import INSTANT_COLUMNS, Site, WeatherTable

FOAM = Layer(0.04, 0.035, 35.0, 1450.0, "foam")
SKIN = Layer(0.003, 0.2, 1200.0, 1500.0, "skin")
WALL = (SKIN, FOAM, SKIN)
SIDES = (("front", 0.0), ("right", 90.0), ("rear", 180.0), ("left", 270.0))
MAT = Cover(CoverPosition.INSIDE, 0.05, 0.6, 0.15)
SHUTTER = Cover(CoverPosition.OUTSIDE, 0.05, 0.6, 0.1)


def box(**changes: Any) -> Shell:
    """A cube of 2 m with one window in every wall, alike on all four sides."""
    walls = tuple(Panel(name, 90.0, azimuth, 3.6, WALL) for name, azimuth in SIDES)
    roof = Panel("roof", 0.0, 0.0, 4.0, WALL)
    floor = Panel("floor", 180.0, 0.0, 4.0, WALL, exposed_to=Exposure.UNDERSIDE)
    windows = tuple(
        Window(f"{name} window", 90.0, azimuth, 0.4, 2.7, 0.65, covers=(MAT, SHUTTER))
        for name, azimuth in SIDES
    )
    shell = Shell(
        volume_m3=8.0,
        contents_heat_capacity_kj_k=150.0,
        contents_area_m2=10.0,
        leakage=Leakage(air_changes_per_hour=0.5),
        panels=(*walls, roof, floor),
        windows=windows,
    )
    return replace(shell, **changes)


COOLER = Cooler(
    stages=(Stage("low", 800.0, 280.0), Stage("high", 1600.0, 620.0)),
    airflow_m3_h=320.0,
    sensible_heat_ratio=0.75,
    fan_power_w=30.0,
)
ROOF_ARRAY = SolarArray("roof array", 400.0, Mount.ROOF_RAISED, controller="controller")


def rig(**changes: Any) -> Rig:
    """A box with a two-stage cooler, 3 kWh, a level array and a load that runs all day."""
    whole = Rig(
        name="box",
        shell=box(),
        battery=Battery(usable_energy_wh=3000.0),
        cooler=COOLER,
        arrays=(ROOF_ARRAY,),
        controllers=(Controller("controller", 380.0),),
        charging=Charging(alternator_w=500.0, shore_power_w=1000.0),
        loads=(Load("refrigerator", 40.0),),
        standing_power_w=5.0,
    )
    return replace(whole, **changes)


PLACE = Place(latitude=38.0, longitude=-135.0, elevation_m=1500.0)


def scene(**changes: Any) -> Scenario:
    """Set point 24 degC from 09:00 to 18:00, comfortable up to 27 degC of air."""
    whole = Scenario(
        place=PLACE,
        operation=Operation(set_point_c=24.0, cooling_window=(9.0, 18.0)),
        comfort=Comfort(ComfortMeasure.AIR, 27.0),
        start=Start(state_of_charge=0.8),
    )
    return replace(whole, **changes)


def summer(
    place: Place = PLACE,
    days: int = 1,
    interval_s: int = 3600,
    first: date = date(2026, 7, 15),
    utc_offset_h: float = -9.0,
    **changes: Any,
) -> WeatherTable:
    """A hot, dry, clear stretch of days at the place, on its own fixed clock."""
    site = Site("made", place.latitude, place.longitude, place.elevation_m, utc_offset_h)
    described = {"high_c": 36.0, "low_c": 18.0, "dew_point_c": 6.0, "wind_speed_m_s": 3.0}
    day = HotDay(date=first, days=days, **(described | changes))
    return hot_day(site, day, interval_s)


def steady(
    outdoor_c: float = 0.0,
    hours: int = 24,
    infrared_w_m2: float | None = None,
    place: Place = PLACE,
    **changes: Any,
) -> WeatherTable:
    """Weather that never changes: no sun, no wind, the sky as warm as the air unless given."""
    sky = 5.670374419e-8 * (outdoor_c + 273.15) ** 4 if infrared_w_m2 is None else infrared_w_m2
    dark = np.zeros(hours)
    columns = {
        "ghi": dark, "dni": dark, "dhi": dark, "horizontal_infrared": np.full(hours, sky),
        "temp_air": np.full(hours, outdoor_c), "relative_humidity": np.full(hours, 30.0),
        "pressure": np.full(hours, 101325.0), "wind_speed": np.zeros(hours),
    }  # fmt: skip
    given = {name: np.full(hours, float(value)) for name, value in changes.items()}
    columns |= given
    return WeatherTable(
        site=Site("made", place.latitude, place.longitude, place.elevation_m, -9.0),
        start=np.datetime64("2026-07-15T00:00:00", "s"),
        interval_s=3600,
        full_year=False,
        opening=np.array([columns[name][0] for name in INSTANT_COLUMNS]),
        **columns,
    )


def sun_at(azimuth_deg: npt.ArrayLike, elevation_deg: npt.ArrayLike) -> SolarGeometry:
    """A sun at a given place, in clear air or below the horizon."""
    azimuth = np.atleast_1d(np.asarray(azimuth_deg, dtype=float))
    elevation = np.broadcast_to(np.asarray(elevation_deg, dtype=float), azimuth.shape)
    filler = np.zeros_like(azimuth)
    lit = (elevation > 0.0).astype(float)
    towards = np.zeros((len(azimuth), 3))
    return SolarGeometry(
        90.0 - elevation, azimuth, lit, filler + 1366.1, filler, filler, filler, towards
    )
