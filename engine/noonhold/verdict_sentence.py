"""The verdict in plain words: today, day after day, and the stay."""

from __future__ import annotations

from typing import Final

import numpy as np

from noonhold.first_failure import FirstFailure, first_failure_of
from noonhold.projection_result import ProjectionResult
from noonhold.quantities import Cause, Verdict
from noonhold.scenario import ComfortMeasure

_NUMBERS: Final = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
)  # fmt: skip
_ORDINALS: Final = (
    "", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth",
    "tenth",
)  # fmt: skip
_MEASURED: Final = {
    ComfortMeasure.OPERATIVE: "",
    ComfortMeasure.AIR: " of air",
    ComfortMeasure.HEAT_INDEX: " by heat index",
}
_WHY: Final = {
    Cause.ENERGY_BALANCE: "the day takes more than it gives",
    Cause.ENERGY_STORAGE: "the battery is too small to carry the day",
    Cause.CAPACITY: "the cooler is full out",
    Cause.MEASURE: "the cooler has more to give, but walls or humidity keep it there at this set"
    " point",
    Cause.SCHEDULE: "cooling begins too late, or the stage that it takes is not allowed",
}


def sentence(found: ProjectionResult) -> str:
    """Return the verdict as a person would say it.

    Parameters
    ----------
    found : ProjectionResult
        From :func:`noonhold.projection_result.run_projection`.

    Returns
    -------
    str
        Two to four short sentences: the days asked for, day after day, the stay, and where the
        weather comes from far away, that.
    """
    told = [_asked(found), _day_after_day(found), _stay(found), _far(found)]
    return " ".join(each for each in told if each)


def _asked(found: ProjectionResult) -> str:
    """Return what becomes of the days that were asked for."""
    if not found.days.judged.any():
        judged = "Nothing was judged: no moment lies in the cooling window after the allowance."
        failed = first_failure_of(found.days)
        return judged if failed is None else f"{judged} But {_event(found, failed)}."
    summary = found.summary
    when = f"{_window(found)} today"
    if summary.days > 1:
        window = _window(found)
        when = f"on all {summary.days} days" + ("" if window == "all day" else f" {window}")
    failed = first_failure_of(found.days)
    if failed is None:
        lowest = f"battery no lower than {100.0 * summary.lowest_charge:.0f} %"
        if summary.verdict is Verdict.HOLDS:
            return f"Stays at or below {_limit(found)} {when}; {lowest}."
        which = "that" if summary.days == 1 else f"{_count(summary.narrow_days)} of them"
        return (
            f"Narrowly stays at or below {_limit(found)} {when}: {which} would"
            f" not on a somewhat worse day; {lowest}."
        )
    event, why = _event(found, failed), _WHY[failed.first_cause]
    if summary.days == 1:
        return f"Does not hold today: {event}; {why}."
    return (
        f"Holds on {summary.holding_days} of {summary.days} days; on {failed.date}, the first that"
        f" does not, {event}; {why}."
    )


def _day_after_day(found: ProjectionResult) -> str:
    """Return what becomes of the day repeated; nothing where it is not known."""
    sustained = found.sustained
    if sustained.verdict is None:
        return ""
    if sustained.verdict is not Verdict.FAILS:
        narrowly = " narrowly" if sustained.verdict is Verdict.NARROWLY else ""
        if found.summary.holds:
            return f"Day after day as well{',' + narrowly if narrowly else ''}."
        return f"Once settled it holds{narrowly} day after day."
    if found.summary.days > 1 or sustained.first_failure is None:
        return "Not once the battery has settled." if found.summary.holds else ""
    if not found.summary.holds:
        return ""
    failed, balance_wh = sustained.first_failure, sustained.daily_balance_wh or 0.0
    why = _WHY[failed.first_cause]
    if failed.first_cause is Cause.ENERGY_BALANCE:
        why = f"each such day takes {_energy(-balance_wh)} more than it gives"
    return f"Not day after day: {why}; on the {_ordinal(failed.day)} {_event(found, failed)}."


def _stay(found: ProjectionResult) -> str:
    """Return how long an arrival with a full battery holds, where that says something new."""
    stay, sustained = found.stay, found.sustained
    if stay is None or sustained.verdict in (Verdict.HOLDS, Verdict.NARROWLY):
        return ""
    if stay.first_failure is None:
        return f"Arriving full, it holds {_count(stay.most_days)} days and more."
    if stay.days == 0:
        return "It does not even when arriving full." if found.summary.holds else ""
    days = "one day" if stay.days == 1 else f"{_count(stay.days)} days"
    ordinal = _ordinal(stay.first_failure.day)
    return f"Arriving full, it holds {days}; on the {ordinal} {_event(found, stay.first_failure)}."


def _far(found: ProjectionResult) -> str:
    """Return how far the station is, where it is too far for its weather to be the place's."""
    near = found.near
    if near is None or not found.far:
        return ""
    height = near.elevation_difference_m
    above = "" if height is None else f" and {abs(height):,.0f} m {_side(height)}"
    return (
        f"The weather is that of {near.station.site.name}, {near.distance_km:,.0f} km away{above}:"
        " another place's."
    )


def _side(height_m: float) -> str:
    return "above" if height_m > 0.0 else "below"


def _event(found: ProjectionResult, failed: FirstFailure) -> str:
    """Return what happens at a failure."""
    at = _clock(failed.hour)
    if not failed.first_cause.of_energy:
        return f"it goes above {_limit(found)} at {at}"
    opens, closes = found.projection.scenario.operation.cooling_window
    hour = failed.hour % 24.0
    inside = opens <= hour < closes if opens <= closes else hour >= opens or hour < closes
    has_cooler = found.projection.rig.cooler is not None
    what = "the cooler stops" if inside and has_cooler else "the battery is at its reserve"
    return f"{what} at {at}"


def _limit(found: ProjectionResult) -> str:
    comfort = found.projection.scenario.comfort
    if comfort.measure is ComfortMeasure.PMV:
        return f"a predicted mean vote of {comfort.limit:g}"
    return f"{comfort.limit:g} °C{_MEASURED[comfort.measure]}"


def _window(found: ProjectionResult) -> str:
    opens, closes = found.projection.scenario.operation.cooling_window
    if (opens, closes) == (0.0, 24.0):
        return "all day"
    return f"from {_clock(opens)} to {_clock(closes)}"


def _energy(energy_wh: float) -> str:
    return f"{energy_wh / 1000.0:.1f} kWh" if energy_wh >= 950.0 else f"{energy_wh:.0f} Wh"


def _count(number: int) -> str:
    return _NUMBERS[number] if number < len(_NUMBERS) else str(number)


def _ordinal(number: int) -> str:
    if number < len(_ORDINALS):
        return _ORDINALS[number]
    ending = "th" if 10 <= number % 100 < 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def _clock(hour: float) -> str:
    minutes = int(np.floor(hour * 60.0 + 0.5))
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
