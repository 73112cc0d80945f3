"""Finding remedies: no change is named before a run has shown that the days hold with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from noonhold.errors import NoonholdError
from noonhold.projection_request import ProjectionRequest
from noonhold.quantities import Cause, Verdict
from noonhold.studies.remedies.levers import Change, Lever, changes
from noonhold.studies.study_base import ProjectionCache
from noonhold.twins import run_twins
from noonhold.verdict import judge, summarise

MOST_REMEDIES: Final = 3
# Days that all trials may run through together, so that a long stretch is not tried for long.
MOST_TRIAL_DAYS: Final = 120


@dataclass(frozen=True)
class Remedy:
    """A single change with which every day holds.

    Parameters
    ----------
    change : Change
        What is changed.
    verdict : Verdict
        With it, by its own run and its adverse twin.
    """

    change: Change
    verdict: Verdict

    @property
    def sentence(self) -> str:
        """Return it in words, for example "With the set point at 24.5 °C it holds."."""
        how = "it holds" if self.verdict is Verdict.HOLDS else "it holds narrowly"
        return f"{self.change.words} {how}."


class _Trials:
    """Runs changes one after the other, within a budget of days.

    Parameters
    ----------
    cache : ProjectionCache
        Weather and sun, made once.
    days : int
        Of one run, spin-up included.
    wanted : Verdict
        What a change must reach.
    """

    def __init__(self, cache: ProjectionCache, days: int, wanted: Verdict) -> None:
        self._cache = cache
        self._left = max(MOST_TRIAL_DAYS // max(days, 1), 1)
        self._wanted = wanted

    @property
    def spent(self) -> bool:
        """Tell whether the budget is used up."""
        return self._left <= 0

    def remedy(self, change: Change) -> Remedy | None:
        """Return a change as a remedy where its run reaches what is wanted."""
        if self.spent:
            return None
        self._left -= 1
        try:
            verdict = verdict_of(change.request, self._cache)
        except NoonholdError:
            # A rig that cannot be, such as a cooler beyond what its air flow carries.
            return None
        return Remedy(change, verdict) if verdict >= self._wanted else None

    def smallest(self, tried: list[Change]) -> Remedy | None:
        """Return the first of a lever's changes that is enough, found by halving.

        The largest is tried first, so that a lever that does not help costs one run.
        """
        if not tried:
            return None
        found = self.remedy(tried[-1])
        if found is None:
            return None
        low, high = 0, len(tried) - 1
        while low < high and not self.spent:
            middle = (low + high) // 2
            smaller = self.remedy(tried[middle])
            if smaller is None:
                low = middle + 1
            else:
                found, high = smaller, middle
        return found


def verdict_of(request: ProjectionRequest, cache: ProjectionCache) -> Verdict:
    """Return the verdict over all days of a request, adverse twin included.

    Parameters
    ----------
    cache : ProjectionCache
        Where its weather and sun are kept.
    """
    prepared = cache.prepare(request)
    projection = prepared.projection(run_twins(prepared.case))
    return summarise(projection, judge(projection)).verdict


def find_remedies(
    request: ProjectionRequest,
    verdict: Verdict,
    cause: Cause,
    cache: ProjectionCache,
    most: int = MOST_REMEDIES,
) -> tuple[Remedy, ...]:
    """Find single changes with which days that fail, or hold narrowly, hold.

    Parameters
    ----------
    request : ProjectionRequest
        As asked.
    verdict : Verdict
        Of the request; what holds needs no remedy.
    cause : Cause
        What made it, or its adverse twin, fail.
    cache : ProjectionCache
        Where its weather and sun are kept.
    most : int, optional
        How many remedies are looked for.

    Returns
    -------
    tuple of Remedy
        In the order of how little they ask, each the smallest tried step of its lever. What fails
        is to hold at least narrowly, what holds narrowly is to hold.

    Notes
    -----
    Of every lever the largest step is tried first and then halved towards the smallest that is
    enough; set points, where a larger step may undo what a smaller mended, are tried in order. All
    trials together run through at most :data:`MOST_TRIAL_DAYS` days, spin-up included.
    """
    if verdict is Verdict.HOLDS:
        return ()
    selected = cache.select(request)
    days = len(selected.table) * selected.table.interval_s // 86_400
    trials = _Trials(cache, days, Verdict(verdict + 1))
    found: list[Remedy] = []
    for lever in Lever:
        if len(found) == most or trials.spent:
            break
        tried = changes(request, lever, cause)
        if lever is Lever.SET_POINT:
            each = next((r for c in tried if (r := trials.remedy(c)) is not None), None)
        else:
            each = trials.smallest(tried)
        if each is not None:
            found.append(each)
    return tuple(found)


def remedies_report(remedies: tuple[Remedy, ...]) -> list[dict[str, Any]]:
    """Return remedies as plain values for a JSON writer.

    Parameters
    ----------
    remedies : tuple of Remedy
        From :func:`find_remedies`.
    """
    return [
        {
            "lever": str(each.change.lever),
            "sentence": each.sentence,
            "verdict": each.verdict.word,
            "value": each.change.value,
            "unit": each.change.unit,
        }
        for each in remedies
    ]
