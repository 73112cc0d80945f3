"""From an answer of the engine to the document that is sent: plain values, nulls, six decimals."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, Final

import numpy as np

from noonhold.dataset import VARIABLES
from noonhold.documents import Assumption
from noonhold.first_failure import FirstFailure
from noonhold.projection import Projection
from noonhold.projection_result import ProjectionResult
from noonhold.quantities import DAY_FIGURES, DAY_TOTALS
from noonhold.stay import Stay
from noonhold.studies.remedies.advice import Advice
from noonhold.studies.remedies.remedy_search import remedies_report
from noonhold.sustained import Sustained
from noonhold.verdict import CAUTIONS, Cause, DayVerdicts, Verdict
from noonhold.verdict_sentence import sentence
from noonhold.weather.catalogue import Near
from noonhold_service.service_versions import versions
from noonhold_service.strict_json import plain

# Six decimals keep watts and watt-hours checkable against each other and drop the noise behind.
DECIMALS: Final = 6
# The hour of the failure stands beside its cause.
DAY_NUMBERS: Final = tuple(name for name in DAY_FIGURES if name != "first_failure_hour")
MARGINS: Final = {
    "energy_margin_wh": "lowest_charge_hour",
    "comfort_margin_k": "peak_comfort_hour",
    "cooling_margin_w": "cooling_margin_hour",
}


def numbers(column: Any) -> list[float | None]:
    """Return a column rounded, null where there is no finite number.

    Parameters
    ----------
    column : array_like, shape (n,)
        Any numbers.

    Returns
    -------
    list of float or None
        No NaN, no infinity, no negative zero.
    """
    return number_rows([column])[0]


def number_rows(columns: Sequence[Any]) -> list[list[float | None]]:
    """Return columns as :func:`numbers` does each.

    Parameters
    ----------
    columns : sequence of array_like, shape (n,) each
        Of one length.

    Returns
    -------
    list of list of float or None
        One list a column.
    """
    rounded = np.round(np.array(columns, dtype=np.float64), DECIMALS) + 0.0
    finite = np.isfinite(rounded)
    rows: list[list[float | None]] = rounded.tolist()
    for k in np.flatnonzero(~finite.all(axis=1)).tolist():
        good = finite[k].tolist()
        rows[k] = [value if ok else None for value, ok in zip(rows[k], good, strict=True)]
    return rows


def number(value: float | None) -> float | None:
    """Return one number as :func:`numbers` does."""
    if value is None:
        return None
    rounded = float(np.round(value, DECIMALS)) + 0.0
    return rounded if math.isfinite(rounded) else None


def hours_document(projection: Projection) -> dict[str, Any]:
    """Return a projection's hours as columns.

    Returns
    -------
    dict
        ``time`` (starts of the intervals, ISO 8601 with offset), then every variable of
        :data:`noonhold.dataset.VARIABLES`.
    """
    rows = number_rows([make(projection) for make in VARIABLES.values()])
    return {"time": projection.clock.iso_times(), **dict(zip(VARIABLES, rows, strict=True))}


def days_document(days: DayVerdicts) -> list[dict[str, Any]]:
    """Return the verdicts day by day.

    Parameters
    ----------
    days : DayVerdicts
        One entry a day.
    """
    rows = number_rows([getattr(days, name) for name in DAY_NUMBERS])
    columns = dict(zip(DAY_NUMBERS, rows, strict=True))
    failed_at = numbers(days.first_failure_hour)
    return [
        {
            "date": str(days.date[row]),
            "verdict": Verdict(int(days.verdict[row])).word,
            "needs_cooling": bool(days.needs_cooling[row]),
            "judged": bool(days.judged[row]),
            "first_cause": cause_word(Cause(int(days.first_cause[row]))),
            "first_failure_hour": failed_at[row],
            **{name: column[row] for name, column in columns.items()},
        }
        for row in range(len(days))
    ]


def summary_document(found: ProjectionResult) -> dict[str, Any]:
    """Return the verdict over all days.

    Parameters
    ----------
    found : ProjectionResult
        From :func:`noonhold.projection_result.answer`.
    """
    summary, days, scenario = found.summary, found.days, found.projection.scenario
    peaks = {
        name: number(_highest(getattr(days, name)))
        for name in ("peak_comfort", "uncooled_peak_comfort")
    }
    return {
        "verdict": summary.verdict.word,
        "first_cause": cause_word(summary.first_cause),
        "sentence": sentence(found),
        "sustained": sustained_document(found.sustained),
        "stay": stay_document(found.stay),
        "margins": margins_document(days),
        "days": summary.days,
        "holding_days": summary.holding_days,
        "narrow_days": summary.narrow_days,
        "days_needing_cooling": summary.days_needing_cooling,
        "holding_days_needing_cooling": summary.holding_days_needing_cooling,
        "feasible_fraction": number(summary.feasible_fraction),
        "comfort_measure": str(scenario.comfort.measure),
        "comfort_limit": number(scenario.comfort.limit),
        "comfortable_fraction": number(summary.comfortable_fraction),
        **peaks,
        "charge_at_start": number(found.projection.charge_at_start),
        "lowest_charge": number(summary.lowest_charge),
        "lowest_charge_at": summary.lowest_charge_at,
        "charge_at_end": number(summary.charge_at_end),
        "hours_of_cooling": number(float(days.hours_of_cooling.sum())),
        "totals": {name: number(float(getattr(days, name).sum())) for name in DAY_TOTALS},
    }


def margins_document(days: DayVerdicts) -> dict[str, Any]:
    """Return the smallest margins of days, each with the day and hour it was at."""
    result: dict[str, Any] = {}
    for name, hour in MARGINS.items():
        column = getattr(days, name)
        known = np.isfinite(column)
        row = int(np.argmin(np.where(known, column, np.inf)))
        result[name] = number(float(column[row])) if known.any() else None
        at = float(getattr(days, hour)[row])
        result[f"{name}_date"] = str(days.date[row]) if known.any() else None
        result[f"{name}_hour"] = number(at) if known.any() else None
    return result


def failure_document(failed: FirstFailure | None) -> dict[str, Any] | None:
    """Return the first day that fails, ``None`` where none does."""
    if failed is None:
        return None
    return {
        "day": failed.day,
        "date": failed.date,
        "first_cause": cause_word(failed.first_cause),
        "first_failure_hour": number(failed.hour),
    }


def sustained_document(sustained: Sustained) -> dict[str, Any]:
    """Return what becomes of the day, or the stretch, in the long run."""
    return {
        "verdict": None if sustained.verdict is None else sustained.verdict.word,
        "reason": sustained.reason,
        "daily_balance_wh": number(sustained.daily_balance_wh),
        "settled_charge": number(sustained.settled_charge),
        "first_failure": failure_document(sustained.first_failure),
        "margins": None if sustained.days is None else margins_document(sustained.days),
    }


def stay_document(stay: Stay | None) -> dict[str, Any] | None:
    """Return the days that hold from an arrival on, ``None`` where it is not known."""
    if stay is None:
        return None
    return {
        "days": stay.days,
        "most_days": stay.most_days,
        "charge_on_arrival": number(stay.charge_on_arrival),
        "first_failure": failure_document(stay.first_failure),
    }


def cause_word(cause: Cause) -> str | None:
    """Return the word of a cause, ``None`` where nothing failed."""
    return None if cause is Cause.NONE else cause.word


def _highest(column: Any) -> float | None:
    finite = column[np.isfinite(column)]
    return float(finite.max()) if len(finite) else None


def station_document(near: Near | None) -> dict[str, Any] | None:
    """Return the station that the weather came from, ``None`` where it came from none."""
    if near is None:
        return None
    return {
        "id": near.station.station_id,
        "name": near.station.site.name,
        "distance_km": number(near.distance_km),
        "elevation_difference_m": number(near.elevation_difference_m),
    }


def clock_document(projection: Projection) -> dict[str, Any]:
    """Return which clock the hours are on."""
    zone = projection.scenario.place.timezone
    return {
        "name": projection.clock.name,
        "basis": "standard time of the weather" if zone is None else "legal time of the place",
        "interval_s": projection.weather.interval_s,
        "step_s": projection.step_s,
    }


def assumptions_document(made: Iterable[Assumption], notes: Iterable[str]) -> list[dict[str, Any]]:
    """Return everything that the request did not say.

    Parameters
    ----------
    made : iterable of Assumption
        From reading the document.
    notes : iterable of str
        From choosing, reading or making the weather.

    Returns
    -------
    list of dict
        ``path``, ``value``, ``reason``, ``decisive``.
    """
    listed = [
        {
            "path": each.path,
            "value": plain(each.value),
            "reason": str(each.reason),
            "decisive": each.decisive,
        }
        for each in made
    ]
    return listed + [
        {"path": "/weather", "value": None, "reason": note, "decisive": False} for note in notes
    ]


def advice_document(advice: Advice) -> dict[str, Any]:
    """Return remedies and chance as the summary has them."""
    chance = advice.chance
    return {
        "remedies": remedies_report(advice.remedies),
        "lasting_remedies": remedies_report(advice.lasting_remedies),
        "chance": None
        if chance is None
        else {
            "probability": number(chance.probability),
            "standard_error": number(chance.standard_error),
        },
    }


def projection_document(
    found: ProjectionResult, made: Iterable[Assumption], advice: Advice
) -> dict[str, Any]:
    """Return the whole answer to a request for a projection.

    Parameters
    ----------
    found : ProjectionResult
        What the engine found.
    made : iterable of Assumption
        From reading the request.
    advice : Advice
        What would mend the verdict, and its chance.

    Returns
    -------
    dict
        What a reader asks first stands first.
    """
    return {
        "summary": summary_document(found) | advice_document(advice),
        "cautions": list(CAUTIONS),
        "rig": found.projection.rig.name,
        "station": station_document(found.near),
        "clock": clock_document(found.projection),
        "assumptions": assumptions_document(made, found.notes),
        "days": days_document(found.days),
        "hours": hours_document(found.projection),
        "versions": versions(),
    }
