"""EPW, the weather file of the building-energy trade, to the weather table."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd

from noonhold.weather.calendar import MONTH_DAYS, arrange_year, year_start
from noonhold.weather.epw_rows import regular_rows
from noonhold.weather.file_source import (
    decoded,
    field_counts,
    first_lines,
    format_error,
    mixed_columns_quiet,
    read_bytes,
)
from noonhold.weather.rules import CLOUD_COLUMN, RawTable, finish
from noonhold.weather.site_header import make_site
from noonhold.weather.weather_table import FloatArray, Site, WeatherTable

HEADER_LINES = 8
FIELDS = 35
# Writers leave off columns from the right; what is read here ends with the 24th.
LEAST_FIELDS = 28
_LOCATION_FIELDS = 10
# pvlib's name of a column, the table's, and the code at and above which the value is missing: the
# data dictionary of the format (EnergyPlus, Auxiliary Programs, "EPW data dictionary").
_COLUMNS = (
    ("temp_air", "temp_air", 99.9),
    ("temp_dew", "temp_dew", 99.9),
    ("relative_humidity", "relative_humidity", 999.0),
    ("atmospheric_pressure", "pressure", 999999.0),
    ("ghi_infrared", "horizontal_infrared", 9999.0),
    ("ghi", "ghi", 9999.0),
    ("dni", "dni", 9999.0),
    ("dhi", "dhi", 9999.0),
    ("wind_speed", "wind_speed", 999.0),
    ("opaque_sky_cover", CLOUD_COLUMN, 99.0),
)
_CLOCK = ("year", "month", "day", "hour")
_LEAP_DAYS = (31, 29, *MONTH_DAYS[2:])
# Place of the needed columns in a row, for the search after a bad value.
_PLACES = {
    **{name: k for k, name in enumerate(_CLOCK)},
    "temp_air": 6,
    "temp_dew": 7,
    "relative_humidity": 8,
    "atmospheric_pressure": 9,
    "ghi_infrared": 12,
    "ghi": 13,
    "dni": 14,
    "dhi": 15,
    "wind_speed": 21,
    "opaque_sky_cover": 23,
}


def epw_site(path: Path, head: str) -> Site:
    """Return the site of an EPW file's first line.

    Parameters
    ----------
    path : pathlib.Path
        Named in the errors.
    head : str
        Beginning of the file; its first line is
        ``LOCATION,city,state,country,source,WMO,latitude,longitude,offset,elevation``.

    Returns
    -------
    Site
        ``source`` is the header's own word for the data set, with ``(EPW)``.

    Raises
    ------
    WeatherFormatError
        Where the line is no location, or its figures are none.
    """
    first_line = head.split("\n", 1)[0].strip()
    fields = [field.strip() for field in first_line.split(",")]
    if fields[0].upper() != "LOCATION" or len(fields) != _LOCATION_FIELDS:
        raise format_error(
            path, f"line 1 is no LOCATION line of {_LOCATION_FIELDS} fields", first_line
        )
    figures = dict(
        zip(("latitude", "longitude", "utc_offset_h", "elevation_m"), fields[6:], strict=True)
    )
    region = ", ".join(part for part in fields[2:4] if part not in ("", "-"))
    return make_site(
        f"{path.name}: ", figures, fields[1], fields[5], region, f"{fields[4]} (EPW)".strip()
    )


def _check_header(path: Path, head: list[bytes]) -> None:
    """Refuse a header of another length."""
    if not head[-1].upper().startswith(b"DATA PERIODS"):
        raise format_error(path, f"line {HEADER_LINES} is not the DATA PERIODS line of the header")


def _check_fields(path: Path, content: bytes) -> None:
    """Refuse rows that do not all have the same number of fields, 28 to 35.

    The format's reader in pandas would fill short rows and take an extra field for an index.
    """
    counts = field_counts(content)
    if len(counts) <= HEADER_LINES:
        raise format_error(path, f"the file ends in its header, after {len(counts)} lines")
    _check_header(path, first_lines(content, HEADER_LINES))
    fields = _row_fields(content)
    wrong = counts[HEADER_LINES:] != fields
    if not wrong.any():
        return
    line = HEADER_LINES + int(np.argmax(wrong))
    found = int(counts[line])
    reason = f"line {line + 1} has {found} fields, a row has {fields}"
    if line == len(counts) - 1 and found < fields:
        reason += "; the file is cut short"
    elif b";" in content.split(b"\n")[line] or found > fields:
        reason += "; is the decimal mark a comma?"
    raise format_error(path, reason, found)


def _row_fields(content: bytes) -> int:
    """Return the number of fields of the first row where the format allows it, else 35."""
    lines = first_lines(content, HEADER_LINES + 1)
    fields = lines[HEADER_LINES].count(b",") + 1 if len(lines) > HEADER_LINES else FIELDS
    return fields if LEAST_FIELDS <= fields <= FIELDS else FIELDS


def _bad_field(fields: list[str]) -> str | None:
    """Return what is wrong with a row's date or figures, if anything is."""
    for name, place in _PLACES.items():
        text = fields[place].strip() if place < len(fields) else ""
        if name in _CLOCK and not (text.isascii() and text.isdigit()):
            return f"has no number in column {place + 1} ({name}): {text!r}"
        try:
            float(text or "nan")
        except ValueError:
            return f"has no number in column {place + 1} ({name}): {text!r}"
    month, day, hour = (int(fields[_PLACES[name]]) for name in _CLOCK[1:])
    if not 1 <= month <= 12 or not 1 <= day <= _LEAP_DAYS[month - 1] or not 1 <= hour <= 24:
        return f"is no hour of a year: month {month}, day {day}, hour {hour}"
    return None


def _bad_value(content: bytes) -> str:
    """Return a sentence that names the first row that cannot be read, and why."""
    for number, line in enumerate(decoded(content).splitlines()[HEADER_LINES:], HEADER_LINES + 1):
        reason = _bad_field(line.split(","))
        if reason is not None:
            return f"line {number} {reason}"
    return "the rows cannot be read as an EPW file's"


def _general_rows(path: Path, content: bytes, begin: int) -> pd.DataFrame:
    """Return the needed columns of rows of any form, or the reason why there are none.

    pvlib's reader is this call over all columns, followed by labels made through text; it takes
    four times as long, and its labels would not be used (a test holds the two together).
    """
    _check_fields(path, content)
    try:
        with mixed_columns_quiet():
            data = pd.read_csv(
                io.BytesIO(content[begin:]),
                header=None,
                names=list(_PLACES),
                usecols=list(_PLACES.values()),
                encoding="latin-1",
            )
    except (ValueError, TypeError, IndexError, OverflowError) as exc:
        raise format_error(path, _bad_value(content)) from exc
    whole = all(data[name].dtype.kind == "i" for name in _CLOCK)
    if not whole or any(data[name].dtype.kind not in "if" for name in _PLACES):
        raise format_error(path, _bad_value(content))
    return data


def _figures(path: Path, content: bytes) -> dict[str, FloatArray]:
    """Return the needed columns of the rows, or the reason why there are none."""
    head = first_lines(content, HEADER_LINES)
    begin = sum(len(line) + 1 for line in head)
    rows = regular_rows(content, begin, _row_fields(content), list(_PLACES.values()), len(_CLOCK))
    if rows is not None:
        _check_header(path, head)
        figures = dict(zip(_PLACES, rows, strict=True))
    else:
        data = _general_rows(path, content, begin)
        figures = {name: data[name].to_numpy(dtype=np.float64) for name in _PLACES}
    month, day, hour = (figures[name] for name in _CLOCK[1:])
    last = np.array(_LEAP_DAYS)[np.clip(month, 1, 12).astype(np.int64) - 1]
    of_a_year = (month >= 1) & (month <= 12) & (day >= 1) & (day <= last)
    if not (of_a_year & (hour >= 1) & (hour <= 24)).all():
        raise format_error(path, _bad_value(content))
    return figures


def _columns(
    figures: dict[str, FloatArray], order: npt.NDArray[np.int64]
) -> tuple[dict[str, FloatArray], tuple[str, ...]]:
    """Return the table's columns with NaN for the codes of missing values."""
    columns = {}
    for theirs, ours, code in _COLUMNS:
        values = figures[theirs][order]
        columns[ours] = np.where(values >= code, np.nan, values)
    infrared = columns["horizontal_infrared"]
    if not (infrared == 0.0).any() or (infrared > 0.0).any():
        return columns, ()
    # Some writers put 0 where they have nothing; no sky on Earth radiates nothing.
    columns["horizontal_infrared"] = np.full(len(infrared), np.nan)
    return columns, ("horizontal_infrared: zero throughout the file, taken as missing",)


def read_epw(path: Path) -> WeatherTable:
    """Read an EPW file of one typical or actual year.

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
    What the format's labels mean [1]_, and what becomes of them here: hour ``h`` (1 to 24) of a
    row is the end of its hour. Radiation is the energy received in the 60 minutes before it, in
    Wh/m2: the mean over ``h-1`` to ``h``, here labelled ``h-1``. Temperature, humidity, pressure
    and wind are observed at ``h``: here too they stand at the interval's end. Source years may
    differ from month to month and from row to row. The minute field is not read, as the trade
    does not.

    References
    ----------
    .. [1] EnergyPlus, "Auxiliary Programs", chapter "EnergyPlus Weather File (EPW) Data
       Dictionary".
    """
    return finish(raw_epw(path, read_bytes(path)))


def raw_epw(path: Path, content: bytes) -> RawTable:
    """Return the rows of an EPW file, sorted into a year, before anything is mended.

    Parameters
    ----------
    path : pathlib.Path
        Named in the errors.
    content : bytes
        Of the file.

    Returns
    -------
    RawTable
        8760 hours; the row of hour ``h`` stands at ``h - 1``.

    Raises
    ------
    WeatherFormatError
        Where the file is not what it should be.
    """
    site = epw_site(path, decoded(content[:8192]))
    figures = _figures(path, content)
    year, month, day, hour = (figures[name].astype(np.int64) for name in _CLOCK)
    lines = np.arange(HEADER_LINES + 1, HEADER_LINES + 1 + len(year))
    order, notes = arrange_year(path, month, day, hour - 1, lines)
    columns, more = _columns(figures, order)
    return RawTable(
        prefix=f"{path.name}: ",
        site=site,
        start=year_start(year),
        interval_s=3600,
        columns=columns,
        lines=lines[order],
        full_year=True,
        notes=notes + more,
    )
