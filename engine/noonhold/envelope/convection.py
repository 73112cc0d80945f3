"""Surface coefficients: convection at both faces, wind at the height of the rig.

Every correlation is one compiled function of scalars, so that the time loop can call it.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.air.mixture import STANDARD_PRESSURE_PA
from noonhold.numerics.compiled import inlined
from noonhold.rig import Roughness
from noonhold.scenario import Terrain

STEFAN_BOLTZMANN: Final = 5.670374419e-8  # [W/m2K4], CODATA 2018
ZERO_CELSIUS_K: Final = 273.15

# Boundary-layer exponent and thickness [m] by terrain: ASHRAE Handbook - Fundamentals 2017,
# ch. 24, table 1 and eq. 4. A weather station stands on open ground at 10 m.
_BOUNDARY_LAYER: Final = {
    Terrain.OPEN: (0.14, 270.0),
    Terrain.SUBURBAN: (0.22, 370.0),
    Terrain.URBAN: (0.33, 460.0),
}
STATION_HEIGHT_M: Final = 10.0

# What the wind adds at a surface over that at glass: table of Walton (NBSIR 83-2655), as DOE-2 and
# EnergyPlus have it (source of the latter, RoughnessMultiplier).
ROUGHNESS_FACTORS: Final = {
    Roughness.VERY_ROUGH: 2.17,
    Roughness.ROUGH: 1.67,
    Roughness.MEDIUM_ROUGH: 1.52,
    Roughness.MEDIUM_SMOOTH: 1.13,
    Roughness.SMOOTH: 1.11,
    Roughness.VERY_SMOOTH: 1.0,
}

# Air changes per hour for which the convection of stirred air was measured, below which a fan adds
# nothing, and the cosine of the steepest face that counts as level.
_STIRRED_RANGE: Final = (3.0, 100.0)
_UNSTIRRED: Final = 0.5
_LEVEL: Final = math.sqrt(0.5)

LEAST_INSIDE: Final = 0.1  # of an inner face in still air [W/m2K]

# Constants of the cube root: a third by multiplication and shift, and what it must be raised by.
_HALF_WORD: Final = np.uint64(32)
_THIRD: Final = np.uint64(0x55555556)
_ROOT_BIAS: Final = np.uint64(0x2A9F7893)

# Windward and leeward forced convection of smooth glass by the wind at its height.
_WINDWARD: Final = (3.26, 0.89)
_LEEWARD: Final = (3.55, 0.617)


@inlined
def cube_root(value: float) -> float:
    """Return the cube root of a number that is not negative.

    Parameters
    ----------
    value : float
        At least 0.

    Returns
    -------
    float
        Within 1e-14 of its value; 1e-10 for 0.

    Notes
    -----
    A third of the bits of a floating-point number, exponent and all, is its root within 4 %; two
    steps of Halley's method cube the error twice. There is no call and no branch in it, so that the
    compiler does the four roots of a block of faces at once: eight times as quick as by logarithm.
    """
    x = value + 1e-30
    upper = np.float64(x).view(np.uint64) >> _HALF_WORD
    bits = np.uint64(((upper * _THIRD >> _HALF_WORD) + _ROOT_BIAS) << _HALF_WORD)
    root = float(bits.view(np.float64))
    cubed = root * root * root
    root *= (cubed + 2.0 * x) / (2.0 * cubed + x)
    cubed = root * root * root
    root *= (cubed + 2.0 * x) / (2.0 * cubed + x)
    return root


@inlined
def buoyancy_cubed(pressure_pa: float) -> float:
    r"""Return what the cube of natural convection is multiplied by in thinner air.

    Parameters
    ----------
    pressure_pa : float
        Of the air. [Pa]

    Returns
    -------
    float
        1 at sea level, 0.68 at 1650 m: there the coefficient itself is 0.88 of that at sea level.

    Notes
    -----
    Of the properties of air only its density follows the pressure, and with the cube-root law
    ``Nu ~ Ra^{1/3}`` the Rayleigh number holds its square:

    .. math:: h / h_0 = (ρ / ρ_0)^{2/3} = (p / p_0)^{2/3}

    The wind's convection is left as its source has it: the air it was measured in is not known.

    References
    ----------
    .. [1] S. W. Churchill, H. H. S. Chu, "Correlating equations for laminar and turbulent free
       convection from a vertical plate", Int. J. Heat Mass Transfer 18(11), 1975.
       :doi:`10.1016/0017-9310(75)90243-4` (the cube-root law of turbulent flow; from memory).
    """
    ratio = pressure_pa / STANDARD_PRESSURE_PA
    return ratio * ratio


@inlined
def natural_factor_cubed(cos_facing: float, warmer: bool) -> float:
    r"""Return the cube of the coefficient of natural convection per kelvin, at sea level.

    Parameters
    ----------
    cos_facing : float
        Cosine of the tilt of the face: 1 facing up, 0 upright, -1 facing down.
    warmer : bool
        Whether the face is warmer than its air.

    Returns
    -------
    float
        Cube of the convective coefficient over the temperature difference. [W3/m6K4]

    Notes
    -----
    Enhanced where warm air rises from the face (or cold air falls) and reduced where it is trapped:

    .. math:: h_e = 9.482 |ΔT|^{1/3} / (7.238 - |cos Σ|), \quad
              h_r = 1.810 |ΔT|^{1/3} / (1.382 + |cos Σ|)

    Both are 1.310 for an upright face. The EnergyPlus Engineering Reference prints 7.283, two
    digits changed over, with which they would not meet; its source has 7.238.

    References
    ----------
    .. [1] G. N. Walton, "Thermal Analysis Research Program Reference Manual", NBSIR 83-2655,
       National Bureau of Standards, 1983.
    """
    steep = abs(cos_facing)
    rising = cos_facing > 0.0 if warmer else cos_facing < 0.0
    factor = 9.482 / (7.238 - steep) if rising else 1.810 / (1.382 + steep)
    return factor * factor * factor


@inlined
def natural_cubed(delta_k: float, if_warmer: float, if_colder: float, buoyancy: float) -> float:
    """Return the cube of the coefficient of natural convection at a face, which takes no root.

    Parameters
    ----------
    delta_k : float
        Face temperature less air temperature. [K]
    if_warmer, if_colder : float
        Of the face, from :func:`natural_factor_cubed`.
    buoyancy : float
        From :func:`buoyancy_cubed`, 1 at sea level. [-]

    Returns
    -------
    float
        Cube of the convective coefficient. [W3/m6K3]
    """
    return buoyancy * (if_warmer if delta_k > 0.0 else if_colder) * abs(delta_k)


def stirred_convection(
    airflow_m3_s: float, volume_m3: float, cos_inward: npt.NDArray[np.float64]
) -> npt.NDArray[np.float64]:
    """Return the forced coefficients at the inner faces while a fan stirs the cabin air.

    Parameters
    ----------
    airflow_m3_s : float
        Flow through the fan. [m3/s]
    volume_m3 : float
        Volume of the cabin air. [m3]
    cos_inward : numpy.ndarray, shape (p,)
        Cosine of the tilt of the inner faces: 1 a floor, 0 a wall, -1 a ceiling.

    Returns
    -------
    numpy.ndarray, shape (p,)
        Convective coefficients. [W/m2K]

    Notes
    -----
    A room with a radial ceiling diffuser, which a cooler on the roof resembles, by air changes per
    hour ``n`` of the supply:

    - floor ``3.873 + 0.082 n^0.98``,
    - wall ``1.208 + 1.012 n^0.604``,
    - ceiling ``2.234 + 4.099 n^0.503``.

    Measured from 3 to 100 air changes; a cabin has 20 to 100. Above 100 the value at 100 stands,
    below 3 it falls on a straight line to nothing at 0.5, where natural convection is left. Faces
    within 45 degrees of level count as floor or ceiling. Where a jet blows along a wall instead
    of the ceiling, that face takes more and the ceiling less; the cabin's jet is not described.

    References
    ----------
    .. [1] D. E. Fisher, C. O. Pedersen, "Convective heat transfer in building energy and thermal
       load calculations", ASHRAE Transactions 103(2), 1997 (3 to 12 air changes), with J. D.
       Spitler, C. O. Pedersen, D. E. Fisher, "Interior convective heat transfer in buildings with
       large ventilative flow rates", ASHRAE Transactions 97(1), 1991 (15 to 100); the fits as in
       EnergyPlus, "Fisher-Pedersen ceiling diffuser", which uses them from 3 air changes up; the
       upper end, 100, is from memory.
    """
    changes = airflow_m3_s * 3600.0 / volume_m3
    within = min(max(changes, _STIRRED_RANGE[0]), _STIRRED_RANGE[1])
    floor = 3.873 + 0.082 * within**0.98
    wall = 1.208 + 1.012 * within**0.604
    ceiling = 2.234 + 4.099 * within**0.503
    by_face = np.where(cos_inward > _LEVEL, floor, np.where(cos_inward < -_LEVEL, ceiling, wall))
    little = (changes - _UNSTIRRED) / (_STIRRED_RANGE[0] - _UNSTIRRED)
    result: npt.NDArray[np.float64] = by_face * min(max(little, 0.0), 1.0)
    return result


@inlined
def windward_convection(air_speed_m_s: float) -> float:
    """Return the forced convection of smooth glass to windward.

    Parameters
    ----------
    air_speed_m_s : float
        Wind at the height of the face, or the driving speed. [m/s]

    Returns
    -------
    float
        ``3.26 v^0.89``. [W/m2K]

    References
    ----------
    .. [1] M. Yazdanian, J. H. Klems, "Measurement of the exterior convective film coefficient for
       windows in low-rise buildings", ASHRAE Transactions 100(1), 1994 (LBL-34717); coefficients
       for the wind at the height of the face as in EnergyPlus, "MoWiTT windward".
    """
    return float(_WINDWARD[0] * air_speed_m_s ** _WINDWARD[1])


@inlined
def upright_convection(windward_w_m2k: float) -> float:
    """Return the forced convection of smooth upright glass, whichever way the wind blows.

    Parameters
    ----------
    windward_w_m2k : float
        From :func:`windward_convection`. [W/m2K]

    Returns
    -------
    float
        Mean of that and of the leeward ``3.55 v^0.617`` at the same wind: an upright face has the
        wind before it as often as behind it. [W/m2K]
    """
    ratio = windward_w_m2k / _WINDWARD[0]
    return float(0.5 * (windward_w_m2k + _LEEWARD[0] * ratio ** (_LEEWARD[1] / _WINDWARD[1])))


@inlined
def outer_convection(natural_w_m2k: float, forced_squared: float, roughness: float) -> float:
    r"""Return the convective coefficient of an outer face.

    Parameters
    ----------
    natural_w_m2k : float
        Natural convection. [W/m2K]
    forced_squared : float
        Square of the forced convection of smooth glass, from :func:`windward_convection` or
        :func:`upright_convection`. [W2/m4K2]
    roughness : float
        Multiplier of what the wind adds, of ``ROUGHNESS_FACTORS``; 1 for glass.

    Returns
    -------
    float
        Convective coefficient. [W/m2K]

    Notes
    -----
    .. math:: h = h_n + R_f \left(\sqrt{h_n^2 + h_f^2} - h_n\right)
    """
    swept = math.sqrt(natural_w_m2k * natural_w_m2k + forced_squared)
    return natural_w_m2k + roughness * (swept - natural_w_m2k)


def wind_at_height(
    station_wind_m_s: npt.NDArray[np.float64], height_m: float, terrain: Terrain
) -> npt.NDArray[np.float64]:
    """Bring the station's wind down to the height of the rig.

    Parameters
    ----------
    station_wind_m_s : numpy.ndarray
        Wind at 10 m above open ground. [m/s]
    height_m : float
        Height above the ground. [m]
    terrain : Terrain
        Roughness around the rig.

    Returns
    -------
    numpy.ndarray
        Wind at that height, same shape. [m/s]

    Notes
    -----
    .. math:: v = v_{met} (δ_{met} / H_{met})^{a_{met}} (H / δ)^{a}

    References
    ----------
    .. [1] ASHRAE Handbook - Fundamentals 2017, ch. 24, eq. 4 and table 1.
    """
    station_exponent, station_layer = _BOUNDARY_LAYER[Terrain.OPEN]
    exponent, layer = _BOUNDARY_LAYER[terrain]
    ratio = (station_layer / STATION_HEIGHT_M) ** station_exponent * (height_m / layer) ** exponent
    result: npt.NDArray[np.float64] = station_wind_m_s * ratio
    return result
