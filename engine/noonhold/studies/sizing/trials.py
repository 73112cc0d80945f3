"""Running one rig after another through the same weather, and judging each by the same days."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.day_causes import daily_balance_wh
from noonhold.quantities import Verdict
from noonhold.rig import Rig
from noonhold.simulation import channels as ch
from noonhold.simulation.repeated_day import repeat_day
from noonhold.simulation.run_state import spun_up
from noonhold.simulation.simulation_case import SimulationCase, prepare
from noonhold.studies.sizing.sizes import Size
from noonhold.studies.study_base import Prepared
from noonhold.sustained import SettledRun, is_one_day, settled_day, settled_stretch
from noonhold.twins import run_twins, run_uncooled
from noonhold.verdict import Cause, DayVerdicts, day_verdicts
from noonhold.weather.clock import Clock

FloatArray = npt.NDArray[np.float64]

_SERVED_WH: Final = 0.01  # the rounding of a year's steps that land on an empty battery


class Confidence(StrEnum):
    """How sure a day must hold to count."""

    NOMINAL = "nominal"  # as stated
    ADVERSE = "adverse"  # as stated and in its adverse twin


@dataclass(frozen=True)
class Margin:
    """Where a rig came nearest to failing.

    Parameters
    ----------
    value : float
        The least of the days that hold, in the unit that the field's name says.
    date : str
        ISO 8601 day on which it was.
    hour : float
        Hour of the clock at which the hour of that begins. [h]
    """

    value: float
    date: str
    hour: float


@dataclass(frozen=True)
class Trial:
    """What a rig of one size did, once its charge had settled.

    Parameters
    ----------
    days_needing_cooling, holding_days, narrow_days : int
        Days that need cooling, how many of them hold, narrowly or not, and how many narrowly.
    counting_days : int
        Those that hold at the confidence asked for.
    feasible_fraction : float or None
        Counting over needing; ``None`` where no day needs cooling.
    failed_by_capacity, failed_by_energy, failed_by_operation : int
        First cause of the days that fail: the cooler, the energy, or set point, measure and
        schedule.
    daily_balance_wh : float
        What the mean day gives more than it takes, to a battery never full nor empty. [Wh]
    lowest_charge : float
        State of charge over the whole run.
    hours_at_reserve : float
        Time the reserve kept the cooler off. [h]
    cooler_wh, solar_wh, curtailed_wh : float
        Over the whole run. [Wh]
    unmet_wh : float
        House loads unserved over the whole run, days that need no cooling included; at adverse
        confidence the more of the run and its adverse twin. [Wh]
    peak_comfort : float or None
        Highest comfort measure in the judged time; ``None`` where nothing is judged.
    energy_margin_wh, comfort_margin_k, cooling_margin_w : Margin or None
        The least margins of the days that hold; ``None`` where none does.
    """

    size: Size
    days_needing_cooling: int
    holding_days: int
    narrow_days: int
    counting_days: int
    feasible_fraction: float | None
    failed_by_capacity: int
    failed_by_energy: int
    failed_by_operation: int
    daily_balance_wh: float
    lowest_charge: float
    hours_at_reserve: float
    cooler_wh: float
    solar_wh: float
    curtailed_wh: float
    unmet_wh: float
    peak_comfort: float | None
    energy_margin_wh: Margin | None = None
    comfort_margin_k: Margin | None = None
    cooling_margin_w: Margin | None = None

    def reaches(self, required_feasible_fraction: float) -> bool:
        """Tell whether the share is reached, or no day needs cooling, and all loads are served."""
        enough = (
            self.feasible_fraction is None or self.feasible_fraction >= required_feasible_fraction
        )
        return enough and self.unmet_wh < _SERVED_WH


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
    confidence : Confidence
        How sure a day must hold to count.
    """

    prepared: Prepared
    clock: Clock
    uncooled: FloatArray
    confidence: Confidence

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

    def trial(self, rig: Rig, size: Size) -> Trial:
        """Run a rig; the days that need cooling are those of the rig as given."""
        return self._of(rig, size, self._settled(rig, self.case(rig), self.uncooled))

    def own_trial(self, rig: Rig, size: Size) -> Trial:
        """Run a rig and its own uncooled twin, as a projection does."""
        case = self.case(rig)
        return self._of(rig, size, self._settled(rig, case, run_uncooled(case)))

    def fed_trial(self, rig: Rig, size: Size) -> Trial:
        """Run a rig with energy that never lacks: no charge of it need repeat."""
        twins = run_twins(self.case(rig), self.uncooled)
        comfort = self.prepared.request.scenario.comfort
        days = day_verdicts(
            rig, comfort, self.clock, twins.record, twins.uncooled,
            self.prepared.case.forcing.interval_s, twins.adverse, twins.fed,
        )  # fmt: skip
        return self._of(rig, size, SettledRun(days, twins.record, twins.adverse, twins.fed))

    def _settled(self, rig: Rig, case: SimulationCase, uncooled: FloatArray) -> SettledRun:
        comfort = self.prepared.request.scenario.comfort
        if is_one_day(case, self.clock):
            day = repeat_day(case, spun_up(case))
            return settled_day(rig, comfort, self.clock, case, uncooled, day)
        return settled_stretch(rig, comfort, self.clock, case, uncooled)

    def _of(self, rig: Rig, size: Size, run: SettledRun) -> Trial:
        record = run.record if run.fed is None else run.fed
        interval_s = self.prepared.case.forcing.interval_s
        balance = daily_balance_wh(rig.battery, self.clock, record, interval_s)
        adverse_unmet_wh = 0.0
        if self.confidence is Confidence.ADVERSE and run.adverse is not None:
            adverse_unmet_wh = float(run.adverse[:, ch.UNMET].sum()) * interval_s / 3600.0
        return trial_of(size, run.days, self.confidence, float(balance.mean()), adverse_unmet_wh)


def bench_for(prepared: Prepared, confidence: Confidence) -> TrialRunner:
    """Compute once what all trials share.

    Parameters
    ----------
    prepared : Prepared
        The rig as given, ready to run.
    confidence : Confidence
        How sure a day must hold to count.

    Returns
    -------
    TrialRunner
        For rigs that differ from this one in battery, cooler or the size of arrays.
    """
    uncooled = run_uncooled(prepared.case)
    return TrialRunner(prepared, prepared.shown_clock(), uncooled, confidence)


def trial_of(
    size: Size,
    days: DayVerdicts,
    confidence: Confidence,
    balance_wh: float,
    adverse_unmet_wh: float = 0.0,
) -> Trial:
    """Sum the verdicts of a rig's days up.

    Parameters
    ----------
    confidence : Confidence
        How sure a day must hold to count.
    balance_wh : float
        Of its mean day. [Wh]
    adverse_unmet_wh : float, optional
        House loads that go unserved in the adverse twin. [Wh]

    Returns
    -------
    Trial
        Causes are counted among the days that need cooling.
    """
    needs = days.needs_cooling
    needing = int(needs.sum())
    held = int((needs & days.holds).sum())
    narrow = int((needs & (days.verdict == int(Verdict.NARROWLY))).sum())
    counted = held - narrow if confidence is Confidence.ADVERSE else held

    def failed(*causes: Cause) -> int:
        return int((needs & np.isin(days.first_cause, causes)).sum())

    peaks = days.peak_comfort[np.isfinite(days.peak_comfort)]
    return Trial(
        size=size,
        days_needing_cooling=needing,
        holding_days=held,
        narrow_days=narrow,
        counting_days=counted,
        feasible_fraction=counted / needing if needing else None,
        failed_by_capacity=failed(Cause.CAPACITY),
        failed_by_energy=failed(Cause.ENERGY_BALANCE, Cause.ENERGY_STORAGE),
        failed_by_operation=failed(Cause.MEASURE, Cause.SCHEDULE),
        daily_balance_wh=balance_wh,
        lowest_charge=float(days.lowest_charge.min()),
        hours_at_reserve=float(days.hours_at_reserve.sum()),
        cooler_wh=float(days.cooler_wh.sum()),
        solar_wh=float(days.solar_wh.sum()),
        curtailed_wh=float(days.curtailed_wh.sum()),
        unmet_wh=max(float(days.unmet_wh.sum()), adverse_unmet_wh),
        peak_comfort=float(peaks.max()) if len(peaks) else None,
        energy_margin_wh=_least(days, days.energy_margin_wh, days.lowest_charge_hour),
        comfort_margin_k=_least(days, days.comfort_margin_k, days.peak_comfort_hour),
        cooling_margin_w=_least(days, days.cooling_margin_w, days.cooling_margin_hour),
    )


def _least(days: DayVerdicts, margin: FloatArray, hour: FloatArray) -> Margin | None:
    """Return the least of a margin on the days that hold; ``None`` where there is none."""
    known = np.isfinite(margin) & days.holds
    if not known.any():
        return None
    row = int(np.argmin(np.where(known, margin, np.inf)))
    return Margin(float(margin[row]), str(days.date[row]), float(hour[row]))
