"""How air feels: operative temperature, NWS heat index, PMV and PPD.

The functions are compiled and may be called from a kernel. NaN gives NaN, and so does an argument
without meaning (a negative air speed, a relative humidity above 1).

References
----------
.. [1] L. P. Rothfusz, "The heat index equation (or, more than you ever wanted to know about
   heat index)", National Weather Service, Technical Attachment SR 90-23, 1990.
.. [2] NWS Weather Prediction Center, "The heat index equation",
   https://www.wpc.ncep.noaa.gov/html/heatindex_equation.shtml
.. [3] ISO 7730:2005, "Ergonomics of the thermal environment - Analytical determination and
   interpretation of thermal comfort using calculation of the PMV and PPD indices and local
   thermal comfort criteria", clause 4 and annex D.
.. [4] ANSI/ASHRAE Standard 55, "Thermal environmental conditions for human occupancy",
   calculation of operative temperature (conditions of the plain mean: from memory).
"""

import math

from numba import njit

HEAT_INDEX_CATEGORIES = ("none", "caution", "extreme caution", "danger", "extreme danger")
HEAT_INDEX_CATEGORY_FLOORS_F = (80.0, 90.0, 103.0, 125.0)  # NWS; older sets had 90, 105, 130

_MET_W_M2 = 58.15
_CLO_M2K_W = 0.155
_CLOTHING_TOLERANCE = 0.00015  # hundredths of kelvin, annex D
_MOST_STEPS = 150  # annex D


@njit(cache=True, nogil=True)
def operative_temperature(temp_air_c: float, mean_radiant_c: float) -> float:
    """Operative temperature as the mean of air and mean radiant temperature.

    Parameters
    ----------
    temp_air_c : float
        Air temperature. [degC]
    mean_radiant_c : float
        Mean radiant temperature. [degC]

    Returns
    -------
    float
        Operative temperature. [degC]

    Notes
    -----
    ISO 7730 and ASHRAE 55 [4]_ allow the plain mean for a person at rest or lightly busy, out
    of direct sun, where the air is slower than 0.2 m/s or the two temperatures are less than
    4 K apart. In a faster draught the air weighs more (0.6 to 1 m/s: 0.7).
    """
    return 0.5 * (temp_air_c + mean_radiant_c)


@njit(cache=True, nogil=True)
def heat_index_c(temp_c: float, rh_fraction: float) -> float:
    """Heat index of the US National Weather Service: warmth of humid air in the shade.

    Parameters
    ----------
    temp_c : float
        Air temperature. [degC]
    rh_fraction : float
        Relative humidity, 0 to 1. [-]

    Returns
    -------
    float
        Heat index. [degC]

    Notes
    -----
    The procedure of [2]_, in degF and percent: Steadman's simple formula averaged with the
    temperature; where that reaches 80 degF the regression of Rothfusz [1]_ instead, less an
    adjustment below 13 % humidity (80 to 112 degF), plus one above 85 % (80 to 87 degF). Where
    it changes over the procedure has a step, from -1.4 K in dry air to +1.9 K in saturated air.
    The regression was fitted to Steadman's table and grows without sense beyond it: a value
    above some 60 degC says "extreme danger" and nothing finer.
    """
    if not (0.0 <= rh_fraction <= 1.0 and math.isfinite(temp_c)):
        return math.nan
    t = 1.8 * temp_c + 32.0
    rh = 100.0 * rh_fraction
    simple = 0.5 * (t + 61.0 + (t - 68.0) * 1.2 + rh * 0.094)
    index = 0.5 * (simple + t)
    if index >= 80.0:
        index = (
            -42.379
            + 2.04901523 * t
            + 10.14333127 * rh
            - 0.22475541 * t * rh
            - 6.83783e-3 * t * t
            - 5.481717e-2 * rh * rh
            + 1.22874e-3 * t * t * rh
            + 8.5282e-4 * t * rh * rh
            - 1.99e-6 * t * t * rh * rh
        )
        if rh < 13.0 and 80.0 <= t <= 112.0:
            index -= (13.0 - rh) / 4.0 * math.sqrt((17.0 - abs(t - 95.0)) / 17.0)
        elif rh > 85.0 and 80.0 <= t <= 87.0:
            index += (rh - 85.0) / 10.0 * (87.0 - t) / 5.0
    return (index - 32.0) / 1.8


@njit(cache=True, nogil=True)
def heat_index_category(heat_index_c: float) -> int:
    """Place of a heat index among `HEAT_INDEX_CATEGORIES`.

    Parameters
    ----------
    heat_index_c : float
        Heat index. [degC]

    Returns
    -------
    int
        0 none, 1 caution, 2 extreme caution, 3 danger, 4 extreme danger; -1 for NaN. A value
        on a floor belongs to the category above it.
    """
    if math.isnan(heat_index_c):
        return -1
    category = 0
    for floor_f in HEAT_INDEX_CATEGORY_FLOORS_F:
        if heat_index_c >= (floor_f - 32.0) / 1.8:
            category += 1
    return category


@njit(cache=True, nogil=True)
def pmv(
    temp_air_c: float,
    mean_radiant_c: float,
    air_speed_m_s: float,
    rh_fraction: float,
    metabolic_met: float,
    clothing_clo: float,
) -> float:
    """Predicted mean vote by ISO 7730:2005: -3 cold, 0 neutral, +3 hot.

    Parameters
    ----------
    temp_air_c : float
        Air temperature. [degC]
    mean_radiant_c : float
        Mean radiant temperature. [degC]
    air_speed_m_s : float
        Air speed relative to the person. [m/s]
    rh_fraction : float
        Relative humidity, 0 to 1. [-]
    metabolic_met : float
        Metabolic rate, no work done outside the body. [met]
    clothing_clo : float
        Insulation of the clothing. [clo]

    Returns
    -------
    float
        Predicted mean vote; NaN where the clothing temperature does not settle within the 150
        steps of annex D. Not limited to the standard's range: see `pmv_applies`. [-]

    Notes
    -----
    Equations 1 to 4 in the iteration and with the constants of annex D, whose vapour pressure
    is Antoine's, so that its table is met; from 10 to 30 degC it is within 0.2 % of
    `noonhold.air.moist_air.saturation_pressure`.
    """
    if not (
        0.0 <= rh_fraction <= 1.0
        and air_speed_m_s >= 0.0
        and metabolic_met > 0.0
        and clothing_clo >= 0.0
        and -100.0 < temp_air_c < 100.0
        and -100.0 < mean_radiant_c < 200.0
    ):
        return math.nan
    vapour_pa = 1000.0 * rh_fraction * math.exp(16.6536 - 4030.183 / (temp_air_c + 235.0))
    clothing = _CLO_M2K_W * clothing_clo
    metabolic = _MET_W_M2 * metabolic_met
    area_factor = 1.05 + 0.645 * clothing if clothing > 0.078 else 1.0 + 1.29 * clothing
    forced = 12.1 * math.sqrt(air_speed_m_s)
    air_k = temp_air_c + 273.0
    radiant = ((mean_radiant_c + 273.0) / 100.0) ** 4

    # Clothing surface temperature, in hundreds of kelvin.
    resistance = clothing * area_factor
    fixed = 308.7 - 0.028 * metabolic + 3.96 * resistance * radiant
    surface = (air_k + (35.5 - temp_air_c) / (3.5 * (6.45 * clothing + 0.1))) / 100.0
    trial = surface
    convection = forced
    for _ in range(_MOST_STEPS):
        trial = 0.5 * (trial + surface)
        free = 2.38 * abs(100.0 * trial - air_k) ** 0.25
        convection = max(forced, free)
        surface = (fixed + resistance * (convection * air_k - 3.96 * trial**4)) / (
            100.0 + 100.0 * resistance * convection
        )
        if abs(surface - trial) <= _CLOTHING_TOLERANCE:
            break
    else:
        return math.nan

    skin = 3.05e-3 * (5733.0 - 6.99 * metabolic - vapour_pa)
    sweat = 0.42 * max(metabolic - _MET_W_M2, 0.0)
    breath_latent = 1.7e-5 * metabolic * (5867.0 - vapour_pa)
    breath_dry = 0.0014 * metabolic * (34.0 - temp_air_c)
    radiation = 3.96 * area_factor * (surface**4 - radiant)
    convected = area_factor * convection * (100.0 * surface - air_k)
    losses = skin + sweat + breath_latent + breath_dry + radiation + convected
    return float((0.303 * math.exp(-0.036 * metabolic) + 0.028) * (metabolic - losses))


@njit(cache=True, nogil=True)
def pmv_applies(
    temp_air_c: float,
    mean_radiant_c: float,
    air_speed_m_s: float,
    rh_fraction: float,
    metabolic_met: float,
    clothing_clo: float,
) -> bool:
    """Whether ISO 7730:2005, clause 4.1, stands behind a predicted mean vote.

    Parameters
    ----------
    temp_air_c, mean_radiant_c, air_speed_m_s, rh_fraction, metabolic_met, clothing_clo : float
        As for `pmv`.

    Returns
    -------
    bool
        True when every argument is in its range (air 10 to 30 degC, radiant 10 to 40 degC, up
        to 1 m/s, up to 2700 Pa of vapour, 0.8 to 4 met, up to 2 clo) and the vote within
        -2 and 2; the ranges of the standard are from memory.
    """
    vapour_pa = 1000.0 * rh_fraction * math.exp(16.6536 - 4030.183 / (temp_air_c + 235.0))
    return (
        10.0 <= temp_air_c <= 30.0
        and 10.0 <= mean_radiant_c <= 40.0
        and 0.0 <= air_speed_m_s <= 1.0
        and 0.0 <= vapour_pa <= 2700.0
        and 0.8 <= metabolic_met <= 4.0
        and 0.0 <= clothing_clo <= 2.0
        and abs(
            pmv(temp_air_c, mean_radiant_c, air_speed_m_s, rh_fraction, metabolic_met, clothing_clo)
        )
        <= 2.0
    )


@njit(cache=True, nogil=True)
def ppd(pmv: float) -> float:
    """Predicted percentage of people dissatisfied, ISO 7730:2005, equation 5.

    Parameters
    ----------
    pmv : float
        Predicted mean vote. [-]

    Returns
    -------
    float
        Percentage, at least 5. [%]
    """
    square = pmv * pmv
    return 100.0 - 95.0 * math.exp(-square * (0.03353 * square + 0.2179))
