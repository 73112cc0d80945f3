"""The plain CSV: a few ``# key: value`` lines, one line of column names, rows of figures."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from noonhold.errors import Fault, WeatherFormatError
from noonhold.weather.file_source import decoded, format_error, read_bytes
from noonhold.weather.rules import CLOUD_COLUMN, DEW_COLUMN, RawTable, finish
from noonhold.weather.site_header import SITE_BOUNDS, make_site, site_faults
from noonhold.weather.timeline import interval_faults, parse_time, whole_year
from noonhold.weather.weather_table import (
    INSTANT_COLUMNS,
    RADIATION_COLUMNS,
    FloatArray,
    Site,
    WeatherTable,
)

NEEDED_KEYS = (*SITE_BOUNDS, "interval_s", "name")
KNOWN_KEYS = (*NEEDED_KEYS, "start", "station", "region", "source", "opening")
KNOWN_COLUMNS = (*RADIATION_COLUMNS, *INSTANT_COLUMNS, DEW_COLUMN, CLOUD_COLUMN)
START_COLUMN = "start"


def parse_header(path: Path, lines: list[str]) -> dict[str, str]:
    """Return the keys and values of the lines that begin with ``#``.

    Parameters
    ----------
    path : pathlib.Path
        Named in the errors.
    lines : list of str
        The file's lines; reading stops at the first that does not begin with ``#``.

    Returns
    -------
    dict of str to str
        At least ``NEEDED_KEYS``.

    Raises
    ------
    WeatherFormatError
        Naming every unknown, doubled, missing or unreadable key at once.
    """
    prefix = f"{path.name}: "
    found: dict[str, str] = {}
    faults = []
    for number, line in enumerate(lines, 1):
        if not line.startswith("#"):
            break
        key, colon, value = line[1:].partition(":")
        key = key.strip()
        if not colon or key not in KNOWN_KEYS:
            bound = ", ".join(KNOWN_KEYS)
            faults.append(Fault(prefix + key, f"line {number} is no known key", line, bound))
        elif key in found:
            faults.append(Fault(prefix + key, f"line {number} states {key} again", line))
        else:
            found[key] = value.strip()
    faults += [
        Fault(prefix + key, f"the header does not state {key}")
        for key in NEEDED_KEYS
        if key not in found
    ]
    faults += site_faults(prefix, {key: found[key] for key in SITE_BOUNDS if key in found})
    if "interval_s" in found:
        faults += interval_faults(prefix + "interval_s", found["interval_s"])
    if faults:
        raise WeatherFormatError(faults)
    return found


def plain_site(path: Path, head: str) -> Site:
    """Return the site of a plain CSV's header.

    Parameters
    ----------
    path : pathlib.Path
        Named in the errors.
    head : str
        Beginning of the file, at least its header.

    Returns
    -------
    Site
        As stated.

    Raises
    ------
    WeatherFormatError
        See `parse_header`.
    """
    return _site(path, parse_header(path, head.splitlines()))


def _site(path: Path, keys: Mapping[str, str]) -> Site:
    """Return the site of a header that passed."""
    figures = {key: keys[key] for key in SITE_BOUNDS}
    texts = [keys.get(key, "") for key in ("name", "station", "region", "source")]
    return make_site(f"{path.name}: ", figures, *texts)


def _number(text: str) -> float:
    """Return a field's figure; an empty field or ``nan`` is missing, an infinity is refused."""
    value = float(text) if text.strip() else math.nan
    if math.isinf(value):
        raise ValueError(text)
    return value


def _figures(path: Path, names: list[str], rows: list[list[str]], first_line: int) -> FloatArray:
    """Return all figures, shape (columns, rows), or name the first that is none."""
    try:
        return np.array([[_number(text) for text in row] for row in rows]).T
    except ValueError as exc:
        for line, row in enumerate(rows, first_line):
            for name, text in zip(names, row, strict=True):
                try:
                    _number(text)
                except ValueError:
                    reason = f"line {line} has no number in column {name}: {text.strip()!r}"
                    raise format_error(path, reason, text) from exc
        raise


def _check_names(path: Path, names: list[str], line: int) -> None:
    """Refuse columns that are unknown or named twice."""
    unknown = [name for name in names if name not in (START_COLUMN, *KNOWN_COLUMNS)]
    doubled = sorted({name for name in names if names.count(name) > 1})
    bound = ", ".join((START_COLUMN, *KNOWN_COLUMNS))
    faults = [
        Fault(f"{path.name}: {name}", f"line {line} names an unknown column", name, bound)
        for name in unknown
    ]
    faults += [
        Fault(f"{path.name}: {name}", f"line {line} names the column twice", name)
        for name in doubled
    ]
    if faults:
        raise WeatherFormatError(faults)


def _check_widths(path: Path, names: list[str], rows: list[list[str]], first_line: int) -> None:
    """Refuse a row that is shorter or longer than the line of column names."""
    for line, row in enumerate(rows, first_line):
        if len(row) == len(names):
            continue
        reason = f"line {line} has {len(row)} fields, the column names are {len(names)}"
        if len(row) > len(names):
            reason += "; is the decimal mark a comma?"
        raise format_error(path, reason, len(row))


def _opening(path: Path, text: str) -> FloatArray:
    """Return the instants before the first row."""
    try:
        values = np.array([float(part) for part in text.split()])
    except ValueError:
        values = np.empty(0)
    if len(values) != len(INSTANT_COLUMNS) or not np.isfinite(values).all():
        wanted = ", ".join(INSTANT_COLUMNS)
        raise format_error(path, f"opening is no row of four figures: {wanted}", text)
    return values


def _start(
    path: Path, keys: Mapping[str, str], times: list[str] | None, interval_s: int, first_line: int
) -> np.datetime64:
    """Return the first interval's start; refuse times that do not follow each other."""
    prefix = f"{path.name}: {START_COLUMN}"
    if times is None:
        if "start" not in keys:
            raise format_error(path, "neither the header nor a column states the start")
        return parse_time(prefix, keys["start"])
    stamps = np.array([parse_time(prefix, text) for text in times], dtype="datetime64[s]")
    wrong = np.diff(stamps) != np.timedelta64(interval_s, "s")
    if wrong.any():
        row = int(np.argmax(wrong)) + 1
        raise format_error(
            path,
            f"line {row + first_line} is out of order: {times[row]} does not stand {interval_s} s"
            " after the row before it",
            times[row],
        )
    first: np.datetime64 = stamps[0]
    return first


def read_plain_csv(path: Path) -> WeatherTable:
    """Read a plain CSV with a header of our own.

    Parameters
    ----------
    path : pathlib.Path
        The file; gzip accepted.

    Returns
    -------
    WeatherTable
        A full year where the rows are 8760 hours, 29 February left out.

    Raises
    ------
    WeatherFormatError
        Where the file is not what it should be; see `finish` for what its values must keep.
    WeatherGapError
        Where a needed column is missing for more than three hours on end.

    Notes
    -----
    Lines ``# key: value`` state ``latitude``, ``longitude`` (degree), ``elevation_m``,
    ``utc_offset_h`` (the clock of the times), ``interval_s`` and ``name``; ``start`` where there
    is no column of that name; ``station``, ``region``, ``source`` if wanted; ``opening`` for the
    four instants (temperature, humidity, pressure, wind) before the first row. Then one line of
    column names: ``start`` (the interval's start, ISO 8601 without a zone), and any of ``ghi``,
    ``dni``, ``dhi``, ``horizontal_infrared`` (interval means, W/m2), ``temp_air`` and
    ``temp_dew`` (degC), ``relative_humidity`` (%), ``pressure`` (Pa), ``wind_speed`` (m/s) and
    ``opaque_sky_cover`` (tenths), instants at the interval's end. An empty field is missing.
    The labels are the weather table's own, so nothing is converted.
    """
    lines = decoded(read_bytes(path)).rstrip().splitlines()
    keys = parse_header(path, lines)
    interval_s = int(keys["interval_s"])
    head = next((k for k, line in enumerate(lines) if not line.startswith("#")), len(lines))
    rows = [line.split(",") for line in lines[head + 1 :]]
    if not rows:
        raise format_error(path, "the file has no rows under its header")
    names = [name.strip() for name in lines[head].split(",")]
    _check_names(path, names, head + 1)
    _check_widths(path, names, rows, head + 2)
    times = None
    if START_COLUMN in names:
        place = names.index(START_COLUMN)
        times = [row.pop(place) for row in rows]
        names.pop(place)
    figures = _figures(path, names, rows, head + 2)
    start = _start(path, keys, times, interval_s, head + 2)
    span = whole_year(start, interval_s, len(rows))
    columns = dict(zip(names, figures[:, span.rows], strict=True))
    return finish(
        RawTable(
            prefix=f"{path.name}: ",
            site=_site(path, keys),
            start=span.start,
            interval_s=interval_s,
            columns=columns,
            lines=span.rows + head + 2,
            full_year=span.full_year,
            notes=span.notes,
            opening=_opening(path, keys["opening"]) if "opening" in keys else None,
        )
    )


def to_plain_csv(table: WeatherTable) -> str:
    """Return a table as the text of a plain CSV that reads back the same.

    Parameters
    ----------
    table : WeatherTable
        Any table.

    Returns
    -------
    str
        Header, column names and rows; figures in full precision. The notes are not written.
    """
    site = table.site
    keys: dict[str, object] = {key: repr(float(getattr(site, key))) for key in SITE_BOUNDS}
    keys |= {"interval_s": table.interval_s, "name": site.name}
    keys |= {key: getattr(site, key) for key in ("station", "region", "source")}
    if table.opening is not None:
        keys["opening"] = " ".join(repr(float(value)) for value in table.opening)
    names = RADIATION_COLUMNS + INSTANT_COLUMNS
    figures = [[repr(value) for value in getattr(table, name).tolist()] for name in names]
    times = np.datetime_as_string(table.starts(), unit="s").tolist()
    lines = [f"# {key}: {value}" for key, value in keys.items()]
    lines.append(",".join((START_COLUMN, *names)))
    lines.extend(",".join(row) for row in zip(times, *figures, strict=True))
    return "\n".join(lines) + "\n"
