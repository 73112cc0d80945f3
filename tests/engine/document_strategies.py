"""Strategies that make whole valid rigs, scenarios and weather requests."""

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

from hypothesis import strategies as st

from noonhold import rig as r
from noonhold import scenario as s
from noonhold.envelope.ground_surface import ground_surface
from noonhold.weather.hot_day import HotDay
from noonhold.weather.weather_request import Hourly, TypicalYear

HALF_HOUR = timedelta(hours=5, minutes=30)

names = st.text("abcdefghij klmnop", min_size=1, max_size=12).filter(str.strip)
shares = st.floats(0.0, 1.0)
minutes = st.integers(0, 24 * 60 - 1).map(lambda minute: minute // 60 + minute % 60 / 60)
ends = st.integers(1, 24 * 60).map(lambda minute: minute // 60 + minute % 60 / 60)
pairs = st.tuples(minutes, ends).filter(lambda pair: pair[0] != pair[1])
tilts, azimuths = st.floats(0.0, 180.0), st.floats(-360.0, 360.0)


def number(low: float, high: float) -> st.SearchStrategy[float]:
    """Return finite numbers between two bounds."""
    return st.floats(low, high, allow_nan=False)


def named(make: Any) -> st.SearchStrategy[tuple[Any, ...]]:
    """Return up to three things whose names differ."""
    return st.lists(make, max_size=3, unique_by=lambda each: each.name).map(tuple)


layers = st.one_of(
    st.builds(
        r.Layer,
        number(0.001, 1),
        number(0.01, 50),
        number(0, 3000),
        number(0, 3000),
        st.one_of(st.just(""), names),
    ),
    st.builds(r.Layer, number(0.01, 50), st.just(1.0), st.just(0.0), st.just(0.0)),
)
coefficients = st.one_of(
    st.builds(r.FixedCoefficients),
    st.builds(
        r.FixedCoefficients,
        inside_film_w_m2k=st.one_of(st.none(), number(1, 20)),
        outside_convection_w_m2k=st.one_of(st.none(), number(0, 40)),
    ),
)
constructions = st.one_of(
    st.fixed_dictionaries({"layers": st.lists(layers, min_size=1, max_size=3).map(tuple)}),
    st.fixed_dictionaries(
        {"u_value_w_m2k": number(0.1, 4.7), "heat_capacity_kj_m2k": number(0, 100)}
    ),
)


@st.composite
def panels(draw: st.DrawFn) -> r.Panel:
    """Return a panel of any kind."""
    area = draw(number(0.1, 20))
    extent = draw(st.none() | st.builds(r.Extent, st.just(20.0), st.just(2.0), number(0, 2)))
    return r.Panel(
        draw(names),
        draw(tilts),
        draw(azimuths),
        area,
        **draw(constructions),
        solar_absorptance=draw(shares),
        exposed_to=draw(st.sampled_from(r.Exposure)),
        coefficients=draw(coefficients),
        extent=extent,
    )


@st.composite
def windows(draw: st.DrawFn) -> r.Window:
    """Return a window with at most one cover a side."""
    gain = draw(shares)
    covers = tuple(
        r.Cover(position, share := draw(shares), (1.0 - share) * draw(shares), draw(number(0, 2)))
        for position in draw(st.lists(st.sampled_from(r.CoverPosition), unique=True))
    )
    return r.Window(
        draw(names),
        draw(tilts),
        draw(azimuths),
        draw(number(0.1, 5)),
        draw(number(0.5, 6)),
        gain,
        draw(st.none() | st.just(gain * 0.9)),
        draw(st.integers(1, 4)),
        covers=covers,
        coefficients=draw(coefficients),
    )


@st.composite
def coolers(draw: st.DrawFn) -> r.Cooler:
    """Return a cooler whose stages rise and whose map is a full grid."""
    steps = draw(st.lists(number(100, 2000), min_size=1, max_size=3))
    fan = draw(number(0, 50))
    stages = tuple(
        r.Stage(f"stage {i}", sum(steps[: i + 1]), fan + sum(steps[: i + 1]) / 3)
        for i in range(len(steps))
    )
    outdoor = draw(st.lists(number(15, 55), min_size=1, max_size=3, unique=True).map(sorted))
    wet = draw(st.lists(number(8, 28), min_size=1, max_size=3, unique=True).map(sorted))
    ratio = number(0.1, 2)
    table = tuple(tuple(draw(ratio) for _ in wet) for _ in outdoor)
    chart = r.PerformanceMap(tuple(outdoor), tuple(wet), table, table[::-1])
    variable = draw(st.booleans())
    modulation = None
    if variable and (len(stages) == 1 or draw(st.booleans())):
        points = st.lists(number(0.1, 0.9), max_size=3, unique=True).map(sorted)
        part_load = draw(points) if len(stages) == 1 else []
        modulation = r.Modulation(
            draw(number(0.1, 1)),
            tuple(r.SpeedPoint(f, draw(number(0.5, 2))) for f in part_load),
        )
    installation = draw(st.none() | st.sampled_from(r.CondenserInstallation))
    return r.Cooler(
        stages,
        draw(number(50, 2000)),
        draw(number(0.3, 1)),
        fan,
        modulation=modulation,
        condenser_installation=installation,
        condenser_air_rise_k=0.0 if installation else draw(number(0, 10)),
        condenser_airflow_m3_h=draw(st.none() | number(50, 5000)) if installation else None,
        standby_power_w=draw(number(0, 20)),
        ducts=draw(st.none() | st.builds(r.Ducts, number(0, 0.5), number(0, 1))),
        rating=draw(st.just(r.RatingPoint()) | st.just(r.RatingPoint(46.0, 29.0, 19.0, 90000.0))),
        performance_map=draw(st.none() | st.just(chart)),
        variable_speed=variable,
        supply=draw(st.builds(r.Supply, number(0.5, 1), number(0, 50), st.booleans())),
    )


@st.composite
def arrays(draw: st.DrawFn, controllers: list[str], areas: dict[str, float]) -> r.SolarArray:
    """Return an array, fixed or set out, that refers only to what is there."""
    options: dict[str, Any] = {}
    if draw(st.booleans()):
        hours = sorted(draw(st.sets(minutes, min_size=1, max_size=3)))
        options["folding"] = True
        options["aims"] = tuple(r.Aim(h, draw(tilts), draw(number(0, 360))) for h in hours)
    else:
        options |= {"tilt_deg": draw(tilts), "azimuth_from_front_deg": draw(azimuths)}
        if areas and draw(st.booleans()):
            panel = draw(st.sampled_from(sorted(areas)))
            options |= {"shades_panel": panel, "area_m2": areas[panel]}
    if controllers and draw(st.booleans()):
        options["controller"] = draw(st.sampled_from(controllers))
    if "folding" not in options and draw(st.booleans()):
        spans = draw(st.lists(pairs, max_size=2).map(tuple))
        options |= {
            "width_m": draw(number(0.2, 3)),
            "length_m": draw(number(0.2, 3)),
            "obstacles": (r.Obstacle("hood", draw(number(-3, 3)), 1.0, 0.4, 0.5, 0.3, spans),),
            "bypass_strips": draw(st.integers(1, 12)),
        }
    options["soiling_fraction"] = draw(number(0, 0.3))
    mount = draw(st.sampled_from(r.Mount))
    return r.SolarArray(draw(names), draw(number(1, 2000)), mount, **options)


@st.composite
def rigs(draw: st.DrawFn) -> r.Rig:
    """Return a whole valid rig."""
    walls = draw(st.lists(panels(), min_size=1, max_size=3, unique_by=lambda p: p.name))
    leakage = draw(
        st.builds(r.Leakage, air_changes_per_hour=number(0, 5))
        | st.builds(r.Leakage, leakage_area_cm2=number(0, 500), shelter_class=st.integers(1, 5))
    )
    vents = named(st.builds(r.Vent, names, number(0, 900), number(0, 900), number(0, 90)))
    shell = r.Shell(
        draw(number(1, 40)),
        draw(number(0, 900)),
        draw(number(1, 90)),
        leakage,
        tuple(walls),
        draw(named(windows())),
        draw(vents),
    )
    controllers = draw(named(st.builds(r.Controller, names, number(10, 3000), number(0.5, 1))))
    array = arrays([c.name for c in controllers], {p.name: p.area_m2 for p in walls})
    battery = st.builds(
        r.Battery,
        number(100, 20000),
        max_charge_w=st.just(float("inf")) | number(10, 5000),
        charge_c_rate=number(0.1, 2),
        discharge_c_rate=st.just(float("inf")) | number(0.1, 2),
        taper_from_fraction=number(0.3, 1),
        by_temperature=st.just(()) | st.just((r.BatteryPoint(0.0, 0.7, 0.9), r.BatteryPoint(20.0))),
        reserve_fraction=number(0, 0.5),
        recovery_fraction=number(0, 0.5),
        charge_temperature_c=st.tuples(number(-20, 0), number(1, 60)),
        in_cabin=st.booleans(),
    )
    load = st.builds(
        r.Load,
        names,
        number(0, 500),
        st.lists(pairs, max_size=2).map(tuple),
        shares,
        shares,
        st.none()
        | st.builds(
            r.Thermostatic, number(20, 40), number(-20, 10), shares, in_cabin=st.booleans()
        ),
    )
    return r.Rig(
        draw(names),
        shell,
        draw(battery),
        cooler=draw(st.none() | coolers()),
        heater=draw(st.none() | st.builds(r.Heater, number(1, 3000), number(0, 3000))),
        arrays=draw(named(array)),
        controllers=controllers,
        charging=draw(st.builds(r.Charging, number(0, 2000), number(0, 3000))),
        loads=draw(named(load)),
        standing_power_w=draw(number(0, 50)),
    )


shades = st.builds(
    lambda hours, beam, diffuse, to: s.Shade(*hours, beam, diffuse, to),
    pairs,
    shares,
    shares,
    st.sampled_from([("cabin",), ("arrays",), ("cabin", "arrays")]),
)


def stated(place: s.Place) -> s.Place:
    """Return a place whose ground is spelled out, as a document that was read has it."""
    surface = ground_surface(place)
    if place.ground is s.Ground.AIR_TEMPERATURE:
        return replace(place, ground_albedo=surface.albedo)
    wet = math.isfinite(surface.evaporation_resistance_s_m)
    return replace(
        place,
        ground_albedo=surface.albedo,
        ground_emittance=surface.emittance,
        ground_thermal_inertia_j_m2ks05=surface.thermal_inertia,
        ground_evaporation_resistance_s_m=surface.evaporation_resistance_s_m if wet else None,
    )


places = st.builds(
    s.Place,
    number(-90, 90),
    number(-180, 180),
    number(-400, 5000),
    timezone=st.none() | st.sampled_from(["America/Denver", "Asia/Kolkata", "UTC"]),
    heading_deg=number(0, 360),
    terrain=st.sampled_from(s.Terrain),
    shade=st.lists(shades, max_size=2).map(tuple),
    horizon=st.sets(st.integers(0, 359), max_size=4).map(
        lambda found: tuple((float(a), a / 10) for a in sorted(found))
    ),
    ground=st.sampled_from(s.Ground),
    ground_albedo=st.none() | number(0, 1),
).map(stated)


@st.composite
def settings_of_spans(draw: st.DrawFn) -> s.Setting:
    """Return a setting that changes something."""
    setting = s.Setting(
        set_point_c=draw(st.none() | number(18, 30)),
        heating_set_point_c=draw(st.none() | number(5, 17)),
        policy=draw(st.none() | st.sampled_from(r.Policy)),
        driving_speed_km_h=draw(st.none() | number(0, 130)),
        covers=draw(st.none() | st.sampled_from(s.CoverState)),
        occupants=draw(number(0, 5)),
        deployed=draw(st.none() | st.booleans()),
    )
    return setting


operations = st.builds(
    s.Operation,
    number(18, 30),
    st.sampled_from(r.Policy),
    pairs,
    st.none() | number(5, 17),
    st.lists(
        st.builds(lambda hours, setting: s.Span(*hours, setting), pairs, settings_of_spans()),
        max_size=3,
    ).map(tuple),
    pairs,
)
comforts = st.one_of(
    st.builds(s.Comfort, st.just(s.ComfortMeasure.PMV), number(-2, 2)),
    st.builds(s.Comfort, st.sampled_from(["operative", "air", "heat_index"]), number(20, 40)).map(
        lambda c: s.Comfort(s.ComfortMeasure(c.measure), c.limit)
    ),
)
starts = st.one_of(
    st.builds(s.Start, shares, st.none() | number(-20, 60)),
    st.builds(s.Start, shares, st.none(), st.integers(1, 14)),
)
weathers = st.one_of(
    st.builds(
        TypicalYear,
        st.integers(1, 12),
        st.integers(1, 28),
        st.integers(1, 366),
        st.none(),
        number(1, 500),
    ),
    st.builds(TypicalYear, st.just(12), st.just(31), station=names),
    st.builds(
        HotDay,
        st.dates().filter(lambda day: 1950 <= day.year <= 2100),
        number(30, 50),
        number(0, 30),
        number(-10, 30),
        number(0, 10),
        shares,
        st.lists(st.builds(lambda hours, c: (*hours, c), pairs, shares), max_size=2).map(tuple),
        st.integers(1, 20),
        st.none() | number(60000, 101325),
        st.none() | minutes,
    ),
    st.builds(
        lambda start, rows: Hourly(
            start.replace(microsecond=0),
            1800,
            {
                "temp_air": tuple(rows),
                "relative_humidity": tuple(50.0 for _ in rows),
                "ghi": tuple(rows),
                "wind_speed": tuple(None for _ in rows),
            },
        ),
        st.datetimes(
            datetime(1990, 1, 1),
            datetime(2090, 1, 1),
            timezones=st.sampled_from([UTC, timezone(timedelta(hours=-7)), timezone(HALF_HOUR)]),
        ),
        st.lists(number(0, 40), min_size=1, max_size=5),
    ),
)
