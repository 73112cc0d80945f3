"""The request for a whole typical year of a rig at a place."""

from __future__ import annotations

from noonhold.documents.fields import Flag, Number, Part, Text
from noonhold.documents.scenario_document import (
    ComfortSchema,
    OperationSchema,
    PlaceSchema,
)
from noonhold.documents.scenario_loader import RigReference, RigResolver, load_parts
from noonhold.documents.schema import DocumentSchema, Loaded
from noonhold.documents.start_document import StartSchema
from noonhold.scenario import Scenario
from noonhold.studies.year.year_study import YearRequest
from noonhold.weather.weather_request import TypicalYear


class YearSchema(DocumentSchema):
    """A request for a year."""

    rig = RigReference("The rig, or the identifier of a sample rig.", required=True)
    place = Part(PlaceSchema, "Where it stands.", required=True)
    station = Text("Identifier of a station; else the nearest is taken.")
    max_distance_km = Number("max_distance_km")
    allow_far = Flag("Whether a named station may be more than 100 km away or 300 m off in height.")
    operation = Part(OperationSchema, "What is done over every day.", required=True)
    start = Part(StartSchema, "The state at the first moment of 1 January.", required=True)
    comfort = Part(ComfortSchema, "What is comfortable.", required=True)


def load_year(document: object, resolver: RigResolver | None = None) -> Loaded[YearRequest]:
    """Read a request for a year.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    resolver : callable, optional
        See :func:`noonhold.documents.projection_document.load_projection`.

    Raises
    ------
    DocumentError
        With every fault found.
    """
    parts = load_parts(_SCHEMA, document, resolver)
    built = parts.built
    scenario = Scenario(built["place"], built["operation"], built["comfort"], built["start"])
    chosen = {
        name: built[name] for name in ("station", "max_distance_km", "allow_far") if name in built
    }
    weather = TypicalYear(month=1, day=1, days=1, **chosen)
    return Loaded(YearRequest(parts.rig, scenario, weather), parts.assumptions)


_SCHEMA = YearSchema()
