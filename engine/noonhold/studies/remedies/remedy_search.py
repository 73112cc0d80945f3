"""Finding remedies: no change is named before a run has shown that the days hold with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from noonhold.errors import NoonholdError
from noonhold.projection_request import ProjectionRequest
from noonhold.quantities import Cause, Verdict
from noonhold.simulation.repeated_day import repeat_day
from noonhold.simulation.run_state import spun_up
from noonhold.studies.remedies.levers import Change, Lever, changes
from noonhold.studies.study_base import ProjectionCache
from noonhold.sustained import is_one_day, settled_day, settled_stretch
from noonhold.twins import run_twins, run_uncooled
from noonhold.verdict import judge, summarise

MOST_REMEDIES: Final = 3
# Days that all trials may run through together, so that a long stretch is not tried for long.
MOST_TRIAL_DAYS: Final = 120
_LASTING_RUNS: Final = 2  # a trial day after day costs that of as many from a stated charge


@dataclass(frozen=True)
class Remedy:
    """A single change with which every day holds.

    Parameters
    ----------
    change : Change
        What is changed.
    verdict : Verdict
        With it, by its own run and its adverse twin.
    lasting : bool
        Whether it was run day after day, and not from the stated charge.
    """

    change: Change
    verdict: Verdict
    lasting: bool = False

    @property
    def sentence(self) -> str:
        """Return it in words, for example "With the set point at 24.5 °C it holds."."""
        how = "it holds" if self.verdict is Verdict.HOLDS else "it holds narrowly"
        return f"{self.change.words} {how}{' day after day' if self.lasting else ''}."


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
    lasting : bool
        Whether it must reach it day after day.
    """

    def __init__(self, cache: ProjectionCache, days: int, wanted: Verdict, lasting: bool) -> None:
        self._cache = cache
        self._left = max(MOST_TRIAL_DAYS // max(days, 1), 1)
        self._wanted = wanted
        self._lasting = lasting

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
            judged = lasting_verdict_of if self._lasting else verdict_of
            verdict = judged(change.request, self._cache)
        except NoonholdError:
            # A rig that cannot be, such as a cooler beyond what its air flow carries.
            return None
        return Remedy(change, verdict, self._lasting) if verdict >= self._wanted else None

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


def lasting_verdict_of(request: ProjectionRequest, cache: ProjectionCache) -> Verdict:
    """Return the verdict of a request's days once their charge has settled.

    Parameters
    ----------
    cache : ProjectionCache
        Where its weather and sun are kept.

    Returns
    -------
    Verdict
        That of :attr:`noonhold.sustained.Sustained.verdict`.
    """
    prepared = cache.prepare(request)
    case, clock = prepared.case, prepared.shown_clock()
    rig, comfort = request.rig, request.scenario.comfort
    if is_one_day(case, clock):
        day = repeat_day(case, spun_up(case))
        if not np.isfinite(day.settled_wh):
            return Verdict.FAILS
        run = settled_day(rig, comfort, clock, case, run_uncooled(case), day)
    else:
        run = settled_stretch(rig, comfort, clock, case)
    return Verdict(int(run.days.verdict.min()))


def find_remedies(
    request: ProjectionRequest,
    verdict: Verdict,
    cause: Cause,
    cache: ProjectionCache,
    most: int = MOST_REMEDIES,
    lasting: bool = False,
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
    lasting : bool, optional
        Whether the days are to hold day after day, and the verdict is theirs.

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
    days *= _LASTING_RUNS if lasting else 1
    trials = _Trials(cache, days, Verdict(verdict + 1), lasting)
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
