"""A projection's document inside a study's document, its faults reported at their place there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from noonhold.documents.fields import Described, refuse
from noonhold.documents.projection_document import load_projection
from noonhold.documents.scenario_loader import RigResolver
from noonhold.documents.schema import Assumption, Loaded, Path, pointer
from noonhold.errors import DocumentError, prefix_pointers
from noonhold.projection_request import ProjectionRequest
from noonhold.weather.weather_request import Hourly, WeatherRequest


class ProjectionPart(Described):
    """A projection's document, described by its schema and read by :func:`nested_projection`."""

    def __init__(self, description: str) -> None:
        super().__init__(
            required=True,
            metadata={
                "description": description,
                "allOf": [{"$ref": "#/components/schemas/Projection"}],
            },
        )

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if not isinstance(value, Mapping):
            raise refuse("must be an object")
        return value


def nested_projection(
    document: object, path: Path, resolver: RigResolver | None = None
) -> Loaded[ProjectionRequest]:
    """Read a projection that stands inside a larger document.

    Parameters
    ----------
    document : object
        The projection's own document.
    path : tuple of str or int
        Where it stands.
    resolver : callable, optional
        See :func:`noonhold.documents.projection_document.load_projection`.

    Returns
    -------
    Loaded of ProjectionRequest
        Its assumptions carry pointers into the larger document.

    Raises
    ------
    DocumentError
        With every fault, at its place in the larger document.
    """
    try:
        loaded = load_projection(document, resolver)
    except DocumentError as error:
        raise DocumentError(prefix_pointers(error.faults, pointer(path)), error.omitted) from None
    return Loaded(loaded.value, prefix_assumptions(loaded.assumptions, path))


def prefix_assumptions(assumptions: Iterable[Assumption], path: Path) -> tuple[Assumption, ...]:
    """Return assumptions with their pointers set under a path."""
    start = pointer(path)
    return tuple(replace(each, path=start + each.path) for each in assumptions)


def weather_days(weather: WeatherRequest) -> float:
    """Return how many days of weather are asked for, settling days not counted.

    Parameters
    ----------
    weather : WeatherRequest
        As a projection's document asks for it.

    Returns
    -------
    float
        [d]
    """
    if isinstance(weather, Hourly):
        rows = max(len(column) for column in weather.columns.values())
        return rows * weather.interval_s / 86400.0
    return float(weather.days)


def weather_intervals_a_day(weather: WeatherRequest) -> float:
    """Return into how many intervals a day of the weather falls."""
    return 86400.0 / weather.interval_s if isinstance(weather, Hourly) else 24.0
