"""Studies at every site of a folder: how large a rig has to be there, how soon it is hot there."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial
from pathlib import Path

from noonhold.errors import Fault, NoonholdError
from noonhold.projection_request import ProjectionRequest
from noonhold.studies.fault_places import PROJECTION
from noonhold.studies.sizing.sizes import Scaling
from noonhold.studies.sizing.sizing_study import size_rig
from noonhold.studies.sizing.sizing_terms import Range, SizingRequest, Target
from noonhold.studies.sizing.sizing_words import sentence_of
from noonhold.studies.sizing.trials import Confidence
from noonhold.studies.warm_up.warm_up_study import WarmUpRequest, warm_up
from noonhold.weather.catalogue import Catalogue, Station, scan
from noonhold.weather.weather_request import TypicalYear
from noonhold_batch.sweep.run_status import reason_of
from noonhold_batch.sweep.site_year import DAYS
from noonhold_batch.sweep.sweep_cases import Case
from noonhold_batch.sweep.workers import worker_pool

Cells = dict[str, object]
_NEW_YEAR = date(2001, 1, 1)
_OF_SIZE = {
    Target.BATTERY: "battery_wh",
    Target.ARRAY: "array_w",
    Target.COOLER: "cooler_factor",
}


@dataclass(frozen=True)
class SizeOrder:
    """What is to be sized at every site.

    Parameters
    ----------
    target : Target
        Battery, array or cooler.
    sizes : Range
        To choose from; a cooler's as factors.
    required_feasible_fraction : float
        Share of the days needing cooling that must hold.
    confidence : Confidence
        Whether a day counts that holds as stated, or also in its adverse twin.
    """

    target: Target
    sizes: Range
    required_feasible_fraction: float
    confidence: Confidence = Confidence.ADVERSE


def size_at(station: Station, case: Case, order: SizeOrder) -> Cells:
    """Return the smallest size that does it at a site over its whole typical year.

    Parameters
    ----------
    case : Case
        The rig, and what is done with it.
    order : SizeOrder
        What is sized.

    Returns
    -------
    dict
        Cells of a row by long header.
    """
    largest = max(case.rig.arrays, key=lambda array: array.rated_power_w, default=None)
    sizes = {order.target: order.sizes}
    request = SizingRequest(
        base=_question(station, case, TypicalYear(1, 1, DAYS, station.station_id)),
        target=order.target,
        required_feasible_fraction=order.required_feasible_fraction,
        battery_wh=sizes.get(Target.BATTERY),
        array_w=sizes.get(Target.ARRAY),
        cooler_factor=sizes.get(Target.COOLER),
        scaling=Scaling(None if largest is None else largest.name),
        confidence=order.confidence,
    )
    answer = size_rig(request, Catalogue((station,)))
    name = _OF_SIZE[order.target]
    found = None if answer.found is None else getattr(answer.found.size, name)
    return {
        "cooling_days_d": answer.given.days_needing_cooling,
        "held_as_given_d": answer.given.holding_days,
        f"needed_{name}": found,
        "outcome": str(answer.outcome),
        "said": sentence_of(answer),
    }


def warm_up_at(station: Station, case: Case, thresholds_c: tuple[float, ...]) -> Cells:
    """Return how soon a cabin is hot after its cooler stops, on the hottest day of a site.

    Parameters
    ----------
    case : Case
        The rig, and what is done with it.
    thresholds_c : tuple of float
        Rising. [degC]

    Returns
    -------
    dict
        Cells of a row by long header; the fewest minutes of covers open and drawn, nobody and one
        person inside.
    """
    table = station.read()
    by_day = table.temp_air.reshape(DAYS, -1).max(axis=1)
    hottest = int(by_day.argmax())
    moment = table.start.astype("datetime64[D]").astype(date)
    first = _NEW_YEAR.replace(month=moment.month, day=moment.day) + timedelta(days=hottest)
    weather = TypicalYear(first.month, first.day, 1, station.station_id)
    asked = WarmUpRequest(_question(station, case, weather), thresholds_c=thresholds_c)
    found = warm_up(asked, Catalogue((station,)))
    cells: Cells = {
        "outdoor_high_degc": round(float(by_day[hottest]), 1),
        "stop": found.stop_at[5:16].replace("T", " "),
    }
    for threshold in thresholds_c:
        minutes = [m for case_ in found.cases if (m := case_.minutes_until[threshold]) is not None]
        cells[f"to_{threshold:g}_degc_min"] = round(min(minutes), 1) if minutes else None
    cells["highest_degc"] = round(max(case_.highest_c for case_ in found.cases), 1)
    return cells


def _question(station: Station, case: Case, weather: TypicalYear) -> ProjectionRequest:
    return ProjectionRequest(case.rig, case.at_site(station.site), weather)


def at_every_site(
    folder: Path,
    cases: Sequence[Case],
    study: Callable[[Station, Case], Cells],
    workers: int,
) -> Iterator[Cells]:
    """Run a study of every rig at every site.

    Parameters
    ----------
    folder : pathlib.Path
        Typical-year files.
    study : callable
        Returns a row's cells; must be picklable.
    workers : int
        Local processes; 1 runs in this one.

    Yields
    ------
    dict
        ``rig`` and ``site``, the study's cells, and ``reason`` where there is no answer; in the
        order of rigs, then sites.
    """
    catalogue = scan(folder)
    jobs = [(case, station) for case in cases for station in catalogue.stations]
    row = partial(_row, study)
    yield from _mapped(row, jobs, workers)
    for case in cases:
        for rejected in catalogue.rejected:
            site = Path(rejected.path).name
            yield {"rig": case.name, "site": site, "reason": rejected.reason}


def _mapped(
    row: Callable[[tuple[Case, Station]], Cells],
    jobs: Iterable[tuple[Case, Station]],
    workers: int,
) -> Iterator[Cells]:
    if workers == 1:
        yield from map(row, jobs)
        return
    with worker_pool(workers) as pool:
        yield from pool.map(row, jobs)


def _row(study: Callable[[Station, Case], Cells], job: tuple[Case, Station]) -> Cells:
    case, station = job
    cells: Cells = {"rig": case.name, "site": station.station_id}
    try:
        return cells | study(station, case)
    except NoonholdError as error:
        return cells | {"reason": " | ".join(str(_of_row(fault)) for fault in error.faults)}
    except Exception as error:  # whatever one site does, the others are reported
        return cells | {"reason": reason_of(error)}


def _of_row(fault: Fault) -> Fault:
    """Return a fault without the pointer into a document that nobody posted."""
    path = fault.path.removeprefix(PROJECTION)
    # The row names the site, and the message its file.
    return replace(fault, path="weather" if path.startswith("/weather/") else path)
