"""Running one rig after another through the same weather, and judging each by the same days."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from noonhold.rig import Rig
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import SimulationCase, prepare, without_cooling
from noonhold.studies.sizing.sizes import Size
from noonhold.studies.study_base import Prepared
from noonhold.verdict import Cause, DayVerdicts, day_verdicts
from noonhold.weather.clock import Clock

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Trial:
    """What a rig of one size did.

    Parameters
    ----------
    days_needing_cooling, holding_days : int
        Days that need cooling, and how many of them hold.
    feasible_fraction : float or None
        Their ratio; ``None`` where no day needs cooling.
    failed_by_capacity, failed_by_energy, failed_by_operation : int
        First cause of the others: the cooler, the energy, or set point, measure and schedule.
    lowest_charge : float
        State of charge over the whole run.
    hours_at_reserve : float
        Time the reserve held the cooler off. [h]
    cooler_wh, solar_wh, curtailed_wh, unmet_wh : float
        Over the whole run. [Wh]
    peak_comfort : float or None
        Highest comfort measure in the judged time; ``None`` where nothing is judged.
    """

    size: Size
    days_needing_cooling: int
    holding_days: int
    feasible_fraction: float | None
    failed_by_capacity: int
    failed_by_energy: int
    failed_by_operation: int
    lowest_charge: float
    hours_at_reserve: float
    cooler_wh: float
    solar_wh: float
    curtailed_wh: float
    unmet_wh: float
    peak_comfort: float | None

    def reaches(self, required_feasible_fraction: float) -> bool:
        """Tell whether the feasible_fraction is reached; where no day needs cooling it is."""
        return (
            self.feasible_fraction is None or self.feasible_fraction >= required_feasible_fraction
        )


@dataclass(frozen=True)
class TrialRunner:
    """What all trials share: the weather and sun on the rig, and which days need cooling.

    Parameters
    ----------
    prepared : Prepared
        The rig as given; battery, cooler and the size of an array do not change the sun and
        weather on it.
    clock : Clock
        Of the answer, settling days left off.
    uncooled : numpy.ndarray, shape (n, channels)
        The rig as given with its cooler off.
    """

    prepared: Prepared
    clock: Clock
    uncooled: FloatArray

    def case(self, rig: Rig) -> SimulationCase:
        """Return the tables of a rig's run."""
        selected = self.prepared.selected
        case, _ = prepare(
            rig,
            self.prepared.request.scenario,
            selected.table,
            selected.spin_up,
            self.prepared.step_s,
            forcing=self.prepared.case.forcing,
        )
        return case

    def verdicts(self, rig: Rig, record: FloatArray, uncooled: FloatArray) -> DayVerdicts:
        """Judge a record by the days of an uncooled one."""
        comfort = self.prepared.request.scenario.comfort
        interval_s = self.prepared.selected.table.interval_s
        return day_verdicts(rig, comfort, self.clock, record, uncooled, interval_s)

    def trial(self, rig: Rig, size: Size) -> Trial:
        """Run a rig; the days that need cooling are those of the rig as given."""
        record = run_cases([self.case(rig)])[0]
        return trial_of(size, self.verdicts(rig, record, self.uncooled))

    def own_trial(self, rig: Rig, size: Size) -> Trial:
        """Run a rig and its own uncooled twin, as a projection does."""
        case = self.case(rig)
        record, uncooled = run_cases([case, without_cooling(case)])
        return trial_of(size, self.verdicts(rig, record, uncooled))


def bench_for(prepared: Prepared) -> TrialRunner:
    """Compute once what all trials share.

    Parameters
    ----------
    prepared : Prepared
        The rig as given, ready to run.

    Returns
    -------
    TrialRunner
        For rigs that differ from this one in battery, cooler or the size of arrays.
    """
    uncooled: FloatArray = run_cases([without_cooling(prepared.case)])[0]
    return TrialRunner(prepared, prepared.shown_clock(), uncooled)


def trial_of(size: Size, days: DayVerdicts) -> Trial:
    """Sum the verdicts of a rig's days up.

    Parameters
    ----------
    size : Size
        The rig's size.

    Returns
    -------
    Trial
        Causes are counted among the days that need cooling.
    """
    needs = days.needs_cooling
    needing = int(needs.sum())
    held = int((needs & days.holds).sum())

    def failed(*causes: Cause) -> int:
        return int((needs & np.isin(days.first_cause, causes)).sum())

    peaks = days.peak_comfort[np.isfinite(days.peak_comfort)]
    return Trial(
        size=size,
        days_needing_cooling=needing,
        holding_days=held,
        feasible_fraction=held / needing if needing else None,
        failed_by_capacity=failed(Cause.CAPACITY),
        failed_by_energy=failed(Cause.ENERGY_BALANCE, Cause.ENERGY_STORAGE),
        failed_by_operation=failed(Cause.MEASURE, Cause.SCHEDULE),
        lowest_charge=float(days.lowest_charge.min()),
        hours_at_reserve=float(days.hours_at_reserve.sum()),
        cooler_wh=float(days.cooler_wh.sum()),
        solar_wh=float(days.solar_wh.sum()),
        curtailed_wh=float(days.curtailed_wh.sum()),
        unmet_wh=float(days.unmet_wh.sum()),
        peak_comfort=float(peaks.max()) if len(peaks) else None,
    )
