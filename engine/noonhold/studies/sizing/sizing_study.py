"""The smallest battery, array, both, or cooler that makes the asked share of days hold.

Every figure comes from full runs of the time loop from a charge that has settled; nothing is
interpolated and no part of a run is left out. What saves time is the search: sun, weather and the
uncooled twin are computed once, a single size is found by narrowing down, and the frontier of
battery against array by a walk along its border, which for 12 x 12 sizes takes some thirty to
forty runs instead of 144.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np

from noonhold.errors import DocumentError, NumericalError
from noonhold.projection_request import ProjectionRequest
from noonhold.rig import Rig
from noonhold.scenario import Start
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold.studies.fault_places import inside_projection
from noonhold.studies.plain_values import plain
from noonhold.studies.sizing.sizes import (
    Reserve,
    Size,
    panel_outgrown,
    resized,
    size_of,
    with_unlimited_energy,
)
from noonhold.studies.sizing.sizing_terms import (
    FrontierPoint,
    Outcome,
    SizingAnswer,
    SizingRequest,
    Target,
    Worth,
)
from noonhold.studies.sizing.sizing_words import sentence_of, worse_when_larger
from noonhold.studies.sizing.threshold_search import first_rows, smallest, smallest_scanned
from noonhold.studies.sizing.trials import Trial, TrialRunner, bench_for
from noonhold.studies.study_base import ProjectionCache
from noonhold.sustained import is_one_day
from noonhold.verdict import CAUTIONS
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.clock import DAY_S
from noonhold.weather.selection import Reader, Selected
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_request import Hourly

NEXT_WH: Final = 1000.0
NEXT_W: Final = 100.0
_FACTORS: Final = np.round(np.arange(1.0, 4.0001, 0.05), 2)  # tried where the cooler is too small


_RESERVES: Final = {
    Reserve.ENERGY: "the same watt-hours, and so does the charge at which the cooler starts again",
    Reserve.SHARE: "the same share of it, and so does the charge at which the cooler starts again",
}
_CHARGES: Final = {
    "repeated": "the day is repeated until cabin and charge repeat: the start asked for is not"
    " used",
    "carried": "cabin and charge are carried through the days before the stretch, from a full"
    " battery on: the start asked for is not used",
    "stated": "own columns of less than a day begin with the charge that is stated",
}
_SPIN_UP_DAYS: Final = 3  # as a start that is settled has by default


class _Search:
    """Trials of one request, none of them run twice."""

    def __init__(self, request: SizingRequest, bench: TrialRunner) -> None:
        self.request = request
        self.bench = bench
        self.rig_given = request.base.rig
        self.given_size = size_of(self.rig_given, request.scaling)
        self.known: dict[Size, Trial] = {}
        self.runs = 1  # sizes that were run, and the uncooled twin

    @property
    def begins(self) -> str:
        """Return how the runs come by their first charge."""
        case = self.bench.prepared.case
        if is_one_day(case, self.bench.clock):
            return "repeated"
        return "carried" if case.spin_up else "stated"

    def rig(self, size: Size) -> Rig:
        return resized(self.rig_given, size, self.request.scaling)

    def trial(self, size: Size) -> Trial:
        if size not in self.known:
            self.known[size] = self.bench.trial(self.rig(size), size)
            self.runs += 1
        return self.known[size]

    def passes(self, size: Size) -> bool:
        return self.trial(size).reaches(self.request.required_feasible_fraction)

    def unlimited(self, factor: float = 1.0) -> Trial:
        size = replace(self.given_size, cooler_factor=factor)
        self.runs += 1
        return self.bench.fed_trial(with_unlimited_energy(self.rig(size)), size)

    def own(self, size: Size) -> Trial:
        self.runs += 2
        return self.bench.own_trial(self.rig(size), size)


def _axis(request: SizingRequest, given: Size) -> tuple[Size, ...]:
    """Return the sizes of a single target, rising."""
    if request.target is Target.BATTERY and request.battery_wh is not None:
        return tuple(replace(given, battery_wh=v) for v in request.battery_wh.values())
    if request.target is Target.ARRAY and request.array_w is not None:
        return tuple(replace(given, array_w=v) for v in request.array_w.values())
    if request.target is Target.COOLER and request.cooler_factor is not None:
        return tuple(replace(given, cooler_factor=v) for v in request.cooler_factor.values())
    raise DocumentError.single("", f"has no range for the {request.target}")


def _confirmed(
    search: _Search, sizes: Sequence[Size], first: int
) -> tuple[Trial, Trial | None] | None:
    """Return the first size from an index on that a projection confirms, and the one below."""
    for index in range(first, len(sizes)):
        if not search.passes(sizes[index]):
            continue
        trial = search.own(sizes[index])
        if trial.reaches(search.request.required_feasible_fraction):
            return trial, search.trial(sizes[index - 1]) if index else None
    return None


def _single(search: _Search) -> tuple[Trial, Trial | None] | None:
    """Return the smallest size of the target's range, and the one below it."""
    sizes = _axis(search.request, search.given_size)

    def passes(index: int) -> bool:
        return search.passes(sizes[index])

    target = search.request.target
    if target is Target.ARRAY:
        first = smallest(len(sizes), passes)
    else:
        values = [s.battery_wh if target is Target.BATTERY else s.cooler_factor for s in sizes]
        first = smallest_scanned(values, passes)
    return None if first is None else _confirmed(search, sizes, first)


def _frontier(search: _Search) -> tuple[FrontierPoint, ...]:
    """Return the smallest battery to every array."""
    request = search.request
    if request.array_w is None or request.battery_wh is None:
        raise DocumentError.single("", "needs a range for the battery and one for the array")
    arrays, batteries = request.array_w.values(), request.battery_wh.values()

    def size(row: int, column: int) -> Size:
        return Size(batteries[column], arrays[row], search.given_size.cooler_factor)

    firsts = first_rows(len(arrays), len(batteries), lambda r, c: search.passes(size(r, c)))
    points = []
    for row, array_w in enumerate(arrays):
        # Reported sizes are run themselves, so that a table which does not rise is found out.
        able = (
            size(row, c) for c, first in enumerate(firsts) if first is not None and first <= row
        )
        passing = (search.trial(s) for s in able if search.passes(s))
        points.append(FrontierPoint(array_w, next(passing, None)))
    return tuple(points)


def _worth(search: _Search, size: Size) -> Worth:
    """Return what the next kWh and the next 100 W would do for a rig of a size."""
    more = None
    if size.array_w is not None:
        more = search.trial(replace(size, array_w=size.array_w + NEXT_W))
    battery = search.trial(replace(size, battery_wh=size.battery_wh + NEXT_WH))
    return Worth(search.trial(size), battery, more)


def _failure(search: _Search) -> tuple[Outcome, Trial, float | None]:
    """Tell whether energy or the cooler keeps every size from doing it."""
    required = search.request.required_feasible_fraction
    unlimited = search.unlimited()
    if unlimited.reaches(required):
        return Outcome.NOT_ENOUGH_ENERGY, unlimited, None
    factors = _FACTORS.tolist()
    index = smallest(len(factors), lambda k: search.unlimited(factors[k]).reaches(required))
    return Outcome.COOLER_TOO_SMALL, unlimited, None if index is None else factors[index]


def _notes(search: _Search, sizes: list[Size]) -> list[str]:
    request, scaling = search.request, search.request.scaling
    notes = [
        "a day counts as needing cooling where the rig as given would be too warm without its"
        " cooler; the size found is judged by its own days as well",
        _CHARGES[search.begins],
    ]
    if request.target in (Target.BATTERY, Target.BATTERY_AND_ARRAY):
        limits = "grow with its energy" if scaling.battery_limits else "stay what they are"
        reserve = _RESERVES[scaling.reserve]
        notes.append(f"the battery's power limits {limits}; its reserve stays {reserve}")
    if request.target in (Target.ARRAY, Target.BATTERY_AND_ARRAY):
        limits = "grows with the power it serves" if scaling.controller_limits else "stays"
        notes.append(f"the charge controller's limit {limits}")
    if request.target is Target.COOLER:
        notes.append("capacity, power, fan and air flow of the cooler grow by one factor")
    if any(panel_outgrown(search.rig_given, size, scaling) for size in sizes):
        notes.append("the array is larger than the panel it lies on; it was taken to cover it all")
    return notes


def _goodness(trial: Trial) -> tuple[float, float, float]:
    """Return the merit by which the best is chosen of sizes that are none of them enough."""
    return (trial.feasible_fraction or 0.0, -trial.unmet_wh, -trial.hours_at_reserve)


def _settled(asked: ProjectionRequest) -> ProjectionRequest:
    """Return a request that begins with a cabin and a charge that have settled."""
    weather, start = asked.weather, asked.scenario.start
    if isinstance(weather, Hourly):
        longest = max(len(column) for column in weather.columns.values())
        if longest * weather.interval_s < DAY_S:
            return asked
    settled = Start(None, None, start.spin_up_days or _SPIN_UP_DAYS)
    return replace(asked, scenario=replace(asked.scenario, start=settled))


def _place(selected: Selected) -> str:
    site = selected.table.site if selected.near is None else selected.near.station.site
    return f"{site.name}, {site.elevation_m:.0f} m"


@inside_projection(NumericalError)  # a run raises it anywhere below
def size_rig(
    request: SizingRequest,
    catalogue: Catalogue,
    read: Reader = read_weather,
    step_s: int = DEFAULT_STEP_S,
) -> SizingAnswer:
    """Find the smallest size that makes the asked share of days hold, day after day.

    Parameters
    ----------
    request : SizingRequest
        What may change, and what must be reached.
    catalogue : Catalogue
        Stations to choose the weather from.
    read : callable, optional
        Reads a station's file.
    step_s : int, optional
        Step of the time loop. [s]

    Returns
    -------
    SizingAnswer
        The size found passes as a projection of that rig judges it, and the next smaller one of
        the range does not.

    Raises
    ------
    DocumentError
        For a rig without a cooler, or a request without the range it needs.
    NoonholdError
        As weather and time loop raise it.

    Notes
    -----
    Days are judged once the charge has settled, whatever charge the request starts with: one day
    is repeated until its charge repeats, a stretch carries its charge through the days before it.
    A day counts where it holds at the confidence asked for, by the one verdict of all studies, and
    no size is enough with which a house load goes unserved on any day, needing cooling or not.

    While sizes are compared, the days that need cooling are those of the rig as given: they are
    what is asked for and do not change with the answer.

    A larger array is taken never to make a holding day fail, so an array is found by bisection.
    A larger battery may do worse where its reserve is a share of it: house loads draw it down
    below that in poor weather, and it then takes more sun to bring it back. A larger cooler may do
    worse by what it draws. Their ranges are looked over before the search narrows down, and the
    frontier looks at every battery. All sizes reported were run in full.
    """
    rig = request.base.rig
    if rig.cooler is None:
        raise DocumentError.single(
            "/projection/rig/cooler", "a rig without a cooler cannot be sized"
        )
    if request.target in (Target.ARRAY, Target.BATTERY_AND_ARRAY):
        names = [array.name for array in rig.arrays]
        if request.scaling.array not in names:
            raise DocumentError.single(
                "/array", "is no array of the rig", request.scaling.array, ", ".join(names)
            )
    request = replace(request, base=_settled(request.base))
    with inside_projection():
        prepared = ProjectionCache(catalogue, read, step_s).prepare(request.base)
    bench = bench_for(prepared, request.confidence)
    selected = prepared.selected
    search = _Search(request, bench)
    given = search.trial(search.given_size)

    confirmed: tuple[Trial, Trial | None] | None = None
    frontier: tuple[FrontierPoint, ...] = ()
    if request.target is Target.BATTERY_AND_ARRAY:
        frontier = _frontier(search)
        enough = any(point.trial is not None for point in frontier)
    else:
        confirmed = _single(search)
        enough = confirmed is not None
    found, next_smaller = confirmed or (None, None)

    outcome = Outcome.FOUND if given.feasible_fraction is not None else Outcome.NO_DAY_NEEDS_COOLING
    best, unlimited, factor = None, None, None
    if not enough:
        best = max(search.known.values(), key=_goodness)
        outcome, unlimited, factor = _failure(search)
        if request.target is Target.COOLER:
            outcome = Outcome.NO_COOLER_DOES_IT
    sizes = [t.size for t in (found, *(point.trial for point in frontier)) if t is not None]
    worth: tuple[Worth, ...] = (_worth(search, search.given_size),)
    if found is not None and found.size != search.given_size:
        worth += (_worth(search, found.size),)
    return SizingAnswer(
        target=request.target,
        outcome=outcome,
        rig=search.rig(found.size) if found is not None else None,
        found=found,
        next_smaller=next_smaller,
        frontier=frontier,
        given=given,
        best=best,
        unlimited=unlimited,
        cooler_factor_needed=factor,
        worth=worth,
        larger_is_worse=worse_when_larger(search.known.values()),
        tried=tuple(search.known.values()),
        confidence=request.confidence,
        required_feasible_fraction=request.required_feasible_fraction,
        runs=search.runs,
        place=_place(selected),
        notes=(*_notes(search, sizes), *selected.notes, *selected.table.notes),
    )


def sizing_report(answer: SizingAnswer) -> dict[str, Any]:
    """Return an answer as plain values for a JSON writer; the rig's document is not among them.

    Parameters
    ----------
    answer : SizingAnswer
        From :func:`size_rig`.
    """
    apart = ("target", "rig", "outcome", "worth", "larger_is_worse", "tried")
    members = {k: v for k, v in vars(answer).items() if k not in apart}
    return {
        "cautions": list(CAUTIONS),
        "outcome": str(answer.outcome),
        "sentence": sentence_of(answer),
        **plain(members),
        "larger_is_worse": [
            {"smaller": plain(smaller), "larger": plain(larger)}
            for smaller, larger in answer.larger_is_worse
        ],
        "worth": [
            {
                "at": plain(worth.at.size),
                "next_kwh": _gain(worth.at, worth.battery),
                "next_100_w": None if worth.array is None else _gain(worth.at, worth.array),
            }
            for worth in answer.worth
        ],
    }


def _gain(before: Trial, after: Trial) -> dict[str, float | None]:
    """Return what one trial has over another of the same days."""
    known = before.feasible_fraction is not None and after.feasible_fraction is not None
    return {
        "feasible_fraction": (after.feasible_fraction or 0.0) - (before.feasible_fraction or 0.0)
        if known
        else None,
        "holding_days": after.holding_days - before.holding_days,
        "counting_days": after.counting_days - before.counting_days,
        "lowest_charge": after.lowest_charge - before.lowest_charge,
        "hours_at_reserve": after.hours_at_reserve - before.hours_at_reserve,
    }
