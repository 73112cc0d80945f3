"""The wet side of a cooling coil: apparatus dew point and bypass factor.

Part of the air is thought to pass the coil untouched (the bypass factor) and the rest to leave
saturated at the coil's effective temperature (the apparatus dew point). The factor belongs to the
coil and its air flow, BF = exp(-A0 / mass flow), so that one rated point fixes it; the split
between sensible and latent then follows for any air. This is the usual model of direct-expansion
coils [1]_, with the apparatus dew point found by enthalpy.

The enthalpy of dry air and water splits without remainder when the sensible part is taken at the
humidity of the apparatus and the latent part at the entering temperature:

    h_in - h_adp = cp(W_adp) (T_in - T_adp) + (W_in - W_adp) h_v(T_in)

so the water a coil takes out is its latent work over `vapour_enthalpy` at the entering
temperature. The small heat of the condensate that drains away is left out.

References
----------
.. [1] H. Henderson, K. Rengarajan, D. Shirey, "The impact of comfort control on air conditioner
   energy use in humid climates", ASHRAE Transactions 98(2), 1992, 104-113.
"""

import math

from numba import njit

from noonhold.air.mixture import VAPOUR_ENTHALPY_AT_ZERO, VAPOUR_SPECIFIC_HEAT
from noonhold.air.moist_air import (
    dew_point,
    enthalpy,
    humidity_ratio_from_wet_bulb,
    saturated_temperature_from_enthalpy,
    saturation_humidity_ratio,
    specific_heat,
    vapour_pressure,
)
from noonhold.air.saturation import LOWEST_C
from noonhold.cooling.performance_map import MapTables, bilinear, locate
from noonhold.numerics.compiled import merged

COLDEST_APPARATUS_J_KG = -60e3  # saturated at about -60 degC: keeps absurd coils finite
COLDEST_RATED_APPARATUS_C = -40.0
# A secant step this short leaves an error of the order of its square, at a kink of the map a tenth
# of it.
LAST_STEP_K = 1e-4
MOST_STEPS = 50
# A first guess of how the surplus of `dry_out_wet_bulb` grows with the wet bulb near 15 degC.
USUAL_SURPLUS_SLOPE = 1.2e-3  # 1/K


@njit(cache=True, nogil=True)
def vapour_enthalpy(temp_c: float) -> float:
    """Enthalpy of water vapour over liquid water at 0 degC.

    Parameters
    ----------
    temp_c : float
        Temperature of the vapour. [degC]

    Returns
    -------
    float
        Enthalpy; latent work over this is the water taken out. [J/kg]
    """
    return VAPOUR_ENTHALPY_AT_ZERO + VAPOUR_SPECIFIC_HEAT * temp_c


@njit(cache=True, nogil=True)
def apparatus_sensible_ratio(
    temp_c: float, humidity_ratio: float, pressure_pa: float, apparatus_c: float
) -> float:
    """Sensible share of the way from an entering state to saturation at the apparatus.

    Parameters
    ----------
    temp_c : float
        Entering dry bulb. [degC]
    humidity_ratio : float
        Entering humidity ratio. [kg/kg dry air]
    apparatus_c : float
        Apparatus dew point, at or below the entering dew point. [degC]

    Returns
    -------
    float
        Sensible over total heat. [-]
    """
    apparatus_ratio = saturation_humidity_ratio(apparatus_c, pressure_pa)
    sensible = specific_heat(apparatus_ratio) * (temp_c - apparatus_c)
    return sensible / (sensible + (humidity_ratio - apparatus_ratio) * vapour_enthalpy(temp_c))


@njit(cache=True, nogil=True)
def lowest_sensible_ratio(
    temp_c: float, humidity_ratio: float, pressure_pa: float
) -> tuple[float, float]:
    """Least sensible ratio any coil can have with this entering air, and its apparatus dew point.

    Parameters
    ----------
    temp_c : float
        Entering dry bulb. [degC]
    humidity_ratio : float
        Entering humidity ratio. [kg/kg dry air]

    Returns
    -------
    ratio : float
        Least sensible over total heat. [-]
    apparatus_c : float
        Where it is had: the straight line touches the saturation curve there. [degC]
    """
    low = COLDEST_RATED_APPARATUS_C
    high = dew_point(vapour_pressure(humidity_ratio, pressure_pa))
    while high - low > 1e-5:
        third = (high - low) / 3.0
        colder = apparatus_sensible_ratio(temp_c, humidity_ratio, pressure_pa, low + third)
        warmer = apparatus_sensible_ratio(temp_c, humidity_ratio, pressure_pa, high - third)
        if colder > warmer:
            low += third
        else:
            high -= third
    middle = (low + high) / 2.0
    return apparatus_sensible_ratio(temp_c, humidity_ratio, pressure_pa, middle), middle


@njit(cache=True, nogil=True)
def rated_apparatus_c(
    temp_c: float, humidity_ratio: float, pressure_pa: float, sensible_ratio: float
) -> float:
    """Apparatus dew point that a gross sensible ratio means; NaN when there is none.

    Parameters
    ----------
    temp_c : float
        Entering dry bulb. [degC]
    humidity_ratio : float
        Entering humidity ratio. [kg/kg dry air]
    sensible_ratio : float
        Gross sensible over gross total capacity, up to 1. [-]

    Returns
    -------
    float
        Apparatus dew point, the warmer one where the line cuts the saturation curve twice; the
        entering dew point for a ratio of 1, a coil that is only just dry. [degC]
    """
    least, low = lowest_sensible_ratio(temp_c, humidity_ratio, pressure_pa)
    if not least <= sensible_ratio <= 1.0:
        return math.nan
    high = dew_point(vapour_pressure(humidity_ratio, pressure_pa))
    if sensible_ratio == 1.0:
        return high
    while high - low > 1e-9:
        middle = (low + high) / 2.0
        ratio = apparatus_sensible_ratio(temp_c, humidity_ratio, pressure_pa, middle)
        if ratio < sensible_ratio:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


@njit(cache=True, nogil=True)
def wet_latent_w(
    total_w: float,
    apparatus_flow_kg_s: float,
    temp_c: float,
    humidity_ratio: float,
    pressure_pa: float,
) -> float:
    """Latent part of a wet coil's work.

    Parameters
    ----------
    total_w : float
        Gross total capacity, positive. [W]
    apparatus_flow_kg_s : float
        Dry air that meets the apparatus: mass flow times (1 - bypass factor). [kg/s]
    temp_c : float
        Entering dry bulb. [degC]
    humidity_ratio : float
        Entering humidity ratio. [kg/kg dry air]

    Returns
    -------
    float
        Latent capacity, zero at the least. [W]
    """
    entering = enthalpy(temp_c, humidity_ratio)
    apparatus = max(entering - total_w / apparatus_flow_kg_s, COLDEST_APPARATUS_J_KG)
    apparatus_c = saturated_temperature_from_enthalpy(apparatus, pressure_pa)
    dried = humidity_ratio - saturation_humidity_ratio(apparatus_c, pressure_pa)
    share = dried * vapour_enthalpy(temp_c) / (entering - apparatus)
    return total_w * min(max(share, 0.0), 1.0)


@njit(cache=True, nogil=True)
def dryness(
    total_w: float,
    apparatus_flow_kg_s: float,
    temp_c: float,
    humidity_ratio: float,
    pressure_pa: float,
) -> float:
    """How far entering air is from wetting the coil: negative means dry.

    Parameters
    ----------
    total_w : float
        Gross total capacity, all of it sensible. [W]
    apparatus_flow_kg_s : float
        Dry air that meets the apparatus. [kg/s]
    temp_c : float
        Entering dry bulb. [degC]
    humidity_ratio : float
        Entering humidity ratio. [kg/kg dry air]

    Returns
    -------
    float
        Entering humidity ratio less that of saturation at the dry coil's surface. [kg/kg dry air]
    """
    surface_c = temp_c - total_w / (apparatus_flow_kg_s * specific_heat(humidity_ratio))
    return humidity_ratio - saturation_humidity_ratio(max(surface_c, LOWEST_C), pressure_pa)


@merged
def dry_out_wet_bulb(
    tables: MapTables,
    condenser_c: float,
    rated_total_w: float,
    apparatus_flow_kg_s: float,
    temp_c: float,
    pressure_pa: float,
    wet_bulb_c: float,
    surplus: float,
) -> float:
    """Wet bulb at which a dry coil would just begin to be wetted, at the same dry bulb.

    Parameters
    ----------
    tables : MapTables
        The cooler's map.
    condenser_c : float
        Temperature of the air at the condenser. [degC]
    rated_total_w : float
        Gross capacity where the map's ratio is 1. [W]
    apparatus_flow_kg_s : float
        Dry air that meets the apparatus. [kg/s]
    temp_c : float
        Entering dry bulb. [degC]
    wet_bulb_c : float
        Entering wet bulb, at which the coil is dry. [degC]
    surplus : float
        :func:`dryness` at that wet bulb, negative. [kg/kg dry air]

    Returns
    -------
    float
        Wet bulb, to about 1e-5 K. [degC]

    Notes
    -----
    The entering wet bulb says nothing to a coil without condensate, so a map of wet-coil data is
    read where the same coil begins to be wet, as the quasi-analytical solutions of ANSI/ASHRAE
    Standard 140 (CE100 to CE140) do. The wet bulb is the unknown because humidity and surface
    temperature follow from it without a search. Their gap rises steadily with it and changes sign
    below the dry bulb: secant steps inside a shrinking bracket.
    """
    i, along_i = locate(tables.outdoor_c, condenser_c)
    axis = tables.wet_bulb_c
    ratios = tables.capacity_ratio
    low = wet_bulb_c
    high = temp_c
    last = wet_bulb_c
    last_surplus = surplus
    guess = min(low - surplus / USUAL_SURPLUS_SLOPE, (low + high) / 2.0)
    for _ in range(MOST_STEPS):
        j, along_j = locate(axis, guess)
        total_w = rated_total_w * bilinear(ratios, i, along_i, j, along_j)
        moist = humidity_ratio_from_wet_bulb(temp_c, guess, pressure_pa)
        guess_surplus = dryness(total_w, apparatus_flow_kg_s, temp_c, moist, pressure_pa)
        if guess_surplus < 0.0:
            low = guess
        else:
            high = guess
        rise = guess_surplus - last_surplus
        step = -guess_surplus * (guess - last) / rise if rise != 0.0 else 0.0
        last = guess
        last_surplus = guess_surplus
        guess += step
        if abs(step) < LAST_STEP_K:
            break
        if not low < guess < high:
            guess = (low + high) / 2.0
    return guess
