"""The figures of a whole run by which runs are compared."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from noonhold.projection import Projection
from noonhold.scenario import ComfortMeasure
from noonhold.verdict import Cause, Verdict, judge, summarise


@dataclass(frozen=True)
class Figures:
    """What a run comes to; ``None`` where a figure does not exist.

    Parameters
    ----------
    verdict : Verdict
        The lowest of all days.
    first_cause : Cause
        Of the first day that fails.
    failed_day : str or None
        Its date.
    first_failure_hour : float or None
        Hour of the clock at which it failed. [h]
    days, days_needing_cooling, holding_days_needing_cooling : int
        Counts.
    feasible_fraction : float or None
        Share of the days that need cooling which hold.
    comfort_measure : ComfortMeasure
        By which comfort is judged.
    comfort_limit : float
        In the measure's own unit.
    comfortable_fraction, worst_day_comfortable_fraction : float or None
        Of the judged time of the whole run, and of the day with the least.
    peak_comfort, uncooled_peak_comfort : float or None
        Highest comfort measure in the judged time, with and without the cooler.
    lowest_charge, charge_at_end : float
        State of charge.
    lowest_charge_at : str
        ISO 8601 start of the hour with the lowest charge.
    comfort_margin : float or None
        Comfortable share of the worst day less the share that a day must reach.
    charge_margin : float
        Lowest charge less the reserve.
    worst_margin : float
        The smaller of the two.
    hours_of_cooling, hours_at_reserve : float
        [h]
    cooling_wh, cooler_wh, load_wh, solar_wh, curtailed_wh, alternator_wh, shore_wh, unmet_wh
        Heat taken from the cabin, and electricity by use and source, floats. [Wh]
    """

    verdict: Verdict
    first_cause: Cause
    failed_day: str | None
    first_failure_hour: float | None
    days: int
    days_needing_cooling: int
    holding_days_needing_cooling: int
    feasible_fraction: float | None
    comfort_measure: ComfortMeasure
    comfort_limit: float
    comfortable_fraction: float | None
    worst_day_comfortable_fraction: float | None
    peak_comfort: float | None
    uncooled_peak_comfort: float | None
    lowest_charge: float
    lowest_charge_at: str
    charge_at_end: float
    comfort_margin: float | None
    charge_margin: float
    worst_margin: float
    hours_of_cooling: float
    hours_at_reserve: float
    cooling_wh: float
    cooler_wh: float
    load_wh: float
    solar_wh: float
    curtailed_wh: float
    alternator_wh: float
    shore_wh: float
    unmet_wh: float

    @property
    def holds(self) -> bool:
        """Tell whether every day holds, narrowly or not."""
        return self.verdict is not Verdict.FAILS


def figures_of(projection: Projection) -> Figures:
    """Return the figures of a projection."""
    days = judge(projection)
    summary = summarise(projection, days)
    comfort = projection.scenario.comfort
    failures = np.flatnonzero(~days.holds)
    first = int(failures[0]) if len(failures) else None
    least = None
    peak: float | None = None
    uncooled_peak: float | None = None
    if days.judged.any():
        least = float(days.comfortable_fraction[days.judged].min())
        peak = float(days.peak_comfort[days.judged].max())
        uncooled_peak = float(days.uncooled_peak_comfort[days.judged].max())
    comfort_margin = None if least is None else least - comfort.required_fraction
    charge_margin = summary.lowest_charge - projection.rig.battery.reserve_fraction
    margins = [charge_margin] if comfort_margin is None else [charge_margin, comfort_margin]
    return Figures(
        verdict=summary.verdict,
        first_cause=summary.first_cause,
        failed_day=None if first is None else str(days.date[first]),
        first_failure_hour=None if first is None else float(days.first_failure_hour[first]),
        days=summary.days,
        days_needing_cooling=summary.days_needing_cooling,
        holding_days_needing_cooling=summary.holding_days_needing_cooling,
        feasible_fraction=summary.feasible_fraction,
        comfort_measure=comfort.measure,
        comfort_limit=comfort.limit,
        comfortable_fraction=summary.comfortable_fraction,
        worst_day_comfortable_fraction=least,
        peak_comfort=peak,
        uncooled_peak_comfort=uncooled_peak,
        lowest_charge=summary.lowest_charge,
        lowest_charge_at=summary.lowest_charge_at,
        charge_at_end=summary.charge_at_end,
        comfort_margin=comfort_margin,
        charge_margin=charge_margin,
        worst_margin=min(margins),
        hours_of_cooling=float(days.hours_of_cooling.sum()),
        hours_at_reserve=float(days.hours_at_reserve.sum()),
        cooling_wh=float(days.cooling_wh.sum()),
        cooler_wh=float(days.cooler_wh.sum()),
        load_wh=float(days.load_wh.sum()),
        solar_wh=float(days.solar_wh.sum()),
        curtailed_wh=float(days.curtailed_wh.sum()),
        alternator_wh=float(days.alternator_wh.sum()),
        shore_wh=float(days.shore_wh.sum()),
        unmet_wh=float(days.unmet_wh.sum()),
    )


_OF_THE_MEASURE = frozenset({"comfort_limit", "peak_comfort", "uncooled_peak_comfort"})


def differences(base: Figures, other: Figures) -> dict[str, float | None]:
    """Return how far a run's figures lie from those of another.

    Parameters
    ----------
    base, other : Figures
        Two runs.

    Returns
    -------
    dict
        ``other - base`` by the name of every figure that is a number; ``None`` where one of them
        does not exist, or where the two are judged by different measures of comfort.
    """
    result: dict[str, float | None] = {}
    alike = base.comfort_measure is other.comfort_measure
    for field in fields(Figures):
        if field.name in _WORDS:
            continue
        one, two = getattr(base, field.name), getattr(other, field.name)
        known = one is not None and two is not None and (alike or field.name not in _OF_THE_MEASURE)
        result[field.name] = two - one if known else None
    return result


_WORDS = frozenset(
    {
        "verdict",
        "first_cause",
        "failed_day",
        "first_failure_hour",
        "comfort_measure",
        "lowest_charge_at",
    }
)
