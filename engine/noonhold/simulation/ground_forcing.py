"""The ground as a rig meets it: sun and shade on it, its temperature, the light it reflects."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.air.mixture import MOLAR_MASS_RATIO
from noonhold.envelope.ground_column import ground_temperatures
from noonhold.envelope.ground_surface import ground_surface
from noonhold.scenario import Ground, Place
from noonhold.simulation.controls import in_span
from noonhold.solar.sun import SolarGeometry, solar_geometry
from noonhold.weather.hot_day import DAILY_RANGE_FRACTIONS
from noonhold.weather.weather_table import WeatherTable

FloatArray = npt.NDArray[np.float64]

_DAY_S: Final = 86400
_SHADE_SAMPLES: Final = 12  # of an interval: shade changes at whole minutes
# Of a day that nobody wrote down: the daily range of the air, and the share of the sun above the
# atmosphere that reaches the ground where the record holds no sun (common practice, no source).
_USUAL_RANGE_K: Final = 12.0
_USUAL_CLEARNESS: Final = 0.6
_LEAST_SUN: Final = 1.0  # [W/m2]


class GroundForcing(NamedTuple):
    """The ground by interval, shape (n,) each."""

    ground_c: FloatArray  # surface of the open ground, NaN for as warm as the air [degC]
    under_c: FloatArray  # surface of the ground under the parked rig, NaN likewise [degC]
    lit: FloatArray  # share of the global irradiance that reaches the ground


class _Weather(NamedTuple):
    """What the ground's balance takes in, shape (n,) each; see `ground_temperatures`."""

    sunlight: FloatArray
    sky_c: FloatArray
    sky_share: FloatArray
    air_start_c: FloatArray
    air_end_c: FloatArray
    vapour_pa: FloatArray
    pressure_pa: FloatArray
    wind_m_s: FloatArray


def ground_forcing(
    place: Place,
    weather: WeatherTable,
    geometry: SolarGeometry,
    clock_hours: FloatArray,
    sky_c: FloatArray,
    wind_m_s: FloatArray,
    humidity_end: FloatArray,
    above_horizon: FloatArray,
    dome: float,
) -> GroundForcing:
    """Bring sun, shade and weather onto the ground.

    Parameters
    ----------
    place : Place
        Its ground, shade and clock.
    weather : WeatherTable
        The weather over the run, days that only settle the cabin included.
    geometry : SolarGeometry
        The sun over it.
    clock_hours : numpy.ndarray, shape (n,)
        Hour of the place's clock in the middle of each interval. [h]
    sky_c, wind_m_s, humidity_end : numpy.ndarray, shape (n,)
        Sky temperature, wind at 10 m about the rig, humidity ratio at the interval's end.
        [degC], [m/s], [kg/kg]
    above_horizon : numpy.ndarray, shape (n,)
        1 where the sun is over the far horizon, else 0.
    dome : float
        Share of the sky above the far horizon.

    Notes
    -----
    A run begins with the ground that its first day, repeated, leaves behind. Weather shorter than
    a day says nothing of the hours before it: there a day is put before it with the sun's own
    course at the clearness of the record, air that passes through the record's first temperature
    on the usual daily curve of 12 K, and the record's mean wind, humidity and sky.
    """
    beam, diffuse = _shade(place, clock_hours, weather.interval_s)
    scattered = np.minimum(weather.dhi, weather.ghi).clip(0.0)
    direct = (weather.ghi - weather.dhi).clip(0.0) * above_horizon
    reaching = direct * beam + scattered * dome * diffuse
    sunny = weather.ghi > 0.0
    lit = np.where(sunny, reaching / np.where(sunny, weather.ghi, 1.0), 1.0).clip(0.0, 1.0)
    count = len(weather)
    if place.ground is Ground.AIR_TEMPERATURE:
        return GroundForcing(np.full(count, np.nan), np.full(count, np.nan), lit)

    pressure = weather.pressure
    here = _Weather(
        reaching,
        sky_c,
        dome * diffuse,
        weather.instants_at_start("temp_air"),
        weather.temp_air,
        humidity_end * pressure / (MOLAR_MASS_RATIO + humidity_end),
        pressure,
        wind_m_s,
    )
    earlier = 0
    if count * weather.interval_s < _DAY_S:
        before = _day_before(place, weather, geometry, float(clock_hours[0]), here)
        earlier = len(before.sunlight)
        here = _Weather(*(np.concatenate(pair) for pair in zip(before, here, strict=True)))
    surface = ground_surface(place)
    dark = np.zeros(count + earlier)
    under = here._replace(sunlight=dark, sky_share=dark)
    return GroundForcing(
        ground_temperatures(surface, weather.interval_s, *here)[earlier:],
        ground_temperatures(surface, weather.interval_s, *under)[earlier:],
        lit,
    )


def _shade(place: Place, clock_hours: FloatArray, interval_s: int) -> tuple[FloatArray, FloatArray]:
    """Return what the place's shade lets through to the ground of beam and diffuse, (n,) each."""
    count = len(clock_hours)
    if not place.shade:
        return np.ones(count), np.ones(count)
    offsets = ((np.arange(_SHADE_SAMPLES) + 0.5) / _SHADE_SAMPLES - 0.5) * (interval_s / 3600.0)
    hours = (clock_hours[:, None] + offsets) % 24.0
    beam, diffuse = np.ones_like(hours), np.ones_like(hours)
    for shade in place.shade:
        if {"cabin", "ground"} & set(shade.applies_to):
            inside = in_span(hours, shade.from_hour, shade.to_hour)
            beam[inside] *= 1.0 - shade.beam_blocked
            diffuse[inside] *= 1.0 - shade.diffuse_blocked
    return beam.mean(axis=1), diffuse.mean(axis=1)


def _day_before(
    place: Place,
    weather: WeatherTable,
    geometry: SolarGeometry,
    first_clock_hour: float,
    here: _Weather,
) -> _Weather:
    """Return a likely day before weather that is shorter than one."""
    step = weather.interval_s
    count = _DAY_S // step
    site = weather.site
    starts = weather.start - np.arange(count, 0, -1) * np.timedelta64(step, "s")
    offset = np.timedelta64(round(site.utc_offset_h * 3600), "s")
    sun = solar_geometry(starts - offset, step, site.latitude, site.longitude, site.elevation_m)
    possible, there = _level_sun(sun), _level_sun(geometry)
    seen = there > _LEAST_SUN
    clearness = _USUAL_CLEARNESS
    if seen.any():
        clearness = float(np.clip(weather.ghi[seen].sum() / there[seen].sum(), 0.0, 1.0))
    hours_back: FloatArray = np.arange(count, 0, -1, dtype=np.float64) * (step / 3600.0)
    clock: FloatArray = np.mod(first_clock_hour - hours_back, 24.0)
    beam, diffuse = _shade(place, clock, step)

    since_midnight = (starts - starts.astype("datetime64[D]")).astype("timedelta64[s]")
    hour = since_midnight.astype(np.int64) / 3600.0
    edges = np.append(hour, hour[0] + 24.0)
    below_high = np.interp(edges, np.arange(1.0, 25.0), DAILY_RANGE_FRACTIONS, period=24.0)
    air = here.air_start_c[0] + _USUAL_RANGE_K * (below_high[-1] - below_high)
    middle = 0.5 * (here.air_start_c + here.air_end_c)
    sky = 0.5 * (air[:-1] + air[1:]) + float((here.sky_c - middle).mean())

    def level(values: FloatArray) -> FloatArray:
        return np.full(count, float(values.mean()))

    # A clear day's light is mostly beam: the shade's share of both is taken by a quarter and rest.
    return _Weather(
        clearness * possible * (0.75 * beam + 0.25 * diffuse),
        sky,
        float(here.sky_share.max()) * diffuse,
        air[:-1],
        air[1:],
        level(here.vapour_pa),
        level(here.pressure_pa),
        level(here.wind_m_s),
    )


def _level_sun(geometry: SolarGeometry) -> FloatArray:
    """Return the irradiance on a level plane above the atmosphere, shape (n,). [W/m2]."""
    height = geometry.mean_towards_sun[:, 2].clip(0.0)
    result: FloatArray = geometry.extraterrestrial_w_m2 * height * geometry.sunlit_fraction
    return result
