"""More battery, its reserve the same watt-hours, or more array never holds fewer days.

By the search's own trials: settled charge, full runs, the adverse twin beside each. Drawn are the
rig's battery, reserve, array, cooler and loads, the place and its days, and what is done.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import lru_cache

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from noonhold import samples
from noonhold.projection_request import ProjectionRequest
from noonhold.rig import Battery, Controller, Load, Rig
from noonhold.scenario import Comfort, ComfortMeasure, Operation, Place, Start
from noonhold.studies.sizing.sizes import Reserve, Scaling, Size, resized, size_of
from noonhold.studies.sizing.trials import Confidence, TrialRunner, bench_for
from noonhold.studies.study_base import ProjectionCache
from noonhold.weather.catalogue import scan
from noonhold.weather.hot_day import HotDay
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_request import TypicalYear, WeatherRequest
from tests.engine.made import PLACE, ROOF_ARRAY, rig, scene

CATALOGUE = scan(samples.weather_folder())
SCALING = Scaling(ROOF_ARRAY.name, reserve=Reserve.ENERGY)
read = lru_cache(read_weather)
some = settings(max_examples=15, deadline=None, phases=(Phase.explicit, Phase.generate))


@st.composite
def rigs(draw: st.DrawFn) -> Rig:
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
def requests(draw: st.DrawFn) -> ProjectionRequest:
    place, weather = PLACE, _described(draw)
    if draw(st.booleans()):
        station = draw(st.sampled_from(CATALOGUE.stations))
        site = station.site
        place = Place(site.latitude, site.longitude, site.elevation_m)
        days = draw(st.integers(1, 14))
        month = draw(st.sampled_from((1, 2, 4, 11, 12)))
        weather = TypicalYear(month, draw(st.integers(1, 28)), days, station.station_id)
    opens = draw(st.integers(7, 12))
    scenario = scene(
        place=place,
        operation=Operation(
            draw(st.floats(22.0, 26.0)),
            cooling_window=(float(opens), float(opens + draw(st.integers(4, 11)))),
        ),
        comfort=Comfort(ComfortMeasure.OPERATIVE, 27.5),
        start=Start(None, None, 3),
    )
    return ProjectionRequest(draw(rigs()), scenario, weather)


def _described(draw: st.DrawFn) -> WeatherRequest:
    high = draw(st.floats(28.0, 44.0))
    low = high - draw(st.floats(6.0, 18.0))
    return HotDay(
        date(2026, draw(st.sampled_from((5, 6, 7, 8))), draw(st.integers(1, 28))), high, low,
        low - draw(st.floats(1.0, 20.0)), 3.0, draw(st.floats(0.0, 1.0)),
        days=draw(st.integers(1, 4)),
    )  # fmt: skip


def counts(bench: TrialRunner, size: Size) -> tuple[int, int]:
    """Return the days that hold, and those of them whose adverse twin holds too."""
    whole = bench.prepared.request.rig
    trial = bench.trial(resized(whole, size, SCALING), size)
    return trial.holding_days, trial.counting_days


def bench_of(request: ProjectionRequest) -> TrialRunner:
    return bench_for(ProjectionCache(CATALOGUE, read).prepare(request), Confidence.ADVERSE)


@given(requests(), st.floats(1.1, 4.0))
@some
def test_more_battery_never_holds_fewer_days(request: ProjectionRequest, factor: float) -> None:
    bench, given_size = bench_of(request), size_of(request.rig, SCALING)
    larger = Size(given_size.battery_wh * factor, given_size.array_w)
    for few, many in zip(counts(bench, given_size), counts(bench, larger), strict=True):
        assert many >= few


@given(requests(), st.floats(1.1, 4.0))
@some
def test_more_array_never_holds_fewer_days(request: ProjectionRequest, factor: float) -> None:
    bench, given_size = bench_of(request), size_of(request.rig, SCALING)
    assert given_size.array_w is not None
    larger = Size(given_size.battery_wh, given_size.array_w * factor)
    for few, many in zip(counts(bench, given_size), counts(bench, larger), strict=True):
        assert many >= few
