"""NSRDB, the satellite years of NREL as its viewer and API give them, to the weather table."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib

from noonhold.weather.calendar import TYPICAL_YEAR, arrange_year
from noonhold.weather.file_source import (
    decoded,
    field_counts,
    format_error,
    mixed_columns_quiet,
    read_bytes,
)
from noonhold.weather.pvgis import to_intervals
from noonhold.weather.rules import DEW_COLUMN, RawTable, finish
from noonhold.weather.site_header import make_site
from noonhold.weather.weather_table import Site, WeatherTable

HEADER_LINES = 3
# pvlib's column, the table's, and the factor to its unit (pressure is in mbar).
_COLUMNS = (
    ("ghi", "ghi", 1.0),
    ("dni", "dni", 1.0),
    ("dhi", "dhi", 1.0),
    ("temp_air", "temp_air", 1.0),
    ("temp_dew", DEW_COLUMN, 1.0),
    ("relative_humidity", "relative_humidity", 1.0),
    ("pressure", "pressure", 100.0),
    ("wind_speed", "wind_speed", 1.0),
)
_HUMIDITY = {"temp_dew", "relative_humidity"}  # one is enough


def _header(path: Path, head: str) -> dict[str, str]:
    """Return the keys of line 1 with the values of line 2."""
    lines = list(csv.reader(io.StringIO("\n".join(head.splitlines()[:2]))))
    if len(lines) != 2:
        raise format_error(path, "lines 1 and 2 are no NSRDB header of names and values")
    return dict(zip((name.strip() for name in lines[0]), lines[1], strict=False))


def nsrdb_site(path: Path, head: str) -> Site:
    """Return the site of an NSRDB file's first two lines.

    Parameters
    ----------
    path : pathlib.Path
        Named in the errors.
    head : str
        Beginning of the file.

    Returns
    -------
    Site
        On the place's standard time (``Local Time Zone``), whatever clock the rows have.

    Raises
    ------
    WeatherFormatError
        Where the lines do not have these keys, or their figures are none.
    """
    keys = _header(path, head)
    names = {
        "latitude": "Latitude",
        "longitude": "Longitude",
        "elevation_m": "Elevation",
        "utc_offset_h": "Local Time Zone",
    }
    if absent := [name for name in (*names.values(), "Time Zone") if name not in keys]:
        raise format_error(path, f"the header does not state {', '.join(absent)}")
    figures: dict[str, object] = {ours: keys[theirs].strip() for ours, theirs in names.items()}
    place = [keys.get(key, "-").strip() for key in ("City", "State")]
    named = ", ".join(part for part in place if part not in ("", "-", "None"))
    name = named or f"{keys['Latitude']}, {keys['Longitude']}"
    station = keys.get("Location ID", "").strip()
    return make_site(f"{path.name}: ", figures, name, station, source="NSRDB (CSV)")


def _parse(path: Path, content: bytes) -> pd.DataFrame:
    """Return pvlib's reading of the rows, or the reason why there is none."""
    counts = field_counts(content)
    if len(counts) <= HEADER_LINES:
        raise format_error(path, f"the file ends in its header, after {len(counts)} lines")
    try:
        with mixed_columns_quiet():
            data, _ = pvlib.iotools.read_nsrdb_psm4(
                io.StringIO(decoded(content)), map_variables=True
            )
    except (ValueError, TypeError, KeyError, IndexError, AttributeError) as exc:
        raise format_error(path, f"the rows cannot be read as an NSRDB file's: {exc}") from exc
    absent = {name for name, _, _ in _COLUMNS} - set(data.columns)
    if absent - _HUMIDITY or absent >= _HUMIDITY:
        raise format_error(path, f"line 3 names no column for {', '.join(sorted(absent))}")
    for name in set(data.columns) & {name for name, _, _ in _COLUMNS}:
        if data[name].dtype.kind not in "if" or data[name].isna().any():
            raise format_error(path, f"column {name} holds something that is no number")
    rows: pd.DataFrame = data  # pvlib has no annotations
    return rows


def read_nsrdb(path: Path) -> WeatherTable:
    """Read an hourly NSRDB year, actual or typical.

    Parameters
    ----------
    path : pathlib.Path
        The file; gzip and zip accepted.

    Returns
    -------
    WeatherTable
        8760 hours from 1 January on the place's standard time.

    Raises
    ------
    WeatherFormatError
        Where the file is not what it should be, or not hourly; see `finish` for its values.
    WeatherGapError
        Where a needed column is missing for more than three hours on end.

    Notes
    -----
    What the format's labels mean [1]_: every value is an instant, at the minute of its row (0 or
    30 in hourly files), on the clock ``Time Zone`` of the header: the place's standard time or
    UTC. The instants are turned into interval means and ends of intervals as those of PVGIS, see
    `noonhold.weather.pvgis.read_pvgis_tmy`. There is no sky infrared; it is computed.

    References
    ----------
    .. [1] M. Sengupta et al., "The National Solar Radiation Data Base (NSRDB)", Renewable and
       Sustainable Energy Reviews 89 (2018) 51, DOI 10.1016/j.rser.2018.03.003.
    """
    content = read_bytes(path)
    head = decoded(content[:4096])
    site = nsrdb_site(path, head)
    try:
        rows_clock_h = float(_header(path, head)["Time Zone"])
    except ValueError as exc:
        raise format_error(path, "the header's Time Zone is no number") from exc
    data = _parse(path, content)
    stamps = pd.DatetimeIndex(data.index)
    minutes = np.asarray(stamps.minute)
    if (minutes != minutes[0]).any():
        reason = "the rows are not hourly; download the year with an interval of 60 minutes"
        raise format_error(path, reason)
    lines = np.arange(HEADER_LINES + 1, HEADER_LINES + 1 + len(data))
    month, day, hour = (
        np.asarray(part, dtype=np.int64) for part in (stamps.month, stamps.day, stamps.hour)
    )
    order, notes = arrange_year(path, month, day, hour, lines)
    columns = {
        ours: factor * data[theirs].to_numpy(dtype=np.float64)[order]
        for theirs, ours, factor in _COLUMNS
        if theirs in data
    }
    if "relative_humidity" in columns:
        columns.pop(DEW_COLUMN, None)
    raw = RawTable(
        prefix=f"{path.name}: ",
        site=site,
        start=np.datetime64(f"{TYPICAL_YEAR}-01-01T00:00:00", "s"),
        interval_s=3600,
        columns=columns,
        lines=lines[order],
        full_year=True,
        notes=notes,
    )
    at_h = float(minutes[0]) / 60.0 - rows_clock_h
    note = (
        f"NSRDB: instants at minute {minutes[0]} of the hour, UTC{rows_clock_h:+g} h, turned into"
        f" interval means and ends of intervals at UTC{site.utc_offset_h:+g} h"
    )
    converted = to_intervals(raw, at_h, at_h)
    return finish(replace(converted, notes=(*converted.notes, note)))
