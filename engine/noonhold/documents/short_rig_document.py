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
from noonhold.documents.schema import Filling, Path, faults_of
from noonhold.documents.short_rig_schema import ShortRigSchema
from noonhold.documents.short_rig_walls import (
    construction_of,
    face_areas,
    inner_size,
    volume_m3_of,
)
from noonhold.errors import DocumentError

_PRACTICE: Final = "common practice, no source"
_MARKS: Final = ("outer_size", "walls", "battery_kwh", "roof_array_w", "set_out_array_w")


def is_short(document: object) -> bool:
    """Return whether a rig's document is of the short form."""
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
        inner = inner_size(given)
        parts = {
            name: {
                **construction_of(given.get(name, given["walls"])),
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
            round(usual.CONTENTS_KJ_K_M3 * volume_m3_of(inner), 1),
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
            inner = inner_size(self.given)
            area = round(min(roof_w / usual.ROOF_W_M2, 0.9 * face_areas(inner)["roof"]), 3)
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


_SCHEMA: Final = ShortRigSchema()
