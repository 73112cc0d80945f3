"""Turned and mirrored rigs: what the compass and the hemisphere must not change."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from noonhold.rig import Aim, Awning, Panel, Rig, SolarArray, Window
from noonhold.scenario import Place, Scenario
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import prepare
from noonhold.solar.sun import solar_geometry
from noonhold.weather.hot_day import HotDay, hot_day
from noonhold.weather.weather_table import Site, WeatherTable
from tests.engine.made import SIDES, box, rig, scene, summer
from tests.properties.strategies import azimuth, rigs, scenarios

FloatArray = npt.NDArray[np.float64]
# On a busy machine the drawing of a whole rig alone counts as slow.
some = settings(
    max_examples=12,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow],
)

# Dates on which the sun is over opposite latitudes and as far away: declination 5.263 and -5.268
# degrees, 0.99973 astronomical units. Its clock is 15.3 minutes apart (equation of time -3.39 and
# 11.94), as that of two meridians 3.83 degrees apart. All by pvlib's spa module.
NORTHERN, SOUTHERN = date(2021, 4, 2), date(2023, 10, 6)
NORTHERN_LONGITUDE, SOUTHERN_LONGITUDE = -135.0, -138.83


def record(rig: Rig, scenario: Scenario, table: WeatherTable) -> FloatArray:
    case, _ = prepare(rig, scenario, table)
    return run_cases([case])[0]


@given(st.floats(0.0, 359.0), st.sampled_from([90.0, 180.0, 270.0]), st.floats(-65.0, 65.0))
@some
def test_a_quarter_turn_of_a_rig_alike_on_four_sides(
    heading: float, turn: float, latitude: float
) -> None:
    place = Place(latitude, -135.0, 500.0, heading_deg=heading)
    table = summer(place)
    turned = replace(place, heading_deg=(heading + turn) % 360.0)
    one, other = (record(rig(), scene(place=p), table) for p in (place, turned))
    np.testing.assert_allclose(other, one, rtol=0.0, atol=1e-6, equal_nan=True)


def at_solar_noon(latitude: float, hour: int) -> tuple[Place, WeatherTable]:
    """Return a place where the sun stands in the meridian in the middle of an hour, and its day."""
    start = np.array([np.datetime64(f"2026-06-14T{hour:02d}:00:00", "s")])
    sun = solar_geometry(start, 3600, latitude, 0.0, 0.0)
    place = Place(latitude, -float(sun.hour_angle_deg[0]), 0.0)
    return place, summer(place, first=date(2026, 6, 14), utc_offset_h=0.0)


@given(azimuth, st.floats(-60.0, 60.0))
@some
def test_at_solar_noon_a_rig_alike_right_and_left_may_look_either_way(
    heading: float, latitude: float
) -> None:
    """Turned by as much to the east as to the west, it takes the same light on all its faces."""
    place, table = at_solar_noon(latitude, 12)
    taken = []
    for turned in (heading, -heading % 360.0):
        case, _ = prepare(rig(), scene(place=replace(place, heading_deg=turned)), table)
        forcing = case.forcing
        onto = (forcing.beam + forcing.sky_diffuse + forcing.ground)[12, forcing.orientation]
        taken.append(float((onto[: len(case.network.area)] * case.network.area).sum()))
    assert taken[0] == pytest.approx(taken[1], rel=2e-4)


@pytest.mark.parametrize("heading", [0.0, 45.0, 137.0])
def test_at_solar_noon_a_level_roof_knows_no_heading(heading: float) -> None:
    roof = next(panel for panel in box().panels if panel.name == "roof")
    level = rig(shell=replace(box(), panels=(roof,), windows=()))
    table = summer()
    plain = record(level, scene(), table)
    turned = record(level, scene(place=replace(scene().place, heading_deg=heading)), table)
    np.testing.assert_allclose(turned, plain, rtol=0.0, atol=1e-9, equal_nan=True)


# --- the hemispheres ----------------------------------------------------------------------------


def flipped(azimuth_deg: float) -> float:
    """Return a compass direction with north and south exchanged."""
    return (180.0 - azimuth_deg) % 360.0


def other_side(part: Panel | Window | SolarArray) -> Panel | Window | SolarArray:
    """Return a part on the other side of the rig, right for left."""
    turned = replace(part, azimuth_from_front_deg=-part.azimuth_from_front_deg % 360.0)
    if isinstance(turned, SolarArray):
        aims = tuple(Aim(a.from_hour, a.tilt_deg, flipped(a.azimuth_deg)) for a in part.aims)
        return replace(turned, aims=aims)
    if turned.extent is not None:
        return replace(turned, extent=replace(turned.extent, offset_m=-turned.extent.offset_m))
    return turned


def mirrored_rig(whole: Rig) -> Rig:
    """Return the rig as a mirror shows it."""
    shell = replace(
        whole.shell,
        panels=tuple(map(other_side, whole.shell.panels)),
        windows=tuple(map(other_side, whole.shell.windows)),
    )
    awnings: tuple[Awning, ...] = tuple(
        replace(
            a,
            side_azimuth_from_front_deg=-a.side_azimuth_from_front_deg % 360.0,
            left_curtain_drop_m=a.right_curtain_drop_m,
            right_curtain_drop_m=a.left_curtain_drop_m,
        )
        for a in whole.awnings
    )
    arrays = tuple(map(other_side, whole.arrays))
    return replace(whole, shell=shell, arrays=arrays, awnings=awnings)


def mirrored_scene(scenario: Scenario) -> Scenario:
    place = scenario.place
    horizon = tuple(sorted((flipped(toward), height) for toward, height in place.horizon))
    south = replace(
        place,
        latitude=-place.latitude,
        longitude=SOUTHERN_LONGITUDE,
        heading_deg=flipped(place.heading_deg),
        horizon=horizon,
    )
    return replace(scenario, place=south)


@given(rigs(), scenarios(), st.floats(5.0, 60.0), st.floats(28.0, 44.0), st.floats(0.0, 0.8))
@some
def test_the_southern_hemisphere_mirrors_the_northern(
    whole: Rig, scenario: Scenario, latitude: float, high: float, cloud: float
) -> None:
    """Latitude, season, heading, sides and aims mirrored under the same weather: the same day.

    The sun itself is the same to 0.005 degrees.
    """
    # An hour's beam through a gap's edge is all or nothing; the far horizon is left out.
    longitude = NORTHERN_LONGITUDE
    place = replace(scenario.place, latitude=latitude, longitude=longitude, horizon=())
    scenario = replace(scenario, place=place)
    site = Site("north", latitude, longitude, place.elevation_m, -9.0)
    north = hot_day(site, HotDay(NORTHERN, high, high - 15.0, 5.0, 3.0, cloud))
    over_there = replace(site, latitude=-latitude, longitude=SOUTHERN_LONGITUDE)
    south = replace(north, site=over_there, start=np.datetime64(SOUTHERN, "s"))
    one = record(whole, scenario, north)
    other = record(mirrored_rig(whole), mirrored_scene(scenario), south)
    assert np.abs(other[:, ch.CABIN] - one[:, ch.CABIN]).max() < 0.05
    assert other[:, ch.SOLAR].sum() == pytest.approx(one[:, ch.SOLAR].sum(), rel=2e-3, abs=0.5)


def test_the_mirror_is_its_own_inverse() -> None:
    whole = rig()
    assert mirrored_rig(mirrored_rig(whole)) == whole
    assert {flipped(turn) for _, turn in SIDES} == {turn for _, turn in SIDES}
