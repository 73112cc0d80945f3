"""JSON documents to the frozen dataclasses of the model, and back.

Each ``load_*`` tells every fault at once as :class:`noonhold.errors.DocumentError` and returns what
it read together with every value that the document left out; each ``dump_*`` is its inverse. The
``*Schema`` classes carry titles, units, bounds and examples for an API description.
"""

from noonhold.documents.projection_document import (
    ProjectionSchema,
    RigReference,
    RigResolver,
    dump_projection,
    load_projection,
)
from noonhold.documents.rig_document import RigSchema, dump_rig, load_rig
from noonhold.documents.scenario_document import (
    ComfortSchema,
    OperationSchema,
    PlaceSchema,
    StartSchema,
    dump_comfort,
    dump_operation,
    dump_place,
    dump_start,
    load_comfort,
    load_operation,
    load_place,
    load_start,
)
from noonhold.documents.schema import Assumption, Loaded
from noonhold.documents.weather_document import WeatherSchema, dump_weather, load_weather
from noonhold.projection_request import ProjectionRequest

__all__ = [
    "Assumption",
    "ComfortSchema",
    "Loaded",
    "OperationSchema",
    "PlaceSchema",
    "ProjectionRequest",
    "ProjectionSchema",
    "RigReference",
    "RigResolver",
    "RigSchema",
    "StartSchema",
    "WeatherSchema",
    "dump_comfort",
    "dump_operation",
    "dump_place",
    "dump_projection",
    "dump_rig",
    "dump_start",
    "dump_weather",
    "load_comfort",
    "load_operation",
    "load_place",
    "load_projection",
    "load_rig",
    "load_start",
    "load_weather",
]
