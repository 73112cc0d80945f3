"""Weather files made for the tests: real ones edited, and one year in every format."""

import gzip
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib

DATA = Path(__file__).resolve().parents[2] / "data" / "weather"
DENVER = DATA / "USA_CO_Denver.Intl.AP.725650_TMY3.epw.gz"
LAS_VEGAS = DATA / "USA_NV_Las.Vegas-McCarran.Intl.AP.723860_TMY3.epw.gz"
GREENSBORO = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"

EPW_HEAD = 8
EPW_PLACE = {
    "year": 0, "month": 1, "day": 2, "hour": 3, "temp_air": 6, "temp_dew": 7,
    "relative_humidity": 8, "pressure": 9, "horizontal_infrared": 12, "ghi": 13, "dni": 14,
    "dhi": 15, "wind_speed": 21, "opaque_sky_cover": 23,
}  # fmt: skip
EPW_CODE = {
    "temp_air": "99.9", "temp_dew": "99.9", "relative_humidity": "999", "pressure": "999999",
    "horizontal_infrared": "9999", "ghi": "9999", "dni": "9999", "dhi": "9999",
    "wind_speed": "999", "opaque_sky_cover": "99",
}  # fmt: skip


@cache
def denver_lines() -> tuple[str, ...]:
    """Return the lines of the Denver file."""
    return tuple(gzip.decompress(DENVER.read_bytes()).decode("ascii").split("\r\n")[:-1])


def edited(changes: dict[str, dict[int, str]], lines: tuple[str, ...] | None = None) -> list[str]:
    """Return the Denver file with fields changed: column -> row (0 to 8759) -> text."""
    out = list(lines or denver_lines())
    for column, rows in changes.items():
        for row, text in rows.items():
            fields = out[EPW_HEAD + row].split(",")
            fields[EPW_PLACE[column]] = text
            out[EPW_HEAD + row] = ",".join(fields)
    return out


def missing(column: str, rows: range) -> dict[str, dict[int, str]]:
    """Return the change that puts a column's code for missing values in rows."""
    return {column: {row: EPW_CODE[column] for row in rows}}


def write(path: Path, lines: list[str] | str) -> Path:
    """Write lines, gzip where the name says so."""
    text = lines if isinstance(lines, str) else "\n".join(lines) + "\n"
    content = text.encode("utf-8")
    path.write_bytes(gzip.compress(content) if path.suffix == ".gz" else content)
    return path


@dataclass(frozen=True)
class Instants:
    """A clear year as a satellite and a reanalysis would report it: instants in UTC."""

    latitude: float
    longitude: float
    elevation_m: float
    minute: int
    offset_h: float | None
    frame: pd.DataFrame


PVGIS_COLUMNS = ("T2m", "RH", "G(h)", "Gb(n)", "Gd(h)", "IR(h)", "WS10m", "WD10m", "SP")


def clear_instants(
    latitude: float, longitude: float, minute: int = 0, offset_h: float | None = None
) -> Instants:
    """Return a clear year of instants; temperature is the UTC hour of the year over 100."""
    stamps = pd.date_range("2018-01-01", periods=8760, freq="h") + pd.Timedelta(minutes=minute)
    seen = stamps + pd.Timedelta(seconds=round(3600 * (offset_h or 0.0)))
    sky = clear_sky(latitude, longitude, pd.DatetimeIndex(seen).tz_localize("UTC"))
    frame = pd.DataFrame(index=stamps)
    hour = np.arange(8760.0) + minute / 60.0
    frame["T2m"] = hour / 100.0 - 50.0
    frame["RH"], frame["IR(h)"] = 50.0, 300.0 + hour / 100.0
    frame["G(h)"], frame["Gb(n)"], frame["Gd(h)"] = (
        sky[name].to_numpy() for name in ("ghi", "dni", "dhi")
    )
    frame["WS10m"], frame["WD10m"], frame["SP"] = 2.0, 180.0, 97000.0
    return Instants(latitude, longitude, 250.0, minute, offset_h, frame[list(PVGIS_COLUMNS)])


def clear_sky(latitude: float, longitude: float, times: pd.DatetimeIndex) -> pd.DataFrame:
    """Return pvlib's clear sky of a fixed turbidity."""
    place = pvlib.location.Location(latitude, longitude, altitude=250.0)
    return place.get_clearsky(times, model="ineichen", linke_turbidity=3.0)


def pvgis_csv(year: Instants) -> str:
    """Return a year of instants in the layout of a PVGIS TMY CSV."""
    lines = [
        f"Latitude (decimal degrees): {year.latitude:.3f}",
        f"Longitude (decimal degrees): {year.longitude:.3f}",
        f"Elevation (m): {year.elevation_m:.1f}",
    ]
    if year.offset_h is not None:
        lines.append(f"Irradiance Time Offset (h): {year.offset_h:.4f}")
    lines.append("month,year")
    lines += [f"{month},2018" for month in range(1, 13)]
    lines.append("time(UTC)," + ",".join(PVGIS_COLUMNS))
    for stamp, row in zip(year.frame.index, year.frame.to_numpy().tolist(), strict=True):
        lines.append(f"{stamp:%Y%m%d:%H%M}," + ",".join(repr(value) for value in row))
    lines += ["", "T2m: 2-m air temperature (degree Celsius)", "SP: Surface (air) pressure (Pa)"]
    return "\r\n".join(lines) + "\r\n"


def pvgis_json(year: Instants) -> str:
    """Return a year of instants in the layout of a PVGIS TMY JSON."""
    location = {
        "latitude": year.latitude,
        "longitude": year.longitude,
        "elevation": year.elevation_m,
    }
    if year.offset_h is not None:
        location["irradiance_time_offset"] = year.offset_h
    hours = [
        {"time(UTC)": f"{stamp:%Y%m%d:%H%M}", **dict(zip(PVGIS_COLUMNS, row, strict=True))}
        for stamp, row in zip(year.frame.index, year.frame.to_numpy().tolist(), strict=True)
    ]
    months = [{"month": month, "year": 2018} for month in range(1, 13)]
    return json.dumps(
        {
            "inputs": {"location": location, "meteo_data": {"radiation_db": "invented"}},
            "outputs": {"months_selected": months, "tmy_hourly": hours},
            "meta": {"inputs": {"location": {"description": "Selected location"}}},
        }
    )
