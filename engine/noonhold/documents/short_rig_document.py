"""A rig in ten lines: the short form, read by rules of its own and written out as a whole rig.

Whatever takes a rig takes this form too. It is expanded by :func:`expand_rig` before anything else
sees it, and every value that the expansion filled in is an assumption with its reason, those that
move a verdict most first.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from marshmallow import ValidationError

from noonhold.documents import short_rig_rules as usual
from noonhold.documents.fields import Choice, Flag, Items, Part, Text
from noonhold.documents.schema import DocumentSchema, Filling, Path, Problems, faults_of
from noonhold.documents.shell_document import FACES
from noonhold.documents.study_numbers import StudyNumber
from noonhold.errors import DocumentError
from noonhold.quantities import Quantity

_PRACTICE: Final = "common practice, no source"
_MARKS: Final = ("outer_size", "walls", "battery_kwh", "roof_array_w", "set_out_array_w")


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
        inner = _inner_size(data)
        if min(inner.values()) < _LEAST_INSIDE_M:
            problems.add("outer_size", "leaves no inside within walls of this thickness")
            return
        left = {face: 0.98 * area for face, area in _face_areas(inner).items()}
        for index, window in enumerate(data.get("windows", ())):
            face = (window or {}).get("face")
            if face is None or "width_m" not in window or "height_m" not in window:
                continue
            left[face] -= window["width_m"] * window["height_m"]
            if left[face] < 0.0:
                problems.add(
                    ("windows", index), "the windows of this face are larger than the face",
                    f"{_face_areas(inner)[face]:.2f} m2 inside",
                )  # fmt: skip


_LEAST_INSIDE_M: Final = 0.3


def is_short(document: object) -> bool:
    """Tell whether a rig's document is of the short form."""
    return (
        isinstance(document, Mapping)
        and "shell" not in document
        and any(mark in document for mark in _MARKS)
    )


def expand_rig(document: Any, root: Path = ()) -> tuple[Any, list[Filling]]:
    """Return a rig's document written out, and what was filled in.

    Parameters
    ----------
    document : object
        A rig of either form; a whole one is returned as it is.
    root : tuple of str or int
        Where it stands in a larger document.

    Returns
    -------
    document : object
        As :class:`noonhold.documents.rig_document.RigSchema` reads it.
    found : list of (path, value, reason)
        Every value that the short form left out, with pointers into the whole one.

    Raises
    ------
    DocumentError
        With every fault of the short form.
    """
    if not is_short(document):
        return document, []
    try:
        return written_out(document, root)
    except ValidationError as error:
        raise DocumentError(*faults_of(error, document, root)) from None


def written_out(
    document: Mapping[str, Any], root: Path = ()
) -> tuple[dict[str, Any], list[Filling]]:
    """Return a short document written out; see :func:`expand_rig`.

    Raises
    ------
    marshmallow.ValidationError
        With every fault, as a field of a schema passes it on.
    """
    given: dict[str, Any] = _SCHEMA.load(document)
    made = _Expansion(given, root)
    return made.document(), made.found


class _Expansion:
    """The whole rig of a short one, and what was filled in on the way, the decisive first."""

    def __init__(self, given: dict[str, Any], root: Path) -> None:
        self.given, self.root = given, root
        self.found: list[Filling] = []

    def assume(self, path: Path, value: Any, reason: str) -> Any:
        """Note a value that was filled in, and return it."""
        self.found.append(((*self.root, *path), value, reason))
        return value

    def document(self) -> dict[str, Any]:
        """Return the whole rig."""
        given = self.given
        colour = given.get("colour")
        absorptance = (
            usual.COLOURS[colour]
            if colour is not None
            else self.assume(
                ("shell", "box", "roof", "solar_absorptance"),
                usual.COLOURS["mid"],
                "no colour is given: a mid one; white is 0.25, black 0.95, from memory",
            )
        )
        rig: dict[str, Any] = {
            "name": given["name"],
            "shell": self._shell(absorptance),
            "battery": self._battery(),
        }
        if "cooler" in given:
            rig["cooler"] = self._cooler(given["cooler"])
        rig |= self._arrays()
        if given["alternator_w"]:
            rig["charging"] = {"alternator_w": given["alternator_w"]}
        loads_w = given.get("loads_w")
        if loads_w is None:
            loads_w = self.assume(
                ("loads", 0, "power_w"),
                usual.LOADS_W,
                f"a small refrigerator, lights and telephones, {_PRACTICE}",
            )
        if loads_w:
            rig["loads"] = [{"name": "house", "power_w": loads_w, "heat_to_cabin_fraction": 1.0}]
        if colour is not None:
            rig["notes"] = {"/shell/box/roof/solar_absorptance": f"{colour}: {usual.COLOUR_REASON}"}
        return rig

    def _shell(self, absorptance: float) -> dict[str, Any]:
        given = self.given
        for name in ("roof", "floor"):
            if name not in given:
                self.assume(("shell", "box", name), None, "built as the walls are")
        inner = _inner_size(given)
        parts = {
            name: {
                **_construction(given.get(name, given["walls"])),
                "solar_absorptance": absorptance,
                "thermal_emittance": 0.9,
            }
            for name in ("walls", "roof", "floor")
        }
        leakage = self.assume(
            ("shell", "leakage", "air_changes_per_hour"), usual.AIR_CHANGES_PER_HOUR, _PRACTICE
        )
        contents = self.assume(
            ("shell", "contents_heat_capacity_kj_k"),
            round(usual.CONTENTS_KJ_K_M3 * _volume(inner), 1),
            f"{usual.CONTENTS_KJ_K_M3:g} kJ/K for each m3 of the cabin, {_PRACTICE}",
        )
        windows = [self._window(k, each) for k, each in enumerate(given["windows"])]
        return {
            "contents_heat_capacity_kj_k": contents,
            "leakage": {"air_changes_per_hour": leakage},
            "box": {**{name: round(value, 4) for name, value in inner.items()}, **parts},
            "windows": windows,
        }

    def _window(self, index: int, window: Mapping[str, Any]) -> dict[str, Any]:
        glass = usual.GLASS[window["kind"]]
        self.assume(
            ("shell", "windows", index, "covers"),
            None,
            f"a foil-faced mat can be pressed in from inside, {_PRACTICE}",
        )
        return {
            "name": f"{window['face']} window {index + 1}",
            "face": window["face"],
            "area_m2": round(window["width_m"] * window["height_m"], 4),
            "u_value_w_m2k": glass.u_value_w_m2k,
            "solar_heat_gain_coefficient": glass.solar_heat_gain_coefficient,
            "panes": glass.panes,
            "covers": [dict(usual.COVER)],
        }

    def _battery(self) -> dict[str, Any]:
        energy = round(1000.0 * self.given["battery_kwh"], 3)
        return {
            "usable_energy_wh": energy,
            "max_charge_w": self.assume(
                ("battery", "max_charge_w"),
                usual.CHARGE_PER_HOUR * energy,
                f"half of its energy in an hour, {_PRACTICE}",
            ),
            "max_discharge_w": self.assume(
                ("battery", "max_discharge_w"), energy, f"its energy in an hour, {_PRACTICE}"
            ),
        }

    def _cooler(self, plate: Mapping[str, Any]) -> dict[str, Any]:
        cooling_w, power_w = plate["cooling_w"], plate["power_w"]
        here: Path = ("cooler",)
        stages = [{"name": "rated", "cooling_w": cooling_w, "power_w": power_w}]
        if plate["variable_speed"]:
            low = {"name": "low", "cooling_w": 0.4 * cooling_w, "power_w": 0.35 * power_w}
            self.assume(
                (*here, "stages", 0), None, f"its lowest speed: 40 % of the cooling, {_PRACTICE}"
            )
            stages.insert(0, low)
        cooler = {
            "stages": stages,
            "rating": self.assume((*here, "rating"), "ISO 5151 T1", "the usual rating point"),
            "sensible_heat_ratio": self.assume(
                (*here, "sensible_heat_ratio"), usual.SENSIBLE_HEAT_RATIO, _PRACTICE
            ),
            "airflow_m3_h": self.assume(
                (*here, "airflow_m3_h"),
                max(usual.AIRFLOW_M3_H_W * cooling_w, 30.0),
                f"{usual.AIRFLOW_M3_H_W:g} m3/h for each watt of cooling, {_PRACTICE}",
            ),
            "fan_power_w": self.assume(
                (*here, "fan_power_w"),
                min(usual.FAN_SHARE * cooling_w, 0.2 * power_w),
                f"{100 * usual.FAN_SHARE:g} % of the cooling, {_PRACTICE}",
            ),
            "supply": {"path": "direct"},
        }
        self.assume((*here, "supply"), "direct", "straight from the battery bus")
        return cooler | ({"variable_speed": True} if plate["variable_speed"] else {})

    def _arrays(self) -> dict[str, Any]:
        arrays: list[dict[str, Any]] = []
        roof_w, set_out_w = self.given["roof_array_w"], self.given["set_out_array_w"]
        if roof_w:
            place: Path = ("arrays", len(arrays))
            inner = _inner_size(self.given)
            area = round(min(roof_w / usual.ROOF_W_M2, 0.9 * _face_areas(inner)["roof"]), 3)
            self.assume(
                (*place, "area_m2"), area, f"{usual.ROOF_W_M2:g} W for each m2 in the roof's shade"
            )
            self.assume((*place, "mount"), "roof_raised", "on rails above the roof")
            arrays.append(
                {
                    "name": "roof", "rated_power_w": roof_w, "mount": "roof_raised",
                    "tilt_deg": 0.0, "azimuth_from_front_deg": 0.0, "controller": "roof controller",
                    "shades_panel": "roof", "area_m2": area,
                }
            )  # fmt: skip
        if set_out_w:
            place = ("arrays", len(arrays))
            self.assume((*place, "aims"), None, "30 degrees towards the equator all day")
            arrays.append(
                {
                    "name": "set out", "rated_power_w": set_out_w, "mount": "open_stand",
                    "folding": True, "mirrored_south": True,
                    "aims": [{"from": "00:00", "tilt_deg": 30.0, "azimuth_deg": 180.0}],
                    "controller": "set out controller",
                }
            )  # fmt: skip
        controllers = []
        for index, array in enumerate(arrays):
            power = array["rated_power_w"]
            self.assume(
                ("controllers", index, "max_power_w"), power, "as much as its array is rated at"
            )
            controllers.append(
                {
                    "name": array["controller"],
                    "max_power_w": power,
                    "efficiency": usual.CONTROLLER_EFFICIENCY,
                }
            )
        return {"arrays": arrays, "controllers": controllers} if arrays else {}


def _construction(build_up: Mapping[str, float]) -> dict[str, Any]:
    ((name, value),) = build_up.items()
    if name == "u_value_w_m2k":
        return {"u_value_w_m2k": value, "heat_capacity_kj_m2k": 10.0}
    return {
        "layers": [
            {
                "material": material,
                "thickness_m": round(value / 1000.0 if thickness is None else thickness, 6),
            }
            for material, thickness in usual.BUILD_UPS[name].layers
        ]
    }


def _thickness(build_up: Mapping[str, float] | None) -> float:
    """Return the thickness of a build-up, in metres; zero where it is faulty."""
    if not build_up or len(build_up) != 1:
        return 0.0
    layers = _construction(build_up).get("layers", [{"thickness_m": 0.05}])
    return float(sum(layer["thickness_m"] for layer in layers))


def _inner_size(given: Mapping[str, Any]) -> dict[str, float]:
    size, walls = given["outer_size"], given.get("walls")
    wall = _thickness(walls)
    lid = _thickness(given.get("roof", walls)) + _thickness(given.get("floor", walls))
    return {
        "length_m": size["length_m"] - 2.0 * wall,
        "width_m": size["width_m"] - 2.0 * wall,
        "height_m": size["height_m"] - lid,
    }


def _volume(inner: Mapping[str, float]) -> float:
    return inner["length_m"] * inner["width_m"] * inner["height_m"]


def _face_areas(inner: Mapping[str, float]) -> dict[str, float]:
    length, width, height = inner["length_m"], inner["width_m"], inner["height_m"]
    return {
        "front": width * height,
        "rear": width * height,
        "left": length * height,
        "right": length * height,
        "roof": length * width,
        "floor": length * width,
    }


_SCHEMA: Final = ShortRigSchema()
