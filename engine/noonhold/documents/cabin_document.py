"""The cabin as a whole in a rig document: panels or a box, windows, awnings over both."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from marshmallow import missing

from noonhold.documents.fields import Choice, Items, Number, Part
from noonhold.documents.schema import DocumentSchema, Problems
from noonhold.documents.shell_document import (
    FACES,
    ConstructionSchema,
    LeakageSchema,
    PanelSchema,
    VentSchema,
    WindowSchema,
)
from noonhold.rig import Awning, Exposure, Shell

SIDES = {name: azimuth for name, (tilt, azimuth) in FACES.items() if tilt == 90.0}
CONTENTS_AREA_PER_VOLUME = 2.0


class BoxSchema(DocumentSchema):
    """A plain box that stands for six panels: four walls, the roof and the floor."""

    length_m = Number("length_m", description="Inside, front to rear.", required=True)
    width_m = Number("width_m", description="Inside, left to right.", required=True)
    height_m = Number("height_m", description="Inside, floor to roof.", required=True)
    walls = Part(ConstructionSchema, "All four walls.", required=True)
    roof = Part(ConstructionSchema, "The roof.", required=True)
    floor = Part(ConstructionSchema, "The floor; its outer face is the underside.", required=True)


class ShellSchema(DocumentSchema):
    """The cabin: its air, its contents, its panels and windows."""

    target = Shell

    volume_m3 = Number("volume_m3")
    contents_heat_capacity_kj_k = Number("contents_heat_capacity_kj_k", required=True)
    contents_area_m2 = Number("contents_area_m2")
    leakage = Part(LeakageSchema, "Air that leaks unasked.", required=True)
    panels = Items(Part(PanelSchema), "The opaque parts.", least=1, default=missing)
    box = Part(BoxSchema, "Instead of panels.")
    windows = Items(Part(WindowSchema), "The windows.")
    vents = Items(Part(VentSchema), "What the schedule can open.", most=20)
    moisture_buffer_factor = Number(
        "moisture_buffer_factor",
        default=10.0,
        reason="bedding and wood, common practice, no source",
    )
    contents_solar_fraction = Number(
        "contents_solar_fraction", default=0.2, reason="common practice, no source"
    )
    ground_clearance_m = Number(
        "ground_clearance_m",
        default=0.8,
        reason="a cabin's floor over the bed of a truck, common practice, no source",
    )
    thermal_bridges_w_k = Number(
        "thermal_bridges_w_k",
        default=0.0,
        reason="the layers alone: frames, corners and fixings are not counted (ISO 14683 tables)",
    )
    mid_height_m = Number(
        "mid_height_m", default=1.7, reason="a cabin on wheels, common practice, no source"
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require panels or a box, a volume that fits it, and no name twice."""
        if "panels" in given and "box" in given:
            problems.add("box", "mutually exclusive with panels")
        elif "panels" not in given and "box" not in given:
            problems.add("panels", "required field is missing; or give box")
        for part in ("panels", "windows", "vents"):
            check_unique_names(data, part, problems)
        inside = _inside_volume(data.get("box"))
        if "box" not in given:
            if "volume_m3" not in given:
                problems.add("volume_m3", "required field is missing where there is no box")
            return
        if inside is not None and data.get("volume_m3", 0.0) > inside * 1.0001:
            problems.add("volume_m3", "is more than the box holds", f"value <= {inside:.10g} m3")
        if inside is not None:
            _check_windows_fit(data, problems)

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Take volume and panels from the box, and the contents' surface from the volume."""
        box = data.get("box")
        if "volume_m3" not in data:
            yield "volume_m3", _inside_volume(box), "the inside of the box"
        if box is not None:
            yield "panels", list(_box_panels(data)), "the six faces of the box less the windows"
        if "contents_area_m2" not in data:
            yield (
                "contents_area_m2",
                CONTENTS_AREA_PER_VOLUME * data["volume_m3"],
                f"{CONTENTS_AREA_PER_VOLUME:g} m2 for each m3 of the cabin, "
                "common practice, no source",
            )


class AwningSchema(DocumentSchema):
    """A level cloth set out from one side, with or without curtains at its ends."""

    target = Awning

    side = Choice(tuple(SIDES), "The side it hangs on, instead of the azimuth.")
    side_azimuth_from_front_deg = Number("azimuth_from_front_deg")
    depth_m = Number("depth_m", required=True)
    length_m = Number("length_m", description="Along the wall, centred.", required=True)
    height_m = Number("height_m", description="Above the wall's lower edge.", required=True)
    solar_transmittance = Number(
        "solar_transmittance", default=0.0, reason="a cloth that lets no sun through"
    )
    left_curtain_drop_m = Number("left_curtain_drop_m", default=0.0, reason="no curtain is given")
    right_curtain_drop_m = Number("right_curtain_drop_m", default=0.0, reason="no curtain is given")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Hold it to one way of saying the side, turned into the azimuth, and to its height."""
        if "side" in given:
            if "side_azimuth_from_front_deg" in given:
                problems.add("side_azimuth_from_front_deg", "mutually exclusive with side")
            if "side" in data:
                data["side_azimuth_from_front_deg"] = SIDES[data["side"]]
        elif "side_azimuth_from_front_deg" not in given:
            problems.add("side", "required field is missing; or give side_azimuth_from_front_deg")
        height = data.get("height_m", float("inf"))
        for curtain in ("left_curtain_drop_m", "right_curtain_drop_m"):
            if data.get(curtain, 0.0) > height:
                problems.add(
                    curtain, "is longer than the awning is high", f"value <= {height:.10g} m"
                )


def check_unique_names(
    data: Mapping[str, Any], part: str, problems: Problems, prefix: tuple[str | int, ...] = ()
) -> None:
    """Note every name that an earlier item of a list has already."""
    seen: set[str] = set()
    for index, item in enumerate(data.get(part, ())):
        name = (item or {}).get("name")
        if name in seen:
            problems.add(
                (*prefix, part, index, "name"), "another item has this name", "no name twice"
            )
        if name is not None:
            seen.add(name)


def looks_along(tilt_deg: float, azimuth_deg: float, side_azimuth_deg: float) -> bool:
    """Return whether a surface stands upright on the side that looks to an azimuth.

    Parameters
    ----------
    tilt_deg, azimuth_deg : float
        Of the surface. [degree]
    side_azimuth_deg : float
        Of the side, in the same frame. [degree]

    Returns
    -------
    bool
        True where the azimuths are equal and the tilt is within a degree of upright.
    """
    turn = (azimuth_deg - side_azimuth_deg + 180.0) % 360.0 - 180.0
    return abs(tilt_deg - 90.0) <= 1.0 and abs(turn) < 1e-6


def check_awnings(data: Mapping[str, Any], problems: Problems) -> None:
    """Require the extent of every wall and window on an awning's side; note awnings over none."""
    shell = data.get("shell") or {}
    for number, awning in enumerate(data.get("awnings", ())):
        side = (awning or {}).get("side_azimuth_from_front_deg")
        if side is None:
            continue
        under = 0
        for part in ("panels", "windows"):
            for index, item in enumerate(shell.get(part, ())):
                angles = _angles(item)
                if angles is None or not looks_along(*angles, side):
                    continue
                under += 1
                if "extent" not in item:
                    problems.add(
                        ("shell", part, index, "extent"),
                        f"required: awning {number} hangs on this side",
                    )
        boxed = "box" in shell and any(looks_along(90.0, a, side) for a in SIDES.values())
        if not under and not boxed and shell:
            problems.add(("awnings", number, "side"), "nothing upright looks to this side")


def check_extents(data: Mapping[str, Any], problems: Problems) -> None:
    """Note extents that are smaller than the area they should hold."""
    shell = data.get("shell") or {}
    for part in ("panels", "windows"):
        for index, item in enumerate(shell.get(part, ())):
            extent = (item or {}).get("extent") or {}
            area = (item or {}).get("area_m2", 0.0)
            if "width_m" not in extent or "height_m" not in extent:
                continue
            around = extent["width_m"] * extent["height_m"]
            if area > around * 1.0001:
                problems.add(
                    ("shell", part, index, "area_m2"),
                    "is more than the extent holds",
                    f"value <= {around:.10g} m2",
                )


def _angles(item: Mapping[str, Any] | None) -> tuple[float, float] | None:
    """Return tilt and azimuth of a panel or window, ``None`` where one of them is faulty."""
    if not item or "tilt_deg" not in item or "azimuth_from_front_deg" not in item:
        return None
    return item["tilt_deg"], item["azimuth_from_front_deg"]


def _inside_volume(box: Mapping[str, Any] | None) -> float | None:
    """Return the inside of a box, ``None`` where one of its lengths is faulty."""
    if not box or any(name not in box for name in ("length_m", "width_m", "height_m")):
        return None
    return float(box["length_m"] * box["width_m"] * box["height_m"])


def _box_faces(box: Mapping[str, Any]) -> dict[str, tuple[float, float]]:
    """Return width and height of the six faces of a box."""
    length, width, height = box["length_m"], box["width_m"], box["height_m"]
    return {
        "front": (width, height),
        "right": (length, height),
        "rear": (width, height),
        "left": (length, height),
        "roof": (width, length),
        "floor": (width, length),
    }


def _window_areas(data: Mapping[str, Any]) -> Iterator[tuple[int, str | None, float]]:
    """Yield index, face (``None`` for none of the box's) and area of every window."""
    for index, window in enumerate(data.get("windows", ())):
        angles = _angles(window)
        if angles is None or "area_m2" not in window:
            continue
        tilt, azimuth = angles
        on = [
            face
            for face, (face_tilt, face_azimuth) in FACES.items()
            if tilt == face_tilt and (tilt != 90.0 or azimuth % 360.0 == face_azimuth)
        ]
        yield index, on[0] if on else None, window["area_m2"]


def _check_windows_fit(data: dict[str, Any], problems: Problems) -> None:
    """Note windows that lie on no face of the box, or leave a face no panel."""
    left = {face: w * h for face, (w, h) in _box_faces(data["box"]).items()}
    for index, face, area in _window_areas(data):
        if face is None:
            problems.add(
                ("windows", index, "face"), "a window of a box must lie on one of its six faces"
            )
            continue
        left[face] -= area
        if left[face] <= 0.0:
            problems.add(
                ("windows", index, "area_m2"), f"the windows leave no panel on the {face} face"
            )


def _box_panels(data: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield the six panels of a box as a document would have them."""
    box = data["box"]
    glass = dict.fromkeys(FACES, 0.0)
    for _, face, area in _window_areas(data):
        if face is not None:
            glass[face] += area
    for face, (width, height) in _box_faces(box).items():
        tilt, azimuth = FACES[face]
        upright = tilt == 90.0
        panel = {
            **box["walls" if upright else face],
            "name": face,
            "tilt_deg": tilt,
            "azimuth_from_front_deg": azimuth,
            "area_m2": width * height - glass[face],
            "exposed_to": Exposure.UNDERSIDE if face == "floor" else Exposure.OUTDOORS,
        }
        if upright:
            panel["extent"] = {
                "width_m": width,
                "height_m": height,
                "bottom_m": 0.0,
                "offset_m": 0.0,
            }
        yield panel
