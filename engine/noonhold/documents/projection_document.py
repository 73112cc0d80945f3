"""The whole request for a projection: rig, place, weather, operation, start, comfort."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

from marshmallow import ValidationError

from noonhold.documents.doubts import doubtful_areas
from noonhold.documents.fields import Described, Part, refuse
from noonhold.documents.rig_document import RigSchema
from noonhold.documents.scenario_document import (
    ComfortSchema,
    OperationSchema,
    PlaceSchema,
    StartSchema,
)
from noonhold.documents.schema import (
    DocumentSchema,
    Filling,
    Loaded,
    faults_of,
    fill,
    merged,
    pointer,
)
from noonhold.documents.weather_document import WeatherSchema, dump_weather
from noonhold.errors import DocumentError, Fault
from noonhold.projection_request import ProjectionRequest
from noonhold.rig import Rig
from noonhold.scenario import Scenario

RigResolver: TypeAlias = Callable[[str], Loaded[Rig] | None]


class RigReference(Described):
    """A rig as a document, or the identifier of one that the service holds."""

    def __init__(self, description: str, **options: Any) -> None:
        super().__init__(
            metadata={
                "description": description,
                "oneOf": [
                    {"$ref": "#/components/schemas/Rig"},
                    {"type": "string", "minLength": 1, "maxLength": 200},
                ],
            },
            **options,
        )
        self.schema = RigSchema()

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if isinstance(value, str):
            return value
        if not isinstance(value, Mapping):
            raise refuse("must be a rig, or the identifier of one")
        return self.schema.load(value)

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:
        return value if isinstance(value, str) else self.schema.dump(value)


class ProjectionSchema(DocumentSchema):
    """A request for a projection."""

    rig = RigReference("The rig, or the identifier of a sample rig.", required=True)
    place = Part(PlaceSchema, "Where it stands.", required=True)
    weather = Part(WeatherSchema, "The weather, in exactly one of three ways.", required=True)
    operation = Part(OperationSchema, "What is done over the day.", required=True)
    start = Part(StartSchema, "The state at the first moment.", required=True)
    comfort = Part(ComfortSchema, "What is comfortable.", required=True)


def load_projection(
    document: object, resolver: RigResolver | None = None
) -> Loaded[ProjectionRequest]:
    """Read a request for a projection.

    Parameters
    ----------
    document : object
        As the JSON parser gave it.
    resolver : callable, optional
        Gives the rig of an identifier, read with ``root=("rig",)``, or ``None`` where there is
        none; without it a rig must be a document.

    Returns
    -------
    Loaded of ProjectionRequest

    Raises
    ------
    DocumentError
        With every fault found, across all parts.
    """
    faults: list[Fault] = []
    try:
        data: dict[str, Any] = _SCHEMA.load(document)  # type: ignore[arg-type] # refuses what is no mapping
    except ValidationError as error:
        faults = faults_of(error, document)
        data = error.valid_data if isinstance(error.valid_data, dict) else {}
    held = None
    if isinstance(data.get("rig"), str):
        held = resolver(data["rig"]) if resolver is not None else None
        if held is None:
            faults.append(Fault("/rig", "no rig has this identifier", data["rig"]))
    names = array_names(data.get("rig") if held is None else held.value)
    if names is not None:
        faults += shade_faults(data.get("place"), names)
    if faults:
        raise DocumentError(faults)
    found: list[Filling] = []
    if held is None:
        fill(_RIG, _part(document, "rig"), data["rig"], ("rig",), found)
    fill(_SCHEMA, document, data, (), found)
    parts = _SCHEMA.built(data)
    rig = _RIG.build(data["rig"]) if held is None else held.value
    scenario = Scenario(parts["place"], parts["operation"], parts["comfort"], parts["start"])
    told = doubtful_areas(rig, ("rig",)) if held is None else held.assumptions
    assumptions = told + tuple(merged(found))
    return Loaded(ProjectionRequest(rig, scenario, parts["weather"]), assumptions)


def dump_projection(request: ProjectionRequest) -> dict[str, Any]:
    """Return the document of a request, its rig as a document.

    Parameters
    ----------
    request : ProjectionRequest

    Returns
    -------
    dict
    """
    scenario = request.scenario
    parts = {
        "rig": request.rig,
        "place": scenario.place,
        "operation": scenario.operation,
        "start": scenario.start,
        "comfort": scenario.comfort,
    }
    document: dict[str, Any] = _SCHEMA.dump(parts)
    return {**document, "weather": dump_weather(request.weather)}


def array_names(rig: Rig | Mapping[str, Any] | str | None) -> list[str] | None:
    """Return the names of a rig's arrays, ``None`` where the rig is not known."""
    if isinstance(rig, Rig):
        return [array.name for array in rig.arrays]
    if not isinstance(rig, Mapping):
        return None
    return [array["name"] for array in rig.get("arrays", ()) if array and "name" in array]


def shade_faults(place: Mapping[str, Any] | None, names: list[str]) -> list[Fault]:
    """Return the faults of shade that falls on an array the rig does not have."""
    known = ("cabin", "arrays", *names)
    return [
        Fault(
            pointer(("place", "shade", number, "applies_to", index)),
            "is neither 'cabin' nor 'arrays' nor an array of the rig",
            target,
            "one of " + ", ".join(known),
        )
        for number, shade in enumerate((place or {}).get("shade", ()))
        for index, target in enumerate((shade or {}).get("applies_to", ()))
        if target is not None and target not in known
    ]


def _part(document: object, key: str) -> Any:
    return document[key] if isinstance(document, Mapping) else {}


_SCHEMA = ProjectionSchema()
_RIG = RigSchema()
