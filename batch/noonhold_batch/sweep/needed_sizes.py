"""What the cooling days that energy lost would have needed: a battery, or arrays, of what size."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from noonhold.projection import stored_at_start_wh
from noonhold.studies.sizing.needed_energy import needed_energy
from noonhold.verdict import DayVerdicts, day_verdicts
from noonhold_batch.sweep.site_year import YearRun
from noonhold_batch.sweep.sweep_cases import Case

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True)
class NeededSizes:
    """By day, NaN where the day holds, needs no cooling, or that size alone is no help.

    Parameters
    ----------
    needed_battery_wh : numpy.ndarray, shape (d,)
        Usable energy with which it would hold, arrays as they are. [Wh]
    needed_array_w : numpy.ndarray, shape (d,)
        Rated power of all arrays together, each grown alike and its controller with it, with which
        it would hold, battery as it is. [W]
    """

    needed_battery_wh: FloatArray
    needed_array_w: FloatArray


def needed_sizes(case: Case, run: YearRun, verdicts: DayVerdicts, interval_s: int) -> NeededSizes:
    """Return what each failed day that needs cooling would have needed.

    Parameters
    ----------
    case : Case
        Rig and scenario.
    verdicts : DayVerdicts
        Of the year.
    interval_s : int
        Of the weather. [s]

    Returns
    -------
    NeededSizes
        In the order of the verdicts. A day that fails even on endless energy needs another
        cooler, and has neither; see `noonhold.studies.sizing.needed_energy` for the rest.
    """
    endless = run.twins.fed
    failed = verdicts.needs_cooling & ~verdicts.holds
    nothing = np.full(len(failed), np.nan)
    if endless is None or not failed.any():
        return NeededSizes(nothing, nothing)
    rig, comfort = case.rig, case.scenario.comfort
    fed = day_verdicts(rig, comfort, run.clock, endless, run.twins.uncooled, interval_s)
    wanted = failed & fed.holds
    if not wanted.any():
        return NeededSizes(nothing, nothing)
    stored_wh = stored_at_start_wh(rig.battery, run.twins.record, interval_s)
    charge = stored_wh / rig.battery.usable_energy_wh
    first = run.clock.day_first()
    found = needed_energy(rig.battery, charge, endless, first, wanted, interval_s)
    rated_w = sum(array.rated_power_w for array in rig.arrays)
    return NeededSizes(
        _known(found.battery_factor) * rig.battery.usable_energy_wh,
        _known(found.array_factor) * rated_w,
    )


def _known(factor: FloatArray) -> FloatArray:
    """Return factors with NaN for those that no size is enough for."""
    return np.where(np.isfinite(factor), factor, np.nan)
