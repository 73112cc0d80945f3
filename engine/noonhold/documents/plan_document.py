"""The request for a day's plan, and the plan as a document."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from noonhold.documents.fields import Clock, Number, Part
from noonhold.documents.nested import ProjectionPart, nested_projection
from noonhold.documents.scenario_document import dump_operation
from noonhold.documents.scenario_loader import RigResolver
from noonhold.documents.schema import (
    Assumption,
    DocumentSchema,
    Loaded,
    Problems,
    load_document,
)
from noonhold.documents.study_numbers import StudyNumber
from noonhold.errors import DocumentError, Fault
from noonhold.quantities import Quantity
from noonhold.scenario import Operation
from noonhold.studies.plan.day_plan import Drive
from noonhold.studies.plan.plan_study import PlanRequest, PlanResult, plan_report

_DURATION = Quantity("duration_h", "h", "How long the drive takes.", 0.25, 23)
_RUNS = Quantity("most_runs", "1", "Plans tried after the fixed schedules.", 0, 20000)
_SEED = Quantity("seed", "1", "For the order in which changes are tried.", 0, 2**31 - 1)


class DriveSchema(DocumentSchema):
    """A drive that belongs to the day; the plan says when it begins."""

    target = Drive

    duration_h = StudyNumber(_DURATION, required=True)
    speed_km_h = Number("driving_speed_km_h", required=True)
    earliest = Clock("Before this hour it does not begin.", required=True)
    latest = Clock("By this hour it has ended.", end=True, required=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require a drive that fits between its hours, and whole minutes of it."""
        duration, first, last = (data.get(n) for n in ("duration_h", "earliest", "latest"))
        if duration is not None and abs(duration * 60.0 - round(duration * 60.0)) > 1e-6:
            problems.add("duration_h", "must be whole minutes")
        if data.get("speed_km_h") == 0.0:
            problems.add("speed_km_h", "must be above zero: a drive moves", "value > 0 km h-1")
        if duration is None or first is None or last is None:
            return
        if last - first < duration:
            problems.add("latest", "leaves too little time for the drive", f"{duration:g} h")


class PlanSchema(DocumentSchema):
    """A request for a day's plan."""

    projection = ProjectionPart("The day: its cooling window stays, the plan replaces the rest.")
    lowest_set_point_c = Number(
        "set_point_c",
        description="Lowest set point of the plan.",
        default=18.0,
        reason="colder is seldom bearable, common practice, no source",
    )
    highest_set_point_c = Number(
        "set_point_c",
        description="Highest set point of the plan.",
        default=30.0,
        reason="leaves room above usual comfort limits",
    )
    drive = Part(DriveSchema, "A drive that belongs to the day; the plan says when.")
    most_runs = StudyNumber(
        _RUNS, whole=True, default=1500, reason="more gains little, by trial on the sample rigs"
    )
    seed = StudyNumber(_SEED, whole=True, default=1, reason="the same request, the same plan")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require a range of set points."""
        low, high = data.get("lowest_set_point_c"), data.get("highest_set_point_c")
        if low is not None and high is not None and high <= low:
            problems.add("highest_set_point_c", "must be above the lowest", f"value > {low:g} degC")


def load_plan(document: object, resolver: RigResolver | None = None) -> Loaded[PlanRequest]:
    """Read a request for a day's plan.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    resolver : callable, optional
        See :func:`noonhold.documents.projection_document.load_projection`.

    Raises
    ------
    DocumentError
        With every fault: those of the study's own fields, and where these have none those
        of the projection under ``/projection``.
    """
    data, found = load_document(_SCHEMA, document)
    projection = nested_projection(data["projection"], ("projection",), resolver)
    asked = projection.value
    faults = []
    if asked.rig.cooler is None:
        faults.append(Fault("/projection/rig/cooler", "required: without one nothing is planned"))
    heating = _highest_heating(asked.scenario.operation)
    if heating is not None and heating > data["highest_set_point_c"]:
        faults.append(
            Fault(
                "/highest_set_point_c",
                "lies below the set point of the heating",
                data["highest_set_point_c"],
                f"value >= {heating:g} degC",
            )
        )
    if faults:
        raise DocumentError(faults)
    request = PlanRequest(
        base=asked,
        lowest_set_point_c=data["lowest_set_point_c"],
        highest_set_point_c=data["highest_set_point_c"],
        drive=DriveSchema().build(data["drive"]) if "drive" in data else None,
        most_runs=data["most_runs"],
        seed=data["seed"],
    )
    return Loaded(request, (*projection.assumptions, *found))


def _highest_heating(operation: Operation) -> float | None:
    """Return the highest heating set point of a day, ``None`` without heating."""
    aims = [operation.heating_set_point_c]
    aims += [span.setting.heating_set_point_c for span in operation.spans]
    return max((aim for aim in aims if aim is not None), default=None)


def dump_plan(plan_result: PlanResult, assumptions: Iterable[Assumption] = ()) -> dict[str, Any]:
    """Return the document of a plan.

    Parameters
    ----------
    plan_result : PlanResult
        From :func:`noonhold.studies.plan.plan_study.plan_day`.
    assumptions : iterable of Assumption
        What the request left out.

    Returns
    -------
    dict
        ``operation`` can be put into the projection's document as it stands.
    """
    return {
        **plan_report(plan_result),
        "operation": dump_operation(plan_result.operation),
        "assumptions": [vars(each) for each in assumptions],
    }


_SCHEMA = PlanSchema()
