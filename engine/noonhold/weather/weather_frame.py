"""A data frame as pvlib's readers return it, with its metadata, to the weather table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import pandas as pd

from noonhold.errors import WeatherFormatError
from noonhold.weather.calendar import HOURS, TYPICAL_YEAR, arrange_year, year_start
from noonhold.weather.pvgis import to_intervals
from noonhold.weather.rules import CLOUD_COLUMN, DEW_COLUMN, RawTable, finish
from noonhold.weather.site_header import make_site
from noonhold.weather.weather_table import (
    INSTANT_COLUMNS,
    RADIATION_COLUMNS,
    FloatArray,
    Site,
    WeatherTable,
)

_NAME: Final = Path("data frame")
_POINTER: Final = "data frame: "
_LEAST_PA: Final = 2000.0  # any pressure below is in hPa
# The names that pvlib's readers give, and the codes beyond which a value is missing: 9999 and the
# like in EPW, -9900 in TMY3.
_ALIASES: Final[Mapping[str, tuple[str, ...]]] = {
    **{name: (name,) for name in (*INSTANT_COLUMNS, *RADIATION_COLUMNS, DEW_COLUMN)},
    "pressure": ("pressure", "atmospheric_pressure", "surface_pressure"),
    "horizontal_infrared": ("horizontal_infrared", "IR(h)", "ghi_infrared"),
    CLOUD_COLUMN: (CLOUD_COLUMN, "OpqCld (tenths)"),
}
_MISSING_ABOVE: Final = {
    "temp_air": 99.9,
    DEW_COLUMN: 99.9,
    "relative_humidity": 999.0,
    "pressure": 999999.0,
    "horizontal_infrared": 9999.0,
    "ghi": 9999.0,
    "dni": 9999.0,
    "dhi": 9999.0,
    "wind_speed": 999.0,
    CLOUD_COLUMN: 99.0,
}
_MISSING_BELOW: Final = -9900.0
_FIGURES: Final = {
    "latitude": ("latitude", "Latitude", "lat"),
    "longitude": ("longitude", "Longitude", "lon"),
    "elevation_m": ("elevation_m", "altitude", "elevation", "Elevation", "alt"),
    "utc_offset_h": ("utc_offset_h", "TZ", "Time Zone", "Local Time Zone"),
}


class Labels(StrEnum):
    """What the index of a frame means."""

    START = "start"
    MIDDLE = "middle"
    END = "end"
    INSTANT = "instant"


def labels_of(meta: Mapping[str, Any]) -> Labels | None:
    """Return what the labels of a pvlib reader's frame mean, recognised by its metadata.

    Parameters
    ----------
    meta : mapping
        Second value that the reader returned.

    Returns
    -------
    Labels or None
        ``start`` for `read_epw`, ``end`` for `read_tmy3`, ``instant`` for PVGIS, else ``None``.
    """
    if "WMO_code" in meta or "data_type" in meta:
        return Labels.START
    if "USAF" in meta:
        return Labels.END
    if "inputs" in meta or "months_selected" in meta:
        return Labels.INSTANT
    return None


def read_frame(
    data: pd.DataFrame, meta: Mapping[str, Any], labels: Labels | str | None = None
) -> WeatherTable:
    """Return the weather table of a frame with pvlib's column names.

    Parameters
    ----------
    data : pandas.DataFrame
        Columns ``temp_air`` [degC], ``wind_speed`` [m/s], ``relative_humidity`` [%] or
        ``temp_dew`` [degC], two of ``ghi``, ``dni``, ``dhi`` [W/m2]; optionally ``pressure``
        [Pa, or hPa where the values are below 2000] and the sky's long-wave irradiance. The index
        has a fixed offset from UTC, or ``meta`` states one. A typical year of mixed years is a
        year.
    meta : mapping
        Latitude, longitude and elevation, at the top or under PVGIS's ``inputs``.
    labels : {"start", "middle", "end", "instant"}, optional
        What the index means; by default recognised by the metadata of ``read_epw`` (start),
        ``read_tmy3`` (end) and PVGIS (instants), else ``start``, which a note says.

    Raises
    ------
    WeatherFormatError, WeatherGapError
        Where a column, the index or the metadata is not what is needed.

    Notes
    -----
    With ``start`` and ``end`` labels, temperature, humidity, pressure and wind are taken as
    instants at the interval's end, as EPW and TMY3 define them; with ``middle`` they are instants
    at the label and are interpolated to the interval's end. ``instant`` is for a whole typical
    year in UTC: it is converted as a PVGIS file is.
    """
    index = data.index
    if not isinstance(index, pd.DatetimeIndex):
        raise _fault("the index is no DatetimeIndex", type(index).__name__)
    known = labels_of(meta)
    kind = Labels(labels) if labels is not None else known or Labels.START
    notes: tuple[str, ...] = ()
    if labels is None and known is None:
        notes = ("the index of the frame was taken as the start of each interval",)
    columns, more = _columns(data)
    notes += more
    if kind is Labels.INSTANT:
        return _year_of_instants(index, columns, meta, notes)
    local, offset_h = _local(index, meta)
    site = _site(meta, offset_h)
    step = _interval(local)
    shift = {Labels.START: 0, Labels.MIDDLE: step // 2, Labels.END: step}[kind]
    starts = local - np.timedelta64(shift, "s")
    if kind is Labels.MIDDLE:
        for name in set(INSTANT_COLUMNS) & columns.keys():
            columns[name] = 0.5 * (columns[name] + np.append(columns[name][1:], columns[name][-1]))
        notes += ("instants interpolated from the middle to the end of each interval",)
    if _is_typical_year(starts, step):
        return _year(site, starts, columns, notes)
    if (np.diff(starts) != np.timedelta64(step, "s")).any():
        raise _fault("the index is not equally spaced", f"first step {step} s")
    return finish(
        RawTable(
            prefix=_POINTER,
            site=site,
            start=starts[0],
            interval_s=step,
            columns=columns,
            lines=np.arange(len(starts)),
            full_year=False,
            notes=notes,
            row_word="row",
        )
    )


def _fault(message: str, value: object = None, bound: str | None = None) -> WeatherFormatError:
    return WeatherFormatError.single("data frame", message, value, bound)


def _columns(data: pd.DataFrame) -> tuple[dict[str, FloatArray], tuple[str, ...]]:
    """Return the frame's columns under the table's names, NaN for the codes of missing values."""
    columns: dict[str, FloatArray] = {}
    notes: tuple[str, ...] = ()
    for name, aliases in _ALIASES.items():
        found = next((alias for alias in aliases if alias in data), None)
        if found is None:
            continue
        try:
            values = data[found].to_numpy(dtype=np.float64)
        except (TypeError, ValueError):
            raise _fault(f"column {found} holds something that is no number") from None
        missing = (values >= _MISSING_ABOVE[name]) | (values <= _MISSING_BELOW)
        columns[name] = np.where(missing, np.nan, values)
    pressure = columns.get("pressure")
    if pressure is not None and np.isfinite(pressure).any() and np.nanmedian(pressure) < _LEAST_PA:
        columns["pressure"] = 100.0 * pressure
        notes = ("pressure: values below 2000 taken as hPa",)
    return columns, notes


def _flat(meta: Mapping[str, Any]) -> dict[str, Any]:
    """Return the metadata with PVGIS's place raised to the top."""
    inputs = meta.get("inputs", {})
    place = inputs.get("location", {}) if isinstance(inputs, Mapping) else {}
    return {**inputs, **place, **meta} if isinstance(place, Mapping) else dict(meta)


def _site(meta: Mapping[str, Any], offset_h: float | None) -> Site:
    flat = _flat(meta)
    figures: dict[str, object] = {"elevation_m": None}
    for name, keys in _FIGURES.items():
        figures[name] = next((flat[key] for key in keys if key in flat), None)
    if offset_h is not None:
        figures["utc_offset_h"] = offset_h
    name = str(flat.get("Name") or flat.get("city") or flat.get("name") or "data frame").strip()
    return make_site(_POINTER, figures, name, source="data frame")


def _local(
    index: pd.DatetimeIndex, meta: Mapping[str, Any]
) -> tuple[npt.NDArray[np.datetime64], float | None]:
    """Return the labels without a zone, and the offset that they have."""
    flat = _flat(meta)
    stated = next((flat[key] for key in _FIGURES["utc_offset_h"] if key in flat), None)
    if index.tz is None:
        if stated is None:
            raise _fault("the index has no time zone, and the metadata states no offset")
        return np.asarray(index.to_numpy(), dtype="datetime64[s]"), None
    naive = index.tz_localize(None)
    utc = index.tz_convert("UTC").tz_localize(None)
    offsets = np.unique((naive - utc).to_numpy().astype("timedelta64[s]").astype(np.int64))
    if len(offsets) > 1:
        raise _fault(
            "the index changes its offset from UTC: convert it to standard time",
            str(index.tz),
            "one fixed offset",
        )
    return np.asarray(naive.to_numpy(), dtype="datetime64[s]"), float(offsets[0]) / 3600.0


def _interval(labels: npt.NDArray[np.datetime64]) -> int:
    if len(labels) < 2:
        raise _fault("there are fewer than two rows", len(labels))
    step = int((labels[1] - labels[0]) / np.timedelta64(1, "s"))
    if step <= 0 or 3600 % step:
        raise _fault("the interval does not divide an hour", step, "a divisor of 3600 s")
    return step


def _is_typical_year(starts: npt.NDArray[np.datetime64], step: int) -> bool:
    """Tell whether hourly rows make a year, whatever years they came from."""
    return step == 3600 and len(starts) in (HOURS, HOURS + 24)


def _year(
    site: Site,
    starts: npt.NDArray[np.datetime64],
    columns: dict[str, FloatArray],
    notes: tuple[str, ...],
) -> WeatherTable:
    stamps = pd.DatetimeIndex(starts)
    year, month, day, hour = (
        np.asarray(part, dtype=np.int64)
        for part in (stamps.year, stamps.month, stamps.day, stamps.hour)
    )
    rows = np.arange(len(starts))
    # pvlib's reader of TMY3 puts 24:00 of 28 February of a leap year at 00:00 of 1 March: fewer
    # than 24 rows of 29 February are the end of the 28th.
    leap = (month == 2) & (day == 29)
    if leap.sum() < 24:
        day = np.where(leap, 28, day)
    order, more = arrange_year(_NAME, month, day, hour, rows)
    return finish(
        RawTable(
            prefix=_POINTER,
            site=site,
            start=year_start(year),
            interval_s=3600,
            columns={name: values[order] for name, values in columns.items()},
            lines=rows[order],
            full_year=True,
            notes=notes + more,
            row_word="row",
        )
    )


def _year_of_instants(
    index: pd.DatetimeIndex,
    columns: dict[str, FloatArray],
    meta: Mapping[str, Any],
    notes: tuple[str, ...],
) -> WeatherTable:
    """Return a typical year of instants in UTC on the clock of its longitude."""
    stamps = index if index.tz is None else index.tz_convert("UTC").tz_localize(None)
    minute = np.asarray(stamps.minute)
    if len(stamps) not in (HOURS, HOURS + 24) or (minute != minute[0]).any():
        raise _fault("instants need a whole typical year, hourly", len(stamps), f"{HOURS} rows")
    at_zero = _site(meta, 0.0)
    site = replace(at_zero, utc_offset_h=float(round(at_zero.longitude / 15.0)))
    rows = np.arange(len(stamps))
    # A reader that rolled the year to local time leaves its first hours at the end; UTC has none.
    month, day, hour = (
        np.asarray(part, dtype=np.int64) for part in (stamps.month, stamps.day, stamps.hour)
    )
    order, more = arrange_year(_NAME, month, day, hour, rows)
    raw = RawTable(
        prefix=_POINTER,
        site=site,
        start=np.datetime64(f"{TYPICAL_YEAR}-01-01T00:00:00", "s"),
        interval_s=3600,
        columns={name: values[order] for name, values in columns.items()},
        lines=rows[order],
        full_year=True,
        notes=notes + more,
        row_word="row",
    )
    state_h = float(minute[0]) / 60.0
    stated = _flat(meta).get("irradiance_time_offset", 0.0)
    sunny_h = state_h + float(stated or 0.0)
    converted = to_intervals(raw, state_h, sunny_h)
    note = (
        "instants in UTC turned into interval means and ends of intervals at"
        f" UTC{site.utc_offset_h:+g} h; radiation at minute {60.0 * sunny_h:.1f} of the hour"
    )
    return finish(replace(converted, notes=(*converted.notes, note)))
