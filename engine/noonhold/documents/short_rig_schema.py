"""The fields of the short form of a rig, and what must hold between them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from noonhold.documents import short_rig_rules as usual
from noonhold.documents.fields import Choice, Flag, Items, Part, Text
from noonhold.documents.schema import DocumentSchema, Problems
from noonhold.documents.shell_document import FACES
from noonhold.documents.short_rig_walls import face_areas, inner_size
from noonhold.documents.study_numbers import StudyNumber
from noonhold.quantities import Quantity

_LEAST_INSIDE_M: Final = 0.3


class ShortNumber(StudyNumber):
    """A number of the short form, whose faults give a usual value beside unit and bounds."""

    def __init__(
        self,
        name: str,
        unit: str,
        description: str,
        bounds: tuple[float, float],
        typical: float,
        **options: Any,
    ) -> None:
        super().__init__(Quantity(name, unit, description, *bounds), **options)
        self.bound += f", usually about {typical:g}"
        self.metadata = {**self.metadata, "example": typical}
        self.require_bound()


class OuterSizeSchema(DocumentSchema):
    """The cabin's outside, without what it stands on."""

    length_m = ShortNumber("length_m", "m", "Front to rear.", (0.8, 15.0), 2.6, required=True)
    width_m = ShortNumber("width_m", "m", "Left to right.", (0.8, 4.0), 1.9, required=True)
    height_m = ShortNumber("height_m", "m", "Floor to roof.", (0.8, 4.0), 1.9, required=True)


class BuildUpSchema(DocumentSchema):
    """One usual build-up by its name and thickness, or a U-value."""

    class Meta(DocumentSchema.Meta):
        """The build-ups stand in a table."""

        include = {  # noqa: RUF012 - read once, by marshmallow
            **{
                name: ShortNumber(name, "mm", each.meaning + ".", (0.5, 300.0), each.typical_mm)
                for name, each in usual.BUILD_UPS.items()
            },
            "u_value_w_m2k": ShortNumber(
                "u_value_w_m2k", "W m-2 K-1", "Of any other build-up.", (0.05, 4.7), 0.6
            ),
        }

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Ask for exactly one."""
        known = [name for name in given if name in self.fields]
        if len(known) != 1:
            problems.add((), "must be exactly one build-up", "one of " + ", ".join(self.fields))


class ShortWindowSchema(DocumentSchema):
    """A window by its face and size."""

    face = Choice(tuple(FACES), "The face it is in.", required=True)
    width_m = ShortNumber("width_m", "m", "Of the glass.", (0.05, 5.0), 0.9, required=True)
    height_m = ShortNumber("height_m", "m", "Of the glass.", (0.05, 3.0), 0.5, required=True)
    kind = Choice(tuple(usual.GLASS), "Its glass.", default="acrylic_double")


class ShortCoolerSchema(DocumentSchema):
    """The cooler by its nameplate."""

    cooling_w = ShortNumber(
        "cooling_w", "W", "Rated cooling.", (100.0, 20000.0), 1500.0, required=True
    )
    power_w = ShortNumber(
        "power_w", "W", "Rated electricity, fans included.", (30.0, 10000.0), 600.0, required=True
    )
    variable_speed = Flag("Whether its compressor changes speed.", default=False)


class ShortRigSchema(DocumentSchema):
    """A rig in ten lines; what it leaves out is filled in by documented usual."""

    name = Text("Name of the rig.", default="My rig")
    outer_size = Part(OuterSizeSchema, "The cabin's outside.", required=True)
    walls = Part(BuildUpSchema, "How its walls are built.", required=True)
    roof = Part(BuildUpSchema, "How its roof is built; else as the walls.")
    floor = Part(BuildUpSchema, "How its floor is built; else as the walls.")
    colour = Choice(tuple(usual.COLOURS), "Colour of its skin.")
    windows = Items(Part(ShortWindowSchema), "Its windows.", most=40)
    battery_kwh = ShortNumber(
        "battery_kwh", "kW h", "What the battery gives from full to empty.",
        (0.025, 200.0), 2.5, required=True,
    )  # fmt: skip
    roof_array_w = ShortNumber(
        "roof_array_w", "W", "Photovoltaics lying on the roof.", (0.0, 20000.0), 400.0, default=0.0
    )
    set_out_array_w = ShortNumber(
        "set_out_array_w", "W", "Photovoltaics set out on the ground and turned to the sun.",
        (0.0, 20000.0), 200.0, default=0.0,
    )  # fmt: skip
    alternator_w = ShortNumber(
        "alternator_w", "W", "Charging while driving.", (0.0, 10000.0), 400.0, default=0.0
    )
    loads_w = ShortNumber(
        "loads_w", "W", "House loads, day and night on average.", (0.0, 5000.0), usual.LOADS_W
    )
    cooler = Part(ShortCoolerSchema, "The cooler; without it the rig has none.")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Ask for an inside, and for windows that leave some of their face."""
        size = data.get("outer_size") or {}
        if not all(name in size for name in ("length_m", "width_m", "height_m")):
            return
        inner = inner_size(data)
        if min(inner.values()) < _LEAST_INSIDE_M:
            problems.add("outer_size", "leaves no inside within walls of this thickness")
            return
        left = {face: 0.98 * area for face, area in face_areas(inner).items()}
        for index, window in enumerate(data.get("windows", ())):
            face = (window or {}).get("face")
            if face is None or "width_m" not in window or "height_m" not in window:
                continue
            left[face] -= window["width_m"] * window["height_m"]
            if left[face] < 0.0:
                problems.add(
                    ("windows", index), "the windows of this face are larger than the face",
                    f"{face_areas(inner)[face]:.2f} m2 inside",
                )  # fmt: skip
