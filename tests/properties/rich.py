"""A rig and a scene that use every feature at once, so that every field has something to act on."""

from __future__ import annotations

from datetime import date

from noonhold.rig import (
    Aim,
    Awning,
    Battery,
    Charging,
    Controller,
    Cooler,
    Cover,
    CoverPosition,
    Exposure,
    Extent,
    FixedCoefficients,
    Heater,
    Layer,
    Leakage,
    Load,
    Mount,
    Panel,
    PerformanceMap,
    Policy,
    RatingPoint,
    Rig,
    Shell,
    SolarArray,
    Stage,
    Supply,
    Vent,
    Window,
)
from noonhold.scenario import (
    Comfort,
    ComfortMeasure,
    CoverState,
    Operation,
    Place,
    Scenario,
    Setting,
    Shade,
    Span,
    Start,
)
from noonhold.weather.hot_day import HotDay

FOAM = Layer(0.04, 0.035, 35.0, 1450.0, "foam")
SKIN = Layer(0.003, 0.2, 1200.0, 1500.0, "skin")
WALL = (SKIN, FOAM, SKIN)

WALL_EXTENT = Extent(2.0, 2.0)
WINDOW_EXTENT = Extent(0.6, 0.6, 0.9, 0.2)
RIGHT_FILMS = FixedCoefficients()
RIGHT = Panel("right", 90.0, 90.0, 3.6, WALL, extent=WALL_EXTENT, coefficients=RIGHT_FILMS)
LEFT = Panel("left", 90.0, 270.0, 3.6, u_value_w_m2k=1.2, heat_capacity_kj_m2k=12.0)
PANELS = (
    RIGHT,
    LEFT,
    Panel("front", 90.0, 0.0, 4.0, WALL),
    Panel("rear", 90.0, 180.0, 4.0, WALL),
    Panel("roof", 0.0, 0.0, 4.0, WALL),
    Panel("floor", 180.0, 0.0, 4.0, WALL, exposed_to=Exposure.UNDERSIDE),
)
MAT = Cover(CoverPosition.INSIDE, 0.05, 0.6, 0.15)
GLASS = Window(
    "right window", 90.0, 90.0, 0.36, 2.7, 0.65, covers=(MAT,), extent=WINDOW_EXTENT,
    coefficients=FixedCoefficients(),
)  # fmt: skip
LEAKAGE = Leakage(air_changes_per_hour=0.3, leakage_area_cm2=20.0)
VENT = Vent("roof vent", 60.0, 80.0, 6.0)
SHELL = Shell(8.0, 120.0, 10.0, LEAKAGE, PANELS, (GLASS,), (VENT,))
AWNING = Awning(90.0, 1.2, 1.6, 1.9)
LOW = Stage("low", 800.0, 280.0)
HIGH = Stage("high", 1600.0, 620.0)
RATING = RatingPoint()
MAP = PerformanceMap(
    (20.0, 35.0, 50.0), (15.0, 19.0, 23.0),
    ((1.0, 1.1, 1.2), (0.9, 1.0, 1.1), (0.75, 0.85, 0.95)),
    ((0.75, 0.8, 0.85), (0.95, 1.0, 1.05), (1.2, 1.25, 1.3)),
)  # fmt: skip
SUPPLY = Supply(0.9, 15.0, through_inverter=True)
COOLER = Cooler((LOW, HIGH), 320.0, 0.75, 30.0, rating=RATING, performance_map=MAP, supply=SUPPLY)
HEATER = Heater(600.0, 60.0)
BATTERY = Battery(1500.0, in_cabin=False)
MORNING = Aim(0.0, 40.0, 110.0)
EVENING = Aim(12.5, 40.0, 240.0)
ROOF_ARRAY = SolarArray(
    "roof array", 250.0, Mount.ROOF_RAISED, controller="shared", shades_panel="roof", area_m2=1.3
)
FOLDING = SolarArray(
    "folding", 150.0, Mount.OPEN_STAND, folding=True, aims=(MORNING, EVENING), controller="shared"
)
CONTROLLER = Controller("shared", 300.0)
CHARGING = Charging(400.0, 700.0)
REFRIGERATOR = Load("refrigerator", 40.0)
LIGHTS = Load("lights", 20.0, ((19.0, 23.0),), 0.8, 0.3)
RIG = Rig(
    "rich", SHELL, BATTERY, COOLER, HEATER, (ROOF_ARRAY, FOLDING), (CONTROLLER,), CHARGING,
    (REFRIGERATOR, LIGHTS), 5.0, (AWNING,),
)  # fmt: skip

TREE = Shade(8.0, 10.0, 0.6, 0.3)
PLACE = Place(
    38.0, -135.0, 1500.0, timezone="America/Anchorage", heading_deg=20.0, shade=(TREE,),
    horizon=((0.0, 2.0), (90.0, 8.0), (180.0, 3.0), (270.0, 10.0)),
)  # fmt: skip
DRIVE = Setting(driving_speed_km_h=80.0)
REST = Setting(
    set_point_c=23.0, heating_set_point_c=17.0, policy=Policy.LOW_THEN_HIGH,
    covers=CoverState.INSIDE, vents_open=False, occupants=2.0, deployed=True, shore=False,
)  # fmt: skip
DRIVING = Span(7.0, 8.0, DRIVE)
RESTING = Span(11.0, 16.0, REST)
OPERATION = Operation(
    24.0, cooling_window=(9.0, 20.0), heating_set_point_c=12.0, spans=(DRIVING, RESTING),
    fresh_air_m3_h_per_occupant=20.0,
)  # fmt: skip
COMFORT = Comfort(ComfortMeasure.OPERATIVE, 26.0)
START = Start(0.6, spin_up_days=1)
SCENARIO = Scenario(PLACE, OPERATION, COMFORT, START)
# Humid enough to wet the coil, cold enough at night for the heater.
WEATHER = HotDay(date(2026, 7, 15), 37.0, 4.0, 16.0, 3.0)
