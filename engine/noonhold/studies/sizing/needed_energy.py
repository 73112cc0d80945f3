"""The battery, or the arrays, that the days which energy lost would have needed.

One more run of the time loop gives what is drawn when energy never stops the cooler. From its
ledger follows, without another run, how any size of battery or arrays would have fared.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from numba import njit

from noonhold.rig import Battery
from noonhold.simulation import channels as ch

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

STEP: Final = 1.02  # from one size that is tried to the next
# The ledger is hourly, the run it stands for is not: what the size found gets on top. Tests run
# rigs of that size (they hold) and of 0.9 of it (they do not).
MARGIN: Final = 1.01
MOST_BATTERY: Final = 1000.0  # times the rig's own
MOST_ARRAY: Final = 10.0


@dataclass(frozen=True)
class NeededEnergy:
    """What each day of a run would have needed, each of the two alone.

    Parameters
    ----------
    battery_factor : numpy.ndarray, shape (d,)
        Usable energy of the battery over what it is, arrays as they are; inf where a thousand
        times is not enough.
    array_factor : numpy.ndarray, shape (d,)
        Rated power of all arrays and limits of their controllers over what they are, battery as it
        is; inf where ten times is not enough, or there are no arrays.
    """

    battery_factor: FloatArray
    array_factor: FloatArray


def needed_energy(
    battery: Battery,
    state_of_charge: float,
    endless: FloatArray,
    first: IntArray,
    wanted: BoolArray,
    interval_s: int,
) -> NeededEnergy:
    r"""Return the battery, and the arrays, that would have carried each day.

    Parameters
    ----------
    state_of_charge : float
        At the first moment.
    endless : numpy.ndarray, shape (n, channels)
        Record of the run `with_endless_battery`.
    first : numpy.ndarray of int, shape (d,)
        Row in which each day begins.
    wanted : numpy.ndarray of bool, shape (d,)
        Which days are asked for; each must have a cooling window.

    Returns
    -------
    NeededEnergy
        In steps of 2 %, NaN on days that are not asked for.

    Notes
    -----
    The deficit :math:`D` of a battery of usable energy :math:`E` against its being full follows
    from what flowed in and out of the endless one, an interval's charge before its discharge:

    .. math:: D_t = \max(0, D_{t-1} - \eta_{ch} P_{ch} \Delta t)
              + P_{dis} \Delta t / \eta_{dis}

    The reserve :math:`r` stops the cooler when :math:`D \ge (1 - r) E` and lets it go when
    :math:`D` has come down to :math:`(1 - r - recovery) E`. A day is carried when it is not
    stopped in any interval of the day's cooling window. For arrays of another size the flows
    follow from the balance of the interval's means.

    What every hour before asks for counts as served. So the largest value of a year is the size
    that carries the year, and a day gains nothing by a day before that went without.
    """
    hours = interval_s / 3600.0
    in_window = endless[:, ch.WINDOW_S] > 0.0
    bounds = np.append(first, len(endless))
    recovered = max(0.0, 1.0 - battery.reserve_fraction - battery.recovery_fraction)
    levels = np.array([1.0 - state_of_charge, 1.0 - battery.reserve_fraction, recovered])
    levels *= battery.usable_energy_wh
    efficiency = np.array([battery.charge_efficiency, 1.0 / battery.discharge_efficiency]) * hours

    into, out_of = endless[:, ch.CHARGE], endless[:, ch.DISCHARGE]
    by_battery = np.where(wanted, np.inf, np.nan)
    _try_sizes(
        _factors(MOST_BATTERY), True, np.zeros_like(into), into, out_of, np.full_like(into, np.inf),
        efficiency, levels, in_window, bounds, by_battery,
    )  # fmt: skip

    solar = endless[:, ch.SOLAR]
    drawn = endless[:, ch.COOLER_POWER] + endless[:, ch.HEATER_POWER] - endless[:, ch.UNMET]
    drawn += endless[:, ch.LOAD_POWER] + endless[:, ch.STANDING_POWER]
    others = endless[:, ch.ALTERNATOR] + endless[:, ch.SHORE]
    battery_c = endless[:, ch.CONTENTS if battery.in_cabin else ch.OUTDOOR]
    low_c, high_c = battery.charge_temperature_c
    room_w = np.where((battery_c >= low_c) & (battery_c <= high_c), battery.max_charge_w, 0.0)
    by_array = np.where(wanted, np.inf, np.nan)
    if solar.any():
        _try_sizes(
            _factors(MOST_ARRAY), False, solar, others, drawn, room_w,
            efficiency, levels, in_window, bounds, by_array,
        )  # fmt: skip
    return NeededEnergy(by_battery * MARGIN, by_array * MARGIN)


def _factors(most: float) -> FloatArray:
    """Return the sizes that are tried, the smallest first."""
    count = math.ceil(math.log(most, STEP))
    return np.asarray(STEP ** np.arange(1, count + 1), dtype=np.float64)


@njit(cache=True, nogil=True)
def _try_sizes(
    factors: FloatArray,
    of_battery: bool,
    solar: FloatArray,
    others: FloatArray,
    drawn: FloatArray,
    room_w: FloatArray,
    efficiency: FloatArray,
    levels: FloatArray,
    in_window: BoolArray,
    bounds: IntArray,
    found: FloatArray,
) -> None:
    """Fill each day that still is inf with the first factor that carries it.

    Levels are the deficits at the start, at the reserve and at the recovery; they grow with a
    battery. Solar grows with arrays; for a battery it is none, and the others and the drawn are
    what flowed in and out. Either way the surplus is stored before the shortage is taken.
    """
    for factor in factors:
        size = factor if of_battery else 1.0
        deficit, empty, recovered = size * levels[0], size * levels[1], size * levels[2]
        stopped = False
        missing = False
        for d in range(len(found)):
            carried = True
            for i in range(bounds[d], bounds[d + 1]):
                gain = factor * solar[i] + others[i]
                loss = drawn[i]
                if not of_battery:
                    gain, loss = max(gain - loss, 0.0), max(loss - gain, 0.0)
                carried = carried and not (stopped and in_window[i])
                deficit = max(0.0, deficit - min(gain, room_w[i]) * efficiency[0])
                if stopped and deficit <= recovered:
                    stopped = False
                deficit += loss * efficiency[1]
                if deficit >= empty:
                    stopped = True
                carried = carried and not (stopped and in_window[i])
            if found[d] == np.inf:
                if carried:
                    found[d] = factor
                else:
                    missing = True
        if not missing:
            return
