"""A sizing's answer in a sentence, and the sizes at which more was worse."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

from noonhold.studies.sizing.sizes import Size
from noonhold.studies.sizing.sizing_terms import Outcome, SizingAnswer, Target
from noonhold.studies.sizing.trials import Confidence, Margin, Trial

_AXES = ("battery_wh", "array_w", "cooler_factor")


def worse_when_larger(trials: Iterable[Trial]) -> tuple[tuple[Trial, Trial], ...]:
    """Return where fewer days hold with a larger size than a smaller one, all else equal.

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
        if larger.counting_days < smaller.counting_days
    )


def sentence_of(answer: SizingAnswer) -> str:
    """Return a sizing's answer in a sentence or two.

    Parameters
    ----------
    answer : SizingAnswer
        From :func:`noonhold.studies.sizing.sizing_study.size_rig`.
    """
    text = _OUTCOMES[answer.outcome](answer)
    if answer.larger_is_worse:
        smaller, larger = answer.larger_is_worse[0]
        text += (
            f" More is not always better here: with {_words(smaller.size, larger.size)}"
            f" {_hold(smaller)}, with {_words(larger.size, smaller.size)}"
            f" {_hold(larger)}."
        )
        if larger.size.battery_wh > smaller.size.battery_wh:
            text += (
                " Where the reserve is a share of the battery, a larger one, drawn below it by the"
                " house loads, takes more sun to bring the cooler back."
            )
    return text


def _words(size: Size, other: Size) -> str:
    """Return what distinguishes a size from another."""
    if size.battery_wh != other.battery_wh:
        return f"a battery of {size.battery_wh:.10g} Wh"
    if size.array_w is not None and size.array_w != other.array_w:
        return f"an array of {size.array_w:.10g} W"
    return f"a cooler of {size.cooler_factor:.10g} times the given one"


def _hold(trial: Trial) -> str:
    """Return how many days hold, as a clause of its own."""
    held, needing = trial.counting_days, trial.days_needing_cooling
    if needing == 1:
        return "the day holds" if held else "the day does not hold"
    if held == needing:
        return f"all {needing} days that need cooling hold"
    verb = "holds" if held == 1 else "hold"
    return f"{held or 'none'} of the {needing} days that need cooling {verb}"


def _how(answer: SizingAnswer) -> str:
    worse = answer.confidence is Confidence.ADVERSE
    return ", day after day" + (" and also when a day is somewhat worse" if worse else "")


def _margins(trial: Trial) -> str:
    """Return the margins of the days that hold, nothing where there are none."""
    text = []
    if trial.energy_margin_wh is not None:
        least = trial.energy_margin_wh
        text.append(f"the battery {least.value:.0f} Wh above its reserve ({_when(least)})")
    if trial.comfort_margin_k is not None:
        least = trial.comfort_margin_k
        text.append(f"the comfort limit {least.value:.1f} K away ({_when(least)})")
    if trial.cooling_margin_w is not None and trial.cooling_margin_w.value >= 0.0:
        least = trial.cooling_margin_w
        text.append(f"{least.value:.0f} W of cooling to spare ({_when(least)})")
    if not text:
        return ""
    return f" At the least: {', '.join(text[:-1])}{' and ' if text[:-1] else ''}{text[-1]}."


def _when(margin: Margin) -> str:
    minutes = round(margin.hour * 60.0)
    return f"{margin.date}, {minutes // 60:02d}:{minutes % 60:02d}"


def _found(answer: SizingAnswer) -> str:
    if answer.found is not None:
        size = answer.found.size
        below = answer.next_smaller
        name = _words(size, answer.given.size if below is None else below.size)
        return (
            f"{name[0].upper()}{name[1:]} is enough: {_hold(answer.found)}{_how(answer)}."
            f"{_margins(answer.found)}"
        )
    able = [point.trial for point in answer.frontier if point.trial is not None]
    least = min(able, key=lambda trial: trial.size.battery_wh)
    count, every = len(able), len(answer.frontier)
    return (
        f"{count} of the {every} arrays {'has' if count == 1 else 'have'} a battery that is"
        f" enough; the smallest is {least.size.battery_wh:.10g} Wh, with"
        f" {least.size.array_w:.10g} W of array: {_hold(least)}{_how(answer)}."
    )


def _no_day(answer: SizingAnswer) -> str:
    if answer.found is not None:
        return "No day needs cooling; the smallest size that serves the house loads is named."
    return "No day needs cooling, and all that is asked for is that the house loads are served."


def _cooler(answer: SizingAnswer) -> str:
    text = "The cooler is too small: even with unlimited energy"
    if answer.unlimited is not None:
        text += f" {_hold(answer.unlimited)}."
    factor = answer.cooler_factor_needed
    if factor is None:
        return text + " Nor would a cooler four times as large be enough."
    return text + f" With unlimited energy a cooler {factor:.10g} times as large would be enough."


def _energy(answer: SizingAnswer) -> str:
    text = "There is too little energy with any size of the range"
    best = answer.best
    if best is not None:
        text += f": at best {_hold(best)}"
        if best.unmet_wh >= 1.0:
            text += f", and {best.unmet_wh:.0f} Wh of the house loads go unserved"
    text += ". With unlimited energy this cooler would be enough."
    if best is not None and best.daily_balance_wh < 0.0 and answer.target is Target.BATTERY:
        text += (
            f" Each day takes {-best.daily_balance_wh:.0f} Wh more than it gives: a battery alone"
            " cannot mend that."
        )
    return text


def _no_cooler(answer: SizingAnswer) -> str:
    text = "No cooler of the range is enough"
    if answer.best is not None:
        text += f": at best {_hold(answer.best)}"
    if answer.unlimited is not None:
        text += f"; with unlimited energy and the given one {_hold(answer.unlimited)}"
    return text + "."


_OUTCOMES = {
    Outcome.FOUND: _found,
    Outcome.NO_DAY_NEEDS_COOLING: _no_day,
    Outcome.COOLER_TOO_SMALL: _cooler,
    Outcome.NOT_ENOUGH_ENERGY: _energy,
    Outcome.NO_COOLER_DOES_IT: _no_cooler,
}
