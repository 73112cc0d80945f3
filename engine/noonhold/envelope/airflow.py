"""Outdoor air through cracks, vents and fans."""

from __future__ import annotations

import math

from noonhold.numerics.compiled import inlined


@inlined
def air_changes_flow(air_changes_per_hour: float, volume_m3: float) -> float:
    """Return the flow of a given number of air changes.

    Parameters
    ----------
    air_changes_per_hour : float
        [1/h]
    volume_m3 : float
        Of the cabin air. [m3]

    Returns
    -------
    float
        Flow of outdoor air at outdoor density. [m3/s]
    """
    return air_changes_per_hour * volume_m3 / 3600.0


@inlined
def area_flow(area_cm2: float, delta_k: float, wind_m_s: float, stack: float, wind: float) -> float:
    r"""Return the flow through an effective leakage area.

    Parameters
    ----------
    area_cm2 : float
        Effective leakage area at 4 Pa. [cm2]
    delta_k : float
        Cabin air less outdoor air. [K]
    wind_m_s : float
        At the weather station's height, or the driving speed. [m/s]
    stack : float
        Stack coefficient. [(L/s)²/(cm4 K)]
    wind : float
        Wind coefficient. [(L/s)²/(cm4 (m/s)²)]

    Returns
    -------
    float
        Flow of outdoor air. [m3/s]

    Notes
    -----
    .. math:: Q = \frac{A_L}{1000} \sqrt{C_s |ΔT| + C_w U^2}

    References
    ----------
    .. [1] ASHRAE Handbook - Fundamentals 2005, ch. 27 (2017: ch. 16), basic model after M. H.
       Sherman and D. T. Grimsrud, ASHRAE Transactions 86(2), 1980; as in the EnergyPlus
       Engineering Reference, "Infiltration by Effective Leakage Area".
    """
    if area_cm2 <= 0.0:
        return 0.0
    return area_cm2 / 1000.0 * math.sqrt(stack * abs(delta_k) + wind * wind_m_s * wind_m_s)
