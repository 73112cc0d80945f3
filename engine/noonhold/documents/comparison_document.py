"""The request for a comparison: a base, and variants as merge patches on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from noonhold.documents.cabin_document import check_unique_names
from noonhold.documents.fields import Described, Items, Part, Text, refuse
from noonhold.documents.merge_patch import merge_patch
from noonhold.documents.nested import ProjectionPart, nested_projection
from noonhold.documents.rig_document import dump_rig
from noonhold.documents.scenario_loader import RigResolver
from noonhold.documents.schema import Assumption, DocumentSchema, Loaded, Problems, load_document
from noonhold.errors import DocumentError, Fault
from noonhold.projection_request import ProjectionRequest
from noonhold.studies.comparison.comparison_study import Variant

MOST_VARIANTS = 100


@dataclass(frozen=True)
class ComparisonRequest:
    """What is to be compared.

    Parameters
    ----------
    variants : tuple of Variant
        What is set beside it.
    """

    base: ProjectionRequest
    variants: tuple[Variant, ...]


class Patch(Described):
    """A merge patch on the base's document."""

    def __init__(self) -> None:
        super().__init__(
            required=True,
            metadata={
                "type": "object",
                "description": "JSON merge patch (RFC 7396) on the base: null takes a member away,"
                " a list replaces a list. A rig that the base only names is written out before it"
                " is patched.",
                "example": {"operation": {"policy": "low_only"}},
            },
        )

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if not isinstance(value, Mapping):
            raise refuse("must be an object")
        return value


class VariantSchema(DocumentSchema):
    """One named change."""

    name = Text("Unique variant name.", required=True)
    patch = Patch()


class ComparisonSchema(DocumentSchema):
    """A request for a comparison."""

    base = ProjectionPart("What the variants are set beside.")
    variants = Items(
        Part(VariantSchema), "What changes.", least=1, most=MOST_VARIANTS, required=True
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Validate that names are unique."""
        check_unique_names(data, "variants", problems)


def load_comparison(
    document: object, resolver: RigResolver | None = None
) -> Loaded[ComparisonRequest]:
    """Read a request for a comparison.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    resolver : callable, optional
        See :func:`noonhold.documents.projection_document.load_projection`.

    Returns
    -------
    Loaded of ComparisonRequest
        With the assumptions of the base, and those of variants that the base does not share.

    Raises
    ------
    DocumentError
        With every fault: those of the base under ``/base``, and where the base has none
        those of the patched documents under ``/variants/i/patch``.
    """
    data, _ = load_document(_SCHEMA, document)
    base = nested_projection(data["base"], ("base",), resolver)
    shared = {(each.path.removeprefix("/base"), repr(each.value)) for each in base.assumptions}
    assumptions = list(base.assumptions)
    variants: list[Variant] = []
    faults: list[Fault] = []
    omitted = 0
    for index, each in enumerate(data["variants"]):
        place = ("variants", index, "patch")
        patched = merge_patch(_patchable(data["base"], each["patch"], resolver), each["patch"])
        try:
            loaded = nested_projection(patched, place, resolver)
        except DocumentError as error:
            faults += error.faults
            omitted += error.omitted
            continue
        variants.append(Variant(each["name"], loaded.value))
        start = f"/variants/{index}/patch"
        assumptions += [
            new
            for new in loaded.assumptions
            if (new.path.removeprefix(start), repr(new.value)) not in shared
        ]
    if faults:
        raise DocumentError(faults, omitted)
    request = ComparisonRequest(base.value, tuple(variants))
    return Loaded(request, _unrepeated(assumptions))


def _patchable(
    base: Mapping[str, Any], patch: Mapping[str, Any], resolver: RigResolver | None
) -> Mapping[str, Any]:
    """Return the base with its rig written out where a patch goes into the rig."""
    rig = base.get("rig")
    if not isinstance(rig, str) or not isinstance(patch.get("rig"), Mapping) or resolver is None:
        return base
    known = resolver(rig)
    return base if known is None else {**base, "rig": dump_rig(known.value)}


def _unrepeated(assumptions: list[Assumption]) -> tuple[Assumption, ...]:
    """Return assumptions without those that stand there already."""
    kept: dict[tuple[str, str, str], Assumption] = {}
    for each in assumptions:
        kept.setdefault((each.path, repr(each.value), each.reason), each)
    return tuple(kept.values())


_SCHEMA = ComparisonSchema()
