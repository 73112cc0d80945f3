"""The sun over an interval and the sky's own heat: what readers need to mend a table."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from noonhold.air.moist_air_arrays import dew_point_array, saturation_pressure_array
from noonhold.solar.interval_sun import SUBSTEPS, IntervalSun, interval_sun
from noonhold.weather.weather_table import FloatArray, Site

STEFAN_BOLTZMANN = 5.670374419e-8  # W/(m2 K4), CODATA 2018
CLOUD_GLOBAL_LOSS = 0.75
CLOUD_GLOBAL_POWER = 3.4
_LEAST_VAPOUR_PA = 1.0  # a frost point of -60 degC; keeps the logarithms of bone-dry air finite


def site_sun(
    site: Site,
    start: npt.NDArray[np.datetime64],
    interval_s: float,
    parts: int = SUBSTEPS,
) -> IntervalSun:
    """Return the sun over intervals of a site's clock.

    Parameters
    ----------
    site : Site
        Place and clock of ``start``.
    start : numpy.ndarray of datetime64, shape (n,)
        Starts of the intervals in the site's standard time.
    interval_s : float
        Length of every interval; 0 for instants. [s]
    parts : int
        Number of parts an interval is cut into.

    Returns
    -------
    IntervalSun
        See :func:`noonhold.solar.interval_sun.interval_sun`.
    """
    offset = np.timedelta64(round(site.utc_offset_h * 3.6e6), "ms")
    starts_utc = np.asarray(start.astype("datetime64[ms]") - offset, dtype="datetime64[ms]")
    return interval_sun(starts_utc, interval_s, site.latitude, site.longitude, parts)


def humidity_from_dew_point(temp_air: FloatArray, temp_dew: FloatArray) -> FloatArray:
    """Return relative humidity, capped at saturation.

    Parameters
    ----------
    temp_air, temp_dew : numpy.ndarray, shape (n,)
        Dry bulb and dew (or frost) point. [degC]

    Returns
    -------
    numpy.ndarray, shape (n,)
        [%]
    """
    ratio: FloatArray = (
        100.0 * saturation_pressure_array(temp_dew) / saturation_pressure_array(temp_air)
    )
    return np.minimum(ratio, 100.0)


def sky_infrared(
    temp_air: FloatArray, relative_humidity: FloatArray, cloud_fraction: FloatArray
) -> FloatArray:
    """Return the long-wave irradiance from the sky on a horizontal plane.

    Parameters
    ----------
    temp_air : numpy.ndarray, shape (n,)
        [degC]
    relative_humidity : numpy.ndarray, shape (n,)
        [%]
    cloud_fraction : numpy.ndarray, shape (n,)
        Opaque cloud, 0 to 1.

    Returns
    -------
    numpy.ndarray, shape (n,)
        [W/m2]

    Notes
    -----
    Clear sky by Clark and Allen [1]_, cloud by Walton [2]_, as the typical-year files that carry
    a computed infrared column have it::

        emissivity = (0.787 + 0.764 ln(Tdew / 273)) (1 + 0.0224 N - 0.0035 N^2 + 0.00028 N^3)

    with the dew point in kelvin and N in tenths; not above 1. The coefficients are those of the
    EnergyPlus Engineering Reference, "Climate calculations"; they reproduce the infrared column
    of the Denver TMY3 file (EPW) within 0.5 W/m2.

    References
    ----------
    .. [1] G. Clark, C. Allen, "The estimation of atmospheric radiation for clear and cloudy
       skies", 2nd National Passive Solar Conference, 1978.
    .. [2] G. N. Walton, "Thermal Analysis Research Program reference manual", NBSIR 83-2655,
       1983.
    """
    vapour = np.maximum(
        relative_humidity / 100.0 * saturation_pressure_array(temp_air), _LEAST_VAPOUR_PA
    )
    tenths = 10.0 * cloud_fraction
    clear = 0.787 + 0.764 * np.log((dew_point_array(vapour) + 273.15) / 273.0)
    cloudy = 1.0 + tenths * (0.0224 + tenths * (-0.0035 + tenths * 0.00028))
    emissivity: FloatArray = np.minimum(clear * cloudy, 1.0)
    return emissivity * STEFAN_BOLTZMANN * (temp_air + 273.15) ** 4


def cloud_transmission(cloud_fraction: FloatArray) -> FloatArray:
    """Return global irradiance under cloud over that of the clear sky.

    Parameters
    ----------
    cloud_fraction : numpy.ndarray
        0 to 1.

    Returns
    -------
    numpy.ndarray
        ``1 - 0.75 N^3.4``.

    References
    ----------
    .. [1] F. Kasten, G. Czeplak, "Solar and terrestrial radiation dependent on the amount and
       type of cloud", Solar Energy 24 (1980) 177, DOI 10.1016/0038-092X(80)90391-6;
       coefficients as later papers and public codes print them.
    """
    loss: FloatArray = CLOUD_GLOBAL_LOSS * cloud_fraction**CLOUD_GLOBAL_POWER
    return 1.0 - loss


def cloud_from_clearness(ghi: FloatArray, sun: IntervalSun, per_day: int) -> FloatArray:
    """Estimate the cloud of whole days from their global irradiance.

    Parameters
    ----------
    ghi : numpy.ndarray, shape (n,)
        Interval means. [W/m2]
    sun : IntervalSun
        Of the same intervals.
    per_day : int
        Intervals a day.

    Returns
    -------
    numpy.ndarray, shape (n,)
        Cloud fraction, one value a day. Days without sun take it from the days beside them;
        where no day has sun the sky is taken as clear.

    Notes
    -----
    `cloud_transmission` solved for cloud, with the clear sky of the same paper,
    ``910 cos z - 30`` W/m2, and the day's sums in place of single hours.
    """
    clear = np.maximum(910.0 * sun.cosines - 30.0, 0.0).mean(axis=1)
    day = np.arange(len(ghi)) // per_day
    clear_sum, seen_sum = np.bincount(day, clear), np.bincount(day, ghi)
    known = clear_sum > 0.05 * clear_sum.max(initial=0.0)
    if not known.any():
        return np.zeros(len(ghi))
    ratio = np.clip(seen_sum[known] / clear_sum[known], 1.0 - CLOUD_GLOBAL_LOSS, 1.0)
    cloud = ((1.0 - ratio) / CLOUD_GLOBAL_LOSS) ** (1.0 / CLOUD_GLOBAL_POWER)
    days = np.arange(len(clear_sum))
    filled: FloatArray = np.interp(days, days[known], cloud)
    return filled[day]
