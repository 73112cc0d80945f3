"""The verdict in plain words: today, day after day, and the stay."""

from __future__ import annotations

from datetime import date
from typing import Final

import numpy as np

from noonhold.first_failure import FirstFailure, first_failure_of
from noonhold.projection_result import ProjectionResult
from noonhold.quantities import Cause, Verdict
from noonhold.rig import Policy
from noonhold.scenario import ComfortMeasure, Operation

_NUMBERS: Final = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
)  # fmt: skip
_ORDINALS: Final = (
    "", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth",
    "tenth",
)  # fmt: skip
_ALL_DAY: Final = "all day"
_TOLD_HEIGHT_M: Final = 50.0


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
    sentences = [_asked(found), _day_after_day(found), _stay(found), _far(found)]
    return " ".join(each for each in sentences if each)


def _asked(found: ProjectionResult) -> str:
    """Return what becomes of the days that were asked for."""
    failed, summary = first_failure_of(found.days), found.summary
    if not found.days.judged.any():
        judged = "Comfort was not judged: the cooling window ends within its time of pull-down."
        if failed is not None:
            return f"{judged} It fails all the same: {_event(found, failed)}."
        return f"{judged} The house loads are served; {_lowest(found)}."
    if failed is None:
        return _holding(found)
    event = f"{_event(found, failed)}{_why(found, failed)}"
    if summary.days == 1:
        return f"Does not hold today: {event}."
    held = summary.holding_days
    if not held:
        return f"None of the {summary.days} days holds; on the first, {_date(failed)}, {event}."
    holds = f"Holds on {_count(held)} of {_count(summary.days)} days"
    return f"{holds}; on {_date(failed)}, the first that does not, {event}."


def _holding(found: ProjectionResult) -> str:
    """Return how days hold of which none fails."""
    summary, many = found.summary, found.summary.days > 1
    when = (f"on all {_count(summary.days)} days " if many else "") + _window(found)
    when += "" if many or when == _ALL_DAY else " today"
    if summary.verdict is Verdict.HOLDS and not summary.days_needing_cooling:
        need = f"None of the {summary.days} days needs" if many else "Needs no"
        return (
            f"{need} cooling: without it the cabin stays at or below {_limit(found)} {when};"
            f" {_lowest(found)}."
        )
    stays = f"Stays at or below {_limit(found)} {when}"
    if summary.verdict is Verdict.HOLDS:
        return f"{stays}; {_lowest(found)}."
    which = "it" if not many else f"{_count(summary.narrow_days)} of them"
    return f"{stays}, but narrowly: on a somewhat worse day {which} would not; {_lowest(found)}."


def _day_after_day(found: ProjectionResult) -> str:
    """Return what becomes of the day repeated; nothing where it is not known."""
    sustained, holds = found.sustained, found.summary.holds
    if sustained.verdict is None:
        return ""
    if sustained.verdict is not Verdict.FAILS:
        narrowly = sustained.verdict is Verdict.NARROWLY
        if not holds:
            how = " narrowly" if narrowly else ""
            return f"Once its charge has settled it holds{how}, day after day."
        if found.summary.verdict is Verdict.NARROWLY:
            settled = "Day after day, once its charge has settled, it holds with more to spare."
            return "Day after day as well." if narrowly else settled
        return f"Day after day as well{', but narrowly' if narrowly else ''}."
    if not holds:
        return ""
    failed = sustained.first_failure
    if failed is None:
        return "Not once its charge has settled."
    on = f"on the {_ordinal(failed.day)} day {_event(found, failed)}"
    if found.summary.days > 1:
        return f"Not from a charge that has settled: {on}."
    balance_wh = sustained.daily_balance_wh or 0.0
    if failed.first_cause is Cause.ENERGY_BALANCE and balance_wh < 0.0:
        takes = f"each such day takes {_energy(-balance_wh)} more than it gives"
        return f"Not day after day: {takes}; {on}."
    return f"Not day after day: {on}{_why(found, failed)}."


def _stay(found: ProjectionResult) -> str:
    """Return how long an arrival with a full battery holds, where that says something new."""
    stay, sustained = found.stay, found.sustained
    if stay is None or sustained.verdict in (Verdict.HOLDS, Verdict.NARROWLY):
        return ""
    repeats = found.near is None
    begins = "Arriving full" if repeats else "Arriving full into the days that follow"
    such = " such days" if repeats else " days"
    if stay.first_failure is None:
        return f"{begins}, it holds for {_count(stay.most_days)}{such} and more."
    if stay.days == 0:
        return "It does not hold even when arriving full." if found.summary.holds else ""
    days = f"{_count(stay.days)}{such if stay.days > 1 else such.removesuffix('s')}"
    failed = stay.first_failure
    dated = "" if failed.date is None else f", {_date(failed)},"
    then = f"on the {_ordinal(failed.day)}{dated} {_event(found, failed)}"
    return f"{begins}, it holds for {days}; {then}."


def _far(found: ProjectionResult) -> str:
    """Return how far the station is, where it is too far for its weather to be the place's."""
    near = found.near
    if near is None or not found.far:
        return ""
    height = near.elevation_difference_m or 0.0
    side = "higher" if height > 0.0 else "lower"
    above = f" and {abs(height):,.0f} m {side}" if abs(height) >= _TOLD_HEIGHT_M else ""
    return (
        f"The weather is that of {near.station.site.name}, {near.distance_km:,.0f} km away{above}:"
        " another place's."
    )


def _event(found: ProjectionResult, failed: FirstFailure) -> str:
    """Return what happens at a failure."""
    at = _clock(failed.hour)
    if not failed.first_cause.of_energy:
        return f"it goes above {_limit(found)} at {at}"
    if failed.hour == 0.0:
        return "it begins with the battery at its reserve"
    opens, closes = found.projection.scenario.operation.cooling_window
    has_cooler = found.projection.rig.cooler is not None
    if has_cooler and _within(failed.hour % 24.0, opens, closes):
        return f"the cooler stops at {at}"
    return f"the battery is down to its reserve at {at}"


def _why(found: ProjectionResult, failed: FirstFailure) -> str:
    """Return the first cause as the clause that follows what happens, a comma before it."""
    rig, operation = found.projection.rig, found.projection.scenario.operation
    cause = failed.first_cause
    if cause.of_energy and failed.hour == 0.0:
        return ""
    if cause is Cause.ENERGY_BALANCE:
        balance_wh = found.sustained.daily_balance_wh or 0.0
        known = found.summary.days == 1 and balance_wh < 0.0
        much = f"{_energy(-balance_wh)} " if known else ""
        return f", because the day takes {much}more than it gives"
    if cause is Cause.ENERGY_STORAGE:
        return ", because the battery is too small to carry the day"
    if cause is Cause.CAPACITY:
        return ", with the cooler full out" if rig.cooler is not None else ", without a cooler"
    if cause is Cause.MEASURE:
        return (
            ", though the cooler has more to give: at this set point walls or humidity keep it"
            " there"
        )
    policy = _policy_at(operation, failed.hour % 24.0)
    if policy in (Policy.OFF, Policy.FAN_ONLY):
        return ", because the cooler may not run then"
    if policy is Policy.LOW_ONLY and rig.cooler is not None and len(rig.cooler.stages) > 1:
        return ", because only the low stage may run then"
    return ", because cooling begins too late"


def _policy_at(operation: Operation, hour: float) -> Policy:
    """Return the policy in force at an hour of the clock: the last span that says one."""
    said = [
        span.setting.policy
        for span in operation.spans
        if span.setting.policy is not None and _within(hour, span.from_hour, span.to_hour)
    ]
    return said[-1] if said else operation.policy


def _within(hour: float, opens: float, closes: float) -> bool:
    return opens <= hour < closes if opens <= closes else hour >= opens or hour < closes


def _lowest(found: ProjectionResult) -> str:
    return f"battery no lower than {100.0 * found.summary.lowest_charge:.0f} %"


def _limit(found: ProjectionResult) -> str:
    comfort = found.projection.scenario.comfort
    limit = f"{comfort.limit:g}"
    return {
        ComfortMeasure.OPERATIVE: f"{limit} °C",
        ComfortMeasure.AIR: f"{limit} °C of air",
        ComfortMeasure.HEAT_INDEX: f"a heat index of {limit} °C",
        ComfortMeasure.PMV: f"a predicted mean vote of {limit}",
    }[comfort.measure]


def _window(found: ProjectionResult) -> str:
    opens, closes = found.projection.scenario.operation.cooling_window
    if (opens, closes) == (0.0, 24.0):
        return _ALL_DAY
    return f"from {_clock(opens)} to {_clock(closes)}"


def _energy(energy_wh: float) -> str:
    return f"{energy_wh / 1000.0:.1f} kWh" if energy_wh >= 950.0 else f"{energy_wh:.0f} Wh"


def _date(failed: FirstFailure) -> str:
    """Return a failure's date as it is said; a typical year has no year to name."""
    day = date.fromisoformat(str(failed.date))
    return f"{day.day} {day:%B}"


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
