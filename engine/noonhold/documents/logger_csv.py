"""A logger's CSV file as the document of a field log, without hand work."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final
from zoneinfo import ZoneInfo

from noonhold.errors import DocumentError, Fault
from noonhold.studies.calibration.field_log import LOG_COLUMNS

CELSIUS: Final = "degC"
FAHRENHEIT: Final = "degF"
# As documents call them: the unit of the temperatures stands apart.
NAMES: Final = tuple(name.removesuffix("_c") for name in LOG_COLUMNS)
_TEMPERATURES: Final = NAMES[:2]
_CHARGE: Final = "state_of_charge"
# What loggers and people call a column, without case, unit and punctuation.
_CALLED: Final = {
    "outdoor_temperature": (
        "outdoor",
        "outside",
        "ambient",
        "outdoor temp",
        "outside temp",
        "t out",
    ),
    "cabin_temperature": ("cabin", "inside", "indoor", "inside temp", "cabin temp", "t in"),
    "state_of_charge": ("soc", "charge", "battery soc", "battery"),
    "array_power_w": ("array power", "pv power", "solar power", "pv", "solar"),
    "load_power_w": ("load power", "load", "loads", "consumption"),
    "cooler_power_w": ("cooler power", "cooler", "ac power", "air conditioner"),
    "heater_power_w": ("heater power", "heater"),
    "relative_humidity": ("humidity", "rh"),
    "wind_speed": ("wind",),
    "ghi": ("irradiance", "global irradiance"),
}
_TIMES: Final = ("time", "timestamp", "datetime", "date time", "date and time", "moment")
_NOTHING: Final = frozenset({"", "-", "--", "---", "nan", "null", "none", "n/a", "na", "#n/a"})
_UNIT: Final = re.compile(r"[\[(]([^\])]*)[\])]")
_NOT_WORD: Final = re.compile(r"[^a-z0-9]+")
_DECIMAL_COMMA: Final = re.compile(r"[-+]?\d+,\d+")
_NUMBERED: Final = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})(?:[ T]+(.+))?")
_MOST_FAULTS: Final = 50
_MOST_BYTES: Final = 64_000_000
_MOST_PREAMBLE: Final = 40  # lines before the header
_MOST_SHARE: Final = 1.5  # a charge above this is in percent


@dataclass(frozen=True)
class LoggerCsv:
    """What a logger's file says.

    Parameters
    ----------
    document : dict
        The ``log`` of a calibration's request: ``temperature_unit``, ``times`` with their offsets,
        ``columns``.
    notes : tuple of str
        How the file was taken: separators, units, columns that were left out.
    """

    document: dict[str, Any]
    notes: tuple[str, ...]


def read_logger_csv(
    text: str,
    *,
    timezone: str | None = None,
    columns: Mapping[str, str] | None = None,
    temperature_unit: str | None = None,
    time_format: str | None = None,
    pointer: str = "/log/csv",
) -> LoggerCsv:
    r"""Read the text of a logger's CSV file.

    Parameters
    ----------
    text : str
        Separated by comma, semicolon or tab; lines before the header are skipped. Numbers may have
        a decimal comma where the separator is none. Rows are any time from a minute to an hour
        apart.
    timezone : str, optional
        IANA zone of the logger's clock; needed where its times have no offset.
    columns : mapping of str to str, optional
        Headers of the file and what they are, of :data:`NAMES`; others are known by their usual
        names (``cabin``, ``outside``, ``SOC``, ...). A column with ``time`` as its meaning holds
        the moments.
    temperature_unit : str, optional
        ``degC`` or ``degF``; needed where the headers do not say it.
    time_format : str, optional
        For :meth:`datetime.datetime.strptime`; needed where days and months are ambiguous.
    pointer : str, optional
        Where the text stands in a larger document, or the name of the file, for the faults.

    Returns
    -------
    LoggerCsv
        Charge in percent as a share, kilowatts as watts.

    Raises
    ------
    DocumentError
        With every fault, each by line and column; a wrong zone, an unknown name.

    Notes
    -----
    An hour that the clock reads twice in autumn is taken in the order of the rows; an hour that it
    leaves out in spring is a fault.

    Examples
    --------
    >>> log = read_logger_csv(
    ...     "Date;Time;Cabin [°C];Outside [°C];SOC [%]\n"
    ...     "21.01.2026;09:00;24,5;31,0;80\n"
    ...     "21.01.2026;09:05;24,7;31,2;81\n",
    ...     timezone="America/Denver",
    ... )
    >>> log.document["times"][0], log.document["columns"]["state_of_charge"]
    ('2026-01-21T09:00:00-07:00', [0.8, 0.81])
    """
    refuse = _Faults(pointer)
    zone = _zone(timezone, refuse)
    given = {_plain(header): name for header, name in (columns or {}).items()}
    for header, name in (columns or {}).items():
        if name not in (*NAMES, "time"):
            refuse.add(f"{header!r} is mapped to {name!r}", f"any of time, {', '.join(NAMES)}")
    if temperature_unit not in (None, CELSIUS, FAHRENHEIT):
        refuse.add(f"temperature_unit {temperature_unit!r}", f"{CELSIUS} or {FAHRENHEIT}")
    refuse.end()
    table = _Table.of(text, given, refuse)
    refuse.end()
    moments = _moments(table, zone, time_format, refuse)
    comma = table.separator != "," and any(
        _DECIMAL_COMMA.fullmatch(row[at].strip())
        for row in table.rows[:200]
        for at in table.places.values()
        if at < len(row)
    )
    found = {name: _numbers(table, name, comma, refuse) for name in table.places}
    refuse.end()
    notes = [f"read with {_SEPARATORS[table.separator]}{' and decimal commas' if comma else ''}"]
    unit = _to_units(table, found, temperature_unit, notes, refuse)
    refuse.end()
    if table.left_out:
        notes.append(f"columns left out: {', '.join(table.left_out)}")
    times = [moment.isoformat() for moment in moments]
    return LoggerCsv({"temperature_unit": unit, "times": times, "columns": found}, tuple(notes))


def csv_text(path: Path) -> str:
    """Return the text of a logger's file: UTF-8, or Latin-1 where it is not that.

    Raises
    ------
    DocumentError
        Where there is no such file, or it is too large to be a log.
    """
    try:
        size = path.stat().st_size
        if size > _MOST_BYTES:
            raise DocumentError.single(str(path), f"{size} bytes; a log has {_MOST_BYTES} at most")
        content = path.read_bytes()
    except OSError as error:
        raise DocumentError.single(str(path), error.strerror or "cannot be read") from None
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")


_SEPARATORS: Final = {",": "commas", ";": "semicolons", "\t": "tabs"}


class _Faults:
    """Faults as they are found, raised together."""

    def __init__(self, pointer: str) -> None:
        self.pointer = pointer
        self.found: list[Fault] = []

    def add(self, message: str, bound: str | None = None, hint: str | None = None) -> None:
        self.found.append(Fault(self.pointer, message, None, bound, hint))
        if len(self.found) >= _MOST_FAULTS:
            self.found.append(Fault(self.pointer, "and perhaps more lines that cannot be read"))
            self.end()

    def end(self) -> None:
        if self.found:
            raise DocumentError(self.found)


@dataclass(frozen=True)
class _Table:
    """The rows of a file beneath its header."""

    separator: str
    header: list[str]
    rows: list[list[str]]
    lines: list[int]  # of the file, from 1
    time_at: tuple[int, ...]  # one column, or date and time
    places: dict[str, int]
    left_out: list[str]

    @staticmethod
    def of(text: str, given: Mapping[str, str], refuse: _Faults) -> _Table:
        """Find separator and header, and cut the rest into cells."""
        lines = text.lstrip("\ufeff").splitlines()
        best: tuple[int, int, str] | None = None
        for separator in _SEPARATORS:
            for number, cells in enumerate(csv.reader(lines[:_MOST_PREAMBLE], delimiter=separator)):
                known = [_meaning(cell, given) for cell in cells]
                score = sum(each is not None for each in known)
                if _time_columns(cells, given) and (best is None or score > best[0]):
                    best = score, number, separator
        if best is None or best[0] < 2:
            refuse.add(
                "no header line with a time and the columns of a log",
                f"a column {_TIMES[0]}, and {', '.join(_TEMPERATURES)}",
                "map the file's own headers to them",
            )
            refuse.end()
            raise AssertionError
        _, start, separator = best
        whole = list(csv.reader(lines[start:], delimiter=separator))
        header = [cell.strip() for cell in whole[0]]
        time_at = _time_columns(header, given)
        places: dict[str, int] = {}
        left_out = []
        for at, cell in enumerate(header):
            name = _meaning(cell, given)
            if at in time_at or not cell:
                continue
            if name is None or name == "time":
                left_out.append(cell)
            elif name in places:
                refuse.add(f"{header[places[name]]!r} and {cell!r} are both {name}", "one of them")
            else:
                places[name] = at
        missing = [name for name in _TEMPERATURES if name not in places]
        if missing:
            listed = ", ".join(header)
            refuse.add(
                f"no column is {' or '.join(missing)}; the file has {listed}", None,
                "map a header to it",
            )  # fmt: skip
        for header_given in given:
            if header_given not in {_plain(cell) for cell in header}:
                refuse.add(f"there is no column {header_given!r}; the file has {', '.join(header)}")
        kept = [
            (number, row)
            for number, row in enumerate(whole[1:], start + 2)
            if any(cell.strip() for cell in row)
        ]
        numbers, rows = [number for number, _ in kept], [row for _, row in kept]
        return _Table(separator, header, rows, numbers, time_at, places, left_out)


def _plain(header: str) -> str:
    """Return a header without case, unit and punctuation."""
    return _NOT_WORD.sub(" ", _UNIT.sub(" ", header).lower()).strip()


def _meaning(header: str, given: Mapping[str, str]) -> str | None:
    """Return what a column is, if that is known."""
    name = _plain(header)
    if name in given:
        return given[name]
    for ours in NAMES:
        if name in (_plain(ours), _plain(ours.removesuffix("_w"))) or name in _CALLED.get(ours, ()):
            return ours
    return None


def _time_columns(cells: Sequence[str], given: Mapping[str, str]) -> tuple[int, ...]:
    """Return the columns that hold the moment: one, or date and time apart."""
    names = [_plain(cell) for cell in cells]
    mapped = tuple(at for at, name in enumerate(names) if given.get(name) == "time")
    if mapped:
        return mapped
    if "date" in names and "time" in names:
        return names.index("date"), names.index("time")
    found = [at for at, name in enumerate(names) if name in (*_TIMES, "date")]
    return tuple(found[:1])


def _zone(timezone: str | None, refuse: _Faults) -> ZoneInfo | None:
    if timezone is None:
        return None
    try:
        return ZoneInfo(timezone)
    except (KeyError, ValueError, OSError):
        refuse.add(f"there is no time zone {timezone!r}", "an IANA name such as America/Denver")
        return None


def _moments(
    table: _Table, zone: ZoneInfo | None, time_format: str | None, refuse: _Faults
) -> list[datetime]:
    """Return the moment of every row with its offset."""
    texts = [
        " ".join(row[at].strip() for at in table.time_at if at < len(row)) for row in table.rows
    ]
    read = _moment_reader(texts, time_format, refuse)
    found: list[datetime] = []
    before: datetime | None = None
    for line, text in zip(table.lines, texts, strict=True):
        try:
            moment = read(text)
        except ValueError:
            refuse.add(f"line {line}: {text!r} is no moment", "2026-01-21 09:05, or time_format")
            continue
        if moment.tzinfo is None:
            if zone is None:
                refuse.add(
                    f"line {line}: {text!r} has no offset from UTC",
                    "timezone: the zone of the logger's clock",
                )
                refuse.end()
            moment = moment.replace(tzinfo=zone)
            there = moment.astimezone(UTC)
            if there.astimezone(zone).replace(tzinfo=None) != moment.replace(tzinfo=None):
                refuse.add(f"line {line}: {text!r} is left out by the clock of {zone} in spring")
                continue
            later = moment.replace(fold=1)
            if before is not None and there <= before < later.astimezone(UTC):
                moment = later
            moment = moment.astimezone(UTC).astimezone(zone)
        before = moment.astimezone(UTC)
        found.append(moment)
    return found


def _moment_reader(
    texts: Sequence[str], time_format: str | None, refuse: _Faults
) -> Callable[[str], datetime]:
    """Return what reads the moments of a file: by the format given, ISO 8601, or numbers."""
    if time_format is not None:
        return lambda text: datetime.strptime(text, time_format)
    parts = [match for text in texts if (match := _NUMBERED.fullmatch(text))]
    if not parts:
        return lambda text: datetime.fromisoformat(text.replace("/", "-"))
    first, second = ({int(match[at]) for match in parts} for at in (1, 3))
    by_dots = any(match[2] == "." for match in parts)
    day_first = by_dots or max(first) > 12
    if not day_first and max(second) <= 12:
        refuse.add(
            f"{parts[0][0]!r} may be day and month or month and day",
            "time_format, such as %d/%m/%Y %H:%M or %m/%d/%Y %H:%M",
        )
        refuse.end()

    def read(text: str) -> datetime:
        match = _NUMBERED.fullmatch(text)
        if match is None:
            raise ValueError(text)
        day, month = (match[1], match[3]) if day_first else (match[3], match[1])
        clock = (match[5] or "00:00").strip()
        for form in ("%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M:%S %p"):
            try:
                return datetime.strptime(f"{match[4]}-{month}-{day} {clock}", f"%Y-%m-%d {form}")
            except ValueError:
                continue
        raise ValueError(text)

    return read


def _numbers(table: _Table, name: str, comma: bool, refuse: _Faults) -> list[float | None]:
    """Return a column's numbers, ``None`` where a cell is empty."""
    at = table.places[name]
    found: list[float | None] = []
    for line, row in zip(table.lines, table.rows, strict=True):
        text = row[at].strip() if at < len(row) else ""
        if text.lower() in _NOTHING:
            found.append(None)
            continue
        try:
            value = float((text.replace(",", ".") if comma else text).removesuffix("%").strip())
            if not math.isfinite(value):
                raise ValueError(text)
        except ValueError:
            refuse.add(f"line {line}, column {table.header[at]!r}: {text!r} is not a number")
            continue
        found.append(value)
    return found


def _to_units(
    table: _Table,
    found: dict[str, list[float | None]],
    temperature_unit: str | None,
    notes: list[str],
    refuse: _Faults,
) -> str:
    """Bring the columns to the units of a log, in place; return that of the temperatures."""
    units = {}
    for name, at in table.places.items():
        match = _UNIT.search(table.header[at])
        units[name] = match[1].strip().lower() if match else ""
    for name in found:
        unit = units[name]
        if name.endswith("_w") and unit == "kw":
            found[name] = _times(found[name], 1000.0)
            notes.append(f"{table.header[table.places[name]]}: kilowatts")
        if name == _CHARGE and ("%" in unit or "percent" in unit or _in_percent(found[name])):
            found[name] = _times(found[name], 0.01)
            notes.append(f"{table.header[table.places[name]]}: percent")
    stated = {
        FAHRENHEIT if units[name].endswith("f") else CELSIUS
        for name in _TEMPERATURES
        if units[name] and units[name][-1] in "cf"
    }
    if len(stated) == 2 or (temperature_unit and stated and stated != {temperature_unit}):
        refuse.add("the headers state other units of temperature", "one unit for both", None)
        return CELSIUS
    if not stated and temperature_unit is None:
        refuse.add("the headers do not say the unit of temperature", "temperature_unit")
    return next(iter(stated), temperature_unit or CELSIUS)


def _in_percent(values: Sequence[float | None]) -> bool:
    return any(value is not None and value > _MOST_SHARE for value in values)


def _times(values: Sequence[float | None], factor: float) -> list[float | None]:
    return [None if value is None else round(value * factor, 9) for value in values]
