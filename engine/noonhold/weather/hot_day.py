"""The invented hot day: weather at any place from a high, a low, a dew point and a cloud."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd
import pvlib

from noonhold.air.moist_air import standard_pressure
from noonhold.errors import DocumentError, Fault
from noonhold.quantities import INPUTS
from noonhold.solar.interval_sun import SUBSTEPS
from noonhold.weather.clock import DAY_S
from noonhold.weather.sky import (
    cloud_transmission,
    humidity_from_dew_point,
    sky_infrared,
)
from noonhold.weather.timeline import interval_faults
from noonhold.weather.weather_table import FloatArray, Site, WeatherTable

# Fraction of the daily range below the high, hours 1 to 24: ASHRAE Handbook of Fundamentals
# (2021), chapter 14, table 6, p. 14.13.
DAILY_RANGE_FRACTIONS = (
    *(0.88, 0.92, 0.95, 0.98, 1.00, 0.98, 0.91, 0.74, 0.55, 0.38, 0.23, 0.13),
    *(0.05, 0.00, 0.00, 0.06, 0.14, 0.24, 0.39, 0.50, 0.59, 0.68, 0.75, 0.82),
)
HOUR_OF_HIGH = 14.5  # the middle of the table's two hours at the high
# A leap year, sixty days that settle a cabin before it, and a day on either side for the clock.
MOST_DAYS = int(INPUTS["days"].upper + INPUTS["spin_up_days"].upper) + 2


@dataclass(frozen=True)
class HotDay:
    """A day as a person would describe it.

    Parameters
    ----------
    date : datetime.date
        Sets the sun.
    high_c, low_c : float
        Highest and lowest temperature. [degC]
    dew_point_c : float
        Held through the day, where it is not above the air. [degC]
    wind_speed_m_s : float
        At 10 m above open ground, constant through the day. [m/s]
    cloud_fraction : float
        0 to 1, outside the spans.
    cloud_spans : tuple of (from_h, to_h, fraction)
        Hours of the site's standard time, 0 to 24, and the cloud between them; a later span
        wins; one with ``from_h`` after ``to_h`` runs over midnight.
    days : int
        How often the day is repeated; the sun moves on.
    pressure_pa : float, optional
        By default the standard atmosphere at the site's elevation. [Pa]
    hour_of_high : float, optional
        Hour of standard time of the high, by default 14.5; the whole curve moves with it. [h]
    """

    date: date
    high_c: float
    low_c: float
    dew_point_c: float
    wind_speed_m_s: float
    cloud_fraction: float = 0.0
    cloud_spans: tuple[tuple[float, float, float], ...] = ()
    days: int = 1
    pressure_pa: float | None = None
    hour_of_high: float | None = None


def _faults(day: HotDay) -> list[Fault]:
    """Return everything that stands against a day."""
    checks: list[tuple[str, float, float, float]] = [
        (f"/{name}", getattr(day, name), INPUTS[name].lower, INPUTS[name].upper)
        for name in ("high_c", "low_c", "dew_point_c", "wind_speed_m_s", "cloud_fraction")
    ]
    checks.append(("/days", day.days, 1, MOST_DAYS))
    if day.pressure_pa is not None:
        air = INPUTS["pressure_pa"]
        checks.append(("/pressure_pa", day.pressure_pa, air.lower, air.upper))
    if day.hour_of_high is not None:
        checks.append(("/hour_of_high", day.hour_of_high, 0.0, 24.0))
    cloud = INPUTS["cloud_fraction"]
    for number, (begin, end, fraction) in enumerate(day.cloud_spans):
        where = f"/cloud_spans/{number}"
        checks += [(f"{where}/0", begin, 0.0, 24.0), (f"{where}/1", end, 0.0, 24.0)]
        checks.append((f"{where}/2", fraction, cloud.lower, cloud.upper))
    faults = [
        Fault(path, f"{path.split('/')[1]} is {value:g}", value, f"{low:g} to {high:g}")
        for path, value, low, high in checks
        if not low <= value <= high
    ]
    if day.low_c > day.high_c:
        faults.append(Fault("/low_c", "the low is above the high", day.low_c, "at most high_c"))
    if day.dew_point_c > day.high_c:
        message = "the dew point is above the high"
        faults.append(Fault("/dew_point_c", message, day.dew_point_c, "at most high_c"))
    return faults


def day_curve(day: HotDay, hour: FloatArray) -> FloatArray:
    """Return the temperature at hours of the day.

    Parameters
    ----------
    day : HotDay
        High, low and the hour of the high.
    hour : numpy.ndarray
        Hours of standard time; any real number, the day repeats.

    Returns
    -------
    numpy.ndarray, shape of ``hour``
        [degC]
    """
    shift = 0.0 if day.hour_of_high is None else day.hour_of_high - HOUR_OF_HIGH
    hours = np.arange(1.0, 25.0)
    fraction = np.interp(hour - shift, hours, DAILY_RANGE_FRACTIONS, period=24.0)
    curve: FloatArray = day.high_c - (day.high_c - day.low_c) * fraction
    return curve


def _cloud(day: HotDay, hour: FloatArray) -> FloatArray:
    """Return the cloud fraction at hours of the day."""
    cloud = np.full(hour.shape, float(day.cloud_fraction))
    for begin, end, fraction in day.cloud_spans:
        after, before = hour >= begin, hour < end
        cloud[after & before if begin <= end else after | before] = fraction
    return cloud


def _irradiance(
    site: Site, first: date, middles_h: FloatArray, cloud: FloatArray
) -> dict[str, FloatArray]:
    """Return global, direct and diffuse irradiance at instants, hours from the first midnight."""
    seconds = np.round((middles_h - site.utc_offset_h) * 3600.0).astype("timedelta64[s]")
    times = pd.DatetimeIndex(np.datetime64(first, "s") + seconds).tz_localize("UTC")
    place = pvlib.location.Location(site.latitude, site.longitude, "UTC", site.elevation_m)
    clear = place.get_clearsky(times, model="ineichen")
    ghi, dni = clear["ghi"].to_numpy(), clear["dni"].to_numpy()
    beam_kept = cloud_transmission(cloud) * (1.0 - cloud**2)
    beam_horizontal = (ghi - clear["dhi"].to_numpy()) * beam_kept
    thinned = ghi * cloud_transmission(cloud)
    return {"ghi": thinned, "dni": dni * beam_kept, "dhi": thinned - beam_horizontal}


def hot_day(site: Site, day: HotDay, interval_s: int = 3600) -> WeatherTable:
    """Make the weather table of an invented day.

    Parameters
    ----------
    site : Site
        Where, and the clock of the day.
    day : HotDay
        What the day is like.
    interval_s : int
        Length of an interval; divides an hour. [s]

    Returns
    -------
    WeatherTable
        From midnight to midnight, ``day.days`` times, with the instants before the first
        interval, and in its notes everything that was assumed.

    Raises
    ------
    DocumentError
        Naming every figure that cannot be.

    Notes
    -----
    Clear sky by Ineichen and Perez [1]_ with the monthly Linke turbidity that pvlib ships, at
    the middle of every twelfth of an interval. Cloud N thins it by Kasten and Czeplak [2]_::

        GHI = GHI_clear (1 - 0.75 N^3.4)
        DHI = GHI (f + (1 - f) N^2),  f = DHI_clear / GHI_clear

    Their own f is 0.3 (coefficients from memory); with the clear sky's the two meet at N = 0,
    and ``GHI = DNI cos z + DHI`` holds at every instant. Temperature runs between low and high
    by the ASHRAE fractions of the daily range, straight between full hours of standard time.

    References
    ----------
    .. [1] P. Ineichen, R. Perez, "A new airmass independent formulation for the Linke turbidity
       coefficient", Solar Energy 73 (2002) 151, DOI 10.1016/S0038-092X(02)00045-2.
    .. [2] F. Kasten, G. Czeplak, Solar Energy 24 (1980) 177, DOI 10.1016/0038-092X(80)90391-6.
    """
    faults = _faults(day) + interval_faults("/interval_s", interval_s)
    if faults:
        raise DocumentError(faults)
    step_h = interval_s / 3600.0
    count = day.days * DAY_S // interval_s
    begins_h = np.arange(count) * step_h
    middles_h = begins_h[:, None] + (np.arange(SUBSTEPS) + 0.5) * step_h / SUBSTEPS
    cloud = _cloud(day, middles_h % 24.0)
    light = _irradiance(site, day.date, middles_h.ravel(), cloud.ravel())
    means = {name: parts.reshape(cloud.shape).mean(axis=1) for name, parts in light.items()}
    pressure = day.pressure_pa
    if pressure is None:
        pressure = standard_pressure(site.elevation_m)
    air = day_curve(day, np.concatenate(([0.0], begins_h + step_h)))
    dew = np.minimum(air, day.dew_point_c)
    humidity = humidity_from_dew_point(air, dew)
    mean_air = day_curve(day, middles_h).mean(axis=1)
    mean_humidity = humidity_from_dew_point(mean_air, np.minimum(mean_air, day.dew_point_c))
    return WeatherTable(
        site=site,
        start=np.datetime64(day.date, "s"),
        interval_s=interval_s,
        **means,
        horizontal_infrared=sky_infrared(mean_air, mean_humidity, cloud.mean(axis=1)),
        temp_air=air[1:],
        relative_humidity=humidity[1:],
        pressure=np.full(count, pressure),
        wind_speed=np.full(count, float(day.wind_speed_m_s)),
        full_year=False,
        day_repeats=True,
        opening=np.array([air[0], humidity[0], pressure, day.wind_speed_m_s]),
        notes=_notes(site, day, pressure),
    )


def _notes(site: Site, day: HotDay, pressure: float) -> tuple[str, ...]:
    """Return everything the day was made with that nobody stated."""
    high = HOUR_OF_HIGH if day.hour_of_high is None else day.hour_of_high
    notes = [
        "invented day: clear sky by Ineichen and Perez with tabled Linke turbidity, cloud by"
        " Kasten and Czeplak; sky infrared by Clark and Allen with Walton's cloud factor",
        "temp_air: between low and high by ASHRAE's fractions of the daily range, highest at"
        f" {high:g} h of UTC{site.utc_offset_h:+g} h",
        "dew point and wind speed held constant",
    ]
    if day.pressure_pa is None:
        notes.append(f"pressure: {pressure:.0f} Pa of the standard atmosphere taken")
    if day.dew_point_c > day.low_c:
        notes.append("relative_humidity: saturated while the air is colder than the dew point")
    if day.days > 1:
        notes.append(f"the day is repeated {day.days} times; only the sun moves on")
    return tuple(notes)
