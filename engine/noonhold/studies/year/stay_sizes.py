"""What a stay that energy ends would need to last: a battery, or arrays, of what size.

From the year's run in which energy never lacks follows, without another run, how any size of
battery or arrays would have fared from every date of arrival. Nothing is carried over from the
days before it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from numba import njit

from noonhold.day_causes import day_conditions
from noonhold.electricity.battery import BatteryTables, bus_step, reserve_level_wh
from noonhold.rig import Rig
from noonhold.scenario import Comfort
from noonhold.simulation.record import (
    TRACE_ALTERNATOR,
    TRACE_BATTERY_C,
    TRACE_DEMAND,
    TRACE_SHORE,
    TRACE_SOLAR,
    UNSERVED_W,
)
from noonhold.studies.year.year_run import YearRun
from noonhold.studies.year.year_stays import YearStays

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

LENGTHS_D: Final = (1, 2, 3, 7, 14)
STEP: Final = 1.02  # from one size that is tried to the next
# The ledger is hourly, the run it stands for is not: what the size found gets on top. Tests run
# rigs of that size (they hold) and of 0.9 of it (they do not).
MARGIN: Final = 1.01
MOST_BATTERY: Final = 1000.0  # times the rig's own
MOST_ARRAY: Final = 10.0


@dataclass(frozen=True)
class StaySizes:
    """By date of arrival and length of stay, each of the two alone, all else as it is.

    NaN where the stay holds, its comfort fails however much energy there is, or no size is enough.

    Parameters
    ----------
    needed_battery_wh : numpy.ndarray, shape (d, lengths)
        Usable energy of the battery, its reserve the same share of it. [Wh]
    needed_array_w : numpy.ndarray, shape (d, lengths)
        Rated power of all arrays together, each grown alike and its controller with it. [W]
    """

    needed_battery_wh: FloatArray
    needed_array_w: FloatArray


def stay_sizes(
    rig: Rig,
    comfort: Comfort,
    run: YearRun,
    stays: YearStays,
    lengths_d: tuple[int, ...] = LENGTHS_D,
) -> StaySizes:
    """Return the battery, and the arrays, with which every stay would last.

    Parameters
    ----------
    comfort : Comfort
        What a day must reach.
    stays : YearStays
        Of the same.
    lengths_d : tuple of int, optional
        Lengths of stay, rising. [d]

    Returns
    -------
    StaySizes
        In the order of the weather.

    Notes
    -----
    The bank alone is stepped from the charge on arrival through the hourly means of supply and
    demand, at sizes 2 % apart, by halving; the size found gets another 1 %. A battery of another
    size arrives with the same state of charge and takes and gives the same power.
    """
    fed = run.fed.nominal
    per_hour = round(3600.0 / fed.case.network.step_s)
    hourly = fed.trace.reshape(-1, per_hour, fed.trace.shape[1]).mean(axis=1)
    edges = np.append(run.clock.day_first(), len(fed.record))
    bounds = (edges * (len(hourly) // len(fed.record))).astype(np.int64)
    comfortable = ~day_conditions(comfort, run.clock, fed.record).comfort_failed
    shape = (len(stays.days), len(lengths_d))
    sizes = []
    for of_battery, most in ((True, MOST_BATTERY), (False, MOST_ARRAY)):
        found = np.full(shape, np.nan)
        if of_battery or hourly[:, TRACE_SOLAR].any():
            _fill_factors(
                fed.case.battery, hourly, bounds, comfortable, stays.days,
                np.array(lengths_d, dtype=np.int64), stays.charge_on_arrival, _factors(most),
                of_battery, found,
            )  # fmt: skip
        sizes.append(found * MARGIN)
    rated_w = sum(array.rated_power_w for array in rig.arrays)
    return StaySizes(sizes[0] * rig.battery.usable_energy_wh, sizes[1] * rated_w)


def _factors(most: float) -> FloatArray:
    """Return the sizes that are tried, the smallest first."""
    count = math.ceil(math.log(most, STEP))
    return np.asarray(STEP ** np.arange(1, count + 1), dtype=np.float64)


@njit(cache=True, nogil=True)
def _fill_factors(
    battery: BatteryTables,
    hourly: FloatArray,
    bounds: IntArray,
    comfortable: BoolArray,
    held_days: IntArray,
    lengths: IntArray,
    charge: float,
    factors: FloatArray,
    of_battery: bool,
    found: FloatArray,
) -> None:
    """Write the smallest factor that carries each stay; NaN stays where none is needed or does."""
    count = len(held_days)
    last = len(factors) - 1
    for start in range(count):
        least = 0
        for j in range(len(lengths)):
            length = lengths[j]
            if held_days[start] >= length:
                continue
            fine = True
            for k in range(length):
                fine = fine and comfortable[(start + k) % count]
            # What is wrong for a stay is wrong for every longer one.
            if not fine or not _carried(
                battery, hourly, bounds, start, length, charge, factors[last], of_battery
            ):
                break
            # Most often a size is near that of the stay before: steps out, then halving.
            low, high, reach = least, least, 1
            while high < last and not _carried(
                battery, hourly, bounds, start, length, charge, factors[high], of_battery
            ):
                low = high + 1
                high = min(high + reach, last)
                reach *= 2
            while low < high:
                middle = (low + high) // 2
                if _carried(
                    battery, hourly, bounds, start, length, charge, factors[middle], of_battery
                ):
                    high = middle
                else:
                    low = middle + 1
            found[start, j] = factors[low]
            least = low


@njit(cache=True, nogil=True)
def _carried(
    battery: BatteryTables,
    hourly: FloatArray,
    bounds: IntArray,
    start: int,
    length: int,
    charge: float,
    factor: float,
    of_battery: bool,
) -> bool:
    """Tell whether a bank, or arrays, of a size carry a stay."""
    count = len(bounds) - 1
    bank = _sized(battery, factor if of_battery else 1.0)
    sunnier = 1.0 if of_battery else factor
    reserve_wh = reserve_level_wh(bank)
    stored_wh = charge * bank.usable_energy_wh
    for number in range(length):
        day = (start + number) % count
        for k in range(bounds[day], bounds[day + 1]):
            bus = bus_step(
                bank, stored_wh, hourly[k, TRACE_DEMAND], sunnier * hourly[k, TRACE_SOLAR],
                hourly[k, TRACE_ALTERNATOR], hourly[k, TRACE_SHORE], hourly[k, TRACE_BATTERY_C],
                3600.0,
            )  # fmt: skip
            stored_wh = bus.stored_wh
            if stored_wh <= reserve_wh or bus.unmet_w > UNSERVED_W:
                return False
    return True


@njit(cache=True, nogil=True)
def _sized(battery: BatteryTables, factor: float) -> BatteryTables:
    """Return a battery of another size, its power limits as they are."""
    return BatteryTables(
        battery.usable_energy_wh * factor,
        battery.charge_efficiency,
        battery.discharge_efficiency,
        battery.max_charge_w,
        battery.max_discharge_w,
        battery.reserve_wh * factor,
        battery.recovery_wh * factor,
        battery.charge_low_c,
        battery.charge_high_c,
        battery.discharge_low_c,
        battery.discharge_high_c,
        battery.taper_from_wh * factor,
        battery.temperature_c,
        battery.capacity_ratio,
        battery.efficiency_ratio,
    )
