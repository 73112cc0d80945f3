"""The request for a survey: rigs, the stations of a list or a box, a month or the year."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import missing

from noonhold.documents.fields import Items, Number, Part, Text
from noonhold.documents.rig_document import load_rig
from noonhold.documents.scenario_document import (
    ComfortSchema,
    OperationSchema,
    PlaceSchema,
)
from noonhold.documents.scenario_loader import RigReference, RigResolver, load_scenario
from noonhold.documents.schema import (
    Assumption,
    DocumentSchema,
    Loaded,
    Problems,
    load_document,
)
from noonhold.documents.start_document import StartSchema
from noonhold.documents.study_numbers import StudyNumber
from noonhold.errors import DocumentError, Fault
from noonhold.quantities import Quantity
from noonhold.rig import Rig
from noonhold.studies.survey.survey_study import MapBox, SurveyRequest, rigs_by_name

MOST_RIGS = 20
MOST_STATIONS = 1000
_MONTH = Quantity("month", "1", "Month of the typical year; without it the whole year.", 1, 12)
_NOWHERE = {"latitude": 0.0, "longitude": 0.0, "elevation_m": 0.0}


class MapBoxSchema(DocumentSchema):
    """A part of the map."""

    target = MapBox

    south = Number("latitude", description="Its southern edge.", required=True)
    north = Number("latitude", description="Its northern edge.", required=True)
    west = Number("longitude", description="Its western edge.", required=True)
    east = Number(
        "longitude",
        description="Its eastern edge; west of the western one in a box over the date line.",
        required=True,
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require a box that is not upside down."""
        south, north = data.get("south"), data.get("north")
        if south is not None and north is not None and north < south:
            problems.add("north", "lies south of the southern edge", f"value >= {south:.10g}")


class SurroundingsSchema(PlaceSchema):
    """What is the same at every station: heading, ground, terrain, shade, horizon."""

    class Meta(PlaceSchema.Meta):
        """The station says where it is, and its weather which clock counts."""

        exclude = ("latitude", "longitude", "elevation_m", "timezone")


class SurveySchema(DocumentSchema):
    """A request for a survey."""

    rigs = Items(
        RigReference("A rig, or the identifier of a sample rig."),
        "The rigs.",
        least=1,
        most=MOST_RIGS,
        required=True,
    )
    stations = Items(
        Text("Identifier of a station."),
        "Stations by identifier.",
        least=1,
        most=MOST_STATIONS,
        default=missing,
    )
    box = Part(MapBoxSchema, "Instead of a list: every station in it.")
    month = StudyNumber(_MONTH, whole=True)
    surroundings = Part(SurroundingsSchema, "What is the same at every station.", fill=True)
    operation = Part(OperationSchema, "What is done over every day.", required=True)
    start = Part(StartSchema, "The state at the first moment.", required=True)
    comfort = Part(ComfortSchema, "What is comfortable.", required=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require stations one way."""
        if "stations" in given and "box" in given:
            problems.add("box", "mutually exclusive with stations")
        elif "stations" not in given and "box" not in given:
            problems.add("stations", "required field is missing; or give box")
        names = [each for each in data.get("stations") or () if each is not None]
        twice = {each for each in names if names.count(each) > 1}
        if twice:
            problems.add("stations", f"has {sorted(twice)[0]!r} more than once")


def load_survey(document: object, resolver: RigResolver | None = None) -> Loaded[SurveyRequest]:
    """Read a request for a survey.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    resolver : callable, optional
        See :func:`noonhold.documents.projection_document.load_projection`.

    Returns
    -------
    Loaded of SurveyRequest
        Assumptions of the scenario, and of each rig under ``/rigs`` and its index.

    Raises
    ------
    DocumentError
        With every fault.
    """
    data, _ = load_document(_SCHEMA, document)
    if not isinstance(document, Mapping):
        raise TypeError("a schema let through what is no mapping")
    rigs: list[tuple[str, Rig]] = []
    found: list[Assumption] = []
    faults: list[Fault] = []
    scenario = None
    parts = {name: document[name] for name in ("operation", "start", "comfort")}
    for index, given in enumerate(document["rigs"]):
        loaded = _rig(given, index, resolver)
        if loaded is None:
            faults.append(Fault(f"/rigs/{index}", "no rig has this identifier", given))
            continue
        rigs.append((given if isinstance(given, str) else loaded.value.name, loaded.value))
        found += loaded.assumptions
        place = {**document.get("surroundings", {}), **_NOWHERE}
        try:
            scenario = load_scenario({**parts, "place": place}, loaded.value)
        except DocumentError as error:
            faults += [_moved(each) for each in error.faults]
            break
        found += [_assumed(each) for each in scenario.assumptions]
    if faults or scenario is None:
        raise DocumentError(faults)
    request = SurveyRequest(
        rigs=rigs_by_name(rigs),
        scenario=scenario.value,
        stations=tuple(data["stations"]) if "stations" in data else None,
        box=MapBoxSchema().build(data["box"]) if "box" in data else None,
        month=data.get("month"),
    )
    # Every rig stands in the same scenario, whose defaults are reported once.
    once = {(each.path, each.reason): each for each in found}
    return Loaded(request, tuple(once.values()))


def _rig(given: Any, index: int, resolver: RigResolver | None) -> Loaded[Rig] | None:
    if isinstance(given, str):
        return resolver(given) if resolver is not None else None
    return load_rig(given, root=("rigs", index))


def _moved(fault: Fault) -> Fault:
    """Return a fault of the place at the surroundings, where the request has it."""
    path = fault.path
    if path.startswith("/place"):
        path = "/surroundings" + path.removeprefix("/place")
    return Fault(path, fault.message, fault.value, fault.bound, fault.hint)


def _assumed(made: Assumption) -> Assumption:
    path = made.path
    if path.startswith("/place"):
        path = "/surroundings" + path.removeprefix("/place")
    return Assumption(path, made.value, made.reason, made.decisive)


_SCHEMA = SurveySchema()
