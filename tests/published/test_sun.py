"""Sun, clear sky and the labels of real files against published positions and the sun itself.

- I. Reda, A. Andreas, NREL/TP-560-34302 (2008): the worked example, 17 October 2003, 12:30:30 at
  UTC-7, and the calculator's sunrise and sunset for Golden, Colorado (its appendix A.2).
- CIBSE TM33:2006, solar position test, within 1.5 degrees.
- Clear sky of Ineichen and Perez as pvlib has it, minute by minute.
- Real typical years: GHI = DNI cos z + DHI closes best with the sun in the interval's middle, to
  5 W/m2 and less.
"""

from __future__ import annotations

from datetime import date
from functools import cache, partial

import numpy as np
import pandas as pd
import pvlib
import pytest

from noonhold.solar.sun import SolarGeometry, solar_geometry, sunset_hour_angle_deg
from noonhold.weather.hot_day import HotDay, hot_day
from noonhold.weather.sky import site_sun
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import Site
from tests.engine.weather.builders import DENVER, LAS_VEGAS
from tests.published.part import Part, between, held, name, near


@cache
def at(
    moment_utc: str,
    latitude: float,
    longitude: float,
    elevation_m: float,
    pressure_pa: float | None = None,
    temp_air: float = 12.0,
) -> SolarGeometry:
    """Return the sun at a moment: the middle of a two-second interval."""
    start = np.array([np.datetime64(moment_utc, "s") - np.timedelta64(1, "s")])
    air = {} if pressure_pa is None else {"pressure_pa": pressure_pa, "temp_air": temp_air}
    return solar_geometry(start, 2, latitude, longitude, elevation_m, **air)


EXAMPLE = ("2003-10-17T19:30:30", 39.742476, -105.1786, 1830.14, 82000.0, 11.0)
SPA = [
    ("zenith_deg", 50.11162, 0.0005),
    ("azimuth_deg", 194.34024, 0.0005),
    ("declination_deg", -9.31434, 0.0005),
    ("hour_angle_deg", 11.105902, 0.001),
]
# The calculator goes by the day of universal time, so its sunset at 19:13:58 MST "of 2 August"
# falls at 02:13:58 UTC on that day: the evening of 1 August on the place's calendar.
EDGES = [
    ("sunrise, 2 January 2015", "2015-01-02T14:21:55", -1.0),
    ("sunset, 2 January 2015", "2015-01-02T23:47:43", 1.0),
    ("sunrise, 2 August 2015", "2015-08-02T12:00:27", -1.0),
    ("sunset, 2 August 2015", "2015-08-02T02:13:58", 1.0),
]
TM33 = [
    ("2006-12-22T12:00:00", 180.0, 15.1),
    ("2006-02-27T15:00:00", 224.1, 20.4),
    ("2006-06-21T12:00:00", 178.4, 62.0),
    ("2006-10-20T10:00:00", 151.1, 24.4),
]


def example(what: str) -> float:
    return float(getattr(at(*EXAMPLE), what)[0])


def seconds_off(moment_utc: str, side: float) -> float:
    """Return how late the sun's edge crosses our horizon, by its hour angle. [s]"""
    sun = at(moment_utc, 39.742476, -105.1786, 1830.14)
    edge = sunset_hour_angle_deg(sun.declination_deg, 39.742476, -0.8333)
    return float(side * edge[0] - sun.hour_angle_deg[0]) * 3600.0 / 15.0


def london(moment_gmt: str, what: str) -> float:
    sun = at(moment_gmt, 51.48, -0.45, 0.0)
    return float(sun.azimuth_deg[0] if what == "azimuth" else 90.0 - sun.zenith_deg[0])


@cache
def clear_day_apart(column: str) -> float:
    """Return the largest difference of an hour to pvlib's clear sky, minute by minute. [W/m2]"""
    site = Site("high", 40.0, -105.0, 2100.0, -7.0)
    table = hot_day(site, HotDay(date(2024, 8, 1), 34.0, 12.0, 5.0, 3.0))
    times = pd.date_range("2024-08-01 07:00:30", periods=1440, freq="min", tz="UTC")
    sky = pvlib.location.Location(40.0, -105.0, altitude=2100.0).get_clearsky(times)
    theirs = sky[column].to_numpy().reshape(24, 60).mean(axis=1)
    return float(np.abs(getattr(table, column) - theirs).max())


FILES = {"Denver 725650": DENVER, "Las Vegas 723860": LAS_VEGAS}


@cache
def closure_rmse(file: str, minutes: int) -> float:
    """Return the RMSE of GHI - DNI cos z - DHI with the sun moved by so many minutes. [W/m2]"""
    table = read_weather(FILES[file])
    sun = site_sun(table.site, table.starts() + np.timedelta64(60 * minutes, "s"), 3600)
    error = table.ghi - table.dni * sun.sunlit_cosine - table.dhi
    return float(np.sqrt(np.mean(error[table.ghi > 0] ** 2)))


def best_shift(file: str) -> float:
    return float(min(range(-30, 31, 5), key=partial(closure_rmse, file)))


PARTS = [
    *(near("NREL/TP-560-34302", "worked example", what.replace("_deg", " degree"), value, within,
           partial(example, what)) for what, value, within in SPA),
    *(near("NREL/TP-560-34302", case, "s late", 0.0, 2.0, partial(seconds_off, moment, side))
      for case, moment, side in EDGES),
    *(near("CIBSE TM33", moment, f"{what} degree", value, 1.5, partial(london, moment, what))
      for moment, azimuth, altitude in TM33
      for what, value in (("azimuth", azimuth), ("altitude", altitude))),
    *(between("pvlib clear sky", "1 August, 40 N, 2100 m", f"{column}, largest difference W/m2",
              0.0, 2.0, partial(clear_day_apart, column)) for column in ("ghi", "dni", "dhi")),
    *(between("closure", file, "RMSE W/m2", 0.0, 5.0, partial(closure_rmse, file, 0))
      for file in FILES),
    *(near("closure", file, "best shift of the sun min", 0.0, 5.0, partial(best_shift, file))
      for file in FILES),
]  # fmt: skip


@pytest.mark.parametrize("part", PARTS, ids=name)
def test_sun_and_sky_are_where_they_are_published(part: Part) -> None:
    held(part)


@pytest.mark.parametrize("file", FILES)
def test_a_sun_at_the_labels_would_not_close(file: str) -> None:
    assert min(closure_rmse(file, -30), closure_rmse(file, 30)) > 5.0 * closure_rmse(file, 0)
