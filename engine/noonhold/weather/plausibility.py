"""Weather that has been looked at: rules that nonsense breaks, each with its source.

A flag never changes a number. A *note* is worth knowing, a *doubt* says that verdicts from this
weather may be wrong. What cannot be weather at all is refused by the readers themselves.

References
----------
.. [1] C. N. Long, E. G. Dutton, "BSRN Global Network recommended QC tests, V2.0", 2002: extremely
   rare limits and the closure of global with direct and diffuse.
.. [2] B. Haurwitz, "Insolation in relation to cloud type", J. Meteorology 3 (1946) 123: clear sky,
   through pvlib.
.. [3] ISO 2533:1975, "Standard Atmosphere".
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
import numpy.typing as npt
import pvlib

from noonhold.air.moist_air import standard_pressure
from noonhold.weather.clock_check import clock_error_h, spencer_cosine
from noonhold.weather.sky import humidity_from_dew_point
from noonhold.weather.weather_table import FloatArray, WeatherTable

Level = Literal["note", "doubt"]
BSRN: Final = "BSRN recommended QC tests V2.0, Long and Dutton 2002"
NOTES_SEPARATOR: Final = " | "  # of notes that are one text
PRACTICE: Final = "common practice, no source"

_HIGH_SUN = 0.26  # cosine of 75 degrees of zenith, where BSRN's closure is tightest
_CLOSURE = 0.08  # BSRN, of the sum, above 50 W/m2
_LEAST_SUM = 50.0
_BAD_SHARE = 0.2  # of the hours; real typical years have up to a tenth
_RARE_SHARE = 0.02
_NIGHT_COSINE = -0.05  # three degrees below the horizon: twilight is no fault
_NIGHT_W_M2 = 10.0
_CLEAREST = (0.7, 1.35)  # clearest hours of a year over Haurwitz's clear sky; real ones 0.9 to 1.2
_PRESSURE_SHARE = 0.03  # of the standard atmosphere: some 250 m
_ZONE_H = (2.5, 3.6)  # of sun against clock: the widest zones on land reach 3.5 h
_SEASON_K = 3.0
_SEASON_LATITUDE = 23.5
_FLAT_H = 24
_SAME_DAYS = 3
_BY_CLOCK = ("sun at night", "closure", "above clear sky")
_DEW_PERCENT = 8.0  # real files are within 1, rounded ones within 3


@dataclass(frozen=True)
class Flag:
    """One rule that a table breaks.

    Parameters
    ----------
    level : str
        ``note`` or ``doubt``.
    rule : str
        Its name in a word or two.
    message : str
        What was found, in a sentence that can stand alone.
    source : str
        Where the rule comes from.
    """

    level: Level
    rule: str
    message: str
    source: str

    def __str__(self) -> str:
        """Return the flag as a table's notes carry it."""
        return f"{self.level.upper()} ({self.rule}): {self.message}"


def flags_of(table: WeatherTable) -> tuple[Flag, ...]:
    """Hold a table against every rule.

    Parameters
    ----------
    table : WeatherTable
        From a reader. Rules of a whole year are asked of full years alone.

    Returns
    -------
    tuple of Flag
        Empty for weather without fault.
    """
    rows = np.arange(len(table))
    half_h = table.interval_s / 7200.0
    shifts_h = np.array([[-half_h], [0.0], [half_h]])
    before, middle, after = spencer_cosine(table, rows, shifts_h)
    found = [
        *_night(table, np.maximum(np.maximum(before, middle), after)),
        *_closure(table, middle),
        *_rare(table, middle),
        *_pressure(table),
        *_humidity(table),
        *_zone(table),
    ]
    if table.full_year:
        found += [*_clearest(table, middle), *_season(table), *_repeats(table)]
        clock = _clock(table)
        if clock and clock[0].level == "note":  # labels an hour off explain these
            found = [
                replace(flag, level="note") if flag.rule in _BY_CLOCK else flag for flag in found
            ]
        found += clock
    return tuple(found)


def with_flags(table: WeatherTable) -> WeatherTable:
    """Return a table with its flags among its notes.

    Returns
    -------
    WeatherTable
        The same weather.
    """
    # A clock that is off is noted by `with_clock_checked` already.
    found = tuple(str(flag) for flag in flags_of(table) if flag.rule != "clock")
    return replace(table, notes=(*table.notes, *found)) if found else table


def with_dew_flag(
    table: WeatherTable, relative_humidity: FloatArray | None, temp_dew: FloatArray | None
) -> WeatherTable:
    """Return a table with a doubt where a file's humidity and dew point are two different airs.

    Parameters
    ----------
    table : WeatherTable
        Of the file.
    relative_humidity, temp_dew : numpy.ndarray or None
        As the file has them, NaN where missing. [%], [degC]

    Returns
    -------
    WeatherTable
        The same weather.
    """
    if relative_humidity is None or temp_dew is None:
        return table
    expected = humidity_from_dew_point(table.temp_air, np.minimum(temp_dew, table.temp_air))
    apart = np.abs(relative_humidity - expected)
    if np.isnan(apart).all() or np.nanmedian(apart) <= _DEW_PERCENT:
        return table
    said = f"relative humidity and dew point are {np.nanmedian(apart):.0f} % apart in the median"
    flag = Flag("doubt", "dew point", said, "ASHRAE Handbook - Fundamentals 2017, ch. 1")
    return replace(table, notes=(*table.notes, str(flag)))


def doubts(notes: tuple[str, ...] | list[str]) -> list[str]:
    """Return the doubts among a table's notes.

    Parameters
    ----------
    notes : sequence of str
        Of a table.
    """
    return [note for note in notes if note.startswith("DOUBT")]


def _share(bad: npt.NDArray[np.bool_], of: npt.NDArray[np.bool_]) -> float:
    return float((bad & of).sum()) / max(int(of.sum()), 1)


def _night(table: WeatherTable, highest: FloatArray) -> list[Flag]:
    dark = highest < _NIGHT_COSINE
    share = _share(table.ghi > _NIGHT_W_M2, dark)
    if share <= _RARE_SHARE:
        return []
    said = f"ghi above {_NIGHT_W_M2:g} W/m2 in {100 * share:.0f} % of the hours with the sun down"
    return [Flag("doubt", "sun at night", said, PRACTICE)]


def _closure(table: WeatherTable, cosine: FloatArray) -> list[Flag]:
    total = table.dni * np.maximum(cosine, 0.0) + table.dhi
    asked = (cosine > _HIGH_SUN) & (np.maximum(total, table.ghi) > _LEAST_SUM)
    share = _share(np.abs(table.ghi - total) > _CLOSURE * np.maximum(total, _LEAST_SUM), asked)
    if share <= _BAD_SHARE:
        return []
    said = (
        f"ghi is not dni cos z + dhi within {100 * _CLOSURE:.0f} % in {100 * share:.0f} % of the"
        " hours under a high sun: radiation, coordinates or clock are wrong"
    )
    return [Flag("doubt", "closure", said, BSRN)]


def _rare(table: WeatherTable, cosine: FloatArray) -> list[Flag]:
    """BSRN's extremely rare limits of global, direct and diffuse."""
    up = cosine > 0.1
    mu = np.clip(cosine, 0.1, 1.0)
    outside = pvlib.irradiance.get_extra_radiation(_day_of_year(table)) * np.ones(len(table))
    weakened = mu**0.2
    limits = {
        "ghi": 1.2 * outside * mu * weakened + 50.0,
        "dni": 0.95 * outside * weakened + 10.0,
        "dhi": 0.75 * outside * mu * weakened + 30.0,
    }
    found = []
    for name, limit in limits.items():
        share = _share(getattr(table, name) > limit, up)
        if share > _RARE_SHARE:
            said = f"{name} above what is extremely rare in {100 * share:.0f} % of the sunny hours"
            found.append(Flag("doubt", "above clear sky", said, BSRN))
    return found


def _day_of_year(table: WeatherTable) -> FloatArray:
    labels = table.starts()
    days = labels.astype("datetime64[D]")
    found: FloatArray = (days - days.astype("datetime64[Y]")).astype(np.float64) + 1.0
    return found


def _clearest(table: WeatherTable, cosine: FloatArray) -> list[Flag]:
    high = cosine > 0.5
    if high.sum() < 100:
        high = cosine > 0.2
    zenith = np.degrees(np.arccos(np.clip(cosine[high], 0.0, 1.0)))
    clear = 1098.0 * np.cos(np.radians(zenith)) * np.exp(-0.059 / np.cos(np.radians(zenith)))
    if not high.any():
        return []
    ratio = float(np.percentile(table.ghi[high] / clear, 99.0))
    low, top = _CLEAREST
    if low <= ratio <= top:
        return []
    said = (
        f"the clearest hours of the year have {ratio:.2g} of a clear sky's radiation: its unit may"
        " be another, or it is scaled"
    )
    return [Flag("doubt", "units of radiation", said, "Haurwitz 1946; bounds " + PRACTICE)]


def _pressure(table: WeatherTable) -> list[Flag]:
    expected = standard_pressure(table.site.elevation_m)
    off = float(np.median(table.pressure)) / expected - 1.0
    if abs(off) <= _PRESSURE_SHARE:
        return []
    said = (
        f"the median pressure is {100 * off:+.0f} % off the standard atmosphere at"
        f" {table.site.elevation_m:g} m: reduced to sea level, or another unit or elevation"
    )
    return [Flag("doubt", "pressure", said, "ISO 2533:1975")]


def _humidity(table: WeatherTable) -> list[Flag]:
    highest = float(np.max(table.relative_humidity))
    if highest > 2.0:
        return []
    said = f"relative humidity is never above {highest:.2g} %: a fraction taken for percent"
    return [Flag("doubt", "units of humidity", said, PRACTICE)]


def _zone(table: WeatherTable) -> list[Flag]:
    off = abs(table.site.utc_offset_h - table.site.longitude / 15.0)
    off = min(off, 24.0 - off)
    if off <= _ZONE_H[0]:
        return []
    said = (
        f"UTC{table.site.utc_offset_h:+g} h is {off:.1f} h off the sun at longitude"
        f" {table.site.longitude:g}: the coordinates or the zone may be wrong"
    )
    return [Flag("doubt" if off > _ZONE_H[1] else "note", "time zone", said, PRACTICE)]


def _season(table: WeatherTable) -> list[Flag]:
    latitude = table.site.latitude
    if abs(latitude) < _SEASON_LATITUDE:
        return []
    month = (table.starts().astype("datetime64[M]").astype(np.int64) % 12) + 1
    north = (month >= 5) & (month <= 9)
    south = (month >= 11) | (month <= 3)
    warmer = float(table.temp_air[north].mean() - table.temp_air[south].mean())
    if warmer * np.sign(latitude) > -_SEASON_K:
        return []
    said = f"at latitude {latitude:g} May to September is {warmer:+.0f} K off November to March"
    return [Flag("doubt", "hemisphere", f"{said}: the other hemisphere's seasons", PRACTICE)]


def _repeats(table: WeatherTable) -> list[Flag]:
    per_day = 86400 // table.interval_s
    change = np.flatnonzero(np.diff(table.temp_air) != 0.0)
    edges = np.concatenate([[-1], change, [len(table) - 1]])
    longest_h = float(np.diff(edges).max()) * table.interval_s / 3600.0
    found = []
    if longest_h > _FLAT_H:
        said = f"temperature stands still for {longest_h:.0f} h"
        level: Level = "doubt" if longest_h > 7 * _FLAT_H else "note"
        found.append(Flag(level, "flat run", said, PRACTICE))
    days = np.stack([table.temp_air, table.ghi, table.wind_speed]).reshape(3, -1, per_day)
    same = (days[:, 1:] == days[:, :-1]).all(axis=(0, 2))
    if same.sum() >= _SAME_DAYS:
        said = f"{int(same.sum())} days repeat the day before them"
        found.append(Flag("doubt", "repeated days", said, PRACTICE))
    return found


def _clock(table: WeatherTable) -> list[Flag]:
    error_h = clock_error_h(table)
    if error_h is None:
        return []
    side = "later" if error_h > 0.0 else "earlier"
    said = f"the irradiances agree with a sun {abs(error_h):g} h {side} than the labels say"
    return [Flag("note" if abs(error_h) <= 1.0 else "doubt", "clock", said, PRACTICE)]
