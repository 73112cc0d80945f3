"""The wet bulb: a wick that evaporates into moist air, and the air that a wet bulb belongs to.

Compiled scalars like those of `air.moist_air`, which offers them too; the equation numbers are
of the same chapter [1]_.

References
----------
.. [1] ASHRAE, "2017 ASHRAE Handbook - Fundamentals, SI edition", chapter 1, Atlanta, 2017.
"""

import math
from typing import Final

from noonhold.air.mixture import (
    DRY_AIR_SPECIFIC_HEAT,
    MOLAR_MASS_RATIO,
    VAPOUR_ENTHALPY_AT_ZERO,
    VAPOUR_SPECIFIC_HEAT,
)
from noonhold.air.saturation import (
    HIGHEST_C,
    LOWEST_C,
    MOST_STEPS,
)
from noonhold.air.saturation_table import FREEZING_WATER_PA, saturated
from noonhold.numerics.compiled import kernel

# A wick in equations 33 (water, whose latent heat at 0 degC is the vapour's enthalpy) and 35 (ice).
WATER_LATENT_SLOPE = 2326.0  # J/(kg K)
WATER_SPECIFIC_HEAT = 4186.0  # J/(kg K)
ICE_LATENT_AT_ZERO = 2.830e6  # J/kg
ICE_LATENT_SLOPE = 240.0  # J/(kg K)
ICE_SPECIFIC_HEAT = 2100.0  # J/(kg K)


# Newton's error after a step is of the step's square: below 1e-7 K after one as short as this.
LAST_STEP_K: Final = 1e-3
# Enthalpy of saturated air at 0 degC times its p - ps: air of less leaves no water unfrozen.
_FREEZING_WICK_PA_J_KG: Final = MOLAR_MASS_RATIO * FREEZING_WATER_PA * VAPOUR_ENTHALPY_AT_ZERO


@kernel
def saturated_guess(enthalpy: float) -> float:
    """Temperature of saturated air by its enthalpy [J/kg]: within 2 K at sea level, to 50 degC."""
    above = 1e-3 * enthalpy - 9.5  # over that at freezing
    return above / (1.733 + 0.01398 * above) if above > 0.0 else above / 1.4


@kernel
def _wick(frozen: bool) -> tuple[float, float, float]:
    """Latent heat at 0 degC, its fall with temperature, and the wick's specific heat."""
    if frozen:
        return ICE_LATENT_AT_ZERO, ICE_LATENT_SLOPE, ICE_SPECIFIC_HEAT
    return VAPOUR_ENTHALPY_AT_ZERO, WATER_LATENT_SLOPE, WATER_SPECIFIC_HEAT


@kernel
def _wick_surplus(
    wick_c: float, frozen: bool, temp_c: float, humidity_ratio: float, pressure_pa: float
) -> tuple[float, float]:
    """Equation 33 (35 when frozen) as a balance times p - ps(wick), and its slope."""
    latent, latent_slope, capacity = _wick(frozen)
    saturated_pa, slope_pa = saturated(wick_c, frozen)
    evaporation = latent - latent_slope * wick_c
    heat = DRY_AIR_SPECIFIC_HEAT * (temp_c - wick_c) + humidity_ratio * (
        latent + VAPOUR_SPECIFIC_HEAT * temp_c - capacity * wick_c
    )
    heat_slope = DRY_AIR_SPECIFIC_HEAT + humidity_ratio * capacity
    surplus = MOLAR_MASS_RATIO * saturated_pa * evaporation - (pressure_pa - saturated_pa) * heat
    slope = (
        MOLAR_MASS_RATIO * (slope_pa * evaporation - saturated_pa * latent_slope)
        + slope_pa * heat
        + (pressure_pa - saturated_pa) * heat_slope
    )
    return surplus, slope


@kernel
def humidity_ratio_from_wet_bulb(temp_c: float, wet_bulb_c: float, pressure_pa: float) -> float:
    """Humidity ratio from wet-bulb temperature, equation 33, below 0 degC equation 35.

    Parameters
    ----------
    temp_c : float
        Dry-bulb temperature. [degC]
    wet_bulb_c : float
        Thermodynamic wet-bulb temperature, at most `temp_c`. [degC]
    pressure_pa : float
        Total pressure. [Pa]

    Returns
    -------
    float
        Humidity ratio; NaN when no moist air has this pair of temperatures. [kg/kg dry air]
    """
    if not LOWEST_C <= wet_bulb_c <= temp_c <= HIGHEST_C:
        return math.nan
    frozen = wet_bulb_c < 0.0
    latent, latent_slope, capacity = _wick(frozen)
    saturated_pa, _ = saturated(wet_bulb_c, frozen)
    saturated_ratio = MOLAR_MASS_RATIO * saturated_pa / (pressure_pa - saturated_pa)
    moist = (
        (latent - latent_slope * wet_bulb_c) * saturated_ratio
        - DRY_AIR_SPECIFIC_HEAT * (temp_c - wet_bulb_c)
    ) / (latent + VAPOUR_SPECIFIC_HEAT * temp_c - capacity * wet_bulb_c)
    return moist if moist >= 0.0 and saturated_pa < pressure_pa else math.nan


@kernel
def wet_bulb(temp_c: float, humidity_ratio: float, pressure_pa: float) -> float:
    """Thermodynamic wet-bulb temperature: equations 33 and 35 solved to below 1e-6 K.

    Parameters
    ----------
    temp_c : float
        Dry-bulb temperature. [degC]
    humidity_ratio : float
        Humidity ratio, not negative. [kg/kg dry air]
    pressure_pa : float
        Total pressure. [Pa]

    Returns
    -------
    float
        Wet-bulb temperature; for supersaturated air, a fog, its dry bulb. [degC]

    Notes
    -----
    Multiplied by :math:`p - p_s(t^*)` the equations have no pole at the boiling point and are
    convex in :math:`t^*`, so that Newton's method comes down to the root after its first step,
    which starts from saturated air of the same enthalpy. Just below 0 degC (by up to about 0.7 K)
    a frozen and an unfrozen wick both have a solution for the same air; the unfrozen one is
    returned.
    """
    if not (LOWEST_C <= temp_c <= HIGHEST_C and humidity_ratio >= 0.0 and pressure_pa > 0.0):
        return math.nan
    enthalpy = DRY_AIR_SPECIFIC_HEAT * temp_c + humidity_ratio * (
        VAPOUR_ENTHALPY_AT_ZERO + VAPOUR_SPECIFIC_HEAT * temp_c
    )
    frozen = temp_c < 0.0
    if frozen:
        wick_c = temp_c
    elif (pressure_pa - FREEZING_WATER_PA) * enthalpy < _FREEZING_WICK_PA_J_KG:
        frozen = True
        wick_c = 0.0
    else:
        wick_c = min(max(saturated_guess(enthalpy), 0.0), temp_c)
    for _ in range(MOST_STEPS):
        surplus, slope = _wick_surplus(wick_c, frozen, temp_c, humidity_ratio, pressure_pa)
        step = max(surplus / slope, wick_c - temp_c)  # the wick is never warmer than the air
        wick_c -= step
        if abs(step) < LAST_STEP_K:
            break
    return wick_c
