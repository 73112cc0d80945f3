"""JSON documents to the frozen dataclasses of the model, and back.

Each ``load_*`` tells every fault at once as :class:`engine.errors.DocumentError` and returns what
it read together with every value that the document left out; each ``dump_*`` is its inverse. The
``*Schema`` classes carry titles, units, bounds and examples for an API description.
"""

from engine.documents.projection import (
    ProjectionRequest,
    ProjectionSchema,
    RigReference,
    RigResolver,
    dump_projection,
    load_projection,
)
from engine.documents.rig import RigSchema, dump_rig, load_rig
from engine.documents.scenario import (
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
from engine.documents.schema import Assumption, Loaded
from engine.documents.weather import WeatherSchema, dump_weather, load_weather

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
