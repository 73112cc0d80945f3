"""Narrow EPW, PVGIS in an EPW, NSRDB, archives; and files that are none."""

import os
import zipfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from noonhold.errors import WeatherFormatError
from noonhold.weather import file_source
from noonhold.weather.catalogue import scan, station_id, weather_paths
from noonhold.weather.weather_files import read_site, read_weather
from noonhold.weather.weather_table import INSTANT_COLUMNS, RADIATION_COLUMNS, WeatherTable
from tests.engine.weather.builders import (
    DENVER,
    EPW_HEAD,
    EPW_PLACE,
    Instants,
    clear_instants,
    denver_lines,
    pvgis_json,
    write,
)

FROM_PVGIS = {
    "temp_air": "T2m", "relative_humidity": "RH", "ghi": "G(h)", "dni": "Gb(n)", "dhi": "Gd(h)",
    "horizontal_infrared": "IR(h)", "wind_speed": "WS10m", "pressure": "SP",
}  # fmt: skip


def same(one: WeatherTable, other: WeatherTable, within: float = 1e-9) -> None:
    assert one.start == other.start
    for name in (*RADIATION_COLUMNS, *INSTANT_COLUMNS):
        np.testing.assert_allclose(getattr(one, name), getattr(other, name), atol=within)


@pytest.mark.parametrize("fields", [28, 30, 32, 34])
def test_columns_left_off_from_the_right_change_nothing(fields: int, tmp_path: Path) -> None:
    lines = list(denver_lines())
    rows = [",".join(line.split(",")[:fields]) for line in lines[EPW_HEAD:]]
    narrow = read_weather(write(tmp_path / "narrow.epw", lines[:EPW_HEAD] + rows))
    same(narrow, read_weather(DENVER))


def pvgis_epw(year: Instants, zone_h: int, rows_zone_h: int) -> list[str]:
    """Return instants as PVGIS writes them into an EPW, rows on a clock of whole hours."""
    lines = list(denver_lines())
    place = f"{year.latitude},{year.longitude},{zone_h:.1f},{year.elevation_m}"
    lines[0] = f"LOCATION,unknown,-,unknown,PVGIS,unknown,{place}"
    lines[6] = f"COMMENTS 2,Irradiance Time Offset (h):{(year.offset_h or 0.0) - 1.0:.4f}"
    frame = np.roll(year.frame.to_numpy(), rows_zone_h, axis=0)
    for row, values in enumerate(frame.tolist()):
        fields = lines[EPW_HEAD + row].split(",")
        given = dict(zip(year.frame.columns, values, strict=True))
        for ours, theirs in FROM_PVGIS.items():
            fields[EPW_PLACE[ours]] = repr(given[theirs])
        lines[EPW_HEAD + row] = ",".join(fields)
    return lines


@pytest.mark.parametrize("rows_zone_h", [0, 1])
def test_a_pvgis_epw_is_the_json_of_the_same_instants(rows_zone_h: int, tmp_path: Path) -> None:
    year = clear_instants(45.0, 12.0, offset_h=0.1761)
    told = read_weather(write(tmp_path / "a.epw", pvgis_epw(year, 1, rows_zone_h)))
    same(told, read_weather(write(tmp_path / "a.json", pvgis_json(year))), 1e-6)
    assert told.site.utc_offset_h == 1.0
    assert f"rows in {'UTC' if rows_zone_h == 0 else 'UTC+1 h'}," in told.notes[-1]


def test_a_pvgis_epw_on_no_clock_is_refused(tmp_path: Path) -> None:
    year = clear_instants(45.0, 12.0, offset_h=0.1761)
    with pytest.raises(WeatherFormatError, match="neither in UTC nor on the clock"):
        read_weather(write(tmp_path / "a.epw", pvgis_epw(year, 1, 5)))


def nsrdb(year: Instants, zone_h: int, rows_zone_h: int) -> list[str]:
    """Return instants as the NSRDB's viewer gives them."""
    names = "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation"
    names += ",Local Time Zone,Clearsky DHI Units"
    values = (
        f"NSRDB,1234,-,-,-,{year.latitude},{year.longitude},{rows_zone_h},{year.elevation_m:.0f}"
    )
    columns = "Year,Month,Day,Hour,Minute,DHI,DNI,GHI,Temperature,Relative Humidity,Pressure"
    lines = [names, f"{values},{zone_h},w/m2", columns + ",Wind Speed"]
    frame = np.roll(year.frame.to_numpy(), rows_zone_h, axis=0)
    for stamp, row in zip(year.frame.index, frame.tolist(), strict=True):
        of = dict(zip(year.frame.columns, row, strict=True))
        figures = [of[name] for name in ("Gd(h)", "Gb(n)", "G(h)", "T2m", "RH")]
        figures += [of["SP"] / 100.0, of["WS10m"]]
        when = f"{stamp.year},{stamp.month},{stamp.day},{stamp.hour},{stamp.minute}"
        lines.append(",".join([when, *map(repr, figures)]))
    return lines


@pytest.mark.parametrize(("minute", "rows_zone_h"), [(30, -7), (0, 0), (30, 0)])
def test_an_nsrdb_year_is_the_same_instants(minute: int, rows_zone_h: int, tmp_path: Path) -> None:
    year = clear_instants(40.0, -105.0, minute)
    told = read_weather(write(tmp_path / "a.csv", nsrdb(year, -7, rows_zone_h)))
    other = read_weather(write(tmp_path / "a.json", pvgis_json(year)))
    assert told.site == replace(
        other.site, name="40.0, -105.0", station="1234", source="NSRDB (CSV)"
    )
    for name in ("ghi", "dni", "dhi", *INSTANT_COLUMNS):
        np.testing.assert_allclose(getattr(told, name), getattr(other, name), atol=1e-6)
    assert "computed" in " ".join(told.notes)


def test_a_half_hourly_nsrdb_year_is_told(tmp_path: Path) -> None:
    lines = nsrdb(clear_instants(40.0, -105.0), -7, 0)
    lines[4] = lines[4].replace(",0,", ",30,", 1)
    lines[4] = ",".join([*lines[4].split(",")[:4], "30", *lines[4].split(",")[5:]])
    with pytest.raises(WeatherFormatError, match="interval of 60 minutes"):
        read_weather(write(tmp_path / "a.csv", lines))


def archive(path: Path, names: list[str]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in names:
            packed.writestr(name, "\n".join(denver_lines()) + "\n")
    return path


def test_a_zip_of_one_file_is_that_file(tmp_path: Path) -> None:
    packed = archive(tmp_path / "denver.zip", ["denver.epw"])
    same(read_weather(packed), read_weather(DENVER))
    assert read_site(packed)[0] == read_site(DENVER)[0]
    with pytest.raises(WeatherFormatError, match="holds 2 files"):
        read_weather(archive(tmp_path / "two.zip", ["a.epw", "b.stat"]))
    packed.write_bytes(packed.read_bytes()[:5000])
    with pytest.raises(WeatherFormatError, match="zip archive cannot be read"):
        read_weather(packed)


def test_any_case_of_suffix_and_any_folder_counts(tmp_path: Path) -> None:
    deep = tmp_path / "north" / "coast"
    deep.mkdir(parents=True)
    (deep / "DENVER.EPW.GZ").write_bytes(DENVER.read_bytes())
    archive(tmp_path / "b.ZIP", ["denver.EPW"])
    (tmp_path / ".hidden").mkdir()
    (tmp_path / ".hidden" / "c.epw").write_text("LOCATION")
    assert [path.name for path in weather_paths(tmp_path)] == ["b.ZIP", "DENVER.EPW.GZ"]
    assert [station.station_id for station in scan(tmp_path).stations] == ["DENVER", "b"]
    assert station_id(Path("x.EPW.GZ")) == "x"


def test_a_pipe_or_a_device_is_no_file(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.epw"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/zero")):
        with pytest.raises(WeatherFormatError, match="pipe, socket or device"):
            read_weather(path)


def test_a_file_that_no_weather_fills_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = write(tmp_path / "a.epw", list(denver_lines()))
    packed = write(tmp_path / "b.epw.gz", list(denver_lines()))
    zipped = archive(tmp_path / "c.zip", ["denver.epw"])
    monkeypatch.setattr(file_source, "MOST_BYTES", 1_000_000)
    for path in (plain, packed, zipped):  # 1.6 MB each, two of them packed in 0.3
        with pytest.raises(WeatherFormatError, match="at most 1 MB"):
            read_weather(path)
