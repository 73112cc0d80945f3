"""A sizing's answer in a sentence, and the sizes at which more was worse."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

from noonhold.studies.sizing.sizes import Size
from noonhold.studies.sizing.sizing_terms import Outcome, SizingAnswer
from noonhold.studies.sizing.trials import Trial

_AXES = ("battery_wh", "array_w", "cooler_factor")


def worse_when_larger(trials: Iterable[Trial]) -> tuple[tuple[Trial, Trial], ...]:
    """Return where a larger size held fewer days than a smaller one, all else equal.

    Parameters
    ----------
    trials : iterable of Trial
        Judged by the same days.

    Returns
    -------
    tuple of (Trial, Trial)
        The smaller and the larger of neighbours among the sizes that were run.
    """
    lines: dict[tuple[str, Size], list[Trial]] = {}
    for trial in trials:
        for axis in _AXES:
            if getattr(trial.size, axis) is not None:
                rest = replace(trial.size, **{axis: 0.0})
                lines.setdefault((axis, rest), []).append(trial)
    return tuple(
        (smaller, larger)
        for (axis, _), line in lines.items()
        for smaller, larger in pairwise(sorted(line, key=lambda t: float(getattr(t.size, axis))))
        if larger.holding_days < smaller.holding_days
    )


def sentence_of(answer: SizingAnswer) -> str:
    """Return a sizing's answer in a sentence or two.

    Parameters
    ----------
    answer : SizingAnswer
        From :func:`noonhold.studies.sizing.sizing_study.size_rig`.
    """
    told = _OUTCOMES[answer.outcome](answer)
    if answer.larger_is_worse:
        smaller, larger = answer.larger_is_worse[0]
        told += (
            f" More is not always better here: {_words(smaller.size, larger.size)} holds"
            f" {smaller.holding_days} days and {_words(larger.size, smaller.size)}"
            f" {larger.holding_days}."
        )
        if larger.size.battery_wh > smaller.size.battery_wh:
            told += (
                " The reserve is a share of the battery: a larger one, drawn below it by the house"
                " loads, takes more sun to bring the cooler back."
            )
    return told


def _words(size: Size, other: Size) -> str:
    """Return what tells a size apart from another."""
    if size.battery_wh != other.battery_wh:
        return f"a battery of {size.battery_wh:.10g} Wh"
    if size.array_w is not None and size.array_w != other.array_w:
        return f"an array of {size.array_w:.10g} W"
    return f"a cooler of {size.cooler_factor:.10g} times the given one"


def _share(trial: Trial) -> str:
    return f"{trial.holding_days} of {trial.days_needing_cooling} days that need cooling"


def _found(answer: SizingAnswer) -> str:
    if answer.found is not None:
        size = answer.found.size
        below = answer.next_smaller
        name = _words(size, answer.given.size if below is None else below.size)
        return f"{name[0].upper()}{name[1:]} does it: it holds {_share(answer.found)}."
    able = [point.trial for point in answer.frontier if point.trial is not None]
    least = min(able, key=lambda trial: trial.size.battery_wh)
    return (
        f"{len(able)} of {len(answer.frontier)} arrays have a battery that does it; the smallest"
        f" battery is {least.size.battery_wh:.10g} Wh, with {least.size.array_w:.10g} W of array."
    )


def _no_day(answer: SizingAnswer) -> str:
    return "No day needs cooling, so the smallest size does it."


def _cooler(answer: SizingAnswer) -> str:
    told = "It is the cooler: even unlimited energy"
    if answer.unlimited is not None:
        told += f" holds only {_share(answer.unlimited)}."
    factor = answer.cooler_factor_needed
    if factor is None:
        return told + " Nor would a cooler four times as large do it."
    return told + f" With unlimited energy a cooler {factor:.10g} times as large would do it."


def _energy(answer: SizingAnswer) -> str:
    told = "It is the energy: the sizes allowed"
    if answer.best is not None:
        told += f" hold {_share(answer.best)} at best"
    return told + "; unlimited energy would do it with this cooler."


def _no_cooler(answer: SizingAnswer) -> str:
    told = "No cooler of the range does it"
    if answer.best is not None:
        told += f": at best it holds {_share(answer.best)}"
    if answer.unlimited is not None:
        told += f"; with unlimited energy the given one would hold {_share(answer.unlimited)}"
    return told + "."


_OUTCOMES = {
    Outcome.FOUND: _found,
    Outcome.NO_DAY_NEEDS_COOLING: _no_day,
    Outcome.COOLER_TOO_SMALL: _cooler,
    Outcome.NOT_ENOUGH_ENERGY: _energy,
    Outcome.NO_COOLER_DOES_IT: _no_cooler,
}
