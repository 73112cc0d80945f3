"""The verdict in one plain sentence."""

from __future__ import annotations

import numpy as np

from noonhold.projection_result import ProjectionResult
from noonhold.quantities import Cause, Verdict
from noonhold.scenario import ComfortMeasure

_MEASURES = {
    ComfortMeasure.OPERATIVE: "operative temperature",
    ComfortMeasure.AIR: "air temperature",
    ComfortMeasure.HEAT_INDEX: "heat index",
    ComfortMeasure.PMV: "predicted mean vote",
}

_CAUSES = {
    Cause.ENERGY_BALANCE: "the energy runs out, for the day takes more than it gives,",
    Cause.ENERGY_STORAGE: "the energy runs out, for the battery is too small for the day,",
    Cause.CAPACITY: "the cooler is too small",
    Cause.MEASURE: "the set point is too high for it, though the cooler has more to give",
    Cause.SCHEDULE: "cooling began too late, or the stage that it takes was not allowed",
}


def sentence(found: ProjectionResult) -> str:
    """Return the verdict as a person would say it.

    Parameters
    ----------
    found : ProjectionResult
        From :func:`noonhold.projection_result.answer`.

    Returns
    -------
    str
        One sentence.
    """
    if not found.days.judged.any():
        return "Nothing was judged: no moment lies in the cooling window after the allowance."
    if found.summary.holds:
        return _holding(found)
    failed = _failure(found)
    if found.summary.days == 1:
        return f"Does not hold: {failed}."
    held = int(found.days.holds.sum())
    date = found.days.date[np.flatnonzero(~found.days.holds)[0]]
    return (
        f"Does not hold every day: {held} of {found.summary.days} hold, and on {date},"
        f" the first that does not, {failed}."
    )


def _holding(found: ProjectionResult) -> str:
    summary = found.summary
    days = "all day" if summary.days == 1 else f"on each of the {summary.days} days"
    word = "Holds narrowly" if summary.verdict is Verdict.NARROWLY else "Holds"
    share = summary.comfortable_fraction
    comfortable = "" if share is None else f" for {_percent(share)} of the judged time"
    return (
        f"{word}: the cabin keeps to {_limit(found)}{comfortable} {days}, and the battery"
        f" does not fall below {_percent(summary.lowest_charge)}."
    )


def _failure(found: ProjectionResult) -> str:
    row = int(np.flatnonzero(~found.days.holds)[0])
    hour = float(found.days.first_failure_hour[row])
    share = float(found.days.comfortable_fraction[row])
    at = f" at {_clock(hour)}" if np.isfinite(hour) else ""
    comfortable = (
        f", and only {_percent(share)} of the judged time is comfortable"
        if np.isfinite(share)
        else ""
    )
    words = _CAUSES[found.summary.first_cause]
    if found.summary.first_cause.of_energy:
        return f"{words}{at}{comfortable}"
    return f"the cabin no longer keeps to {_limit(found)}{at}: {words}{comfortable}"


def _limit(found: ProjectionResult) -> str:
    comfort = found.projection.scenario.comfort
    unit = "" if comfort.measure is ComfortMeasure.PMV else " degC"
    return f"{_MEASURES[comfort.measure]} {comfort.limit:g}{unit} or less"


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %"


def _clock(hour: float) -> str:
    minutes = int(hour * 60.0 + 0.5)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
