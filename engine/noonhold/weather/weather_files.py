"""A weather file of any known format to the weather table; the content decides the format."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from noonhold.weather.epw import epw_site, read_epw
from noonhold.weather.file_source import decoded, format_error, read_bytes
from noonhold.weather.nsrdb import nsrdb_site, read_nsrdb
from noonhold.weather.plain_csv import plain_site, read_plain_csv
from noonhold.weather.pvgis import pvgis_site, read_pvgis_tmy
from noonhold.weather.pvgis_epw import MARK as PVGIS_EPW_MARK
from noonhold.weather.pvgis_epw import pvgis_epw_site, read_pvgis_epw
from noonhold.weather.tmy3 import DATE, read_tmy3, tmy3_site
from noonhold.weather.weather_table import Site, WeatherTable

HEAD_BYTES = 8192


@dataclass(frozen=True)
class Format:
    """One format of weather file.

    Parameters
    ----------
    name : str
        As errors and catalogues name it.
    read : callable
        File to table.
    site : callable
        File and the text of its beginning to site.
    """

    name: str
    read: Callable[[Path], WeatherTable]
    site: Callable[[Path, str], Site]


FORMATS: Mapping[str, Format] = {
    "epw": Format("EPW", read_epw, epw_site),
    "tmy3": Format("TMY3", read_tmy3, tmy3_site),
    "pvgis_epw": Format("PVGIS TMY (EPW)", read_pvgis_epw, pvgis_epw_site),
    "nsrdb": Format("NSRDB", read_nsrdb, nsrdb_site),
    "pvgis": Format("PVGIS TMY", read_pvgis_tmy, pvgis_site),
    "plain": Format("plain CSV", read_plain_csv, plain_site),
}
_MARKS = (
    ("pvgis_epw", re.compile(r"(?is)location\s*,(?=.*" + PVGIS_EPW_MARK + ")")),
    ("epw", re.compile(r"location\s*,", re.IGNORECASE)),
    ("nsrdb", re.compile(r"Source,Location ID,[^\n]*Time Zone")),
    ("pvgis", re.compile(r"\s*\{|Latitude \(decimal degrees\)")),
    ("plain", re.compile(r"#")),
    ("tmy3", re.compile(r"[^\n]*\n" + re.escape(DATE))),
)


def read_head(path: Path) -> str:
    """Return the text of a file's beginning.

    Parameters
    ----------
    path : pathlib.Path
        The file; gzip accepted.

    Returns
    -------
    str
        The first kilobytes, enough for every format's header of site.

    Raises
    ------
    WeatherFormatError
        Where it is no text.
    """
    return decoded(read_bytes(path, HEAD_BYTES))


def tell_format(path: Path, head: str) -> Format:
    """Return the format of a file by its beginning.

    Parameters
    ----------
    path : pathlib.Path
        Named in the error; its suffix is not looked at, as it is often ``.csv`` or ``.txt``.
    head : str
        From `read_head`.

    Raises
    ------
    WeatherFormatError
        Where it is none of them.
    """
    for key, mark in _MARKS:
        if mark.match(head):
            return FORMATS[key]
    known = ", ".join(item.name for item in FORMATS.values())
    first = head.split("\n", 1)[0].strip()[:60]
    raise format_error(path, f"the first line is of no known format ({known}): {first!r}", first)


def read_site(path: Path) -> tuple[Site, Format]:
    """Return a file's site and format without reading its rows.

    Parameters
    ----------
    path : pathlib.Path
        The file; gzip accepted.

    Returns
    -------
    site : Site
        From the header.
    format : Format
        One of ``FORMATS``.

    Raises
    ------
    WeatherFormatError
        Where the header is of no known format, or is not what it should be.
    """
    head = read_head(path)
    kind = tell_format(path, head)
    return kind.site(path, head), kind


def read_weather(path: str | Path) -> WeatherTable:
    """Read a weather file of any known format.

    Parameters
    ----------
    path : str or pathlib.Path
        EPW, TMY3 CSV, PVGIS TMY (JSON, CSV or EPW), NSRDB CSV or plain CSV; gzip, and a zip
        archive of one file, accepted for all. The content decides the format, not the name.

    Returns
    -------
    WeatherTable
        Finite throughout, with a note for whatever was filled, derived, dropped or assumed.

    Raises
    ------
    WeatherFormatError
        Where the file is of no known format or not what its format says.
    WeatherGapError
        Where a needed column is missing for more than three hours on end.
    """
    path = Path(path)
    return tell_format(path, read_head(path)).read(path)
