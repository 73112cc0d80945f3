"""Strategies that make valid requests of every operation: they get past the documents' rules.

Rigs, places and operations are those of the documents' round trips, absurd ones among them: walls
of a gram, coolers of 50 W, loads of half a kilowatt.
"""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from noonhold import rig as r
from noonhold import scenario as s
from noonhold.documents import dump_projection, dump_rig
from noonhold.documents.short_rig_rules import BUILD_UPS, COLOURS, GLASS
from noonhold.projection_request import ProjectionRequest
from noonhold.studies.uncertainty.uncertain_inputs import Condition
from noonhold.weather.hot_day import HotDay
from noonhold.weather.weather_request import TypicalYear
from noonhold_service.description.study_examples import CALIBRATIONS
from tests.engine import document_strategies as made
from tests.properties import strategies as usual

Document = dict[str, Any]
STATIONS = ("basin_desert_kelpanoor", "coast_quellhaven", "high_mountain_cragvennor")
FACES = ("front", "right", "rear", "left", "roof")


def whole(low: int, high: int) -> st.SearchStrategy[int]:
    """Return whole numbers between two bounds, both included."""
    return st.integers(low, high)


@st.composite
def hot_days(draw: st.DrawFn) -> HotDay:
    """Return a described day: freezing ones and deserts."""
    high = draw(made.number(0, 48))
    return HotDay(
        draw(st.dates().filter(lambda day: 1950 <= day.year <= 2100)),
        high,
        high - draw(made.number(0, 25)),
        high - draw(made.number(3, 40)),
        draw(made.number(0, 15)),
        draw(made.shares),
        days=draw(st.integers(1, 2)),
        hour_of_high=draw(st.none() | made.minutes.filter(lambda hour: 10 <= hour <= 18)),
    )


typical_days = st.builds(
    lambda month, day, days, station: TypicalYear(month, day, days, station, allow_far=True),
    st.integers(1, 12),
    st.integers(1, 28),
    st.integers(1, 2),
    st.sampled_from(STATIONS),
)
starts = st.one_of(
    st.builds(s.Start, made.shares, st.none() | made.number(-20, 60)),
    st.builds(s.Start, made.shares, st.none(), st.integers(1, 3)),
)


@st.composite
def rigs(draw: st.DrawFn, *, cooler: bool = False) -> r.Rig:
    """Return a rig; most coolers have a coil that can be, as a random one seldom has."""
    rig = draw(made.rigs())
    if rig.cooler is None:
        return replace(rig, cooler=draw(usual.coolers())) if cooler else rig
    return replace(rig, cooler=draw(usual.coolers())) if draw(whole(0, 9)) else rig


@st.composite
def projections(draw: st.DrawFn, *, cooler: bool = False) -> Document:
    """Return a projection's document."""
    rig = draw(rigs(cooler=cooler))
    scenario = s.Scenario(
        draw(made.places), draw(made.operations), draw(made.comforts), draw(starts)
    )
    return dump_projection(ProjectionRequest(rig, scenario, draw(hot_days() | typical_days)))


patches = st.one_of(
    st.builds(lambda c: {"operation": {"set_point_c": c}}, made.number(19, 28)),
    st.builds(lambda p: {"operation": {"policy": p}}, st.sampled_from([str(p) for p in r.Policy])),
    st.builds(lambda q: {"start": {"state_of_charge": q}}, made.shares),
    st.builds(lambda a: {"place": {"heading_deg": a}}, made.number(0, 360)),
    st.just({"rig": {"cooler": None}}),
)


@st.composite
def comparisons(draw: st.DrawFn) -> Document:
    """Return a comparison's document."""
    found = draw(st.lists(patches, min_size=1, max_size=4))
    variants = [{"name": f"variant {k}", "patch": patch} for k, patch in enumerate(found)]
    return {"base": draw(projections()), "variants": variants}


def ranges(least: int, most: int) -> st.SearchStrategy[Document]:
    """Return sizes to choose from."""
    return st.builds(
        lambda low, step, count: {"least": low, "most": low + step * count, "step": step},
        made.number(least, most),
        made.number(least / 2, most / 4),
        whole(1, 6),
    )


@st.composite
def sizings(draw: st.DrawFn) -> Document:
    """Return a sizing's document."""
    projection = draw(projections(cooler=True))
    sizes = {"battery": ("battery_wh",), "cooler": ("cooler_factor",)}
    if projection["rig"].get("arrays"):
        sizes |= {"array": ("array_w",), "battery_and_array": ("battery_wh", "array_w")}
    size = draw(st.sampled_from(sorted(sizes)))
    of = {
        "battery_wh": ranges(100, 20_000),
        "array_w": ranges(50, 2000),
        "cooler_factor": st.builds(
            lambda low, step: {"least": low, "most": low + 4 * step, "step": step},
            made.number(0.2, 1.5),
            made.number(0.05, 0.5),
        ),
    }
    return {
        "projection": projection,
        "size": size,
        "required_feasible_fraction": draw(made.shares),
        **{name: draw(of[name]) for name in sizes[size]},
        "battery_limits_grow": draw(st.booleans()),
        "controller_limits_grow": draw(st.booleans()),
    }


@st.composite
def uncertainties(draw: st.DrawFn) -> Document:
    """Return an uncertainty's document."""
    return {
        "projection": draw(projections()),
        "condition": draw(st.sampled_from([str(each) for each in Condition])),
        "samples": draw(st.sampled_from([16, 32])),
        "sensitivity_samples": draw(st.sampled_from([0, 2])),
        "seed": draw(whole(0, 2**31 - 1)),
    }


@st.composite
def warm_ups(draw: st.DrawFn) -> Document:
    """Return a warm-up's document."""
    document = {
        "projection": draw(projections(cooler=True)),
        "thresholds_c": draw(
            st.lists(made.number(20, 45), min_size=1, max_size=3, unique=True).map(sorted)
        ),
        "horizon_h": draw(made.number(0.5, 24)),
        "occupants": draw(made.number(0, 6)),
    }
    if draw(st.booleans()):
        document["stop_at"] = f"{draw(whole(0, 23)):02d}:{draw(whole(0, 59)):02d}"
    return document


@st.composite
def plans(draw: st.DrawFn) -> Document:
    """Return a plan's document."""
    projection = draw(projections(cooler=True))
    low = draw(made.number(18, 23))
    document = {
        "projection": projection,
        "lowest_set_point_c": low,
        "highest_set_point_c": low + draw(made.number(0.5, 7)),
        "most_runs": draw(whole(0, 60)),
        "seed": draw(whole(0, 99)),
    }
    if draw(st.booleans()):
        duration = draw(whole(1, 12)) / 4
        document["drive"] = {
            "duration_h": duration,
            "speed_km_h": draw(made.number(1, 130)),
            "earliest": f"{draw(whole(0, 10)):02d}:00",
            "latest": f"{draw(whole(14, 24)):02d}:00",
        }
    return document


@st.composite
def calibrations(draw: st.DrawFn) -> Document:
    """Return the example's log beside another rig, with what was read a little off."""
    example = draw(st.sampled_from([each.document for each in CALIBRATIONS.values()]))
    columns = dict(example["log"]["columns"])
    off = draw(made.number(-2, 2))
    columns["cabin_temperature"] = [value + off for value in columns["cabin_temperature"]]
    samples = st.sampled_from(["plywood_teardrop", "lined_panel_van", "flatbed_cabin"])
    return {
        **example,
        "rig": draw(samples | rigs().map(dump_rig)),
        "place": {**example["place"], "heading_deg": draw(made.number(0, 360))},
        "log": {**example["log"], "columns": columns},
        "fit": {
            "held_out_fraction": draw(made.number(0, 0.6)),
            "settling_h": draw(made.number(0, 6)),
        },
    }


@st.composite
def years(draw: st.DrawFn) -> Document:
    """Return a year's document."""
    projection = draw(projections())
    del projection["weather"]
    return {**projection, "station": draw(st.sampled_from(STATIONS)), "allow_far": True}


@st.composite
def surveys(draw: st.DrawFn) -> Document:
    """Return a survey's document."""
    projection = draw(projections())
    place = projection.pop("place")
    del projection["weather"]
    for name in ("latitude", "longitude", "elevation_m", "timezone"):
        place.pop(name, None)
    document = {
        **{name: value for name, value in projection.items() if name != "rig"},
        "rigs": [projection["rig"], "flatbed_cabin"][: draw(whole(1, 2))],
        "surroundings": place,
    }
    if draw(whole(0, 3)):
        document["month"] = draw(whole(1, 12))
    return document | draw(
        st.builds(
            lambda names: {"stations": names},
            st.lists(st.sampled_from(STATIONS), min_size=1, max_size=2, unique=True),
        )
        | st.just({"box": {"south": -34.5, "north": -34, "west": -121, "east": -120.5}})
    )


build_ups = st.builds(
    lambda name, thickness: {name: thickness},
    st.sampled_from(sorted(BUILD_UPS)),
    made.number(0.5, 120),
) | st.builds(lambda u: {"u_value_w_m2k": u}, made.number(0.05, 4.7))


@st.composite
def short_rigs(draw: st.DrawFn) -> Document:
    """Return a rig of the short form."""
    document: Document = {
        "outer_size": {
            "length_m": draw(made.number(1.2, 12)),
            "width_m": draw(made.number(1.2, 3)),
            "height_m": draw(made.number(1.2, 3)),
        },
        "walls": draw(build_ups),
        "battery_kwh": draw(made.number(0.1, 100)),
    }
    optional: dict[str, st.SearchStrategy[Any]] = {
        "roof": build_ups,
        "floor": build_ups,
        "colour": st.sampled_from(sorted(COLOURS)),
        "windows": st.lists(
            st.fixed_dictionaries(
                {
                    "face": st.sampled_from(FACES),
                    "width_m": made.number(0.05, 0.5),
                    "height_m": made.number(0.05, 0.5),
                    "kind": st.sampled_from(sorted(GLASS)),
                }
            ),
            max_size=3,
        ),
        "roof_array_w": made.number(0, 3000),
        "set_out_array_w": made.number(0, 2000),
        "alternator_w": made.number(0, 2000),
        "loads_w": made.number(0, 500),
        "cooler": st.fixed_dictionaries(
            {
                "cooling_w": made.number(300, 9000),
                "power_w": made.number(100, 4000),
                "variable_speed": st.booleans(),
            }
        ),
    }
    for name, strategy in optional.items():
        if draw(st.booleans()):
            document[name] = draw(strategy)
    return document


VALID: dict[str, st.SearchStrategy[Document]] = {
    "/v1/projections": projections(),
    "/v1/comparisons": comparisons(),
    "/v1/sizings": sizings(),
    "/v1/uncertainties": uncertainties(),
    "/v1/warm-ups": warm_ups(),
    "/v1/plans": plans(),
    "/v1/calibrations": calibrations(),
    "/v1/years": years(),
    "/v1/surveys": surveys(),
    "/v1/rigs/expansions": short_rigs() | rigs().map(dump_rig),
}
