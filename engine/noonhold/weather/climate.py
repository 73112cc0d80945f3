"""A typical year in short: month by month, its hottest day and its hottest week."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt

from noonhold.air.moist_air_arrays import dew_point_array, saturation_pressure_array
from noonhold.errors import WeatherFormatError
from noonhold.weather.clock import DAY_S
from noonhold.weather.weather_table import WeatherTable

FloatArray: TypeAlias = npt.NDArray[np.float64]

DAYS: Final = 365
WEEK: Final = 7
_MONTH_LENGTHS: Final = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_LEAST_HUMIDITY: Final = 0.01  # [%] the dew point of bone-dry air does not exist


@dataclass(frozen=True)
class Month:
    """A month of a typical year.

    Parameters
    ----------
    month : int
        From 1 to 12.
    mean_high_c, mean_low_c : float
        Means of the daily highs and lows. [degC]
    mean_dew_point_c : float
        Mean dew point. [degC]
    mean_sun_wh_m2 : float
        Mean daily global horizontal irradiation. [Wh/m2]
    typical_day : str
        ``MM-DD`` of the day that is most like the month.
    """

    month: int
    mean_high_c: float
    mean_low_c: float
    mean_dew_point_c: float
    mean_sun_wh_m2: float
    typical_day: str


@dataclass(frozen=True)
class Stretch:
    """Some days of a typical year.

    Parameters
    ----------
    first_day : str
        ``MM-DD``.
    days : int
        How many.
    mean_c, high_c, low_c, mean_dew_point_c : float
        Mean, highest and lowest temperature, mean dew point. [degC]
    """

    first_day: str
    days: int
    mean_c: float
    high_c: float
    low_c: float
    mean_dew_point_c: float


@dataclass(frozen=True)
class Climate:
    """A typical year in short.

    Parameters
    ----------
    months : tuple of Month
        January to December.
    hottest_day, hottest_week : Stretch
        Those with the highest mean temperature; a week may run over the year's end.
    """

    months: tuple[Month, ...]
    hottest_day: Stretch
    hottest_week: Stretch


def climate_of(table: WeatherTable) -> Climate:
    """Describe a typical year.

    Parameters
    ----------
    table : WeatherTable
        A full year from the first of January.

    Raises
    ------
    WeatherFormatError
        The table is no full year.

    Notes
    -----
    Days are those of the file's standard time. The day most like its month has the least sum of
    squares of three distances from the month's mean, each in standard deviations of the month's
    days: mean temperature, daily range, and irradiation.
    """
    per_day = DAY_S // table.interval_s
    if not table.full_year or len(table) != DAYS * per_day:
        raise WeatherFormatError.single(
            "/", "the station's file is no full year", len(table), f"{DAYS * per_day} intervals"
        )
    temperatures = table.temp_air.reshape(DAYS, per_day)
    dew_points = _dew_point(table.temp_air, table.relative_humidity).reshape(DAYS, per_day)
    sun = table.ghi.reshape(DAYS, per_day).mean(axis=1) * 24.0
    months: list[Month] = []
    first = 0
    for number, length in enumerate(_MONTH_LENGTHS, start=1):
        rows = slice(first, first + length)
        months.append(_month(number, first, temperatures[rows], dew_points[rows], sun[rows]))
        first += length
    return Climate(
        months=tuple(months),
        hottest_day=_hottest(temperatures, dew_points, 1),
        hottest_week=_hottest(temperatures, dew_points, WEEK),
    )


def day_label(day: int) -> str:
    """Return a day of the year as ``MM-DD``.

    Parameters
    ----------
    day : int
        From 0, the first of January; a common year.

    Examples
    --------
    >>> day_label(0), day_label(59), day_label(364)
    ('01-01', '03-01', '12-31')
    """
    month = 1
    for length in _MONTH_LENGTHS:
        if day < length:
            break
        day -= length
        month += 1
    return f"{month:02d}-{day + 1:02d}"


def _month(
    number: int, first: int, temperatures: FloatArray, dew_points: FloatArray, sun: FloatArray
) -> Month:
    highs, lows = temperatures.max(axis=1), temperatures.min(axis=1)
    traits = np.stack([temperatures.mean(axis=1), highs - lows, sun])
    spread = traits.std(axis=1, keepdims=True)
    away = (traits - traits.mean(axis=1, keepdims=True)) / np.where(spread > 0.0, spread, 1.0)
    likest = int(np.argmin((away**2).sum(axis=0)))
    return Month(
        month=number,
        mean_high_c=float(highs.mean()),
        mean_low_c=float(lows.mean()),
        mean_dew_point_c=float(dew_points.mean()),
        mean_sun_wh_m2=float(sun.mean()),
        typical_day=day_label(first + likest),
    )


def _hottest(temperatures: FloatArray, dew_points: FloatArray, days: int) -> Stretch:
    """Return the stretch with the highest mean; it may wrap over the year's end."""
    daily = temperatures.mean(axis=1)
    wrapped = np.concatenate([daily, daily[: days - 1]])
    means = np.convolve(wrapped, np.full(days, 1.0 / days), mode="valid")
    first = int(np.argmax(means))
    rows = np.arange(first, first + days) % len(daily)
    return Stretch(
        first_day=day_label(first),
        days=days,
        mean_c=float(means[first]),
        high_c=float(temperatures[rows].max()),
        low_c=float(temperatures[rows].min()),
        mean_dew_point_c=float(dew_points[rows].mean()),
    )


def _dew_point(temperature_c: FloatArray, relative_humidity: FloatArray) -> FloatArray:
    share = np.clip(relative_humidity, _LEAST_HUMIDITY, 100.0) / 100.0
    dew_point: FloatArray = dew_point_array(share * saturation_pressure_array(temperature_c))
    return dew_point
