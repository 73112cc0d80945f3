"""TMY3, the typical-year CSV of NREL, to the weather table."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib

from noonhold.weather.calendar import arrange_year, year_start
from noonhold.weather.file_source import (
    decoded,
    field_counts,
    format_error,
    mixed_columns_quiet,
    read_bytes,
)
from noonhold.weather.rules import CLOUD_COLUMN, RawTable, finish
from noonhold.weather.site_header import make_site
from noonhold.weather.weather_table import Site, WeatherTable

HEADER_LINES = 2
MISSING = -9900.0  # and below: NREL/TP-581-43156 (2008), -9900 in every column
DATE, TIME = "Date (MM/DD/YYYY)", "Time (HH:MM)"

# pvlib's column, the table's, and the factor to its unit.
_COLUMNS = (
    ("ghi", "ghi", 1.0),
    ("dni", "dni", 1.0),
    ("dhi", "dhi", 1.0),
    ("temp_air", "temp_air", 1.0),
    ("temp_dew", "temp_dew", 1.0),
    ("relative_humidity", "relative_humidity", 1.0),
    ("pressure", "pressure", 100.0),
    ("wind_speed", "wind_speed", 1.0),
    ("OpqCld (tenths)", CLOUD_COLUMN, 1.0),
)


def tmy3_site(path: Path, head: str) -> Site:
    """Return the site of a TMY3 file's first line.

    Parameters
    ----------
    path : pathlib.Path
        Named in the errors.
    head : str
        Beginning of the file; its first line is
        ``USAF number,"name",state,offset,latitude,longitude,elevation``.

    Returns
    -------
    Site
        With the USAF number as its station.

    Raises
    ------
    WeatherFormatError
        Where the line does not have these fields, or its figures are none.
    """
    first_line = head.split("\n", 1)[0].strip()
    fields = [field.strip() for field in next(csv.reader([first_line]), [])]
    names = ("utc_offset_h", "latitude", "longitude", "elevation_m")
    if len(fields) != 3 + len(names):
        raise format_error(path, "line 1 is no TMY3 header of 7 fields", first_line)
    figures = dict(zip(names, fields[3:], strict=True))
    return make_site(f"{path.name}: ", figures, fields[1], fields[0], fields[2], "TMY3 (CSV)")


def _parse(path: Path, content: bytes) -> pd.DataFrame:
    """Return pvlib's reading of the rows, or the reason why there is none."""
    counts = field_counts(content)
    if len(counts) <= HEADER_LINES:
        raise format_error(path, f"the file ends in its header, after {len(counts)} lines")
    wrong = counts[HEADER_LINES:] != counts[1]
    if wrong.any():
        line = HEADER_LINES + int(np.argmax(wrong))
        reason = f"line {line + 1} has {counts[line]} fields, the header {counts[1]}"
        raise format_error(path, reason, int(counts[line]))
    try:
        with mixed_columns_quiet():
            data, _ = pvlib.iotools.read_tmy3(io.StringIO(decoded(content)), map_variables=True)
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, OverflowError) as exc:
        reason = f"the rows cannot be read as a TMY3 file's: {exc}"
        raise format_error(path, reason) from exc
    absent = [name for name, _, _ in _COLUMNS if name not in data]
    if absent:
        raise format_error(path, f"line 2 names no column for {', '.join(absent)}")
    for name, _, _ in _COLUMNS:
        if data[name].dtype.kind not in "if":
            row = int(np.argmax(pd.to_numeric(data[name], errors="coerce").isna()))
            text = data[name].iloc[row]
            raise format_error(path, f"line {row + HEADER_LINES + 1} has no number in {name}", text)
    rows: pd.DataFrame = data  # pvlib has no annotations
    return rows


def read_tmy3(path: Path) -> WeatherTable:
    """Read a TMY3 CSV file.

    Parameters
    ----------
    path : pathlib.Path
        The file; gzip accepted.

    Returns
    -------
    WeatherTable
        8760 hours from 1 January.

    Raises
    ------
    WeatherFormatError
        Where the file is not what it should be; see `finish` for what its values must keep.
    WeatherGapError
        Where a needed column is missing for more than three hours on end.

    Notes
    -----
    What the format's labels mean [1]_, and what becomes of them here: the time, 01:00 to 24:00,
    is the end of the row's hour (a later writer of the format has 00:00 of the next day for
    24:00; both are read). Radiation is what was received in the 60 minutes before it: here
    labelled at their start. Temperature, humidity, pressure (mbar there) and wind are observed
    at the time: here too they stand at the interval's end. The format has no sky infrared; it is
    computed with the opaque sky cover. pvlib's reader moves 29 February to 1 March; the dates
    are read again here, and 29 February is dropped.

    References
    ----------
    .. [1] S. Wilcox, W. Marion, "Users Manual for TMY3 Data Sets", NREL/TP-581-43156, 2008,
       DOI 10.2172/928611.
    """
    content = read_bytes(path)
    site = tmy3_site(path, decoded(content[:8192]))
    data = _parse(path, content)
    clock = data[TIME].str.split(":", n=1, expand=True).astype(int)
    lines = np.arange(HEADER_LINES + 1, HEADER_LINES + 1 + len(data))
    if (clock[1] != 0).any():
        row = int(np.argmax(clock[1] != 0))
        raise format_error(path, f"line {lines[row]} is not on the full hour: only hourly is read")
    ends = pd.to_datetime(data[DATE], format="%m/%d/%Y") + pd.to_timedelta(clock[0], unit="h")
    starts = pd.DatetimeIndex(ends) - pd.Timedelta(hours=1)
    year, month, day, hour = (
        np.asarray(part, dtype=np.int64)
        for part in (starts.year, starts.month, starts.day, starts.hour)
    )
    order, notes = arrange_year(path, month, day, hour, lines)
    columns = {}
    for theirs, ours, factor in _COLUMNS:
        values = data[theirs].to_numpy(dtype=np.float64)[order]
        columns[ours] = factor * np.where(values <= MISSING, np.nan, values)
    return finish(
        RawTable(
            prefix=f"{path.name}: ",
            site=site,
            start=year_start(year),
            interval_s=3600,
            columns=columns,
            lines=lines[order],
            full_year=True,
            notes=notes,
        )
    )
