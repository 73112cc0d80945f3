"""How capacity and power of a cooler change with the weather and the cabin air.

A map is a table over the temperature of the air at the condenser and the wet bulb of the air that
enters the coil. Between its points it is bilinear; beyond its edges it keeps the edge's value,
because a polynomial or a straight line carried on past the data soon promises cooling that nobody
measured. :func:`beyond_map` returns when that happened, so that it can be reported.

References
----------
.. [1] D. Cutler, J. Winkler, N. Kruis, C. Christensen, M. Brandemuehl, "Improved Modeling of
   Residential Air Conditioners and Heat Pumps for Energy Calculations", NREL/TP-5500-56354, 2013:
   single-speed air conditioners, a bi-quadratic in degF.
.. [2] J. Neymark, R. Judkoff, "International Energy Agency Building Energy Simulation Test and
   Diagnostic Method for HVAC Equipment Models (HVAC BESTEST)", NREL/TP-550-30152, 2002, the unit
   of cases CE100 to CE200 of ANSI/ASHRAE Standard 140: a bi-quadratic in degC.
.. [3] Laboratory test of a residential mini-split, as the National Renewable Energy Laboratory
   publishes its fit in the open code of ResStock and OpenStudio-HPXML (``set_cool_curves_mshp``,
   ``cool_cap_ft_spec`` and ``cool_eir_ft_spec``): bi-quadratics in degF.
"""

from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

from noonhold.numerics.compiled import merged
from noonhold.rig import PerformanceMap, RatingPoint

DEFAULT_OUTDOOR_C = tuple(float(outdoor_c) for outdoor_c in range(20, 53, 4))
DEFAULT_WET_BULB_C = tuple(float(wet_bulb_c) for wet_bulb_c in range(14, 25, 2))
FIXED_SPEED_MAP = (
    "taken for a fixed-speed compressor: the mean of two published fits (NREL/TP-5500-56354 and the"
    " unit of ANSI/ASHRAE Standard 140 cases CE100 to CE200), 20 to 52 degC outdoors, 14 to 24 degC"
    " entering wet bulb, held beyond; 0.73 of the rated efficiency at 46 degC"
)
VARIABLE_SPEED_MAP = (
    "taken for a variable-speed compressor: the fit to the laboratory test of a mini-split that"
    " NREL publishes with ResStock and OpenStudio-HPXML, 20 to 52 degC outdoors, 14 to 24 degC"
    " entering wet bulb, held beyond; 0.90 of the rated efficiency at 46 degC"
)
FAR = 1e6  # half-width of an axis on which the user gave one point: no dependence was stated


class MapTables(NamedTuple):
    """A performance map as arrays for compiled code; each axis has two points or more."""

    outdoor_c: npt.NDArray[np.float64]
    wet_bulb_c: npt.NDArray[np.float64]
    capacity_ratio: npt.NDArray[np.float64]
    power_ratio: npt.NDArray[np.float64]


def cutler_ratios(outdoor_c: float, wet_bulb_c: float) -> tuple[float, float]:
    """Capacity and power of a single-speed air conditioner over those at 35 / 19.4 degC.

    Parameters
    ----------
    outdoor_c : float
        Outdoor dry bulb. [degC]
    wet_bulb_c : float
        Entering wet bulb; the capacity has its least value near 14.5 degC, which no cooler has,
        so that nothing below 14 degC should be asked. [degC]

    Returns
    -------
    tuple of float
        Ratios of gross capacity and of power. [-]

    References
    ----------
    NREL/TP-5500-56354 (2013); power is capacity times energy-input ratio.
    """
    o, w = 1.8 * outdoor_c + 32.0, 1.8 * wet_bulb_c + 32.0
    capacity = (
        3.717717741
        - 0.09918866 * w
        + 0.000964488 * w**2
        + 0.005887776 * o
        - 1.2808e-5 * o**2
        - 0.000132822 * w * o
    )
    input_ratio = (
        -3.400341169
        + 0.135184783 * w
        - 0.001037932 * w**2
        - 0.007852322 * o
        + 0.000183438 * o**2
        - 0.000142548 * w * o
    )
    return capacity, capacity * input_ratio


def bestest_ratios(outdoor_c: float, wet_bulb_c: float) -> tuple[float, float]:
    """Capacity and power of the unit of cases CE100 to CE200 over those at 35 / 19.4 degC.

    Parameters
    ----------
    outdoor_c : float
        Outdoor dry bulb, fitted from 27.4 to 48.1. [degC]
    wet_bulb_c : float
        Entering wet bulb, fitted from 13.0 to 23.7. [degC]

    Returns
    -------
    tuple of float
        Ratios of gross capacity and of the power of compressor and outdoor fan. [-]

    References
    ----------
    NREL/TP-550-30152 (2002), unit of ANSI/ASHRAE Standard 140 cases CE100 to CE200.
    """
    x, y = wet_bulb_c, outdoor_c
    capacity = (
        0.43863482
        + 0.04259180 * x
        + 0.00015024 * x**2
        + 0.00100248 * y
        - 0.00003314 * y**2
        - 0.00046664 * x * y
    )
    input_ratio = (
        0.77127580
        - 0.02218018 * x
        + 0.00074086 * x**2
        + 0.01306849 * y
        + 0.00039124 * y**2
        - 0.00082052 * x * y
    )
    return capacity, capacity * input_ratio


def mini_split_ratios(outdoor_c: float, wet_bulb_c: float) -> tuple[float, float]:
    """Capacity and power of a variable-speed mini-split over those at 35 / 19.4 degC.

    Parameters
    ----------
    outdoor_c : float
        Outdoor dry bulb, fitted from 18.3 to 51.7. [degC]
    wet_bulb_c : float
        Entering wet bulb, fitted from 13.9 to 23.9. [degC]

    Returns
    -------
    tuple of float
        Ratios of gross capacity and of power. [-]

    References
    ----------
    Laboratory test of a mini-split, fit published by NREL in ResStock and OpenStudio-HPXML.
    """
    o, w = 1.8 * outdoor_c + 32.0, 1.8 * wet_bulb_c + 32.0
    capacity = 0.75319835 + 0.0036181939 * w + 0.0065743850 * o - 6.8718119e-5 * o**2
    input_ratio = (
        -0.063769248
        - 0.0013360593 * w
        + 1.4130606e-5 * w**2
        + 0.019433076 * o
        - 4.9139595e-5 * o**2
        - 4.9093412e-5 * w * o
    )
    return capacity, capacity * input_ratio


@lru_cache(maxsize=64)
def default_map(rating: RatingPoint, variable_speed: bool = False) -> PerformanceMap:
    """Map of a cooler that came without one, by the class of its compressor.

    Parameters
    ----------
    rating : RatingPoint
        Where the cooler is rated; both ratios are 1 there.
    variable_speed : bool, optional
        Whether its compressor changes speed.

    Returns
    -------
    PerformanceMap
        Table over 20 to 52 degC outdoors and 14 to 24 degC entering wet bulb.

    Notes
    -----
    Fixed speed: each entry is the mean of :func:`cutler_ratios` and :func:`bestest_ratios`. The
    lower edge is where the first fit turns the wrong way; the outdoor range goes past both fits (27
    to 48 degC) because a cooler on a hot roof does, and both stay monotonic there. A laboratory fit
    of a window unit, small, single-speed and rotary, lies beside it (0.867 of the capacity and
    0.748 of the efficiency at 46.1 degC; ours 0.88 and 0.73).

    Variable speed: :func:`mini_split_ratios`, for all speeds alike, as its publisher does. Such a
    compressor speeds up in heat and has a condenser for its highest speed, so it loses less.

    The whole table is divided by what it gives at the rating point by interpolation.
    """
    capacity = np.empty((len(DEFAULT_OUTDOOR_C), len(DEFAULT_WET_BULB_C)))
    power = np.empty_like(capacity)
    for i, outdoor_c in enumerate(DEFAULT_OUTDOOR_C):
        for j, wet_bulb_c in enumerate(DEFAULT_WET_BULB_C):
            if variable_speed:
                capacity[i, j], power[i, j] = mini_split_ratios(outdoor_c, wet_bulb_c)
                continue
            first = cutler_ratios(outdoor_c, wet_bulb_c)
            second = bestest_ratios(outdoor_c, wet_bulb_c)
            capacity[i, j] = (first[0] + second[0]) / 2.0
            power[i, j] = (first[1] + second[1]) / 2.0
    raw = MapTables(np.array(DEFAULT_OUTDOOR_C), np.array(DEFAULT_WET_BULB_C), capacity, power)
    rated_capacity, rated_power = map_ratios(raw, rating.outdoor_c, rating.inside_wet_bulb_c)
    return PerformanceMap(
        outdoor_c=DEFAULT_OUTDOOR_C,
        wet_bulb_c=DEFAULT_WET_BULB_C,
        capacity_ratio=tuple(tuple(row) for row in (capacity / rated_capacity).tolist()),
        power_ratio=tuple(tuple(row) for row in (power / rated_power).tolist()),
    )


def map_tables(performance_map: PerformanceMap) -> MapTables:
    """Arrays of a map for compiled code, taken as they stand: nothing is normalised.

    Parameters
    ----------
    performance_map : PerformanceMap
        Rising axes of one point or more each, and full tables over them. One point on an axis
        says that nothing depends on it.

    Returns
    -------
    MapTables
        The same map, a one-point axis made wide.
    """
    capacity = np.array(performance_map.capacity_ratio, dtype=np.float64)
    power = np.array(performance_map.power_ratio, dtype=np.float64)
    axes = []
    for axis, points in enumerate((performance_map.outdoor_c, performance_map.wet_bulb_c)):
        if len(points) > 1:
            axes.append(np.array(points, dtype=np.float64))
            continue
        axes.append(np.array([-FAR, FAR]))
        capacity = np.repeat(capacity, 2, axis=axis)
        power = np.repeat(power, 2, axis=axis)
    return MapTables(axes[0], axes[1], capacity, power)


@njit(cache=True, nogil=True)
def locate(axis: npt.NDArray[np.float64], value: float) -> tuple[int, float]:
    """Cell of a rising axis that holds a value, and how far along the cell; ends clamped.

    Parameters
    ----------
    axis : ndarray of shape (n,)
        Two points or more, rising.
    value : float
        Where to look; NaN gives a NaN fraction.

    Returns
    -------
    index : int
        Left point of the cell, 0 to n - 2.
    fraction : float
        From 0 at the left point to 1 at the right one. [-]
    """
    low = 0
    high = len(axis) - 1
    while high - low > 1:
        middle = (low + high) // 2
        if value < axis[middle]:
            high = middle
        else:
            low = middle
    fraction = (value - axis[low]) / (axis[low + 1] - axis[low])
    if fraction < 0.0:
        fraction = 0.0
    elif fraction > 1.0:
        fraction = 1.0
    return low, fraction


@njit(cache=True, nogil=True)
def bilinear(
    table: npt.NDArray[np.float64], i: int, along_i: float, j: int, along_j: float
) -> float:
    """Value of a table inside a cell that :func:`locate` found on both axes."""
    lower = table[i, j] + along_j * (table[i, j + 1] - table[i, j])
    upper = table[i + 1, j] + along_j * (table[i + 1, j + 1] - table[i + 1, j])
    return float(lower + along_i * (upper - lower))


@merged
def map_ratios(tables: MapTables, condenser_c: float, wet_bulb_c: float) -> tuple[float, float]:
    """Read a map: capacity and power over those at the rating point.

    Parameters
    ----------
    condenser_c : float
        Temperature of the air at the condenser. [degC]
    wet_bulb_c : float
        Wet bulb of the air that enters the coil. [degC]

    Returns
    -------
    tuple of float
        Ratios of gross capacity and of power. [-]
    """
    i, along_i = locate(tables.outdoor_c, condenser_c)
    j, along_j = locate(tables.wet_bulb_c, wet_bulb_c)
    capacity = bilinear(tables.capacity_ratio, i, along_i, j, along_j)
    power = bilinear(tables.power_ratio, i, along_i, j, along_j)
    return capacity, power


@njit(cache=True, nogil=True)
def beyond_map(tables: MapTables, condenser_c: float, wet_bulb_c: float) -> bool:
    """Whether a point lies outside the map, so that its edge stands in for it.

    Parameters
    ----------
    condenser_c : float
        Temperature of the air at the condenser. [degC]
    wet_bulb_c : float
        Wet bulb of the air that enters the coil. [degC]

    Returns
    -------
    bool
        True outside; an axis of one point has no outside.
    """
    return bool(
        condenser_c < tables.outdoor_c[0]
        or condenser_c > tables.outdoor_c[-1]
        or wet_bulb_c < tables.wet_bulb_c[0]
        or wet_bulb_c > tables.wet_bulb_c[-1]
    )
