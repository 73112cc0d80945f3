"""The whole request for a projection: rig, place, weather, operation, start, comfort."""

from __future__ import annotations

from typing import Any

from noonhold.documents.fields import Flag, Part
from noonhold.documents.scenario_loader import (
    RigReference,
    RigResolver,
    ScenarioSchema,
    load_parts,
)
from noonhold.documents.schema import DocumentSchema, Loaded
from noonhold.documents.weather_document import WeatherSchema, dump_weather
from noonhold.projection_request import ProjectionRequest
from noonhold.scenario import Scenario


class ProjectionSchema(ScenarioSchema):
    """A request for a projection."""

    class Meta(DocumentSchema.Meta):
        """The order in which descriptions and assumptions list the parts."""

        fields = ("rig", "place", "weather", "operation", "start", "comfort", "chance")

    target = None

    rig = RigReference("The rig, or the identifier of a sample rig.", required=True)
    weather = Part(WeatherSchema, "The weather, in exactly one of three ways.", required=True)
    chance = Flag(
        "Whether to say how likely the days hold with the rig as built, and to put the defaults"
        " first whose own plausible range turns the verdict; false where it is left out."
    )


def load_projection(
    document: object, resolver: RigResolver | None = None
) -> Loaded[ProjectionRequest]:
    """Validate a request for a projection.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    resolver : callable, optional
        Returns the rig of an identifier, loaded with ``root=("rig",)``, or ``None`` for an unknown
        one; without it a rig must be a document.

    Raises
    ------
    DocumentError
        With every fault, across all parts.
    """
    parts = load_parts(_SCHEMA, document, resolver)
    built = parts.built
    scenario = Scenario(built["place"], built["operation"], built["comfort"], built["start"])
    chance = bool(parts.data.get("chance"))
    request = ProjectionRequest(parts.rig, scenario, built["weather"], chance)
    return Loaded(request, parts.assumptions)


def dump_projection(request: ProjectionRequest) -> dict[str, Any]:
    """Return the document of a request, its rig as a document."""
    scenario = request.scenario
    parts = {
        "rig": request.rig,
        "place": scenario.place,
        "operation": scenario.operation,
        "start": scenario.start,
        "comfort": scenario.comfort,
    }
    document: dict[str, Any] = _SCHEMA.dump(parts)
    document |= {"weather": dump_weather(request.weather)}
    return document | ({"chance": True} if request.chance else {})


_SCHEMA = ProjectionSchema()
