"""What the picture of a sizing shows of its answer."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from noonhold.pictures.sizing_picture import SizingView
from noonhold.studies.sizing.sizing_terms import SizingAnswer, Target
from noonhold.studies.sizing.sizing_words import sentence_of
from noonhold.studies.sizing.trials import Confidence, Trial

_AXES: Final = MappingProxyType(
    {
        Target.BATTERY: ("battery_wh", "usable energy of the battery, Wh"),
        Target.ARRAY: ("array_w", "rated power of the array, W"),
        Target.COOLER: ("cooler_factor", "cooler, times the given one"),
    }
)
_COUNT: Final = MappingProxyType(
    {
        Confidence.NOMINAL: "Days count that hold as stated",
        Confidence.ADVERSE: "Days count that hold as stated and also when somewhat worse",
    }
)


def sizing_view(rig: str, answer: SizingAnswer) -> SizingView:
    """Return what is drawn of a sizing.

    Parameters
    ----------
    answer : SizingAnswer
        From :func:`noonhold.studies.sizing.sizing_study.size_rig`.
    """
    percent = 100.0 * answer.required_feasible_fraction
    rule = (
        f"{_COUNT[answer.confidence]}, once the charge has settled, with every house load served;"
        f" asked for: {percent:g} % of the days that need cooling."
    )
    if answer.target is Target.BATTERY_AND_ARRAY:
        return _frontier(rig, answer, rule)
    name, label = _AXES[answer.target]

    def point(trial: Trial) -> tuple[float, float]:
        share = 1.0 if trial.feasible_fraction is None else trial.feasible_fraction
        return float(getattr(trial.size, name)), 100.0 * share

    # What one more kWh or 100 W would be worth was run as well, and is none of these sizes.
    rest = {n: getattr(answer.given.size, n) for n, _ in _AXES.values() if n != name}
    tried = [t for t in answer.tried if all(getattr(t.size, n) == v for n, v in rest.items())]
    required = answer.required_feasible_fraction
    return SizingView(
        rig=rig,
        place=answer.place,
        sentence=sentence_of(answer),
        rule=rule,
        across=label,
        up="days that need cooling and count, %",
        enough=tuple(point(each) for each in tried if each.reaches(required)),
        not_enough=tuple(point(each) for each in tried if not each.reaches(required)),
        given=point(answer.given),
        is_frontier=False,
        required_percent=percent,
        found=None if answer.found is None else point(answer.found)[0],
    )


def _frontier(rig: str, answer: SizingAnswer, rule: str) -> SizingView:
    largest = max(trial.size.battery_wh for trial in answer.tried)
    given = answer.given.size
    points = answer.frontier
    return SizingView(
        rig=rig,
        place=answer.place,
        sentence=sentence_of(answer),
        rule=rule,
        across=_AXES[Target.ARRAY][1],
        up=_AXES[Target.BATTERY][1],
        enough=tuple((p.array_w, p.trial.size.battery_wh) for p in points if p.trial is not None),
        not_enough=tuple((p.array_w, largest) for p in points if p.trial is None),
        given=None if given.array_w is None else (given.array_w, given.battery_wh),
        is_frontier=True,
    )
