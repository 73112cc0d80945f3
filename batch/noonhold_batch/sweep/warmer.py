"""The same weather some kelvin warmer: a plain way to see how feasibility moves."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from noonhold.air.moist_air_arrays import saturation_pressure_array
from noonhold.weather.weather_table import INSTANT_COLUMNS, FloatArray, WeatherTable

_ZERO_CELSIUS_K = 273.15
# Land warms by up to some 8 K over this century where most is emitted (IPCC AR6 WG1, SSP5-8.5 in
# high latitudes; from memory): more is a slip of the keyboard.
MOST_KELVIN = 10.0
Humidity = Literal["relative", "absolute"]


@dataclass(frozen=True)
class Warming:
    """A shift of temperature and what stays as it was.

    Parameters
    ----------
    kelvin : float
        Added to every temperature. [K]
    humidity : str
        ``relative``: the relative humidity stays; ``absolute``: the vapour pressure stays, as far
        as the air can hold it.
    """

    kelvin: float
    humidity: Humidity

    @property
    def text(self) -> str:
        """Return the shift in words, for a result's attributes and notes."""
        return (
            f"{self.kelvin:+g} K at every hour, {self.humidity} humidity kept, emissivity of the"
            " sky kept; sun, wind and pressure unchanged"
        )


def warmed(weather: WeatherTable, warming: Warming) -> WeatherTable:
    """Return weather some kelvin warmer.

    Parameters
    ----------
    weather : WeatherTable
        As read.
    warming : Warming
        How much, and which humidity stays.

    Returns
    -------
    WeatherTable
        With a note that says so.

    Notes
    -----
    Long wave from the sky grows with the fourth power of the absolute air temperature, which
    keeps the emissivity of the sky; the air is that of the interval's middle.
    """
    place = INSTANT_COLUMNS.index
    temp, humidity = _shifted(weather.temp_air, weather.relative_humidity, warming)
    opening = weather.opening
    if opening is not None:
        opening = opening.copy()
        first, wet = place("temp_air"), place("relative_humidity")
        shifted, moist = _shifted(opening[[first]], opening[[wet]], warming)
        opening[first], opening[wet] = shifted[0], moist[0]
    middle = 0.5 * (weather.instants_at_start("temp_air") + weather.temp_air) + _ZERO_CELSIUS_K
    return replace(
        weather,
        temp_air=temp,
        relative_humidity=humidity,
        horizontal_infrared=weather.horizontal_infrared * (1.0 + warming.kelvin / middle) ** 4,
        opening=opening,
        notes=(*weather.notes, warming.text),
    )


def _shifted(
    temp: FloatArray, humidity: FloatArray, warming: Warming
) -> tuple[FloatArray, FloatArray]:
    """Return temperature and relative humidity after the shift. [degC], [%]."""
    warm = temp + warming.kelvin
    if warming.humidity == "relative":
        return warm, humidity.copy()
    ratio = saturation_pressure_array(temp) / saturation_pressure_array(warm)
    return warm, np.minimum(humidity * ratio, 100.0)
