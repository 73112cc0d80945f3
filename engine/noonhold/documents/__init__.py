"""JSON documents to the frozen dataclasses of the model, and back.

Each ``load_*`` raises all faults at once as :class:`noonhold.errors.DocumentError` and returns the
value together with every default that the document left to us; each ``dump_*`` is its inverse. The
``*Schema`` classes carry titles, units, bounds and examples for an API description.
"""

from noonhold.documents.projection_document import (
    ProjectionSchema,
    dump_projection,
    load_projection,
)
from noonhold.documents.rig_document import RigSchema, dump_rig, load_rig
from noonhold.documents.scenario_document import (
    ComfortSchema,
    OperationSchema,
    PlaceSchema,
    dump_comfort,
    dump_operation,
    dump_place,
    load_comfort,
    load_operation,
    load_place,
)
from noonhold.documents.scenario_loader import (
    RigReference,
    RigResolver,
    ScenarioSchema,
    load_scenario,
)
from noonhold.documents.schema import Assumption, Loaded
from noonhold.documents.start_document import StartSchema, dump_start, load_start
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
    "ScenarioSchema",
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
    "load_scenario",
    "load_start",
    "load_weather",
]
