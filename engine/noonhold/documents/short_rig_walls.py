"""What the walls of a short form come to: layers, thickness, the size inside."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from noonhold.documents import short_rig_rules as usual


def construction_of(build_up: Mapping[str, float]) -> dict[str, Any]:
    """Return the members of a panel that its build-up gives: layers, or a U-value."""
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


def thickness_m_of(build_up: Mapping[str, float] | None) -> float:
    """Return the thickness of a build-up, in metres; zero where it is faulty."""
    if not build_up or len(build_up) != 1:
        return 0.0
    layers = construction_of(build_up).get("layers", [{"thickness_m": 0.05}])
    return float(sum(layer["thickness_m"] for layer in layers))


def inner_size(given: Mapping[str, Any]) -> dict[str, float]:
    """Return length, width and height within the walls of a short form, in metres."""
    size, walls = given["outer_size"], given.get("walls")
    wall = thickness_m_of(walls)
    lid = thickness_m_of(given.get("roof", walls)) + thickness_m_of(given.get("floor", walls))
    return {
        "length_m": size["length_m"] - 2.0 * wall,
        "width_m": size["width_m"] - 2.0 * wall,
        "height_m": size["height_m"] - lid,
    }


def volume_m3_of(inner: Mapping[str, float]) -> float:
    """Return the volume of an inner size, in m3."""
    return inner["length_m"] * inner["width_m"] * inner["height_m"]


def face_areas(inner: Mapping[str, float]) -> dict[str, float]:
    """Return the inside area of every face by its name, in m2."""
    length, width, height = inner["length_m"], inner["width_m"], inner["height_m"]
    return {
        "front": width * height,
        "rear": width * height,
        "left": length * height,
        "right": length * height,
        "roof": length * width,
        "floor": length * width,
    }
