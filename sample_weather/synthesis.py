"""Invent a typical year of weather for a station of the sample region.

Time: row ``k`` of a year is the hour from ``k`` to ``k + 1``, in standard time. Radiation is
its mean; temperature, humidity, wind, pressure and cloud are instants at its end.
"""

import math
import tomllib
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from statistics import NormalDist
from typing import Any

import numpy as np
import pandas as pd
import pvlib
from numpy.typing import NDArray

Array = NDArray[np.float64]

RECIPE = Path(__file__).with_name("region.toml")
DAYS, HOURS = 365, 8760
DAY_OF_YEAR = np.repeat(np.arange(DAYS) + 1, 24)  # of each hour
KELVIN = 273.15
STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2K4, CODATA 2018
# Day of the year in the middle of each month, and the month's length.
MONTH_DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
MID_MONTH = np.cumsum(MONTH_DAYS) - MONTH_DAYS / 2.0
# Invented, of the size seen in real mountains: change with height in K/m.
HIGH_LAPSE, LOW_LAPSE, DEW_POINT_LAPSE = 0.0060, 0.0050, 0.0040
POLEWARD_COOLING = 0.45  # K per degree of latitude
DAY_PERSISTENCE = {"temperature": 0.70, "cloud": 0.50, "moisture": 0.65, "pressure": 0.65}
REGIONAL_SHARE = 0.6  # share of the day-to-day variance common to the whole region
TYPICALITY = 0.75  # share of a month's departure from its normal that is taken out
CLEAR_SKY_CEILING_M = 2000.0
CLOUD_SPREAD = 1.5  # above 1 the cover is mostly clear or overcast, as sky observations are
WEIBULL_SHAPE = 2.0


@dataclass(frozen=True)
class Station:
    """One invented place, with its zone's climate."""

    name: str
    zone: str
    latitude: float
    longitude: float
    elevation_m: float
    warmth_k: float
    number: int
    climate: Mapping[str, Any]
    year: int
    seed: int
    utc_offset_h: int
    reference_latitude: float

    @property
    def file_name(self) -> str:
        """Name of the station's file."""
        return f"{self.zone}_{self.name}.epw.gz"


@dataclass(frozen=True)
class Sun:
    """Sun of each hour: in its middle, or in the middle of the part in which the sun is up."""

    sunlit_fraction: Array
    apparent_zenith_deg: Array
    extraterrestrial_normal: Array


def read_stations(recipe: Path = RECIPE) -> list[Station]:
    """Read the region's stations in the order of the recipe."""
    table = tomllib.loads(recipe.read_text(encoding="utf-8"))
    shared = {k: table[k] for k in ("year", "seed", "utc_offset_h", "reference_latitude")}
    return [
        Station(**row, number=i, climate=table["zones"][row["zone"]], **shared)
        for i, row in enumerate(table["stations"], start=1)
    ]


# ---------------------------------------------------------------- chance and interpolation


def normal_cdf(z: Array) -> Array:
    """Cumulative standard normal."""
    return np.array([0.5 * math.erfc(-v / math.sqrt(2.0)) for v in z.ravel()]).reshape(z.shape)


def cyclic_ar1(seed: int, label: str, size: int, persistence: float) -> Array:
    """First-order autoregression of unit variance whose end runs on into its beginning.

    ``RandomState`` because numpy promises its stream never to change; a seed by label because
    then a new ingredient leaves every other one as it was.
    """
    random = np.random.RandomState(zlib.crc32(f"{seed}/{label}".encode()))
    shock = np.fft.rfft(random.standard_normal(size))
    turn = np.exp(-2j * np.pi * np.arange(shock.size) / size)
    series = np.fft.irfft(shock / (1.0 - persistence * turn), size)
    return np.asarray((series - series.mean()) / series.std())


def daily_noise(station: Station, what: str) -> Array:
    """Day-to-day series of one ingredient: a share of the region's, the rest the station's.

    The months of a typical year are chosen for lying near their normals, so most of each
    month's mean is taken out again.
    """
    persistence = DAY_PERSISTENCE[what]
    regional = cyclic_ar1(station.seed, f"region/{what}", DAYS, persistence)
    own = cyclic_ar1(station.seed, f"{station.name}/{what}", DAYS, persistence)
    series = math.sqrt(REGIONAL_SHARE) * regional + math.sqrt(1.0 - REGIONAL_SHARE) * own
    months = [month.mean() for month in np.split(series, np.cumsum(MONTH_DAYS)[:-1])]
    series = series - TYPICALITY * of_day(months)
    return np.asarray((series - series.mean()) / series.std())


def hourly_noise(station: Station, what: str, decay_h: float) -> Array:
    """Hour-to-hour series of the station alone."""
    return cyclic_ar1(station.seed, f"{station.name}/{what}", HOURS, math.exp(-1.0 / decay_h))


def of_day(monthly: Any) -> Array:
    """Daily values of twelve monthly ones, at each day's noon."""
    noons = np.arange(DAYS) + 0.5
    return np.asarray(np.interp(noons, MID_MONTH, np.asarray(monthly), period=DAYS))


def to_hours(daily: Array, persistence: float | None = None) -> Array:
    """Carry noon values to the ends of the hours; keep the variance of noise, if it is noise."""
    when = (np.arange(HOURS) + 1.0) / 24.0
    value = np.interp(when, np.arange(DAYS) + 0.5, daily, period=DAYS)
    if persistence is not None:
        part = (when - 0.5) % 1.0
        value = value / np.sqrt(1.0 - 2.0 * part * (1.0 - part) * (1.0 - persistence))
    return np.asarray(value)


def hour_mean(instant: Array) -> Array:
    """Mean of each hour from the instants at its two ends; the year closes on itself."""
    return 0.5 * (instant + np.roll(instant, 1))


# ---------------------------------------------------------------- sun


def sun_positions(station: Station, hour: Array) -> pd.DataFrame:
    """Sun position at hours since the start of the year, standard time."""
    start = pd.Timestamp(year=station.year, month=1, day=1, tz="UTC")
    offset = pd.to_timedelta(np.round((hour - station.utc_offset_h) * 3600.0), unit="s")
    table: pd.DataFrame = pvlib.solarposition.get_solarposition(
        start + offset, station.latitude, station.longitude, station.elevation_m
    )
    return table


def sun_of_hours(station: Station) -> Sun:
    """Find the sunlit part of every hour by bisection, and the sun in its middle."""

    def elevation(hour: Array) -> Array:
        return sun_positions(station, hour)["apparent_elevation"].to_numpy(dtype=float)

    begin, end = np.arange(HOURS, dtype=float), np.arange(HOURS) + 1.0
    up = elevation(np.arange(HOURS + 1, dtype=float)) > 0.0
    rises, sets = ~up[:-1] & up[1:], up[:-1] & ~up[1:]
    crossing = rises | sets
    low, high, rising = begin[crossing], end[crossing], rises[crossing]
    for _ in range(12):  # 3600 s / 2**12 is below a second
        middle = 0.5 * (low + high)
        before = (elevation(middle) > 0.0) != rising
        low, high = np.where(before, middle, low), np.where(before, high, middle)
    begin[rises], end[sets] = high[rising], low[~rising]
    fraction = np.where(up[:-1] | up[1:], end - begin, 0.0)
    at = sun_positions(station, 0.5 * (begin + end))
    extra = pvlib.irradiance.get_extra_radiation(DAY_OF_YEAR, method="spencer")
    return Sun(fraction, at["apparent_zenith"].to_numpy(dtype=float), np.asarray(extra))


# ---------------------------------------------------------------- the weather


def solar_hour(station: Station) -> Array:
    """Local mean solar time [h] at the ends of the hours."""
    shift = station.longitude / 15.0 - station.utc_offset_h
    return np.asarray((np.arange(HOURS) + 1.0 + shift) % 24.0)


def summer_weight() -> Array:
    """Daily weight from 0 in midwinter to 1 in midsummer of the southern hemisphere."""
    return np.asarray(0.5 + 0.5 * np.cos(2.0 * np.pi * (np.arange(DAYS) - 15.0) / DAYS))


def cloud_cover(station: Station) -> Array:
    """Opaque cloud cover [0..1] at the ends of the hours.

    A normal variable with slow and fast parts is bent to 0..1 by the normal cumulative; the
    middle of that variable is chosen so that the mean cover of a month is its normal.
    """
    climate = station.climate
    stretch = math.sqrt(1.0 + CLOUD_SPREAD**2)
    middle = of_day([stretch * NormalDist().inv_cdf(n) for n in climate["cloud"]])
    slow = to_hours(daily_noise(station, "cloud"), DAY_PERSISTENCE["cloud"])
    noise = math.sqrt(0.65) * slow + math.sqrt(0.35) * hourly_noise(station, "cloud hours", 3.0)
    day = np.cos(2.0 * np.pi * (solar_hour(station) - climate["cloudiest_hour"]) / 24.0)
    swing = to_hours(0.15 + 0.45 * summer_weight())
    return normal_cdf(to_hours(middle) + CLOUD_SPREAD * noise + swing * day)


def temperature(station: Station, cloud: Array) -> Array:
    """Air temperature [degC] at the ends of the hours: daily lows and highs, cosines between."""
    climate = station.climate
    height = station.elevation_m - climate["elevation_m"]
    shift = station.warmth_k - POLEWARD_COOLING * (station.reference_latitude - station.latitude)
    high = of_day(climate["high_c"]) + shift - HIGH_LAPSE * height
    low = of_day(climate["low_c"]) + shift - LOW_LAPSE * height
    swing = high - low
    # More cloud than usual: a cooler day, a milder night. More in summer, when the sun is strong.
    excess = cloud.reshape(DAYS, 24).mean(axis=1) - of_day(climate["cloud"])
    weight = 0.15 + 0.30 * summer_weight()
    warm = climate["temperature_spread_k"] * daily_noise(station, "temperature")
    high = high + warm - weight * swing * excess
    low = low + 0.7 * warm + 0.25 * swing * excess
    high = np.maximum(high, low + 1.5)

    shift_h = station.utc_offset_h - station.longitude / 15.0  # solar to standard time
    declination = pvlib.solarposition.declination_spencer71(np.arange(DAYS) + 1.0)
    half_day = np.arccos(-math.tan(math.radians(station.latitude)) * np.tan(declination))
    sunrise = 12.0 - np.degrees(half_day) / 15.0
    midnight = 24.0 * np.arange(DAYS) + shift_h
    when = np.ravel(np.column_stack([midnight + sunrise, midnight + climate["warmest_hour"]]))
    value = np.ravel(np.column_stack([low, high]))
    when = np.concatenate([when[-2:] - HOURS, when, when[:2] + HOURS])
    value = np.concatenate([value[-2:], value, value[:2]])
    hour = np.arange(HOURS) + 1.0
    left = np.searchsorted(when, hour, side="right") - 1
    part = (hour - when[left]) / (when[left + 1] - when[left])
    falling = left % 2 == 1
    part = np.where(falling, part**0.72, part)  # the evening cools faster than the small hours
    smooth = value[left] + (value[left + 1] - value[left]) * 0.5 * (1.0 - np.cos(np.pi * part))
    return np.asarray(smooth + 0.25 * hourly_noise(station, "temperature hours", 3.0))


def dew_point(station: Station, temp_air: Array) -> Array:
    """Dew point [degC] at the ends of the hours, moister on cloudy and on warm days."""
    climate = station.climate
    normal = of_day(climate["dew_point_c"]) + station.warmth_k
    normal = normal - DEW_POINT_LAPSE * (station.elevation_m - climate["elevation_m"])
    normal = normal - POLEWARD_COOLING * (station.reference_latitude - station.latitude)
    noise = 0.45 * daily_noise(station, "cloud") + 0.30 * daily_noise(station, "temperature")
    noise = noise + math.sqrt(1.0 - 0.45**2 - 0.30**2) * daily_noise(station, "moisture")
    # Warm air masses differ less in dew point: the sea that feeds them sets a ceiling.
    spread = climate["dew_point_spread_k"] * (1.3 - 0.6 * summer_weight())
    value = to_hours(normal) + to_hours(spread) * to_hours(noise, 0.6)
    dip = climate["dew_point_dip_k"] * np.cos(2.0 * np.pi * (solar_hour(station) - 15.0) / 24.0)
    value = value - dip + 0.35 * hourly_noise(station, "moisture hours", 4.0)
    return np.asarray(np.minimum(value, temp_air - 0.2))


def pressure(station: Station) -> Array:
    """Station pressure [Pa]: standard atmosphere, seasons, passing weather and the day's tide."""
    noise = -0.45 * daily_noise(station, "cloud")
    noise = noise + math.sqrt(1.0 - 0.45**2) * daily_noise(station, "pressure")
    weather = 420.0 * to_hours(noise, 0.6) - 350.0 * (to_hours(summer_weight()) - 0.5)
    tide = 90.0 * np.cos(4.0 * np.pi * (solar_hour(station) - 9.7) / 24.0)
    ratio = float(pvlib.atmosphere.alt2pres(station.elevation_m)) / 101325.0
    return np.asarray(ratio * (101325.0 + 150.0 + weather + tide))


def wind(station: Station) -> tuple[Array, Array]:
    """Wind speed [m/s] at 10 m, Weibull about a mean with a daily swing; direction it is from."""
    climate = station.climate
    slow = to_hours(daily_noise(station, "pressure"), DAY_PERSISTENCE["pressure"])
    noise = -0.5 * slow + math.sqrt(0.75) * hourly_noise(station, "wind hours", 5.0)
    day = np.cos(2.0 * np.pi * (solar_hour(station) - 15.5) / 24.0)
    mean = to_hours(of_day(climate["wind_m_s"])) * (1.0 + climate["wind_day_swing"] * day)
    scale = mean / math.gamma(1.0 + 1.0 / WEIBULL_SHAPE)
    speed = scale * (-np.log(normal_cdf(-noise))) ** (1.0 / WEIBULL_SHAPE)
    share = 0.5 + 0.5 * day
    by_day, by_night = (math.radians(climate[f"wind_from_{x}_deg"]) for x in ("day", "night"))
    east = share * math.sin(by_day) + (1.0 - share) * math.sin(by_night)
    north = share * math.cos(by_day) + (1.0 - share) * math.cos(by_night)
    veer = 35.0 * hourly_noise(station, "wind direction", 8.0)
    return speed, np.asarray((np.degrees(np.arctan2(east, north)) + veer) % 360.0)


def radiation(
    station: Station, sun: Sun, cloud: Array, pressure_pa: Array
) -> tuple[Array, Array, Array]:
    """Global, direct normal and diffuse radiation, means of the hours [W/m2].

    Clear sky by Ineichen and Perez (2002, doi:10.1016/j.solener.2002.04.001) with the zone's
    Linke turbidity. Its height terms are held at 2000 m, for above they tend to more than any
    sky lets through; its air mass follows the true pressure. The global part is thinned by
    Kasten and Czeplak (1980, doi:10.1016/0038-092X(80)90391-6), ``G/G0 = 1 - 0.75 N**3.4``,
    with some scatter under broken cloud. The beam is that of DISC (Maxwell, 1987,
    SERI/TR-215-3087), never above the clear sky's.
    The diffuse part is what is left, so that the three agree at the sun of the hour.
    """
    is_up = sun.sunlit_fraction > 0.0
    zenith = sun.apparent_zenith_deg[is_up]
    cosine = np.cos(np.radians(zenith))
    fraction = sun.sunlit_fraction[is_up]
    mean_pressure = hour_mean(pressure_pa)[is_up]
    air_mass = pvlib.atmosphere.get_relative_airmass(zenith)
    clear = pvlib.clearsky.ineichen(
        zenith,
        pvlib.atmosphere.get_absolute_airmass(air_mass, mean_pressure),
        np.repeat(of_day(station.climate["linke"]), 24)[is_up],
        min(station.elevation_m, CLEAR_SKY_CEILING_M),
        sun.extraterrestrial_normal[is_up],
    )
    cover = hour_mean(cloud)[is_up]
    scatter = 0.35 * cover * (1.0 - cover) * hourly_noise(station, "broken cloud", 1.0)[is_up]
    ghi = clear["ghi"] * np.clip(1.0 - 0.75 * cover**3.4 + scatter, 0.10, 1.03)
    disc = pvlib.irradiance.disc(ghi, zenith, DAY_OF_YEAR[is_up], pressure=mean_pressure)
    dni = np.minimum(disc["dni"], clear["dni"])
    dhi = np.maximum(ghi - dni * cosine, 0.0)
    # Round the beam and the diffuse first: then the sum stays closed to half a unit.
    dni, dhi = np.round(dni * fraction), np.round(dhi * fraction)
    hours = np.zeros((3, HOURS))
    hours[:, is_up] = np.round(dni * cosine + dhi), dni, dhi
    return hours[0], hours[1], hours[2]


def infrared(temp_air: Array, dew_point_c: Array, cloud: Array) -> Array:
    """Horizontal infrared from the sky, mean of the hour [W/m2].

    Clear-sky emissivity by Clark and Allen (1978) with the cloud correction of Walton (1983),
    the pair that the EnergyPlus Engineering Reference gives for EPW files.
    """
    tenths = 10.0 * hour_mean(cloud)
    clear = 0.787 + 0.764 * np.log((hour_mean(dew_point_c) + KELVIN) / 273.0)
    emissivity = clear * (1.0 + 0.0224 * tenths - 0.0035 * tenths**2 + 0.00028 * tenths**3)
    mean_k = hour_mean(temp_air) + KELVIN
    return np.asarray(np.minimum(emissivity, 1.0) * STEFAN_BOLTZMANN * mean_k**4)


def relative_humidity(temp_air: Array, dew_point_c: Array) -> Array:
    """Relative humidity [%] over water, Magnus form of Alduchov and Eskridge (1996)."""

    def exponent(t: Array) -> Array:
        return 17.625 * t / (243.04 + t)

    return np.asarray(100.0 * np.exp(exponent(dew_point_c) - exponent(temp_air)))


def weather(station: Station) -> pd.DataFrame:
    """All modelled columns of a station's year, rounded as the file shows them."""
    sun = sun_of_hours(station)
    cloud = cloud_cover(station)
    temp_air = np.round(temperature(station, cloud), 1)
    temp_dew = np.round(dew_point(station, temp_air), 1)
    pressure_pa = np.round(pressure(station), -1)  # a barometer is read to 0.1 hPa
    ghi, dni, dhi = radiation(station, sun, cloud, pressure_pa)
    etrn = sun.extraterrestrial_normal * sun.sunlit_fraction
    speed, direction = wind(station)
    speed = np.round(speed, 1)
    direction = np.where(speed == 0.0, 0.0, np.where(direction < 0.5, 360.0, np.round(direction)))
    thin = 0.25 * normal_cdf(hourly_noise(station, "thin cloud", 6.0))
    return pd.DataFrame(
        {
            "temp_air": temp_air,
            "temp_dew": temp_dew,
            "relative_humidity": np.round(relative_humidity(temp_air, temp_dew)),
            "atmospheric_pressure": pressure_pa,
            "etr": np.round(etrn * np.maximum(np.cos(np.radians(sun.apparent_zenith_deg)), 0.0)),
            "etrn": np.round(etrn),
            "ghi_infrared": np.round(infrared(temp_air, temp_dew, cloud)),
            "ghi": ghi,
            "dni": dni,
            "dhi": dhi,
            "wind_direction": direction,
            "wind_speed": speed,
            "total_sky_cover": np.round(10.0 * np.minimum(cloud + thin * (1.0 - cloud), 1.0)),
            "opaque_sky_cover": np.round(10.0 * cloud),
        }
    )
