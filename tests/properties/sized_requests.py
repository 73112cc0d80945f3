"""Drawn questions about a box whose sizes matter: battery, reserve, array, loads and days."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import lru_cache

from hypothesis import strategies as st

from noonhold import samples
from noonhold.projection_request import ProjectionRequest
from noonhold.rig import Battery, Controller, Load, Rig
from noonhold.scenario import Comfort, ComfortMeasure, Operation, Place, Start
from noonhold.weather.catalogue import scan
from noonhold.weather.hot_day import HotDay
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_request import TypicalYear, WeatherRequest
from tests.engine.made import PLACE, ROOF_ARRAY, rig, scene

CATALOGUE = scan(samples.weather_folder())
read = lru_cache(read_weather)


@st.composite
def sized_rigs(draw: st.DrawFn) -> Rig:
    usable_wh = draw(st.floats(1000.0, 8000.0))
    return rig(
        battery=Battery(
            usable_wh,
            reserve_fraction=draw(st.floats(0.0, 0.3)),
            recovery_fraction=draw(st.floats(0.0, 0.15)),
            max_charge_w=draw(st.floats(200.0, 3000.0)),
            max_discharge_w=draw(st.floats(800.0, 3000.0)),
            in_cabin=draw(st.booleans()),
        ),
        arrays=(replace(ROOF_ARRAY, rated_power_w=draw(st.floats(100.0, 1200.0))),),
        controllers=(Controller("controller", draw(st.floats(200.0, 1500.0))),),
        loads=(
            Load("refrigerator", draw(st.floats(0.0, 80.0))),
            Load("lights", draw(st.floats(0.0, 200.0)), ((19.0, 23.0),)),
        ),
    )


@st.composite
def sized_requests(draw: st.DrawFn, most_days: int = 14) -> ProjectionRequest:
    place, weather = PLACE, _described(draw, min(most_days, 4))
    if draw(st.booleans()):
        station = draw(st.sampled_from(CATALOGUE.stations))
        site = station.site
        place = Place(site.latitude, site.longitude, site.elevation_m)
        days = draw(st.integers(1, most_days))
        month = draw(st.sampled_from((1, 2, 4, 11, 12)))
        weather = TypicalYear(month, draw(st.integers(1, 28)), days, station.station_id)
    opens = draw(st.integers(7, 12))
    scenario = scene(
        place=place,
        operation=Operation(
            draw(st.floats(22.0, 26.0)),
            cooling_window=(float(opens), float(opens + draw(st.integers(4, 11)))),
        ),
        comfort=Comfort(ComfortMeasure.OPERATIVE, 27.5, required_fraction=1.0),
        start=Start(None, None, 3),
    )
    return ProjectionRequest(draw(sized_rigs()), scenario, weather)


def _described(draw: st.DrawFn, most_days: int) -> WeatherRequest:
    high = draw(st.floats(28.0, 44.0))
    low = high - draw(st.floats(6.0, 18.0))
    return HotDay(
        date(2026, draw(st.sampled_from((5, 6, 7, 8))), draw(st.integers(1, 28))), high, low,
        low - draw(st.floats(1.0, 20.0)), 3.0, draw(st.floats(0.0, 1.0)),
        days=draw(st.integers(1, most_days)),
    )  # fmt: skip
