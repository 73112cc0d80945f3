"""Comparison: a base scenario, what changes, and the order of what matters."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, Final

from noonhold.errors import Fault, NoonholdError
from noonhold.projection_request import ProjectionRequest
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold.studies.fault_places import faults_of_projection
from noonhold.studies.plain_values import plain
from noonhold.studies.run_figures import Figures, differences, figures_of
from noonhold.studies.study_base import Prepared, ProjectionCache
from noonhold.twins import run_twins
from noonhold.verdict import CAUTIONS
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.selection import Reader
from noonhold.weather.weather_files import read_weather


class Direction(StrEnum):
    """Which way a variant moves the base."""

    BETTER = "better"
    WORSE = "worse"
    SAME = "same"


RANKED_BY: Final = ("worst_margin", "comfortable_fraction", "lowest_charge", "peak_comfort")
_LOWER_IS_BETTER: Final = frozenset({"peak_comfort"})
_DIGITS: Final = 4  # a ten-thousandth of a share, or of a degree, moves nobody

ORDER: Final = (
    "By the size of the change of the worst margin, the larger first; the worst margin is the"
    " smaller of the worst day's comfortable share less the share required, and the lowest charge"
    " less the reserve. Where two variants move it alike: by the change of the comfortable share,"
    " then of the lowest charge, then of the peak of the comfort measure."
)


@dataclass(frozen=True)
class Variant:
    """A named question that differs from the base.

    Parameters
    ----------
    request : ProjectionRequest
        The base with the variant's changes.
    """

    name: str
    request: ProjectionRequest


@dataclass(frozen=True)
class Outcome:
    """What a question comes to.

    Parameters
    ----------
    figures : Figures
        Over the whole run.
    station : str or None
        Identifier of the station that the weather came from.
    notes : tuple of str
        What choosing, reading or making the weather assumed.
    """

    figures: Figures
    station: str | None
    notes: tuple[str, ...]


@dataclass(frozen=True)
class VariantOutcome:
    """What a variant comes to, beside the base.

    Parameters
    ----------
    changes_nothing : bool
        Whether the changed document says the same as the base.
    outcome : Outcome
        What it comes to.
    difference : dict
        Variant less base, by figure; see :func:`noonhold.studies.run_figures.differences`.
    direction : Direction
        By the first of :data:`RANKED_BY` that changes.
    verdict_changes : bool
        Whether one of base and variant holds, narrowly or not, and the other fails.
    """

    name: str
    changes_nothing: bool
    outcome: Outcome
    difference: dict[str, float | None]
    direction: Direction
    verdict_changes: bool


@dataclass(frozen=True)
class Comparison:
    """The base and its variants.

    Parameters
    ----------
    variants : tuple of VariantOutcome
        In the order they were asked.
    order : tuple of str
        Names of the variants, what matters most first.
    """

    base: Outcome
    variants: tuple[VariantOutcome, ...]
    order: tuple[str, ...]


def compare(
    base: ProjectionRequest,
    variants: tuple[Variant, ...],
    catalogue: Catalogue,
    read: Reader = read_weather,
    step_s: int = DEFAULT_STEP_S,
) -> Comparison:
    """Run a base and its variants and say what matters.

    Parameters
    ----------
    variants : tuple of Variant
        What is set beside it.
    catalogue : Catalogue
        Stations to choose from.
    read : callable, optional
        Reads a station's file.
    step_s : int, optional
        Step of the time loop. [s]

    Raises
    ------
    NoonholdError
        Of the kind that the first faulty question raised, with the faults of all of them under
        ``/base`` and ``/variants/i/patch``; a variant's that are the base's are reported once.

    Notes
    -----
    Weather is chosen once for all questions with the same weather and place; sun and weather on
    the rig are computed once for all that also share faces, glass, awnings, array positions,
    heading, ground, terrain, horizon and clock.
    """
    bench = ProjectionCache(catalogue, read, step_s)
    questions = [("/base", base)]
    questions += [(f"/variants/{i}/patch", v.request) for i, v in enumerate(variants)]
    outcomes: list[Outcome] = []
    errors: list[NoonholdError] = []
    faults: list[Fault] = []
    of_base: tuple[Fault, ...] = ()
    for path, question in questions:
        try:
            outcomes.append(outcome_of(bench.prepare(question)))
        except NoonholdError as error:
            errors.append(error)
            own = [f for f in error.faults if not any(_same(f, known) for known in of_base)]
            if own:
                faults += _placed(path, question, base, type(error)(own))
            if question is base:
                of_base = error.faults
    if errors:
        raise type(errors[0])(faults)
    first, *others = outcomes
    compared = tuple(
        _beside(first, variant, outcome, variant.request == base)
        for variant, outcome in zip(variants, others, strict=True)
    )
    return Comparison(first, compared, tuple(v.name for v in sorted(compared, key=_rank)))


def outcome_of(prepared: Prepared) -> Outcome:
    """Run a prepared question, with its uncooled twin."""
    twins = run_twins(prepared.case)
    selected = prepared.selected
    return Outcome(
        figures=figures_of(prepared.projection(twins)),
        station=None if selected.near is None else selected.near.station.station_id,
        notes=selected.notes + selected.table.notes,
    )


def comparison_report(comparison: Comparison) -> dict[str, Any]:
    """Return a comparison as plain values for a JSON writer.

    Parameters
    ----------
    comparison : Comparison
        From :func:`compare`.
    """
    return {
        "cautions": list(CAUTIONS),
        "base": plain(comparison.base),
        "variants": [
            {
                **{k: v for k, v in plain(variant).items() if k != "outcome"},
                **plain(variant.outcome),
                "rank": comparison.order.index(variant.name) + 1,
            }
            for variant in comparison.variants
        ],
        "order": list(comparison.order),
        "ordered_by": ORDER,
    }


def _same(one: Fault, other: Fault) -> bool:
    """Tell whether two faults say the same; what came of it may be another number."""
    return (one.path, one.message, one.bound) == (other.path, other.message, other.bound)


def _placed(
    path: str, question: ProjectionRequest, base: ProjectionRequest, error: NoonholdError
) -> list[Fault]:
    """Return an error's faults at their place in the comparison's document.

    A variant may fail by rig or weather of the base, which its patch does not contain: at another
    place another station is nearest and the sun is another. It is then reported at its patch.
    """
    faults = faults_of_projection(path, error)
    if question is base:
        return faults
    shared = [f"{path}/rig"] if question.rig == base.rig else []
    shared += [f"{path}/weather"] if question.weather == base.weather else []
    return [replace(f, path=path) if f.path.startswith(tuple(shared)) else f for f in faults]


def _moves(difference: dict[str, float | None]) -> list[float]:
    """Return the changes that the order goes by, positive for the better."""
    return [
        round(difference[name] or 0.0, _DIGITS) * (-1.0 if name in _LOWER_IS_BETTER else 1.0)
        for name in RANKED_BY
    ]


def _rank(variant: VariantOutcome) -> tuple[float, ...]:
    return tuple(-abs(move) for move in _moves(variant.difference))


def _beside(base: Outcome, variant: Variant, outcome: Outcome, nothing: bool) -> VariantOutcome:
    """Set a variant beside the base."""
    difference = differences(base.figures, outcome.figures)
    first = next((move for move in _moves(difference) if move != 0.0), 0.0)
    direction = Direction.SAME
    if first != 0.0:
        direction = Direction.BETTER if first > 0.0 else Direction.WORSE
    return VariantOutcome(
        name=variant.name,
        changes_nothing=nothing,
        outcome=outcome,
        difference=difference,
        direction=direction,
        verdict_changes=base.figures.holds != outcome.figures.holds,
    )
