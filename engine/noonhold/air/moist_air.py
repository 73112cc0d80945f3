"""Moist air as a mixture of ideal gases: compiled scalars that any kernel may call.

Every function takes floats in SI and degC and returns one float, by the 2017 ASHRAE Handbook -
Fundamentals (SI), chapter 1, "Psychrometrics" [1]_; the equation numbers below are of that
chapter. Humidity ratio is in kg of water per kg of dry air, enthalpy and specific heat are per
kg of dry air, and relative humidity is a fraction. Outside a function's domain, and for NaN,
the answer is NaN: nothing here raises, clips or fills. `noonhold.air.moist_air_arrays` has the same
functions over arrays.

References
----------
.. [1] ASHRAE, "2017 ASHRAE Handbook - Fundamentals, SI edition", chapter 1, Atlanta, 2017.
"""

import math

from numba import njit

from noonhold.air.mixture import (
    DRY_AIR_GAS_CONSTANT,
    DRY_AIR_SPECIFIC_HEAT,
    MOLAR_MASS_RATIO,
    STANDARD_PRESSURE_PA,
    VAPOUR_ENTHALPY_AT_ZERO,
    VAPOUR_SPECIFIC_HEAT,
)
from noonhold.air.saturation import (
    HIGHEST_C,
    LOWEST_C,
    MOST_STEPS,
    TRIPLE_POINT_C,
    TRIPLE_POINT_PA,
    ZERO_CELSIUS_K,
    dew_point,
    saturation_pressure,
)
from noonhold.air.saturation_table import saturated
from noonhold.air.wet_bulb import (
    LAST_STEP_K,
    humidity_ratio_from_wet_bulb,
    saturated_guess,
    wet_bulb,
)

__all__ = [
    "density",
    "dew_point",
    "dry_air_density",
    "enthalpy",
    "humidity_ratio",
    "humidity_ratio_from_rh",
    "humidity_ratio_from_wet_bulb",
    "relative_humidity",
    "saturated_temperature_from_enthalpy",
    "saturation_humidity_ratio",
    "saturation_pressure",
    "specific_heat",
    "standard_pressure",
    "temperature_from_enthalpy",
    "vapour_pressure",
    "wet_bulb",
]


@njit(cache=True, nogil=True)
def humidity_ratio(vapour_pressure_pa: float, pressure_pa: float) -> float:
    """Humidity ratio from the partial pressure of the vapour, equation 20.

    Parameters
    ----------
    vapour_pressure_pa : float
        Partial pressure of water vapour, from 0 to below `pressure_pa`. [Pa]
    pressure_pa : float
        Total pressure. [Pa]

    Returns
    -------
    float
        Humidity ratio. [kg/kg dry air]
    """
    if not 0.0 <= vapour_pressure_pa < pressure_pa:
        return math.nan
    return MOLAR_MASS_RATIO * vapour_pressure_pa / (pressure_pa - vapour_pressure_pa)


@njit(cache=True, nogil=True)
def vapour_pressure(humidity_ratio: float, pressure_pa: float) -> float:
    """Partial pressure of the vapour, equation 20 turned round.

    Parameters
    ----------
    humidity_ratio : float
        Humidity ratio, not negative. [kg/kg dry air]
    pressure_pa : float
        Total pressure. [Pa]

    Returns
    -------
    float
        Partial pressure of water vapour. [Pa]
    """
    if not (humidity_ratio >= 0.0 and pressure_pa > 0.0):
        return math.nan
    return pressure_pa * humidity_ratio / (MOLAR_MASS_RATIO + humidity_ratio)


@njit(cache=True, nogil=True)
def saturation_humidity_ratio(temp_c: float, pressure_pa: float) -> float:
    """Humidity ratio of saturated air, equation 21; NaN from the boiling point upwards.

    Parameters
    ----------
    temp_c : float
        Dry-bulb temperature. [degC]
    pressure_pa : float
        Total pressure. [Pa]

    Returns
    -------
    float
        Humidity ratio. [kg/kg dry air]
    """
    if not LOWEST_C <= temp_c <= HIGHEST_C:
        return math.nan
    return humidity_ratio(saturated(temp_c, temp_c < TRIPLE_POINT_C)[0], pressure_pa)


@njit(cache=True, nogil=True)
def humidity_ratio_from_rh(temp_c: float, rh_fraction: float, pressure_pa: float) -> float:
    """Humidity ratio from relative humidity, equations 20 and 22.

    Parameters
    ----------
    temp_c : float
        Dry-bulb temperature. [degC]
    rh_fraction : float
        Relative humidity, not negative; above 1 is supersaturated and taken as it is. [-]
    pressure_pa : float
        Total pressure. [Pa]

    Returns
    -------
    float
        Humidity ratio. [kg/kg dry air]

    Notes
    -----
    Relative humidity is over ice below 0.01 degC, as the Handbook has it. A weather station
    reports it over liquid water at any temperature (WMO); below freezing the two differ.
    """
    return humidity_ratio(rh_fraction * saturation_pressure(temp_c), pressure_pa)


@njit(cache=True, nogil=True)
def relative_humidity(temp_c: float, humidity_ratio: float, pressure_pa: float) -> float:
    """Relative humidity from humidity ratio, equation 22; above 1 when supersaturated.

    Parameters
    ----------
    temp_c : float
        Dry-bulb temperature. [degC]
    humidity_ratio : float
        Humidity ratio. [kg/kg dry air]
    pressure_pa : float
        Total pressure. [Pa]

    Returns
    -------
    float
        Relative humidity as a fraction. [-]
    """
    return vapour_pressure(humidity_ratio, pressure_pa) / saturation_pressure(temp_c)


@njit(cache=True, nogil=True)
def specific_heat(humidity_ratio: float) -> float:
    """Specific heat of moist air at constant pressure, the slope of equation 30.

    Parameters
    ----------
    humidity_ratio : float
        Humidity ratio. [kg/kg dry air]

    Returns
    -------
    float
        Specific heat. [J/(kg dry air K)]
    """
    return DRY_AIR_SPECIFIC_HEAT + VAPOUR_SPECIFIC_HEAT * humidity_ratio


@njit(cache=True, nogil=True)
def enthalpy(temp_c: float, humidity_ratio: float) -> float:
    """Enthalpy of moist air, zero for dry air and liquid water at 0 degC, equation 30.

    Parameters
    ----------
    temp_c : float
        Dry-bulb temperature. [degC]
    humidity_ratio : float
        Humidity ratio. [kg/kg dry air]

    Returns
    -------
    float
        Enthalpy. [J/kg dry air]
    """
    return specific_heat(humidity_ratio) * temp_c + VAPOUR_ENTHALPY_AT_ZERO * humidity_ratio


@njit(cache=True, nogil=True)
def temperature_from_enthalpy(enthalpy: float, humidity_ratio: float) -> float:
    """Dry-bulb temperature from enthalpy, equation 30 turned round.

    Parameters
    ----------
    enthalpy : float
        Enthalpy. [J/kg dry air]
    humidity_ratio : float
        Humidity ratio. [kg/kg dry air]

    Returns
    -------
    float
        Dry-bulb temperature. [degC]
    """
    return (enthalpy - VAPOUR_ENTHALPY_AT_ZERO * humidity_ratio) / specific_heat(humidity_ratio)


@njit(cache=True, nogil=True)
def dry_air_density(temp_c: float, humidity_ratio: float, pressure_pa: float) -> float:
    """Mass of dry air in a volume of moist air: one over the specific volume of equation 26.

    Parameters
    ----------
    temp_c : float
        Dry-bulb temperature, above absolute zero. [degC]
    humidity_ratio : float
        Humidity ratio, not negative. [kg/kg dry air]
    pressure_pa : float
        Total pressure, positive. [Pa]

    Returns
    -------
    float
        Density of the dry air. [kg dry air/m3]
    """
    temp_k = temp_c + ZERO_CELSIUS_K
    if not (temp_k > 0.0 and humidity_ratio >= 0.0 and pressure_pa > 0.0):
        return math.nan
    volume_factor = 1.0 + humidity_ratio / MOLAR_MASS_RATIO
    return pressure_pa / (DRY_AIR_GAS_CONSTANT * temp_k * volume_factor)


@njit(cache=True, nogil=True)
def density(temp_c: float, humidity_ratio: float, pressure_pa: float) -> float:
    """Mass of moist air in its volume, equations 11 and 26.

    Parameters
    ----------
    temp_c : float
        Dry-bulb temperature, above absolute zero. [degC]
    humidity_ratio : float
        Humidity ratio, not negative. [kg/kg dry air]
    pressure_pa : float
        Total pressure, positive. [Pa]

    Returns
    -------
    float
        Density. [kg moist air/m3]
    """
    return (1.0 + humidity_ratio) * dry_air_density(temp_c, humidity_ratio, pressure_pa)


@njit(cache=True, nogil=True)
def standard_pressure(elevation_m: float) -> float:
    """Pressure of the standard atmosphere, equation 3.

    Parameters
    ----------
    elevation_m : float
        Elevation above sea level, -5000 to 11000. [m]

    Returns
    -------
    float
        Pressure. [Pa]
    """
    if not -5000.0 <= elevation_m <= 11000.0:
        return math.nan
    return float(STANDARD_PRESSURE_PA * (1.0 - 2.25577e-5 * elevation_m) ** 5.2559)


@njit(cache=True, nogil=True)
def saturated_temperature_from_enthalpy(enthalpy: float, pressure_pa: float) -> float:
    """Temperature of the saturated air that has this enthalpy: equations 21 and 30 solved.

    Parameters
    ----------
    enthalpy : float
        Enthalpy of saturated air. [J/kg dry air]
    pressure_pa : float
        Total pressure. [Pa]

    Returns
    -------
    float
        Temperature, to below 1e-6 K; NaN outside -100 to 200 degC. [degC]

    Notes
    -----
    Multiplied by :math:`p - p_s(t)` the balance is convex in :math:`t`, as in `wet_bulb`.
    """
    if not (math.isfinite(enthalpy) and pressure_pa > TRIPLE_POINT_PA):
        return math.nan
    ratio_at_triple = MOLAR_MASS_RATIO * TRIPLE_POINT_PA / (pressure_pa - TRIPLE_POINT_PA)
    ice = enthalpy < (
        specific_heat(ratio_at_triple) * TRIPLE_POINT_C + VAPOUR_ENTHALPY_AT_ZERO * ratio_at_triple
    )
    temp_c = max(saturated_guess(enthalpy), LOWEST_C)
    for _ in range(MOST_STEPS):
        saturated_pa, slope_pa = saturated(temp_c, ice)
        vapour_enthalpy = VAPOUR_ENTHALPY_AT_ZERO + VAPOUR_SPECIFIC_HEAT * temp_c
        missing = enthalpy - DRY_AIR_SPECIFIC_HEAT * temp_c
        surplus = (
            MOLAR_MASS_RATIO * saturated_pa * vapour_enthalpy
            - (pressure_pa - saturated_pa) * missing
        )
        slope = (
            MOLAR_MASS_RATIO * (slope_pa * vapour_enthalpy + saturated_pa * VAPOUR_SPECIFIC_HEAT)
            + slope_pa * missing
            + (pressure_pa - saturated_pa) * DRY_AIR_SPECIFIC_HEAT
        )
        step = surplus / slope
        temp_c -= step
        if abs(step) < LAST_STEP_K:
            break
    return temp_c if LOWEST_C <= temp_c <= HIGHEST_C else math.nan
