"""The request for a warm-up: a projection, and how its cooler stops."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from noonhold.documents.fields import Clock, Items, Number
from noonhold.documents.nested import ProjectionPart, nested_projection, weather_days
from noonhold.documents.scenario_loader import RigResolver
from noonhold.documents.schema import DocumentSchema, Loaded, Problems, load_document
from noonhold.documents.study_numbers import StudyNumber
from noonhold.errors import DocumentError, Fault
from noonhold.quantities import Quantity
from noonhold.studies.warm_up.warm_up_study import WarmUpRequest

MOST_DAYS = 14

HORIZON_H = Quantity("horizon_h", "h", "How long the cabin is followed after the stop.", 0.5, 48)
STOP_DAY = Quantity("stop_day", "d", "On which of the days the cooler stops, from 1.", 1, MOST_DAYS)
DEFAULT_THRESHOLDS_C = (30.0, 35.0, 40.0)


class WarmUpSchema(DocumentSchema):
    """A request for a warm-up."""

    projection = ProjectionPart("The rig in its day, the cooler running as it is operated.")
    stop_at = Clock("When the cooler stops.", reason="the worst moment is looked for")
    stop_day = StudyNumber(STOP_DAY, whole=True)
    thresholds_c = Items(
        Number("set_point_c", description="Temperature of the cabin air."),
        "What the minutes are counted to, rising.",
        least=1,
        most=10,
        default=lambda: list(DEFAULT_THRESHOLDS_C),
        reason="uncomfortable, dangerous to the weak, dangerous to all; common practice, no source",
    )
    horizon_h = StudyNumber(HORIZON_H, default=6.0, reason="the rest of a hot day's danger")
    occupants = Number(
        "occupants",
        description="Who may be left inside, beside the case of nobody; animals by their heat.",
        default=1.0,
        reason="one person left inside",
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require rising thresholds, and a day only beside an hour."""
        thresholds = data.get("thresholds_c", [])
        for index in range(1, len(thresholds)):
            before, here = thresholds[index - 1], thresholds[index]
            if before is not None and here is not None and here <= before:
                problems.add(
                    ("thresholds_c", index),
                    "must rise from threshold to threshold",
                    f"value > {before:.10g} degC",
                )
        if "stop_day" in given and "stop_at" not in given:
            problems.add("stop_day", "goes only with stop_at")

    def derived(self, data: dict[str, Any]) -> Any:
        """Stop on the first day where an hour is given alone."""
        if "stop_at" in data and "stop_day" not in data:
            yield "stop_day", 1, "the first day"


def load_warm_up(document: object, resolver: RigResolver | None = None) -> Loaded[WarmUpRequest]:
    """Read a request for a warm-up.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    resolver : callable, optional
        See :func:`noonhold.documents.projection_document.load_projection`.

    Raises
    ------
    DocumentError
        With every fault.
    """
    data, assumptions = load_document(_SCHEMA, document)
    projection = nested_projection(data["projection"], ("projection",), resolver)
    asked = projection.value
    days = weather_days(asked.weather)
    if days > MOST_DAYS:
        raise DocumentError(
            [
                Fault(
                    "/projection/weather",
                    "a warm-up looks at no more days than this",
                    round(days, 3),
                    f"at most {MOST_DAYS} days",
                )
            ]
        )
    request = WarmUpRequest(
        base=asked,
        stop_hour=data.get("stop_at"),
        stop_day=data.get("stop_day", 1),
        thresholds_c=tuple(data["thresholds_c"]),
        horizon_h=data["horizon_h"],
        occupants=data["occupants"],
    )
    return Loaded(request, (*projection.assumptions, *assumptions))


_SCHEMA = WarmUpSchema()
