"""The temperature of the ground's surface, from its energy balance with sun, sky and wind."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.air.saturation import saturation_pressure
from noonhold.envelope.convection import STEFAN_BOLTZMANN, ZERO_CELSIUS_K
from noonhold.envelope.ground_surface import GroundSurface
from noonhold.numerics.compiled import inlined, kernel

FloatArray = npt.NDArray[np.float64]

LONGEST_STEP_S: Final = 900.0
_DAY_S: Final = 86400
_REPEATS: Final = 5  # of the first day, until it repeats itself
# The column in the depth that heat has in common in every ground: metres over the root of the
# diffusivity. Cells of 10 s^0.5 at the top (8 mm of asphalt), each half as thick again as the one
# above: twelve reach to 2 m of asphalt, ten times as deep as the daily wave.
_TOP_CELL_S05: Final = 10.0
_GROWTH: Final = 1.5
_CELLS: Final = 12
_AIR_HEAT_J_M3K: Final = 1.2 * 1006.0  # of moist air at 20 degC and sea level
_STANDARD_PA: Final = 101325.0
_PSYCHROMETRIC_PER_K: Final = 0.000665  # times the pressure, FAO-56 eq. 8
_PAVEMENT_FACTOR: Final = 1.4  # on the convection over a desert's ground
_LEAST_CONVECTION: Final = 0.5  # of still air over colder ground [W/m2K]


def ground_temperatures(
    surface: GroundSurface,
    interval_s: int,
    sunlight: FloatArray,
    sky_c: FloatArray,
    sky_share: FloatArray,
    air_start_c: FloatArray,
    air_end_c: FloatArray,
    vapour_pa: FloatArray,
    pressure_pa: FloatArray,
    wind_m_s: FloatArray,
) -> FloatArray:
    r"""Return the mean surface temperature of the ground over every interval.

    Parameters
    ----------
    surface : GroundSurface
        The ground, taken as uniform to any depth that a few days reach.
    interval_s : int
        Length of an interval. [s]
    sunlight : numpy.ndarray, shape (n,)
        On the ground, shade counted; what of it is absorbed follows from the albedo. [W/m2]
    sky_c : numpy.ndarray, shape (n,)
        Sky temperature. [degC]
    sky_share : numpy.ndarray, shape (n,)
        Share of the sky dome that is seen; the rest is as warm as the air.
    air_start_c, air_end_c : numpy.ndarray, shape (n,)
        Outdoor air at the ends of the intervals. [degC]
    vapour_pa, pressure_pa : numpy.ndarray, shape (n,)
        Vapour pressure and pressure of the air. [Pa]
    wind_m_s : numpy.ndarray, shape (n,)
        At 10 m over the ground about the rig, where stations measure it. [m/s]

    Returns
    -------
    numpy.ndarray, shape (n,)
        [degC]

    Notes
    -----
    At the surface

    .. math:: (1 - a) G + ε (L - σ T_s^4) = h_c (T_s - T_a) + λE - k \, \partial T / \partial x

    below it conduction in a column of finite volumes, implicit in time, with no heat passing its
    bottom. Radiation and vapour are linearised about the surface of the step before. A first day
    repeats itself until it is periodic, so the ground enters the first hour as if that day had
    been preceded by its like; from there on the days themselves are its memory. The convective
    coefficient has the form found over a desert's ground [1]_ with the two constants that fit
    measured pavements [2]_ [3]_:

    .. math:: h_c = 1.4 \cdot 698.24 \left(0.00144\, T_m^{0.3} v^{0.5}
              + 0.00097\, (T_s - T_a)^{0.3}\right)

    with the mean of both temperatures in kelvin and the wind of a weather station; its second part
    is nil over colder ground. The desert's own constants, 1 and 0.7, leave ground in light wind
    too warm: at 2 m/s and 30 K they give 11 W/m2K, these 14, and the similarity theory of the
    surface layer about 20 (bare soil of 5 mm roughness, Louis 1979, from memory). A wet
    ground evaporates ``(h_c / γ)(e_s(T_s) - e) / (1 + r_s h_c / (ρ c))``, the Penman-Monteith
    resistances of FAO-56 [4]_ in series; dew is left out. Not in the model: rain, the rig's own
    shadow and awnings on the ground beside it, frost, the seasons' wave.

    References
    ----------
    .. [1] J. E. Vehrencamp, "Experimental investigation of heat transfer at an air-earth
       interface", Trans. American Geophysical Union 34(1), 1953,
       :doi:`10.1029/TR034i001p00022`; with the station's wind in NCHRP 1-37A, eq. 2.3.27.
    .. [2] Report of the National Academies Press, record 14410 (NCHRP), p. 34, eq. 19: the formula
       with factor and exponent as "two dimensionless empirical parameters", and the hourly wind.
    .. [3] J. Gui, P. E. Phelan, K. E. Kaloush, J. S. Golden, "Impact of pavement thermophysical
       properties on surface temperatures", J. Materials in Civil Engineering 19(8), 2007 (title
       from memory): 1.4 and 0.5, as the manual of an open model of urban microclimate quotes
       them; Hermansson 2004, :doi:`10.1016/j.coldregions.2004.03.001`, has the same (from memory).
    .. [4] R. G. Allen et al., "Crop evapotranspiration", FAO Irrigation and Drainage Paper 56,
       1998, eq. 3 and 5.
    """
    count = len(sunlight)
    parts = max(math.ceil(interval_s / LONGEST_STEP_S), 1)
    first_day = min(max(_DAY_S // interval_s, 1), count)
    result = np.empty(count)
    _column(
        _column_of(
            surface.thermal_inertia, interval_s / parts, float(air_start_c[:first_day].mean())
        ),
        parts,
        first_day,
        (1.0 - surface.albedo) * sunlight,
        surface.emittance,
        surface.evaporation_resistance_s_m,
        surface.warmest_c,
        sky_c,
        sky_share,
        air_start_c,
        air_end_c,
        vapour_pa,
        pressure_pa,
        wind_m_s,
        result,
    )
    return result


class Column(NamedTuple):
    """The cells below the surface, eliminated from the bottom up: T_k = follow T_(k-1) + rest."""

    storage: FloatArray  # (c,) capacity over a step [W/m2K]
    upward: FloatArray  # (c + 1,) from each cell to what is above it; the last is the bottom, nil
    follow: FloatArray  # (c + 1,)
    inverse: FloatArray  # (c,) one over the diagonal left by the elimination [m2K/W]
    cells: FloatArray  # (c,) changed in place [degC]
    rest: FloatArray  # (c + 1,) scratch [degC]


def _column_of(inertia: float, step_s: float, first_c: float) -> Column:
    """Return a column at one temperature."""
    thickness = _TOP_CELL_S05 * _GROWTH ** np.arange(_CELLS, dtype=np.float64)
    storage = inertia * thickness / step_s
    upward = np.zeros(_CELLS + 1)
    upward[0] = 2.0 * inertia / thickness[0]
    upward[1:_CELLS] = 2.0 * inertia / (thickness[1:] + thickness[:-1])
    follow, inverse = np.zeros(_CELLS + 1), np.zeros(_CELLS)
    for k in reversed(range(_CELLS)):
        inverse[k] = 1.0 / (storage[k] + upward[k] + upward[k + 1] * (1.0 - follow[k + 1]))
        follow[k] = upward[k] * inverse[k]
    return Column(storage, upward, follow, inverse, np.full(_CELLS, first_c), np.zeros(_CELLS + 1))


@inlined
def ground_convection(surface_c: float, air_c: float, root_of_wind: float) -> float:
    """Return the convective coefficient over open ground; see :func:`ground_temperatures`."""
    mean_k = 0.5 * (surface_c + air_c) + ZERO_CELSIUS_K
    rising = max(surface_c - air_c, 0.0)
    forced = 0.00144 * mean_k**0.3 * root_of_wind
    open_ground = 698.24 * (forced + 0.00097 * rising**0.3)
    return float(max(_PAVEMENT_FACTOR * open_ground, _LEAST_CONVECTION))


@kernel
def _column(
    column: Column,
    parts: int,
    first_day: int,
    absorbed: FloatArray,
    emittance: float,
    resistance: float,
    warmest_c: float,
    sky_c: FloatArray,
    sky_share: FloatArray,
    air_start_c: FloatArray,
    air_end_c: FloatArray,
    vapour_pa: FloatArray,
    pressure_pa: FloatArray,
    wind_m_s: FloatArray,
    result: FloatArray,
) -> None:
    """Step the column through the first day until it is periodic, then through all of it."""
    storage, upward, follow, inverse = column.storage, column.upward, column.follow, column.inverse
    cells, rest = column.cells, column.rest
    into = upward[0] * (1.0 - follow[0])
    surface = cells[0]
    evaporates = resistance < np.inf
    radiating = emittance * STEFAN_BOLTZMANN
    for turn in range(_REPEATS + 1):
        for i in range(first_day if turn < _REPEATS else len(absorbed)):
            total = 0.0
            root_of_wind = math.sqrt(max(wind_m_s[i], 0.0))
            sky_k4 = (sky_c[i] + ZERO_CELSIUS_K) ** 4
            for s in range(parts):
                part = (s + 0.5) / parts
                air = air_start_c[i] + part * (air_end_c[i] - air_start_c[i])
                air_k2 = (air + ZERO_CELSIUS_K) * (air + ZERO_CELSIUS_K)
                down = sky_share[i] * sky_k4 + (1.0 - sky_share[i]) * air_k2 * air_k2
                for k in range(_CELLS - 1, -1, -1):
                    rest[k] = (storage[k] * cells[k] + upward[k + 1] * rest[k + 1]) * inverse[k]
                convection = ground_convection(surface, air, root_of_wind)
                surface_k = surface + ZERO_CELSIUS_K
                outward = 4.0 * radiating * surface_k * surface_k * surface_k
                above = radiating * (down - surface_k * surface_k * surface_k * surface_k)
                lost, per_kelvin = 0.0, 0.0
                if evaporates:
                    gamma = _PSYCHROMETRIC_PER_K * pressure_pa[i]
                    # Air as thin as its pressure carries as much less.
                    carried = _AIR_HEAT_J_M3K * pressure_pa[i] / _STANDARD_PA
                    per_pascal = convection / gamma / (1.0 + resistance * convection / carried)
                    saturated_pa = saturation_pressure(surface)
                    if saturated_pa > vapour_pa[i]:
                        lost = per_pascal * (saturated_pa - vapour_pa[i])
                        warmer = saturation_pressure(surface + 0.1)
                        per_kelvin = per_pascal * (warmer - saturated_pa) / 0.1
                gain = absorbed[i] + above + (outward + per_kelvin) * surface - lost
                gain += convection * air + upward[0] * rest[0]
                surface = min(gain / (outward + per_kelvin + convection + into), warmest_c)
                before = surface
                for k in range(_CELLS):
                    cells[k] = follow[k] * before + rest[k]
                    before = cells[k]
                total += surface
            result[i] = total / parts
