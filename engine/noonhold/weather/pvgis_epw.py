"""PVGIS typical years in the shape of an EPW: instants where the format has hourly means."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np

from noonhold.weather.calendar import TYPICAL_YEAR
from noonhold.weather.epw import epw_site, raw_epw
from noonhold.weather.file_source import decoded, first_lines, format_error, read_bytes
from noonhold.weather.pvgis import to_intervals
from noonhold.weather.rules import RawTable, finish
from noonhold.weather.sky import site_sun
from noonhold.weather.weather_table import FloatArray, WeatherTable

MARK = "Irradiance Time Offset"
_OFFSET = re.compile(MARK + r"[^:]*:\s*([-+0-9.]+)", re.IGNORECASE)
_LEAST_COSINE = 0.1
_BAD = 30.0  # W/m2, the bound of `clock_check`
_HEADER_LINES = 8

pvgis_epw_site = epw_site


def _offset_h(path: Path, content: bytes) -> float:
    """Return the stated shift of the radiation's instants from the rows' hours. [h]."""
    head = decoded(b"\n".join(first_lines(content, _HEADER_LINES)))
    found = _OFFSET.search(head)
    try:
        offset = float(found.group(1)) if found else np.nan
    except ValueError:
        offset = np.nan
    if not abs(offset) <= 1.0:
        raise format_error(path, "the irradiance time offset is no number within 1 h")
    return offset


def _disagreement(raw: RawTable, first_h: float) -> float:
    """Return the RMSE of GHI - DNI cos z - DHI with row 0 at an instant in UTC. [W/m2]."""
    hours = raw.start.astype("datetime64[ms]") + np.arange(len(raw.lines)) * np.timedelta64(
        3600000, "ms"
    )
    instants = hours + np.timedelta64(round(first_h * 3.6e6), "ms")
    cosine = site_sun(replace(raw.site, utc_offset_h=0.0), instants, 0.0, parts=1).cosines[:, 0]
    ghi, dni, dhi = (raw.columns[name] for name in ("ghi", "dni", "dhi"))
    sunny = (dni > 300.0) & (np.maximum(cosine, ghi - dhi) > _LEAST_COSINE)
    error: FloatArray = (ghi - dhi - dni * cosine)[sunny]
    return float(np.sqrt(np.mean(error**2))) if sunny.any() else np.inf


def read_pvgis_epw(path: Path) -> WeatherTable:
    """Read a PVGIS typical year in the shape of an EPW.

    Parameters
    ----------
    path : pathlib.Path
        The file; gzip and zip accepted.

    Returns
    -------
    WeatherTable
        8760 hours from 1 January on the clock of the LOCATION line.

    Raises
    ------
    WeatherFormatError, WeatherGapError
        See `noonhold.weather.epw.read_epw`; also where the rows agree with the sun on neither
        clock.

    Notes
    -----
    PVGIS puts the values of an instant into the row of each hour: the air's state of the hour's
    beginning, the radiation at the row's hour plus the irradiance time offset of the comment line
    (``-0.8239`` in the row of hour 1 is 0.1761 h after the hour that the row begins with). Files
    are seen whose rows are in UTC under a LOCATION line of another zone. Which of the two clocks
    the rows have is therefore taken from the sun: the one under which
    ``ghi = dni cos z + dhi`` holds at the instants. From there on as
    `noonhold.weather.pvgis.read_pvgis_tmy`.
    """
    content = read_bytes(path)
    offset_h = _offset_h(path, content)
    raw = raw_epw(path, content)
    raw = replace(raw, start=np.datetime64(f"{TYPICAL_YEAR}-01-01T00:00:00", "s"))
    after_h = (1.0 + offset_h) % 1.0  # after the hour that a row begins with
    clocks = {"UTC": 0.0, f"UTC{raw.site.utc_offset_h:+g} h": -raw.site.utc_offset_h}
    errors = {name: _disagreement(raw, first + after_h) for name, first in clocks.items()}
    clock = min(errors, key=errors.__getitem__)
    if not errors[clock] < _BAD:
        raise format_error(
            path,
            "ghi, dni and dhi agree with the sun neither in UTC nor on the clock of the LOCATION"
            f" line at the stated irradiance time offset ({errors[clock]:.0f} W/m2 apart)",
            errors[clock],
        )
    note = (
        f"PVGIS: instants at minute {60.0 * after_h:.1f} of rows in {clock}, by the sun, turned"
        " into interval means and ends of intervals"
    )
    converted = to_intervals(raw, clocks[clock], clocks[clock] + after_h)
    return finish(replace(converted, notes=(*converted.notes, note)))
