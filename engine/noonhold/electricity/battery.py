"""The battery and the bus: who serves the loads, what is stored, curtailed, missing.

All powers are at the bus: charging power before the charge efficiency, discharging power after the
discharge efficiency. The store counts the energy inside the battery, from 0 to its usable energy.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from noonhold.numerics.compiled import merged
from noonhold.rig import Battery, BatteryPoint

__all__ = [
    "BatteryTables",
    "BusStep",
    "battery_tables",
    "bus_step",
    "cooler_allowance_w",
    "reserve_level_wh",
    "reserve_state",
]

SECONDS_PER_HOUR = 3600.0
# A step drawn to land on the reserve lands within rounding of it; this much of the usable energy
# counts as on it.
RESERVE_TOLERANCE = 1e-9
# Charging limit at full over that before the taper: common practice, no source.
FULL_TAPER = 0.05


class BatteryTables(NamedTuple):
    """A battery as plain numbers, for the compiled loop; the reserve is in Wh of usable energy."""

    usable_energy_wh: float
    charge_efficiency: float
    discharge_efficiency: float
    max_charge_w: float
    max_discharge_w: float
    reserve_wh: float
    recovery_wh: float
    charge_low_c: float
    charge_high_c: float
    discharge_low_c: float
    discharge_high_c: float
    taper_from_wh: float
    temperature_c: NDArray[np.float64]  # (m,), one point where temperature does not matter
    capacity_ratio: NDArray[np.float64]  # (m,)
    efficiency_ratio: NDArray[np.float64]  # (m,)


class BusStep(NamedTuple):
    """What one step did on the bus: means over the step, and the store at its end.

    Attributes
    ----------
    stored_wh : float
        Energy in the battery at the end of the step. [Wh]
    solar_used_w : float
        Solar power that served loads or charged. [W]
    curtailed_w : float
        Solar power that neither loads nor battery could take. [W]
    alternator_w, shore_w : float
        What was drawn of the power each offered. [W]
    charge_w, discharge_w : float
        Into and out of the battery at the bus; one of them is always zero. [W]
    unmet_w : float
        Demand that nothing could serve. [W]
    loss_w : float
        Turned to heat inside the battery. [W]
    """

    stored_wh: float
    solar_used_w: float
    curtailed_w: float
    alternator_w: float
    shore_w: float
    charge_w: float
    discharge_w: float
    unmet_w: float
    loss_w: float


def battery_tables(battery: Battery) -> BatteryTables:
    """Lay a battery out for the compiled loop.

    Parameters
    ----------
    battery : Battery
        A battery whose values lie within their bounds.

    Returns
    -------
    BatteryTables
        With reserve and recovery in Wh. The recovery is at most the usable energy, so that a
        battery that is full again has always recovered.

    Examples
    --------
    >>> tables = battery_tables(Battery(usable_energy_wh=5000.0, reserve_fraction=0.2))
    >>> tables.reserve_wh, tables.recovery_wh
    (1000.0, 1250.0)
    """
    points = battery.by_temperature or (BatteryPoint(25.0),)
    recovery_fraction = min(1.0, battery.reserve_fraction + battery.recovery_fraction)
    return BatteryTables(
        usable_energy_wh=float(battery.usable_energy_wh),
        charge_efficiency=float(battery.charge_efficiency),
        discharge_efficiency=float(battery.discharge_efficiency),
        max_charge_w=float(
            min(battery.max_charge_w, battery.charge_c_rate * battery.usable_energy_wh)
        ),
        max_discharge_w=float(
            min(battery.max_discharge_w, battery.discharge_c_rate * battery.usable_energy_wh)
        ),
        reserve_wh=float(battery.reserve_fraction * battery.usable_energy_wh),
        recovery_wh=float(recovery_fraction * battery.usable_energy_wh),
        charge_low_c=float(battery.charge_temperature_c[0]),
        charge_high_c=float(battery.charge_temperature_c[1]),
        discharge_low_c=float(battery.discharge_temperature_c[0]),
        discharge_high_c=float(battery.discharge_temperature_c[1]),
        taper_from_wh=float(battery.taper_from_fraction * battery.usable_energy_wh),
        temperature_c=np.array([point.temperature_c for point in points]),
        capacity_ratio=np.array([point.capacity_ratio for point in points]),
        efficiency_ratio=np.array([point.efficiency_ratio for point in points]),
    )


@njit(cache=True, nogil=True)
def _by_temperature(battery: BatteryTables, ratios: NDArray[np.float64], battery_c: float) -> float:
    """Return a ratio at the battery's temperature, linear between points, constant beyond."""
    points = battery.temperature_c
    last = len(points) - 1
    if last == 0 or battery_c <= points[0]:
        return float(ratios[0])
    for k in range(last):
        if battery_c < points[k + 1]:
            share = (battery_c - points[k]) / (points[k + 1] - points[k])
            return float(ratios[k] + share * (ratios[k + 1] - ratios[k]))
    return float(ratios[last])


@njit(cache=True, nogil=True)
def _locked_wh(battery: BatteryTables, battery_c: float) -> float:
    """Return the energy that the battery cannot give at its temperature. [Wh]."""
    ratio = _by_temperature(battery, battery.capacity_ratio, battery_c)
    return (1.0 - ratio) * battery.usable_energy_wh


@njit(cache=True, nogil=True)
def _lesser(one: float, other: float) -> float:
    """Return the lesser of two; NaN if either is NaN, which ``min`` does not promise."""
    if one < other:
        return one
    if other <= one:
        return other
    return math.nan


@njit(cache=True, nogil=True)
def _at_least_zero(value: float) -> float:
    """Return the value, or zero for a negative one; NaN stays NaN."""
    if value < 0.0:
        return 0.0
    return value


@njit(cache=True, nogil=True)
def _limit_at(limit_w: float, battery_c: float, low_c: float, high_c: float) -> float:
    """Return the power limit within the temperature limits, zero outside them."""
    if math.isnan(battery_c):
        return math.nan
    if low_c <= battery_c <= high_c:
        return limit_w
    return 0.0


@njit(cache=True, nogil=True)
def _charge_limit(battery: BatteryTables, battery_c: float, stored_wh: float) -> float:
    """Return the charging power the battery takes at its temperature and charge. [W]."""
    limit_w = battery.max_charge_w
    if stored_wh > battery.taper_from_wh:
        left = (battery.usable_energy_wh - stored_wh) / (
            battery.usable_energy_wh - battery.taper_from_wh
        )
        limit_w *= max(left, FULL_TAPER)
    return _limit_at(limit_w, battery_c, battery.charge_low_c, battery.charge_high_c)


@njit(cache=True, nogil=True)
def _discharge_limit(battery: BatteryTables, battery_c: float) -> float:
    """Return the discharging power the battery gives at its temperature. [W]."""
    return _limit_at(
        battery.max_discharge_w, battery_c, battery.discharge_low_c, battery.discharge_high_c
    )


@merged
def bus_step(
    battery: BatteryTables,
    stored_wh: float,
    demand_w: float,
    solar_w: float,
    alternator_w: float,
    shore_w: float,
    battery_c: float,
    dt_s: float,
) -> BusStep:
    r"""Serve the demand of one step and store or curtail the rest.

    Parameters
    ----------
    stored_wh : float
        Energy in the battery at the start, from 0 to the usable energy. [Wh]
    demand_w : float
        What all loads together draw from the bus, not negative. [W]
    solar_w, alternator_w, shore_w : float
        What each source offers the bus, not negative. [W]
    battery_c : float
        Temperature of the battery. [degC]
    dt_s : float
        Length of the step, above zero. [s]

    Returns
    -------
    BusStep
        NaN among the powers or the temperature comes back as NaN in the store, or in the flow it
        touches; it never counts as power.

    Notes
    -----
    Solar serves the demand first, then the alternator, then shore power, then the battery, which
    the loads may empty, but for what a cold battery keeps: the reserve binds the cooler only. What
    the sources have left charges the battery in the same order. Solar left after that is curtailed;
    the alternator's and the shore's is not drawn. The battery never charges and discharges in one
    step. With :math:`\Delta t` in hours the two ledgers are

    .. math::

        P_{solar} + P_{alt} + P_{shore} + P_{dis} &= P_{demand} - P_{unmet} + P_{ch} \\
        E_{end} - E_{start} &= (\eta_{ch} P_{ch} - P_{dis} / \eta_{dis}) \Delta t
    """
    hours = dt_s / SECONDS_PER_HOUR

    solar_to_loads_w = _lesser(solar_w, demand_w)
    missing_w = demand_w - solar_to_loads_w
    alternator_to_loads_w = _lesser(alternator_w, missing_w)
    missing_w -= alternator_to_loads_w
    shore_to_loads_w = _lesser(shore_w, missing_w)
    missing_w -= shore_to_loads_w
    ratio = _by_temperature(battery, battery.efficiency_ratio, battery_c)
    charge_efficiency = battery.charge_efficiency * ratio
    discharge_efficiency = battery.discharge_efficiency * ratio
    free_wh = _at_least_zero(stored_wh - _locked_wh(battery, battery_c))
    emptying_w = free_wh * discharge_efficiency / hours
    discharge_w = _lesser(_lesser(_discharge_limit(battery, battery_c), emptying_w), missing_w)
    unmet_w = missing_w - discharge_w

    space_wh = _at_least_zero(battery.usable_energy_wh - stored_wh)
    filling_w = space_wh / charge_efficiency / hours
    room_w = _lesser(_charge_limit(battery, battery_c, stored_wh), filling_w)
    solar_left_w = solar_w - solar_to_loads_w
    solar_to_store_w = _lesser(solar_left_w, room_w)
    room_w -= solar_to_store_w
    alternator_to_store_w = _lesser(alternator_w - alternator_to_loads_w, room_w)
    room_w -= alternator_to_store_w
    shore_to_store_w = _lesser(shore_w - shore_to_loads_w, room_w)
    charge_w = solar_to_store_w + alternator_to_store_w + shore_to_store_w

    into_store_w = charge_w * charge_efficiency
    out_of_store_w = discharge_w / discharge_efficiency
    end_wh = stored_wh + (into_store_w - out_of_store_w) * hours
    # Rounding alone can carry the store past empty or full, by its last digit.
    if end_wh < 0.0:
        end_wh = 0.0
    elif charge_w > 0.0 and end_wh > battery.usable_energy_wh:
        end_wh = battery.usable_energy_wh

    return BusStep(
        end_wh,
        solar_to_loads_w + solar_to_store_w,
        solar_left_w - solar_to_store_w,
        alternator_to_loads_w + alternator_to_store_w,
        shore_to_loads_w + shore_to_store_w,
        charge_w,
        discharge_w,
        unmet_w,
        (charge_w - into_store_w) + (out_of_store_w - discharge_w),
    )


@merged
def cooler_allowance_w(
    battery: BatteryTables,
    stored_wh: float,
    base_demand_w: float,
    solar_w: float,
    alternator_w: float,
    shore_w: float,
    battery_c: float,
    dt_s: float,
) -> float:
    r"""Bus power the cooler may draw over a step on top of the other loads.

    Parameters
    ----------
    stored_wh : float
        Energy in the battery at the start. [Wh]
    base_demand_w : float
        What all other loads draw; they go first. [W]
    solar_w, alternator_w, shore_w : float
        What each source offers the bus. [W]
    battery_c : float
        Temperature of the battery. [degC]
    dt_s : float
        Length of the step, above zero. [s]

    Returns
    -------
    float
        The most the cooler may draw; never negative, and finite while the sources are. [W]

    Notes
    -----
    The greatest power with which :func:`bus_step` leaves nothing unmet and ends no lower than the
    reserve. Above the reserve,

    .. math:: P = P_{sources} - P_{base}
              + \min(P_{dis,max}, \eta_{dis} (E - E_{reserve}) / \Delta t)

    Below it the store must first be brought up to the reserve within the step, so what that takes
    is withheld, and nothing is left if the battery cannot take it so fast. As near the reserve as
    :func:`reserve_state` puts it counts as on it.
    """
    hours = dt_s / SECONDS_PER_HOUR
    surplus_w = solar_w + alternator_w + shore_w - base_demand_w
    ratio = _by_temperature(battery, battery.efficiency_ratio, battery_c)
    above_wh = stored_wh - battery.reserve_wh
    if above_wh < -RESERVE_TOLERANCE * battery.usable_energy_wh:
        needed_w = -above_wh / (battery.charge_efficiency * ratio) / hours
        if needed_w > _charge_limit(battery, battery_c, stored_wh):
            return 0.0
        return _at_least_zero(surplus_w - needed_w)
    above_wh = _lesser(above_wh, stored_wh - _locked_wh(battery, battery_c))
    lasting_w = _at_least_zero(above_wh) * (battery.discharge_efficiency * ratio) / hours
    from_store_w = _lesser(_discharge_limit(battery, battery_c), lasting_w)
    return _at_least_zero(surplus_w + from_store_w)


@njit(cache=True, nogil=True)
def reserve_level_wh(battery: BatteryTables) -> float:
    """Return the stored energy at and below which a battery counts as at its reserve. [Wh]."""
    return battery.reserve_wh + RESERVE_TOLERANCE * battery.usable_energy_wh


@njit(cache=True, nogil=True)
def reserve_state(battery: BatteryTables, stored_wh: float, stopped: bool) -> bool:
    """Whether the cooler is stopped by the reserve, given whether it was.

    Parameters
    ----------
    stored_wh : float
        Energy in the battery now. [Wh]
    stopped : bool
        Whether the reserve had the cooler stopped until now.

    Returns
    -------
    bool
        True from the step in which the store comes down to the reserve until it has climbed to
        the recovery. Both are met within 1e-9 of the usable energy.

    Notes
    -----
    With a recovery at the reserve itself the store must still rise above the reserve, so that a
    cooler never starts and stops on the same charge.
    """
    if stored_wh <= reserve_level_wh(battery):
        return True
    tolerance_wh = RESERVE_TOLERANCE * battery.usable_energy_wh
    return stopped and stored_wh < battery.recovery_wh - tolerance_wh
