"""A file whose clock is wrong is distinguished from a right one by its own radiation."""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.weather.clock_check import clock_error_h
from noonhold.weather.pvgis import read_pvgis_tmy
from noonhold.weather.weather_files import read_weather
from tests.engine.weather.builders import (
    DENVER,
    EPW_HEAD,
    GREENSBORO,
    LAS_VEGAS,
    clear_instants,
    denver_lines,
    pvgis_csv,
    write,
)


@pytest.mark.parametrize("path", [DENVER, LAS_VEGAS, GREENSBORO], ids=lambda path: path.name[:10])
def test_real_files_agree_with_their_sun(path):
    assert clock_error_h(read_weather(path)) is None


@pytest.mark.parametrize(("latitude", "longitude"), [(-33.0, 151.0), (68.0, 27.0), (10.0, -80.0)])
def test_years_of_instants_agree_after_their_conversion(tmp_path, latitude, longitude):
    path = write(tmp_path / "a.csv", pvgis_csv(clear_instants(latitude, longitude, 20)))
    for zone in (None, round(longitude / 15) + 2.5):
        assert clock_error_h(read_pvgis_tmy(path, zone)) is None


@pytest.mark.parametrize("hours", [-7, -1, 1, 3])
def test_rows_moved_by_hours_are_told_by_how_much(tmp_path, hours):
    rows = [line.split(",") for line in denver_lines()[EPW_HEAD:]]
    light = np.roll([row[12:16] for row in rows], hours, axis=0)
    moved = [",".join([*row[:12], *light[k], *row[16:]]) for k, row in enumerate(rows)]
    table = read_weather(write(tmp_path / "moved.epw", [*denver_lines()[:EPW_HEAD], *moved]))
    side = "later" if hours < 0 else "earlier"
    assert f"a sun about {abs(hours)} h {side} than the labels say" in table.notes[-1]


def test_a_wrong_zone_in_the_header_is_told(tmp_path):
    lines = list(denver_lines())
    lines[0] = lines[0].replace(",-7.0,", ",7.0,")
    table = read_weather(write(tmp_path / "zone.epw", lines))
    assert "CAUTION" in table.notes[-1]


def test_darkness_tells_nothing():
    table = read_weather(DENVER)
    dark = {name: np.zeros(8760) for name in ("ghi", "dni", "dhi")}
    assert clock_error_h(replace(table, **dark)) is None
