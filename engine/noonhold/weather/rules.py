"""The rules every reader's table passes: bounds, gaps, closure, and what may be derived."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from noonhold.air.moist_air import standard_pressure
from noonhold.errors import Fault, WeatherFormatError, WeatherGapError
from noonhold.quantities import INPUTS, Quantity
from noonhold.solar.interval_sun import IntervalSun
from noonhold.weather.clock import DAY_S
from noonhold.weather.clock_check import with_clock_checked
from noonhold.weather.gaps import LONGEST_GAP_H, bridge, describe_runs, gap_note, missing_runs
from noonhold.weather.plausibility import with_dew_flag, with_flags
from noonhold.weather.radiation import GLOBAL_PARTS, mend_radiation
from noonhold.weather.sky import (
    cloud_from_clearness,
    humidity_from_dew_point,
    site_sun,
    sky_infrared,
)
from noonhold.weather.weather_table import (
    INSTANT_COLUMNS,
    RADIATION_COLUMNS,
    FloatArray,
    Site,
    WeatherTable,
)

CLOUD_COLUMN = "opaque_sky_cover"  # tenths, instants at the interval's end
DEW_COLUMN = "temp_dew"

_BOUNDED = (
    *RADIATION_COLUMNS,
    "horizontal_infrared",
    "temp_air",
    DEW_COLUMN,
    "relative_humidity",
    "pressure",
    "wind_speed",
    CLOUD_COLUMN,
)
# What can be weather; beyond it a value is a fault, not a record.
BOUNDS: Mapping[str, Quantity] = {name: INPUTS[name] for name in _BOUNDED}
_HUMID = ("relative_humidity", 100.0)


@dataclass(frozen=True)
class RawTable:
    """What a reader found, on the weather table's labels but with holes.

    Parameters
    ----------
    prefix : str
        Put before a column's name in a fault's path: ``file.epw:`` and a space, or a JSON pointer.
    start : numpy.datetime64
        Start of the first interval in standard time.
    columns : mapping of str to numpy.ndarray, shape (n,)
        Any of the table's columns, ``temp_dew`` and ``opaque_sky_cover``; NaN where missing.
    lines : numpy.ndarray of int, shape (n,)
        Number of each row as the user sees it.
    full_year : bool
        See `WeatherTable`.
    notes : tuple of str
        What the reader did so far.
    row_word : str
        ``line`` of a file, ``row`` of an array.
    opening : numpy.ndarray, shape (4,), optional
        See `WeatherTable`.
    """

    prefix: str
    site: Site
    start: np.datetime64
    interval_s: int
    columns: Mapping[str, FloatArray]
    lines: npt.NDArray[np.int64]
    full_year: bool
    notes: tuple[str, ...] = ()
    row_word: str = "line"
    opening: FloatArray | None = None


class _TableBuilder:
    """One table on its way from holes to whole: columns, notes and faults so far."""

    def __init__(self, raw: RawTable, sun: IntervalSun | None = None) -> None:
        self.raw = raw
        self.columns = {name: np.array(raw.columns[name], dtype=float) for name in raw.columns}
        self.notes = list(raw.notes)
        self.gap_faults: list[Fault] = []
        self.longest = LONGEST_GAP_H * 3600 // raw.interval_s
        self._sun = sun

    def sun(self) -> IntervalSun:
        """Return the sun over the table's intervals, computed at the first call."""
        if self._sun is None:
            count = len(self.raw.lines)
            step = np.timedelta64(self.raw.interval_s, "s")
            start = self.raw.start.astype("datetime64[s]") + np.arange(count) * step
            self._sun = site_sun(self.raw.site, start, self.raw.interval_s)
        return self._sun

    def has(self, name: str) -> bool:
        """Tell whether a column has any value."""
        return name in self.columns and not bool(np.isnan(self.columns[name]).all())

    def gap_fault(self, name: str, message: str, hint: str | None = None) -> None:
        """Add a fault of a column that is missing in part or in whole."""
        bound = f"gaps of at most {LONGEST_GAP_H} h"
        self.gap_faults.append(Fault(self.raw.prefix + name, message, None, bound, hint))

    def long_gap(self, name: str, runs: list[tuple[int, int]]) -> None:
        """Add the fault of gaps that cannot be bridged."""
        raw = self.raw
        places = describe_runs(runs, raw.lines, raw.row_word, raw.interval_s)
        # Only radiation has short gaps that stand: those without a sunlit row beside them.
        lone = any(count <= self.longest for _, count in runs)
        hint = "no sunlit row of the same day stands beside a gap" if lone else None
        self.gap_fault(name, f"{name} is missing in {places}", hint)

    def fill_instants(self, name: str) -> None:
        """Bridge an instant column's short gaps, or report its long ones."""
        if not self.has(name):
            self.gap_fault(name, f"{name} has no values at all")
            return
        missing = np.isnan(self.columns[name])
        if not missing.any():
            return
        runs = missing_runs(missing, self.raw.full_year)
        long = [run for run in runs if run[1] > self.longest]
        if long:
            self.long_gap(name, long)
            return
        at_end = not self.raw.full_year and bool(missing[0] or missing[-1])
        how = "interpolated, held at the table's end" if at_end else "interpolated"
        self.notes.append(gap_note(name, runs, self.raw.interval_s, how))
        self.columns[name] = bridge(self.columns[name], self.raw.full_year)


def bound_faults(raw: RawTable) -> list[Fault]:
    """Return a fault for every column with values that cannot be weather.

    Returns
    -------
    list of Fault
        One a column, naming the first value and its line, and how many there are.
    """
    faults = []
    for name, limits in BOUNDS.items():
        if name not in raw.columns:
            continue
        values = raw.columns[name]
        wrong = (values < limits.lower) | (values > limits.upper)
        if wrong.any():
            row = int(np.argmax(wrong))
            message = (
                f"{name} is {values[row]:g} in {raw.row_word} {raw.lines[row]}"
                f" ({int(wrong.sum())} such values)"
            )
            faults.append(Fault(raw.prefix + name, message, float(values[row]), limits.bound))
    return faults


def _humidity(shop: _TableBuilder) -> None:
    """Fill humidity from the dew point where it is missing, row by row."""
    count = len(shop.raw.lines)
    given = shop.columns.setdefault("relative_humidity", np.full(count, np.nan))
    if not (shop.has(DEW_COLUMN) and shop.has("temp_air")):
        return
    dew, air = shop.columns[DEW_COLUMN], shop.columns["temp_air"]
    rows = np.isnan(given) & ~np.isnan(dew) & ~np.isnan(air)
    if rows.any():
        given[rows] = humidity_from_dew_point(air[rows], dew[rows])
        shop.notes.append(f"relative_humidity: {int(rows.sum())} rows derived from the dew point")


def _pressure(shop: _TableBuilder) -> None:
    """Put the standard atmosphere where a file has no pressure at all."""
    if shop.has("pressure"):
        return
    elevation = shop.raw.site.elevation_m
    value = standard_pressure(elevation)
    shop.columns["pressure"] = np.full(len(shop.raw.lines), value)
    shop.notes.append(
        f"pressure: none given; {value:.0f} Pa of the standard atmosphere at {elevation:g} m taken"
    )


def _radiation(shop: _TableBuilder) -> None:
    """Mend the three irradiances, or report what cannot be mended."""
    count = len(shop.raw.lines)
    for name in GLOBAL_PARTS:
        shop.columns.setdefault(name, np.full(count, np.nan))
    absent = [name for name in GLOBAL_PARTS if not shop.has(name)]
    if len(absent) > 1:
        for name in absent:
            shop.gap_fault(name, f"{name} has no values at all", "two of ghi, dni, dhi are needed")
        return
    if not any(np.isnan(shop.columns[name]).any() for name in GLOBAL_PARTS):
        return
    before = {name: shop.columns[name] for name in GLOBAL_PARTS}
    mended = mend_radiation(before, shop.sun(), shop.longest, shop.raw.full_year)
    shop.columns.update(mended.columns)
    for name, rows in mended.by_closure.items():
        shop.notes.append(f"{name}: {rows} rows derived from ghi = dni cos z + dhi")
    if mended.by_night:
        shop.notes.append(f"radiation: {mended.by_night} missing rows at night set to zero")
    for name in GLOBAL_PARTS:
        if mended.too_long and np.isnan(mended.columns[name]).any():
            shop.long_gap(name, mended.too_long)
    if mended.by_clearness:
        how = "bridged by the clearness beside them"
        shop.notes.append(gap_note("radiation", mended.by_clearness, shop.raw.interval_s, how))


def _clip(shop: _TableBuilder) -> None:
    """Bring what instruments overshoot back to what can be."""
    name, top = _HUMID
    above = shop.columns[name] > top
    if above.any():
        shop.columns[name] = np.minimum(shop.columns[name], top)
        shop.notes.append(f"{name}: {int(above.sum())} rows above 100 % set to 100 %")
    for part in GLOBAL_PARTS:
        below = shop.columns[part] < 0.0
        if below.any():
            shop.notes.append(f"{part}: {int(below.sum())} rows below zero set to zero")
        # The sum turns -0.0 into 0.0 as well.
        shop.columns[part] = np.maximum(shop.columns[part], 0.0) + 0.0


def interval_means(instants: FloatArray, full_year: bool, before: float | None) -> FloatArray:
    """Return interval means of a quantity known at the intervals' ends.

    Parameters
    ----------
    instants : numpy.ndarray, shape (n,)
        Values at the ends.
    full_year : bool
        True where the last value stands before the first interval.
    before : float, optional
        Value at the first interval's start in an open table; its first value where not known.

    Returns
    -------
    numpy.ndarray, shape (n,)
        Means of a straight line between instants.
    """
    starts = np.roll(instants, 1)
    if not full_year:
        starts[0] = instants[0] if before is None else before
    mean: FloatArray = 0.5 * (starts + instants)
    return mean


def _cloud(shop: _TableBuilder) -> tuple[FloatArray, str]:
    """Return cloud fraction as interval means, and where it is from."""
    estimate = None
    if not shop.has(CLOUD_COLUMN) or np.isnan(shop.columns[CLOUD_COLUMN]).any():
        per_day = DAY_S // shop.raw.interval_s
        estimate = cloud_from_clearness(shop.columns["ghi"], shop.sun(), per_day)
        if not shop.has(CLOUD_COLUMN):
            return estimate, "cloud estimated from the clearness of each day"
    cover = interval_means(shop.columns[CLOUD_COLUMN] / 10.0, shop.raw.full_year, None)
    if estimate is None:
        return cover, "the sky cover given"
    mixed = np.where(np.isnan(cover), estimate, cover)
    return mixed, "the sky cover given, or where it is missing the clearness of the day"


def _infrared(shop: _TableBuilder) -> None:
    """Fill sky infrared: short gaps bridged, the rest from humidity and cloud."""
    name, raw = "horizontal_infrared", shop.raw
    values = shop.columns.setdefault(name, np.full(len(raw.lines), np.nan))
    missing = np.isnan(values)
    if not missing.any():
        return
    runs = missing_runs(missing, raw.full_year)
    if shop.has(name) and all(run[1] <= shop.longest for run in runs):
        shop.columns[name] = bridge(values, raw.full_year)
        shop.notes.append(gap_note(name, runs, raw.interval_s, "interpolated"))
        return
    cloud, source = _cloud(shop)
    before = (None, None) if raw.opening is None else (raw.opening[0], raw.opening[1])
    air = interval_means(shop.columns["temp_air"], raw.full_year, before[0])
    humidity = interval_means(shop.columns["relative_humidity"], raw.full_year, before[1])
    computed = sky_infrared(air, np.minimum(humidity, 100.0), cloud)
    shop.columns[name] = np.where(missing, computed, values)
    shop.notes.append(
        f"{name}: {int(missing.sum())} rows computed (Clark and Allen 1978, Walton 1983)"
        f" with {source}"
    )


def complete(raw: RawTable, sun: IntervalSun | None = None) -> RawTable:
    """Return the table with its needed columns whole, sky infrared still as it was given.

    Parameters
    ----------
    raw : RawTable
        What a reader found.
    sun : IntervalSun, optional
        The sun at the rows' radiation; by default over the rows' intervals. A reader of instants
        gives the sun at its instants.

    Returns
    -------
    RawTable
        The needed columns finite, with a note for whatever was filled, derived or clipped.

    Raises
    ------
    WeatherFormatError
        Where values cannot be weather; carries the faults of all columns, gaps included.
    WeatherGapError
        Where a needed column is missing, or missing for more than three hours on end.
    """
    faults = bound_faults(raw)
    shop = _TableBuilder(raw, sun)
    _humidity(shop)
    _pressure(shop)
    for name in INSTANT_COLUMNS:
        shop.fill_instants(name)
    _radiation(shop)
    if faults:
        raise WeatherFormatError(faults + shop.gap_faults)
    if shop.gap_faults:
        raise WeatherGapError(shop.gap_faults)
    _clip(shop)
    return replace(raw, columns=shop.columns, notes=tuple(shop.notes))


def finish(raw: RawTable) -> WeatherTable:
    """Return the whole table, or every fault that stands against it.

    Parameters
    ----------
    raw : RawTable
        What a reader found.

    Returns
    -------
    WeatherTable
        Finite throughout, with a note for whatever was filled, derived, clipped or assumed.

    Raises
    ------
    WeatherFormatError, WeatherGapError
        See `complete`.
    """
    whole = complete(raw)
    shop = _TableBuilder(whole)
    _infrared(shop)
    table = WeatherTable(
        site=raw.site,
        start=raw.start,
        interval_s=raw.interval_s,
        full_year=raw.full_year,
        opening=raw.opening,
        notes=tuple(shop.notes),
        day_repeats=False,
        **{name: shop.columns[name] for name in RADIATION_COLUMNS + INSTANT_COLUMNS},
    )
    humidity, dew_point = (raw.columns.get(name) for name in ("relative_humidity", DEW_COLUMN))
    return with_clock_checked(with_flags(with_dew_flag(table, humidity, dew_point)))
