"""Nonsense is doubted, real files are not: nine changes of one file that moved verdicts unseen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from noonhold.weather.plausibility import doubts, flags_of, with_dew_flag, with_flags
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import WeatherTable
from tests.engine.weather.builders import DENVER, LAS_VEGAS, denver_lines, edited, write


@cache
def denver() -> WeatherTable:
    return read_weather(DENVER)


def at(table: WeatherTable, latitude: float, longitude: float) -> WeatherTable:
    return replace(table, site=replace(table.site, latitude=latitude, longitude=longitude))


def scaled(table: WeatherTable, by: float) -> WeatherTable:
    return replace(table, ghi=by * table.ghi, dni=by * table.dni, dhi=by * table.dhi)


NINE: dict[str, tuple[Callable[[WeatherTable], WeatherTable], str]] = {
    "latitude sign": (lambda t: at(t, -39.83, -104.65), "hemisphere"),
    "coordinates swapped": (lambda t: at(t, -104.65 / 2.0, 39.83), "time zone"),
    "kWh": (lambda t: scaled(t, 1e-3), "units of radiation"),
    "zero": (lambda t: scaled(t, 0.0), "units of radiation"),
    "halved": (lambda t: scaled(t, 0.5), "units of radiation"),
    "dni doubled": (lambda t: replace(t, dni=2.0 * t.dni), "closure"),
    "three times ghi": (lambda t: replace(t, dni=t.ghi, dhi=t.ghi), "closure"),
    "400 W/m2 all night": (lambda t: replace(t, ghi=np.maximum(t.ghi, 400.0)), "sun at night"),
    "humidity as a fraction": (
        lambda t: replace(t, relative_humidity=t.relative_humidity / 100.0),
        "units of humidity",
    ),
    "pressure at sea level": (lambda t: replace(t, pressure=t.pressure + 17900.0), "pressure"),
}


@pytest.mark.parametrize("name", NINE)
def test_nonsense_is_doubted_by_its_rule(name: str) -> None:
    change, rule = NINE[name]
    found = flags_of(change(denver()))
    assert rule in [flag.rule for flag in found if flag.level == "doubt"]
    assert all(flag.source and len(flag.message) > 20 for flag in found)


@pytest.mark.parametrize("path", [DENVER, LAS_VEGAS], ids=lambda path: path.name)
def test_real_years_are_good(path: Path) -> None:
    assert flags_of(read_weather(path)) == ()


def test_the_sample_region_is_good(checkout: Path) -> None:
    for path in sorted((checkout / "sample_weather").glob("*.epw.gz"))[::6]:
        assert flags_of(read_weather(path)) == (), path.name


def test_a_clock_that_is_off_is_flagged_by_its_size() -> None:
    for hours, level in ((1, "note"), (4, "doubt")):
        table = denver()
        parts = {name: np.roll(getattr(table, name), hours) for name in ("ghi", "dni", "dhi")}
        levels = {flag.rule: flag.level for flag in flags_of(replace(table, **parts))}
        assert levels["clock"] == level
        assert (set(levels.values()) == {"note"}) == (level == "note")


def test_runs_and_repeats_are_told() -> None:
    table = denver()
    still = table.temp_air.copy()
    still[1000:1040] = 5.0
    flags = flags_of(replace(table, temp_air=still))
    assert [(flag.level, flag.rule) for flag in flags] == [("note", "flat run")]
    columns = {name: getattr(table, name).copy() for name in ("temp_air", "ghi", "wind_speed")}
    for name in columns:
        columns[name][2400:2520] = np.tile(columns[name][2400:2424], 5)
    rules = [flag.rule for flag in flags_of(replace(table, **columns))]
    assert "repeated days" in rules


def test_radiation_above_what_is_rare_is_doubted() -> None:
    """BSRN V2.0: direct above 0.95 S cos^0.2 z + 10 W/m2 is extremely rare."""
    table = denver()
    bright = replace(table, dni=np.where(table.dni > 0.0, 1400.0, 0.0))
    assert "above clear sky" in [flag.rule for flag in flags_of(bright)]


def test_humidity_against_dew_point() -> None:
    table = denver()
    dry = np.full(len(table), -40.0)
    found = with_dew_flag(table, table.relative_humidity, dry)
    assert "dew point" in doubts(found.notes)[0]
    assert with_dew_flag(table, None, dry) is table


def test_a_reader_carries_doubts_in_its_notes(tmp_path: Path) -> None:
    rows = {row: "101325" for row in range(8760)}
    told = read_weather(write(tmp_path / "a.epw", edited({"pressure": rows}, denver_lines())))
    assert len(doubts(told.notes)) == 1
    assert "DOUBT (pressure)" in doubts(told.notes)[0]
    assert with_flags(denver()) is denver()
