"""The one loader of a rig with its scenario: every part, and what must agree across the parts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, TypeAlias

from marshmallow import ValidationError

from noonhold.documents.doubts import doubtful_areas
from noonhold.documents.fields import Described, Part, refuse
from noonhold.documents.rig_document import RigSchema
from noonhold.documents.scenario_document import (
    ComfortSchema,
    OperationSchema,
    PlaceSchema,
)
from noonhold.documents.schema import (
    Assumption,
    DocumentSchema,
    Filling,
    Loaded,
    faults_of,
    fill,
    load_document,
    merged,
    pointer,
)
from noonhold.documents.short_rig_document import expand_rig, is_short, written_out
from noonhold.documents.start_document import StartSchema
from noonhold.documents.without_effect import idle_parts, without_effect
from noonhold.errors import DocumentError, Fault
from noonhold.rig import Rig
from noonhold.scenario import Scenario

RigResolver: TypeAlias = Callable[[str], Loaded[Rig] | None]


class RigReference(Described):
    """A rig as a document, or the identifier of one that the service keeps."""

    def __init__(self, description: str, **options: Any) -> None:
        super().__init__(
            metadata={
                "description": description,
                "oneOf": [
                    {"$ref": "#/components/schemas/Rig"},
                    {"$ref": "#/components/schemas/ShortRig"},
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
        return self.schema.load(written_out(value)[0] if is_short(value) else value)

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:
        return value if isinstance(value, str) else self.schema.dump(value)


class ScenarioSchema(DocumentSchema):
    """Everything about a run that is not the rig or the weather."""

    target: ClassVar[type[Any] | None] = Scenario

    place = Part(PlaceSchema, "Where it stands.", required=True)
    operation = Part(OperationSchema, "What is done over the day.", required=True)
    start = Part(StartSchema, "The state at the first moment.", required=True)
    comfort = Part(ComfortSchema, "What is comfortable.", required=True)


@dataclass(frozen=True)
class LoadedParts:
    """The valid parts of a document that has a rig or is loaded for one.

    Parameters
    ----------
    rig : Rig
        From the document, the resolver or the caller.
    rig_given : bool
        Whether the document itself describes the rig.
    data : dict
        Plain values by field, defaults included.
    built : dict
        The same as dataclasses; a rig among them is still plain.
    assumptions : tuple of Assumption
        Of the rig first.
    """

    rig: Rig
    rig_given: bool
    data: dict[str, Any]
    built: dict[str, Any]
    assumptions: tuple[Assumption, ...]


def load_parts(
    schema: DocumentSchema,
    document: object,
    resolver: RigResolver | None = None,
    rig: Loaded[Rig] | None = None,
) -> LoadedParts:
    """Validate a document of parts and whatever its parts say about each other.

    Parameters
    ----------
    schema : DocumentSchema
        Of the whole; may have ``rig``, ``place``, ``operation`` and further fields.
    document : object
        As the JSON parser returned it.
    resolver : callable, optional
        Returns the rig of an identifier, loaded with ``root=("rig",)``, or ``None`` for an unknown
        one; without it a rig must be a document.
    rig : Loaded of Rig, optional
        The rig of a document that has none of its own.

    Raises
    ------
    DocumentError
        With every fault, across all parts.
    """
    faults: list[Fault] = []
    omitted = 0
    try:
        data: dict[str, Any] = schema.load(document)  # type: ignore[arg-type] # refuses what is no mapping
    except ValidationError as error:
        faults, omitted = faults_of(error, document)
        data = error.valid_data if isinstance(error.valid_data, dict) else {}
    known = rig
    if isinstance(data.get("rig"), str):
        known = resolver(data["rig"]) if resolver is not None else None
        if known is None:
            faults.append(Fault("/rig", "no rig has this identifier", data["rig"]))
    names = _array_names(data.get("rig") if known is None else known.value)
    if names is not None:
        faults += _shade_faults(data.get("place"), names)
    if faults or not isinstance(document, Mapping):
        raise DocumentError(faults, omitted)
    found: list[Filling] = []
    if known is None:
        whole, found = expand_rig(document["rig"], ("rig",))
        fill(_RIG, whole, data["rig"], ("rig",), found)
    fill(schema, document, data, (), found)
    if known is None:
        used = _RIG.build(data["rig"])
        assumptions = (*doubtful_areas(used, ("rig",)), *idle_parts(used, ("rig",)))
    else:
        used, assumptions = known.value, known.assumptions
    if not any(array.folding for array in used.arrays):
        found = [each for each in found if each[0][-2:] != ("operation", "set_out")]
    return LoadedParts(
        rig=used,
        rig_given=known is None,
        data=data,
        built=schema.built(data),
        assumptions=(*assumptions, *merged(found), *without_effect(used, data, document)),
    )


def load_scenario(document: object, rig: Rig | None) -> Loaded[Scenario]:
    """Validate the scenario of a rig: place, operation, start and comfort.

    Parameters
    ----------
    document : object
        As the JSON parser returned it: an object of the four parts.
    rig : Rig or None
        What stands there; names in the scenario must be those of its parts. ``None`` where it is
        faulty itself: the scenario is then validated by itself.

    Raises
    ------
    DocumentError
        With every fault, across all parts.
    """
    if rig is None:
        data, found = load_document(_SCENARIO, document)
        return Loaded(_SCENARIO.build(data), tuple(found))
    parts = load_parts(_SCENARIO, document, rig=Loaded(rig, ()))
    return Loaded(_SCENARIO.build(parts.data), parts.assumptions)


def _array_names(rig: Rig | Mapping[str, Any] | str | None) -> list[str] | None:
    """Return the names of a rig's arrays, ``None`` where the rig is not known."""
    if isinstance(rig, Rig):
        return [array.name for array in rig.arrays]
    if not isinstance(rig, Mapping):
        return None
    return [array["name"] for array in rig.get("arrays", ()) if array and "name" in array]


def _shade_faults(place: Mapping[str, Any] | None, names: list[str]) -> list[Fault]:
    """Return the faults of shade that falls on an array the rig does not have."""
    known = ("cabin", "ground", "arrays", *names)
    return [
        Fault(
            pointer(("place", "shade", number, "applies_to", index)),
            "is neither 'cabin' nor 'ground' nor 'arrays' nor an array of the rig",
            target,
            "one of " + ", ".join(known),
        )
        for number, shade in enumerate((place or {}).get("shade", ()))
        for index, target in enumerate((shade or {}).get("applies_to", ()))
        if target is not None and target not in known
    ]


_SCENARIO = ScenarioSchema()
_RIG = RigSchema()
