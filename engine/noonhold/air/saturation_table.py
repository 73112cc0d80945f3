"""The saturation curve by cubics between exact points, for those who ask for it a million times.

Each of both curves, over ice and over liquid water, is tabulated every quarter of a kelvin with
its slope; between two points runs the cubic that has both values and both slopes. That is within
3e-10 of the equations and takes neither a logarithm nor an exponential.
"""

import math
from collections.abc import Callable
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.air.saturation import ZERO_CELSIUS_K, log_over_ice, log_over_water
from noonhold.numerics.compiled import inlined

_COLDEST_C: Final = -60.0
_WARMEST_C: Final = 100.0
_POINTS_PER_K: Final = 4.0


def _tabulated(log_over: Callable[[float], tuple[float, float]]) -> npt.NDArray[np.float64]:
    """Return pressure [Pa] and its rise from point to point, shape (points, 2)."""
    points = round((_WARMEST_C - _COLDEST_C) * _POINTS_PER_K) + 1
    # Plain Python in any case: a table that the compiler knows may not hang on how it was called.
    exact = getattr(log_over, "py_func", log_over)
    rows = []
    for k in range(points):
        logarithm, slope = exact(_COLDEST_C + k / _POINTS_PER_K + ZERO_CELSIUS_K)
        pressure = math.exp(logarithm)
        rows.append((pressure, pressure * slope / _POINTS_PER_K))
    return np.array(rows)


_OVER_ICE: Final = _tabulated(log_over_ice)
_OVER_WATER: Final = _tabulated(log_over_water)
FREEZING_WATER_PA: Final = float(_OVER_WATER[round(-_COLDEST_C * _POINTS_PER_K), 0])


@inlined
def saturated(temp_c: float, ice: bool) -> tuple[float, float]:
    """Return saturation pressure over ice or over liquid water, and its slope.

    Parameters
    ----------
    temp_c : float
        Temperature; outside -60 to 100 the equations themselves are asked. [degC]
    ice : bool
        Over ice, or over water that may be supercooled.

    Returns
    -------
    pressure, slope : float
        [Pa], [Pa/K]
    """
    if not _COLDEST_C <= temp_c < _WARMEST_C:
        temp_k = temp_c + ZERO_CELSIUS_K
        logarithm, log_slope = log_over_ice(temp_k) if ice else log_over_water(temp_k)
        pressure = math.exp(logarithm)
        return pressure, log_slope * pressure
    table = _OVER_ICE if ice else _OVER_WATER
    place = (temp_c - _COLDEST_C) * _POINTS_PER_K
    cell = int(place)
    along = place - cell
    low, low_rise = table[cell, 0], table[cell, 1]
    high, high_rise = table[cell + 1, 0], table[cell + 1, 1]
    over = high - low
    second = 3.0 * over - 2.0 * low_rise - high_rise
    third = low_rise + high_rise - 2.0 * over
    pressure = low + along * (low_rise + along * (second + along * third))
    rise = low_rise + along * (2.0 * second + 3.0 * along * third)
    return pressure, rise * _POINTS_PER_K
