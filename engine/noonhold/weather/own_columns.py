"""The user's own columns to the weather table."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta, timezone

import numpy as np
import pvlib

from noonhold.errors import Fault, WeatherError, WeatherFormatError
from noonhold.weather.rules import BOUNDS, CLOUD_COLUMN, DEW_COLUMN, RawTable, finish
from noonhold.weather.sky import site_sun
from noonhold.weather.timeline import interval_faults, parse_time, whole_year
from noonhold.weather.weather_table import (
    INSTANT_COLUMNS,
    RADIATION_COLUMNS,
    FloatArray,
    Site,
    WeatherTable,
)

KNOWN_COLUMNS = (*RADIATION_COLUMNS, *INSTANT_COLUMNS, DEW_COLUMN, CLOUD_COLUMN)
Column = Sequence[float | None] | FloatArray


def _column(path: str, given: Column) -> FloatArray | Fault:
    """Return a column with NaN for what is missing, or the fault of its first bad value."""
    if isinstance(given, np.ndarray):
        given = given.tolist()
    values = np.full(len(given), np.nan)
    for row, value in enumerate(given):
        if value is None:
            continue
        if isinstance(value, bool) or not isinstance(value, (int, float)) or math.isinf(value):
            return Fault(f"{path}/{row}", f"row {row} holds no number", value, "number or null")
        values[row] = value
    return values


def _columns(
    pointer: str, given: Mapping[str, Column]
) -> tuple[dict[str, FloatArray], list[Fault]]:
    """Return the columns that are good, and what stands against the others."""
    columns, faults = {}, []
    for name, values in given.items():
        path = f"{pointer}/{name}"
        if name not in KNOWN_COLUMNS:
            faults.append(Fault(path, "unknown column", name, ", ".join(KNOWN_COLUMNS)))
            continue
        column = _column(path, values)
        if isinstance(column, Fault):
            faults.append(column)
        else:
            columns[name] = column
    lengths = {name: len(column) for name, column in columns.items()}
    if len(set(lengths.values())) > 1:
        listed = ", ".join(f"{name} {length}" for name, length in lengths.items())
        faults.append(Fault(pointer, f"the columns differ in length: {listed}", lengths))
    elif not any(lengths.values()):
        faults.append(Fault(pointer, "there are no rows", 0, "at least one row"))
    return columns, faults


def _split_global(
    path: str, site: Site, start: np.datetime64, interval_s: int, ghi: FloatArray
) -> tuple[dict[str, FloatArray], tuple[str, ...]]:
    """Return direct and diffuse irradiance that a global irradiance would have on average."""
    labels = start + np.arange(len(ghi)) * np.timedelta64(interval_s, "s")
    sun = site_sun(site, labels, interval_s)
    lit = np.divide(
        sun.mean_cosine,
        sun.sunlit_cosine,
        out=np.zeros(len(ghi)),
        where=sun.sunlit_cosine > 0.0,
    )
    # In the hours of sunrise and sunset the split is that of the part with the sun up.
    shining = np.divide(ghi, lit, out=np.zeros(len(ghi)), where=lit > 0.0)
    zenith = np.degrees(np.arccos(np.clip(sun.sunlit_cosine, 0.0, 1.0)))
    day = labels.astype("datetime64[D]")
    day_of_year = (day - day.astype("datetime64[Y]")).astype(np.int64) + 1
    split = pvlib.irradiance.erbs(shining, zenith, day_of_year)
    dni = np.asarray(split["dni"], dtype=np.float64) * lit
    notes: tuple[str, ...] = ("dni, dhi: split from ghi by Erbs, Klein and Duffie (1982)",)
    # With the sun low, a little too much ghi asks for more beam than there is outside the air.
    outside = sun.extraterrestrial * lit
    beyond = dni > outside
    if beyond.any():
        dni = np.minimum(dni, outside)
        notes += (f"dni: {int(beyond.sum())} rows held to the irradiance outside the atmosphere",)
    dhi = np.maximum(np.maximum(ghi, 0.0) - dni * sun.sunlit_cosine, 0.0)
    _refuse_impossible(path, ghi, dhi)
    return {"dni": dni, "dhi": dhi}, notes


def _refuse_impossible(path: str, ghi: FloatArray, dhi: FloatArray) -> None:
    """Refuse a global irradiance whose rest, the beam taken off, no sky could send."""
    most = BOUNDS["dhi"].upper
    # What is beyond the bound of ghi itself is reported with the other columns' faults.
    (rows,) = np.nonzero((dhi > most) & (ghi <= BOUNDS["ghi"].upper))
    if len(rows):
        raise WeatherFormatError.single(
            path,
            f"ghi is {ghi[rows[0]]:g} in row {rows[0]}, more than the sun and any sky can give at"
            f" this place and hour; so are {len(rows)} rows in all",
            float(ghi[rows[0]]),
            f"at most {most:g} W/m2 beside the beam",
            "the hours may be shifted: look at the offset of start and the sign of longitude",
        )


def hourly_table(
    site: Site,
    start: str | datetime | np.datetime64,
    interval_s: int,
    columns: Mapping[str, Column],
    pointer: str = "/weather/hourly/columns",
) -> WeatherTable:
    """Return the weather table of the user's own columns.

    Parameters
    ----------
    site : Site
        Where, and the clock of ``start``.
    start : str, datetime.datetime or numpy.datetime64
        Start of the first interval: without a zone on the site's clock; a datetime with an offset
        is turned to it.
    interval_s : int
        Length of an interval; divides an hour. [s]
    columns : mapping of str to sequence of float
        On the table's labels (radiation the interval's mean, the rest at its end); None or NaN
        where missing. Needed: ``temp_air``, ``wind_speed``, ``relative_humidity`` or
        ``temp_dew``, and ``ghi`` or two of ``ghi``, ``dni``, ``dhi``.
    pointer : str
        JSON pointer of the columns, for the faults; start and interval stand beside them.

    Returns
    -------
    WeatherTable
        With a note for whatever was derived.

    Raises
    ------
    WeatherFormatError, WeatherGapError
        Carrying every fault at once.

    Notes
    -----
    Global alone is split by Erbs, Klein and Duffie [1]_ through pvlib, with the sun in the
    middle of the interval's sunlit part.

    References
    ----------
    .. [1] D. G. Erbs, S. A. Klein, J. A. Duffie, "Estimation of the diffuse radiation fraction
       for hourly, daily and monthly-average global radiation", Solar Energy 28 (1982) 293,
       DOI 10.1016/0038-092X(82)90302-4.
    """
    good, faults = _columns(pointer, columns)
    beside = pointer.removesuffix("/columns")
    faults = interval_faults(f"{beside}/interval_s", interval_s) + faults
    first: np.datetime64 = np.datetime64("NaT", "s")
    try:
        first = _first(f"{beside}/start", start, site)
    except WeatherError as exc:
        faults = [*exc.faults, *faults]
    if faults:
        raise WeatherFormatError(faults)
    count = len(next(iter(good.values())))
    span = whole_year(first, interval_s, count)
    kept = {name: values[span.rows] for name, values in good.items()}
    notes = span.notes
    if "ghi" in kept and not {"dni", "dhi"} & kept.keys():
        split, split_notes = _split_global(
            f"{pointer}/ghi", site, span.start, interval_s, kept["ghi"]
        )
        kept |= split
        notes += split_notes
    return finish(
        RawTable(
            prefix=f"{pointer}/",
            site=site,
            start=span.start,
            interval_s=interval_s,
            columns=kept,
            lines=span.rows,
            full_year=span.full_year,
            notes=notes,
            row_word="row",
        )
    )


def _first(path: str, start: str | datetime | np.datetime64, site: Site) -> np.datetime64:
    """Return the start on the site's clock in whole seconds, or its fault."""
    if isinstance(start, np.datetime64):
        first: np.datetime64 = start.astype("datetime64[s]")
        return first
    if isinstance(start, datetime) and start.tzinfo is not None:
        clock = timezone(timedelta(hours=site.utc_offset_h))
        start = start.astimezone(clock).replace(tzinfo=None)
    return parse_time(path, start if isinstance(start, str) else start.isoformat())
