"""The rig document as a whole: names that other parts refer to, awnings, notes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from noonhold.documents.cabin_document import (
    AwningSchema,
    ShellSchema,
    check_awnings,
    check_extents,
    check_unique_names,
)
from noonhold.documents.cooler_document import CoolerSchema, HeaterSchema
from noonhold.documents.doubts import doubtful_areas
from noonhold.documents.fields import Described, Items, Number, Part, Text, refuse
from noonhold.documents.power_document import (
    ArraySchema,
    BatterySchema,
    ChargingSchema,
    ControllerSchema,
    LoadSchema,
)
from noonhold.documents.schema import DocumentSchema, Loaded, Path, Problems, load_document, merged
from noonhold.documents.shell_document import FACES
from noonhold.documents.short_rig_document import expand_rig
from noonhold.documents.without_effect import idle_parts
from noonhold.rig import Rig


class Notes(Described):
    """Reasons for values: JSON pointers within the rig to sentences."""

    def __init__(self) -> None:
        super().__init__(
            metadata={
                "type": "object",
                "additionalProperties": {"type": "string", "maxLength": 2000},
                "description": "Reasons for values, by the JSON pointer within the rig.",
                "example": {"/battery/usable_energy_wh": "the store of this class of cabin"},
            }
        )

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if not isinstance(value, Mapping):
            raise refuse("must be an object of pointers and reasons")
        return value


class RigSchema(DocumentSchema):
    """What the workshop builds."""

    class Meta(DocumentSchema.Meta):
        """One field has the name of a method of marshmallow's and is declared here."""

        include: ClassVar[dict[str, Items]] = {"loads": Items(Part(LoadSchema), "The house loads.")}

    target = Rig

    name = Text("Name of the rig.", required=True)
    shell = Part(ShellSchema, "The cabin.", required=True)
    battery = Part(BatterySchema, "The house battery.", required=True)
    cooler = Part(CoolerSchema, "The cooler; without it the rig has none.")
    heater = Part(HeaterSchema, "The heater; without it the rig has none.")
    arrays = Items(Part(ArraySchema), "The photovoltaic arrays.", most=40)
    controllers = Items(Part(ControllerSchema), "The charge controllers.", most=40)
    charging = Part(ChargingSchema, "Alternator and shore power.", fill=True)
    standing_power_w = Number("standing_power_w", default=0.0, reason="no standing draw is given")
    awnings = Items(Part(AwningSchema), "Cloths set out from a side.", most=8)
    notes = Notes()

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Validate unique names, references to existing parts, awnings over something."""
        for part in ("arrays", "controllers", "loads"):
            check_unique_names(data, part, problems)
        _check_references(data, problems)
        check_awnings(data, problems)
        check_extents(data, problems)
        _check_notes(data.get("notes", {}), given, problems)


def load_rig(document: object, root: Path = ()) -> Loaded[Rig]:
    """Read a rig document.

    Parameters
    ----------
    document : object
        As the JSON parser returned it; of the short form too, see
        :mod:`noonhold.documents.short_rig_document`.
    root : tuple of str or int
        Where it stands in a larger document, for example ``("rig",)``.

    Returns
    -------
    Loaded of Rig
        The rig and what was assumed.

    Raises
    ------
    DocumentError
        With every fault, each with its JSON pointer.
    """
    whole, found = expand_rig(document, root)
    data, assumptions = load_document(_SCHEMA, whole, root)
    rig = _SCHEMA.build(data)
    reported = (*merged(found), *assumptions, *doubtful_areas(rig, root), *idle_parts(rig, root))
    return Loaded(rig, reported)


def dump_rig(rig: Rig) -> dict[str, Any]:
    """Return the document of a rig; reading it gives an equal rig.

    Parameters
    ----------
    rig : Rig
        As :func:`load_rig` makes them.

    Returns
    -------
    dict
        Plain values for a JSON writer.
    """
    document: dict[str, Any] = _SCHEMA.dump(rig)
    return document


def _check_references(data: Mapping[str, Any], problems: Problems) -> None:
    """Note arrays that name a controller or a panel the rig does not have."""
    shell = data.get("shell") or {}
    controllers = _names(data.get("controllers", ()))
    panels = _areas(shell)
    for index, array in enumerate(data.get("arrays", ())):
        controller, panel = ((array or {}).get(n) for n in ("controller", "shades_panel"))
        if controller is not None and controller not in controllers:
            problems.add(
                ("arrays", index, "controller"),
                "the rig has no controller of this name",
                "one of " + (", ".join(controllers) or "none"),
            )
        if panel is None:
            continue
        if panel not in panels:
            problems.add(
                ("arrays", index, "shades_panel"),
                "the rig has no panel of this name",
                "one of " + (", ".join(panels) or "none"),
            )
        elif (array or {}).get("area_m2", 0.0) > panels[panel] * 1.0001:
            problems.add(
                ("arrays", index, "area_m2"),
                "is more than the panel that it shades",
                f"value <= {panels[panel]:.10g} m2",
            )


def _names(items: Any) -> list[str]:
    return [item["name"] for item in items if item and "name" in item]


def _areas(shell: Mapping[str, Any]) -> dict[str, float]:
    """Return the panels' areas by name; infinite where they are not known, as those of a box."""
    if "box" in shell:
        return dict.fromkeys(FACES, float("inf"))
    return {
        panel["name"]: panel.get("area_m2", float("inf"))
        for panel in shell.get("panels", ())
        if panel and "name" in panel
    }


def _check_notes(notes: Mapping[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
    """Note reasons that are no text, and pointers that lead to no field."""
    for key, reason in notes.items():
        if not isinstance(reason, str) or not 1 <= len(reason) <= 2000:
            problems.add(("notes", key), "must be a reason in words", "1 to 2000 characters")
        if not _exists(str(key), given):
            problems.add(("notes", key), "points to no field of this rig", "a JSON pointer")


def _exists(text: str, document: Any) -> bool:
    if not text.startswith("/"):
        return False
    for part in text[1:].split("/"):
        part = part.replace("~1", "/").replace("~0", "~")
        if isinstance(document, Mapping) and part in document:
            document = document[part]
        elif isinstance(document, list) and part.isdecimal() and int(part) < len(document):
            document = document[int(part)]
        else:
            return False
    return True


_SCHEMA = RigSchema()
