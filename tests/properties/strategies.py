"""Random rigs, scenes and weather that are valid: what the documents would let through."""

from __future__ import annotations

from datetime import date

from hypothesis import strategies as st

from noonhold.rig import (
    Aim,
    Awning,
    Battery,
    BatteryPoint,
    Charging,
    CondenserInstallation,
    Controller,
    Cooler,
    Cover,
    CoverPosition,
    Ducts,
    Exposure,
    Extent,
    Heater,
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
    Supply,
    Thermostatic,
    Vent,
    Window,
)
from noonhold.scenario import (
    Comfort,
    ComfortMeasure,
    CoverState,
    Ground,
    Operation,
    Place,
    Scenario,
    Setting,
    Shade,
    Span,
    Start,
    Terrain,
)
from noonhold.weather.hot_day import HotDay

fraction = st.floats(0.0, 1.0)
clock_hour = st.integers(0, 96).map(lambda quarter: quarter / 4.0)
azimuth = st.floats(0.0, 359.0)

layers = st.lists(
    st.builds(
        Layer,
        thickness_m=st.floats(0.001, 0.08),
        conductivity_w_mk=st.floats(0.02, 5.0),
        density_kg_m3=st.one_of(st.just(0.0), st.floats(10.0, 2500.0)),
        specific_heat_j_kgk=st.floats(500.0, 2500.0),
    ),
    min_size=1,
    max_size=3,
).map(tuple)


@st.composite
def panels(draw: st.DrawFn, name: str, tilt: float, turned: float, area: float) -> Panel:
    exposed = [Exposure.OUTDOORS] * 4 + list(Exposure)
    return Panel(
        name, tilt, turned, area, draw(layers),
        solar_absorptance=draw(fraction),
        thermal_emittance=draw(st.floats(0.1, 0.95)),
        inside_solar_absorptance=draw(fraction),
        inside_thermal_emittance=draw(st.floats(0.1, 0.95)),
        exposed_to=draw(st.sampled_from(exposed)) if tilt != 180.0 else Exposure.UNDERSIDE,
        extent=Extent(2.0, 2.0) if tilt == 90.0 else None,
    )  # fmt: skip


@st.composite
def windows(draw: st.DrawFn, name: str) -> Window:
    covers = tuple(
        Cover(position, draw(st.floats(0.0, 0.4)), draw(st.floats(0.0, 0.6)), draw(st.floats(0, 1)))
        for position in CoverPosition
        if draw(st.booleans())
    )
    return Window(
        name, draw(st.sampled_from([0.0, 60.0, 90.0])), draw(st.sampled_from([0.0, 90.0, 180.0])),
        draw(st.floats(0.05, 1.0)), draw(st.floats(1.0, 5.5)), draw(st.floats(0.2, 0.8)),
        panes=draw(st.integers(1, 3)), covers=covers, extent=Extent(0.5, 0.5, 0.8),
    )  # fmt: skip


@st.composite
def shells(draw: st.DrawFn) -> Shell:
    sides = [("front", 90.0, 0.0), ("right", 90.0, 90.0), ("rear", 90.0, 180.0)]
    sides += [("left", 90.0, 270.0), ("roof", 0.0, 0.0), ("floor", 180.0, 0.0)]
    count = draw(st.integers(0, 3))
    return Shell(
        volume_m3=draw(st.floats(3.0, 25.0)),
        contents_heat_capacity_kj_k=draw(st.floats(0.0, 500.0)),
        # As a document may say it: sun on contents of 1e-310 m2 heats them beyond any number.
        contents_area_m2=draw(st.floats(0.01, 30.0)),
        leakage=Leakage(draw(st.floats(0.0, 3.0)), draw(st.floats(0.0, 100.0))),
        panels=tuple(draw(panels(name, tilt, turned, 4.0)) for name, tilt, turned in sides),
        windows=tuple(draw(windows(f"window {number}")) for number in range(count)),
        vents=(Vent("vent", draw(st.floats(0, 200)), draw(st.floats(0, 500)), 5.0),),
        moisture_buffer_factor=draw(st.floats(1.0, 20.0)),
        contents_solar_fraction=draw(st.floats(0.0, 0.5)),
    )


@st.composite
def coolers(draw: st.DrawFn) -> Cooler:
    low = draw(st.floats(300.0, 1200.0))
    efficiency = draw(st.floats(1.8, 4.0))
    stages = (Stage("low", low, low / efficiency),)
    if draw(st.booleans()):
        stages += (Stage("high", 2.0 * low, 2.2 * low / efficiency),)
    ducts = draw(st.none() | st.builds(Ducts, st.floats(0.0, 0.5), fraction))
    return Cooler(
        stages, airflow_m3_h=0.25 * stages[-1].cooling_w, sensible_heat_ratio=0.75,
        fan_power_w=draw(st.floats(0.0, 0.04)) * low,
        degradation_coefficient=draw(st.floats(0.0, 0.3)),
        variable_speed=draw(st.booleans()), fan_always_on=draw(st.booleans()),
        condenser_air_rise_k=draw(st.floats(0.0, 8.0)),
        condenser_installation=draw(st.none() | st.sampled_from(CondenserInstallation)),
        standby_power_w=draw(st.floats(0.0, 10.0)), ducts=ducts,
        supply=Supply(draw(st.floats(0.8, 1.0)), draw(st.floats(0.0, 30.0))),
    )  # fmt: skip


def awnings() -> st.SearchStrategy[Awning]:
    drop = st.one_of(st.just(0.0), st.floats(0.0, 1.9))
    return st.builds(
        Awning,
        st.just(90.0), st.just(1.5), st.just(1.5), st.just(1.9), fraction, drop, drop,
    )  # fmt: skip


@st.composite
def rigs(draw: st.DrawFn) -> Rig:
    roof = SolarArray(
        "roof array", draw(st.floats(0.0, 800.0)), draw(st.sampled_from(list(Mount))),
        draw(st.floats(0.0, 30.0)), draw(azimuth), controller=draw(st.sampled_from(["", "c"])),
        shades_panel="roof", area_m2=draw(st.floats(0.0, 5.0)),
    )  # fmt: skip
    folding = SolarArray(
        "folding", draw(st.floats(0.0, 400.0)), Mount.OPEN_STAND, folding=True,
        aims=(Aim(0.0, 30.0, draw(azimuth)), Aim(12.0, 40.0, draw(azimuth))), controller="c",
    )  # fmt: skip
    return Rig(
        name="random",
        shell=draw(shells()),
        battery=Battery(
            draw(st.floats(200.0, 8000.0)),
            charge_efficiency=draw(st.floats(0.8, 1.0)),
            discharge_efficiency=draw(st.floats(0.8, 1.0)),
            max_charge_w=draw(st.floats(50.0, 3000.0)),
            charge_c_rate=draw(st.floats(0.1, 3.0)),
            discharge_c_rate=draw(st.floats(0.1, 3.0)),
            taper_from_fraction=draw(st.floats(0.3, 1.0)),
            by_temperature=draw(
                st.just(()) | st.just((BatteryPoint(-5.0, 0.5, 0.9), BatteryPoint(25.0)))
            ),
            max_discharge_w=draw(st.floats(50.0, 3000.0)),
            reserve_fraction=draw(st.floats(0.0, 0.4)),
            recovery_fraction=draw(st.floats(0.0, 0.2)),
            in_cabin=draw(st.booleans()),
        ),
        cooler=draw(st.none() | coolers()),
        heater=draw(st.none() | st.builds(Heater, st.floats(100, 2000), st.floats(0, 100))),
        arrays=(roof, folding),
        controllers=(Controller("c", draw(st.floats(50.0, 1000.0))),),
        charging=Charging(draw(st.floats(0, 800)), draw(st.floats(0, 1500))),
        loads=(
            Load("always", draw(st.floats(0.0, 100.0)), (), draw(fraction), draw(fraction)),
            Load(
                "cold",
                draw(st.floats(0.0, 100.0)),
                (),
                draw(fraction),
                draw(fraction),
                Thermostatic(
                    32.0, 4.0, draw(fraction), draw(st.floats(50.0, 200.0)), draw(st.booleans())
                ),
            ),
            Load("sometimes", draw(st.floats(0.0, 500.0)), ((22.0, 2.0), (7.25, 8.5))),
        ),
        standing_power_w=draw(st.floats(0.0, 30.0)),
        awnings=(draw(awnings()),) if draw(st.booleans()) else (),
    )


settings = st.builds(
    Setting,
    set_point_c=st.none() | st.floats(18.0, 27.0),
    heating_set_point_c=st.none() | st.floats(5.0, 18.0),
    policy=st.none() | st.sampled_from(list(Policy)),
    driving_speed_km_h=st.none() | st.sampled_from([0.0, 40.0, 110.0]),
    covers=st.none() | st.sampled_from(list(CoverState)),
    vents_open=st.none() | st.booleans(),
    occupants=st.none() | st.floats(0.0, 4.0),
    deployed=st.none() | st.booleans(),
    shore=st.none() | st.booleans(),
)


@st.composite
def scenarios(draw: st.DrawFn) -> Scenario:
    place = Place(
        latitude=draw(st.floats(-75.0, 75.0)),
        longitude=draw(st.floats(-170.0, 170.0)),
        elevation_m=draw(st.floats(0.0, 3500.0)),
        heading_deg=draw(azimuth),
        ground=draw(st.sampled_from(list(Ground))),
        ground_albedo=draw(st.none() | st.floats(0.0, 0.8)),
        terrain=draw(st.sampled_from(list(Terrain))),
        shade=(Shade(draw(clock_hour), draw(clock_hour), draw(fraction), draw(fraction)),),
        horizon=draw(st.sampled_from([(), ((0.0, 5.0), (180.0, 12.0))])),
    )
    operation = Operation(
        set_point_c=draw(st.floats(19.0, 28.0)),
        policy=draw(st.sampled_from(list(Policy))),
        cooling_window=(draw(clock_hour), draw(clock_hour)),
        heating_set_point_c=draw(st.none() | st.floats(5.0, 18.0)),
        set_out=(draw(clock_hour), draw(clock_hour)),
        spans=tuple(
            Span(draw(clock_hour), draw(clock_hour), draw(settings))
            for _ in range(draw(st.integers(0, 3)))
        ),
        fresh_air_m3_h_per_occupant=draw(st.floats(0.0, 50.0)),
    )
    return Scenario(
        place=place,
        operation=operation,
        comfort=Comfort(draw(st.sampled_from(list(ComfortMeasure)[:3])), 26.0),
        start=Start(draw(fraction), draw(st.none() | st.floats(0.0, 45.0))),
    )


@st.composite
def days(draw: st.DrawFn) -> HotDay:
    high = draw(st.floats(5.0, 45.0))
    month = draw(st.sampled_from([1, 7, 12]))
    return HotDay(
        date(2026, month, draw(st.integers(1, 31))),
        high, high - draw(st.floats(0.0, 22.0)), high - draw(st.floats(5.0, 40.0)),
        draw(st.floats(0.0, 12.0)), draw(fraction),
    )  # fmt: skip
