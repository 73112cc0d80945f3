"""What a verdict leaves open: what would mend it, and how likely it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from noonhold.projection_request import ProjectionRequest
from noonhold.projection_result import ProjectionResult
from noonhold.quantities import Cause, Verdict
from noonhold.studies.remedies.remedy_search import Remedy, find_remedies
from noonhold.studies.study_base import ProjectionCache
from noonhold.studies.uncertainty.uncertain_inputs import INPUTS
from noonhold.studies.uncertainty.uncertainty_study import (
    Chance,
    UncertaintyRequest,
    estimate_uncertainty,
)
from noonhold.verdict import day_verdicts

CHANCE_SAMPLES: Final = 64


@dataclass(frozen=True)
class Advice:
    """What goes with a verdict.

    Parameters
    ----------
    remedies : tuple of Remedy
        Single changes with which the days hold, in the order of how little they ask.
    lasting_remedies : tuple of Remedy
        The same of days that hold, but not day after day: with these they hold so.
    chance : Chance or None
        How likely every day holds with the rig as built; ``None`` where it was not asked for.
    """

    remedies: tuple[Remedy, ...] = ()
    lasting_remedies: tuple[Remedy, ...] = ()
    chance: Chance | None = None


def advise(request: ProjectionRequest, result: ProjectionResult, cache: ProjectionCache) -> Advice:
    """Return what would mend a verdict, and its chance where the request asks for it.

    Parameters
    ----------
    request : ProjectionRequest
        As asked.
    cache : ProjectionCache
        Where its weather and sun are kept.

    Notes
    -----
    The chance is that of :data:`CHANCE_SAMPLES` Sobol samples over the uncertainty study's ranges
    of a rig as built.
    """
    verdict = result.summary.verdict
    remedies: tuple[Remedy, ...] = ()
    if verdict is not Verdict.HOLDS:
        remedies = find_remedies(request, verdict, cause_to_mend(result), cache)
    lasting: tuple[Remedy, ...] = ()
    sustained = result.sustained
    if verdict is not Verdict.FAILS and sustained.verdict is Verdict.FAILS:
        failed = sustained.first_failure
        cause = Cause.ENERGY_BALANCE if failed is None else failed.first_cause
        lasting = find_remedies(request, Verdict.FAILS, cause, cache, lasting=True)
    found = None
    if request.chance:
        ranges = {each.name: each.default()[0] for each in INPUTS}
        asked = UncertaintyRequest(request, ranges, CHANCE_SAMPLES, sensitivity_samples=0)
        found = estimate_uncertainty(asked, cache.catalogue, cache.read, cache.step_s).holds
    return Advice(remedies, lasting, found)


def cause_to_mend(result: ProjectionResult) -> Cause:
    """Return the first cause of what fails: the days, or where they hold their adverse twin.

    Parameters
    ----------
    result : ProjectionResult
        A result whose days do not all hold with their adverse twins.
    """
    if result.summary.first_cause is not Cause.NONE:
        return result.summary.first_cause
    run = result.projection
    if run.adverse is None:
        return Cause.NONE
    days = day_verdicts(
        run.rig, run.scenario.comfort, run.clock, run.adverse, run.uncooled, run.weather.interval_s
    )
    failing = np.flatnonzero(~days.holds)
    return Cause(int(days.first_cause[failing[0]])) if len(failing) else Cause.NONE
