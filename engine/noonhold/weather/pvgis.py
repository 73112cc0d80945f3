"""PVGIS typical years, JSON and CSV, to the weather table."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pvlib

from noonhold.weather.calendar import HOURS, TYPICAL_YEAR, arrange_year
from noonhold.weather.file_source import decoded, field_counts, format_error, read_bytes
from noonhold.weather.instants import means_of_instants, radiation_of_instants, values_at
from noonhold.weather.rules import RawTable, complete, finish
from noonhold.weather.site_header import make_site
from noonhold.weather.sky import site_sun
from noonhold.weather.weather_table import INSTANT_COLUMNS, Site, WeatherTable

_COLUMNS = {
    "ghi": "ghi",
    "dni": "dni",
    "dhi": "dhi",
    "IR(h)": "horizontal_infrared",
    "temp_air": "temp_air",
    "relative_humidity": "relative_humidity",
    "pressure": "pressure",
    "wind_speed": "wind_speed",
}
_CSV_ROW = re.compile(rb"^\d{8}:\d{4},", re.MULTILINE)
_CSV_HEAD = {
    "latitude": re.compile(r"^Latitude \(decimal degrees\):(.*)$", re.MULTILINE),
    "longitude": re.compile(r"^Longitude \(decimal degrees\):(.*)$", re.MULTILINE),
    "elevation_m": re.compile(r"^Elevation \(m\):(.*)$", re.MULTILINE),
}
_JSON_HEAD = {
    name: re.compile(rf'"{key}"\s*:\s*([^,}}\s]+)')
    for name, key in (
        ("latitude", "latitude"),
        ("longitude", "longitude"),
        ("elevation_m", "elevation"),
    )
}


def pvgis_site(path: Path, head: str, utc_offset_h: float | None = None) -> Site:
    """Return the site of a PVGIS file's beginning.

    Parameters
    ----------
    path : pathlib.Path
        Named in the errors.
    head : str
        The first few kilobytes of the file.
    utc_offset_h : float, optional
        Clock of the table; by default the whole hours nearest to the sun's,
        ``round(longitude / 15)``. [h]

    Returns
    -------
    Site
        Named by its coordinates, as the format has no names.

    Raises
    ------
    WeatherFormatError
        Where latitude, longitude or elevation is missing or not a number.
    """
    is_json = head.lstrip().startswith("{")
    found = {key: p.search(head) for key, p in (_JSON_HEAD if is_json else _CSV_HEAD).items()}
    absent = [key for key, match in found.items() if match is None]
    if absent:
        raise format_error(path, f"the header does not state {', '.join(absent)}")
    figures: dict[str, object] = {k: m.group(1).strip() for k, m in found.items() if m is not None}
    source = f"PVGIS TMY ({'JSON' if is_json else 'CSV'})"
    site = make_site(f"{path.name}: ", {**figures, "utc_offset_h": 0.0}, "", source=source)
    if utc_offset_h is None:
        utc_offset_h = float(round(site.longitude / 15.0))
    figures["utc_offset_h"] = utc_offset_h
    name = f"{site.latitude:g}, {site.longitude:g}"
    return make_site(f"{path.name}: ", figures, name, source=source)


def _check_rows(path: Path, content: bytes) -> None:
    """Refuse a CSV without 8760 rows as wide as their header.

    pvlib takes the first 8760 rows, whatever they are, and what follows for remarks.
    """
    rows = [match.start() for match in _CSV_ROW.finditer(content)]
    if len(rows) != HOURS:
        reason = f"{len(rows)} hourly rows, a PVGIS typical year has {HOURS}"
        raise format_error(path, reason, len(rows))
    first = content.count(b"\n", 0, rows[0])
    counts = field_counts(content)
    wrong = counts[first : first + HOURS] != counts[first - 1]
    if wrong.any():
        line = first + int(np.argmax(wrong))
        reason = f"line {line + 1} has {counts[line]} fields, the header {counts[first - 1]}"
        raise format_error(path, reason, int(counts[line]))


def _parse(path: Path, content: bytes) -> tuple[pd.DataFrame, dict[str, Any]]:
    """Return pvlib's reading of the file, or the reason why there is none."""
    is_json = content.lstrip().startswith(b"{")
    buffer: io.StringIO | io.BytesIO
    if is_json:
        buffer = io.StringIO(decoded(content))
    else:
        _check_rows(path, content)
        buffer = io.BytesIO(content)
    try:
        data, meta = pvlib.iotools.read_pvgis_tmy(
            buffer, pvgis_format="json" if is_json else "csv", map_variables=True
        )
    except json.JSONDecodeError as exc:
        reason = f"the JSON is damaged or cut short at line {exc.lineno}: {exc.msg}"
        raise format_error(path, reason) from exc
    except KeyError as exc:
        raise format_error(path, f"the file has no {exc.args[0]!r}") from exc
    except (ValueError, TypeError, IndexError, AttributeError) as exc:
        raise format_error(path, f"the rows cannot be read as a PVGIS file's: {exc}") from exc
    absent = [name for name in _COLUMNS if name not in data and name != "IR(h)"]
    if absent:
        raise format_error(path, f"the file has no column for {', '.join(absent)}")
    for name in (name for name in _COLUMNS if name in data):
        if data[name].dtype.kind not in "if":
            raise format_error(path, f"column {name} must hold numbers")
    return data, meta


def _irradiance_offset(path: Path, meta: dict[str, Any]) -> float:
    """Return the stated shift of the radiation's instants from the time stamps, in hours."""
    inputs = meta["inputs"]
    stated = inputs.get("location", {}).get("irradiance_time_offset")
    if stated is None:
        stated = inputs.get("irradiance time offset", 0.0)
    try:
        offset = float(stated)
    except (TypeError, ValueError):
        offset = np.nan
    if not abs(offset) <= 1.0:
        raise format_error(path, "the irradiance time offset must be a number within 1 h", stated)
    return offset


def to_intervals(raw: RawTable, state_h: float, sunny_h: float) -> RawTable:
    """Return a year of instants in UTC as intervals of the site's clock.

    Parameters
    ----------
    raw : RawTable
        From 1 January in UTC, its site on the clock that is wanted.
    state_h, sunny_h : float
        When within its hour the state of the air and the radiation stand. [h]

    Returns
    -------
    RawTable
        From 1 January of the site's clock.
    """
    hours = raw.start.astype("datetime64[ms]") + np.arange(HOURS) * np.timedelta64(3600000, "ms")
    instants = hours + np.timedelta64(round(sunny_h * 3.6e6), "ms")
    seen = site_sun(replace(raw.site, utc_offset_h=0.0), instants, 0.0, parts=1)
    whole = complete(raw, seen)
    over = site_sun(raw.site, hours, 3600.0)
    first_h = -raw.site.utc_offset_h
    columns = radiation_of_instants(whole.columns, seen, over, first_h - sunny_h)
    ends = np.arange(1.0, HOURS + 1.0) + (first_h - state_h)
    for name in INSTANT_COLUMNS:
        columns[name] = values_at(whole.columns[name], ends)
    name = "horizontal_infrared"
    if name in whole.columns:
        parts = over.cosines.shape[1]
        columns[name] = means_of_instants(whole.columns[name], first_h - state_h, parts)
    return replace(whole, columns=columns)


def read_pvgis_tmy(path: Path, utc_offset_h: float | None = None) -> WeatherTable:
    """Read a PVGIS typical year, JSON or CSV.

    Parameters
    ----------
    path : pathlib.Path
        The file; gzip accepted.
    utc_offset_h : float, optional
        Clock of the table; by default the whole hours nearest to the sun's,
        ``round(longitude / 15)``, which a note states. [h]

    Returns
    -------
    WeatherTable
        8760 hours from 1 January of the site's clock.

    Raises
    ------
    WeatherFormatError
        Where the file is not what it should be; see `finish` for what its values must keep.
    WeatherGapError
        Where a needed column is missing for more than three hours on end.

    Notes
    -----
    What the format's labels mean [1]_: every value is an instant, in UTC. The state of the air
    stands at the time stamp; the radiation stands there too, or later by the ``irradiance time
    offset`` where the file states one (the satellite's scan of that place).

    What becomes of them here: the year is rolled so that it begins at the site's midnight (its
    last hours in UTC come first, or its first hours last). The air's state is interpolated to
    the ends of the intervals. For radiation the clearness of beam and diffuse is interpolated
    between the instants, multiplied with the sun of every twelfth of an interval, and averaged;
    global is the sum (see `radiation_of_instants`). So sunrise falls where it belongs, and
    ``ghi = dni cos z + dhi`` holds as well as in the source. Sky infrared is interpolated and
    averaged.

    References
    ----------
    .. [1] European Commission, Joint Research Centre, PVGIS user manual, typical
       meteorological year.
    """
    content = read_bytes(path)
    site = pvgis_site(path, decoded(content[:4096]), utc_offset_h)
    data, meta = _parse(path, content)
    stamps = pd.DatetimeIndex(data.index)
    minutes = np.asarray(stamps.minute)
    if (minutes != minutes[0]).any():
        raise format_error(path, "the time stamps' minute changes within the file")
    rows = np.arange(1, len(data) + 1)
    month, day, hour = (
        np.asarray(part, dtype=np.int64) for part in (stamps.month, stamps.day, stamps.hour)
    )
    order, notes = arrange_year(path, month, day, hour, rows)
    state_h = float(minutes[0]) / 60.0
    sunny_h = state_h + _irradiance_offset(path, meta)
    start = np.datetime64(f"{TYPICAL_YEAR}-01-01T00:00:00", "s")
    columns = {
        ours: data[theirs].to_numpy(dtype=np.float64)[order]
        for theirs, ours in _COLUMNS.items()
        if theirs in data
    }
    raw = RawTable(
        prefix=f"{path.name}: ",
        site=site,
        start=start,
        interval_s=3600,
        columns=columns,
        lines=rows[order],
        full_year=True,
        notes=notes,
        row_word="row",
    )
    added = [
        "instants in UTC turned into interval means and ends of intervals at"
        f" UTC{site.utc_offset_h:+g} h; radiation at minute {60.0 * sunny_h:.1f} of the hour"
    ]
    if utc_offset_h is None:
        added.append(f"utc_offset_h: {site.utc_offset_h:+g} h taken from the longitude")
    converted = to_intervals(raw, state_h, sunny_h)
    return finish(replace(converted, notes=converted.notes + tuple(added)))
