"""The saturation curve of water, over ice and over liquid: compiled scalars and their inverse.

By the 2017 ASHRAE Handbook - Fundamentals (SI), chapter 1 [1]_, after Hyland and Wexler [2]_.
The Handbook gives -100..0 degC to the ice equation and 0..200 degC to the water equation; this
module changes over at 0.01 degC, where the two curves meet (0.06 Pa apart at 0 degC).

References
----------
.. [1] ASHRAE, "2017 ASHRAE Handbook - Fundamentals, SI edition", chapter 1, Atlanta, 2017.
.. [2] R. W. Hyland and A. Wexler, "Formulations for the thermodynamic properties of the
   saturated phases of H2O from 173.15 K to 473.15 K", ASHRAE Transactions 89(2A), 1983.
"""

import math

from numba import njit

ZERO_CELSIUS_K = 273.15
TRIPLE_POINT_C = 0.01
TRIPLE_POINT_PA = 611.6570  # equations 5 and 6 agree on it to 4e-6 Pa
LOWEST_C = -100.0  # range of equation 5
HIGHEST_C = 200.0  # range of equation 6
MOST_STEPS = 40  # Newton needs 2 to 8; the bound only makes an endless loop impossible
STEP_TOLERANCE_K = 1e-5  # Newton's error after such a step is of its square: below 1e-9 K


@njit(cache=True, nogil=True)
def log_over_ice(temp_k: float) -> tuple[float, float]:
    """Logarithm of saturation pressure over ice and its slope, equation 5."""
    t = temp_k
    logarithm = (
        -5.6745359e3 / t
        + 6.3925247
        + t * (-9.677843e-3 + t * (6.2215701e-7 + t * (2.0747825e-9 - t * 9.484024e-13)))
        + 4.1635019 * math.log(t)
    )
    slope = (
        5.6745359e3 / (t * t)
        - 9.677843e-3
        + t * (2.0 * 6.2215701e-7 + t * (3.0 * 2.0747825e-9 - t * 4.0 * 9.484024e-13))
        + 4.1635019 / t
    )
    return logarithm, slope


@njit(cache=True, nogil=True)
def log_over_water(temp_k: float) -> tuple[float, float]:
    """Logarithm of saturation pressure over liquid water and its slope, equation 6."""
    t = temp_k
    logarithm = (
        -5.8002206e3 / t
        + 1.3914993
        + t * (-4.8640239e-2 + t * (4.1764768e-5 - t * 1.4452093e-8))
        + 6.5459673 * math.log(t)
    )
    slope = (
        5.8002206e3 / (t * t)
        - 4.8640239e-2
        + t * (2.0 * 4.1764768e-5 - t * 3.0 * 1.4452093e-8)
        + 6.5459673 / t
    )
    return logarithm, slope


@njit(cache=True, nogil=True)
def saturation_pressure(temp_c: float) -> float:
    """Saturation pressure of water, over ice below 0.01 degC and over liquid from there.

    Parameters
    ----------
    temp_c : float
        Temperature, -100 to 200. [degC]

    Returns
    -------
    float
        Saturation pressure. [Pa]

    Notes
    -----
    Equations 5 and 6, after Hyland and Wexler.
    """
    if not LOWEST_C <= temp_c <= HIGHEST_C:
        return math.nan
    temp_k = temp_c + ZERO_CELSIUS_K
    if temp_c < TRIPLE_POINT_C:
        return math.exp(log_over_ice(temp_k)[0])
    return math.exp(log_over_water(temp_k)[0])


@njit(cache=True, nogil=True)
def dew_point(vapour_pressure_pa: float) -> float:
    """Dew point, or frost point below 0.01 degC; NaN for air without any vapour.

    Parameters
    ----------
    vapour_pressure_pa : float
        Partial pressure of water vapour, positive. [Pa]

    Returns
    -------
    float
        Temperature at which this vapour is saturated. [degC]

    Notes
    -----
    The exact inverse of `saturation_pressure`, not the fit of equations 37 and 38: Newton's
    method on the logarithm of pressure over 1/T, in which it is nearly a straight line.
    """
    if not 0.0 < vapour_pressure_pa < 2e6:  # 2 MPa is above saturation at 200 degC
        return math.nan
    wanted = math.log(vapour_pressure_pa)
    ice = vapour_pressure_pa < TRIPLE_POINT_PA
    # Magnus formula turned round: within 2 K over the whole range.
    above = wanted - math.log(TRIPLE_POINT_PA)
    temp_k = ZERO_CELSIUS_K + 243.12 * above / (17.62 - above)
    for _ in range(MOST_STEPS):
        logarithm, slope = log_over_ice(temp_k) if ice else log_over_water(temp_k)
        previous_k = temp_k
        temp_k = 1.0 / (1.0 / temp_k + (logarithm - wanted) / (temp_k * temp_k * slope))
        if abs(temp_k - previous_k) < STEP_TOLERANCE_K:
            break
    temp_c = temp_k - ZERO_CELSIUS_K
    return temp_c if LOWEST_C - 1e-6 <= temp_c <= HIGHEST_C + 1e-6 else math.nan
