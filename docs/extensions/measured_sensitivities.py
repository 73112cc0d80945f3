"""What single choices of the model move on one hot day, computed when the manual is built."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import noonhold as nh

ROOT: Final = Path(__file__).resolve().parents[2]
Document = dict[str, Any]
OPERATION: Final = {"set_point_c": 24, "cooling_window": {"from": "09:00", "to": "20:00"}}


def _panels(field: str, value: object) -> Callable[[Document], None]:
    def change(rig: Document) -> None:
        for panel in rig["shell"]["panels"]:
            panel[field] = value

    return change


def _times(path: tuple[str, ...], factor: float) -> Callable[[Document], None]:
    def change(rig: Document) -> None:
        part = rig
        for name in path[:-1]:
            part = part[name]
        part[path[-1]] *= factor

    return change


# What is changed, in the rig or the place, and what it stands for.
CHANGES: Final[tuple[tuple[str, Callable[[Document], None] | Document], ...]] = (
    ("ground as warm as the air (the old convention)", {"ground": "air_temperature"}),
    ("ground of asphalt", {"ground": "asphalt"}),
    ("ground of watered grass", {"ground": "grass"}),
    ("suburban terrain: less wind", {"terrain": "suburban"}),
    ("skin rough to the wind", _panels("surface_roughness", "rough")),
    ("long-wave emittance of the skin 0.8", _panels("thermal_emittance", 0.8)),
    ("solar absorptance of the skin + 0.1", _panels("solar_absorptance", 0.45)),
    ("heat capacity of the contents halved", _times(("shell", "contents_heat_capacity_kj_k"), 0.5)),
    (
        "heat capacity of the contents doubled",
        _times(("shell", "contents_heat_capacity_kj_k"), 2.0),
    ),
    ("twice the air changes", _times(("shell", "leakage", "air_changes_per_hour"), 2.0)),
    ("condenser air 3 K warmer", lambda rig: _add_rise(rig, 3.0)),
    ("no loss by cycling", lambda rig: rig["cooler"].__setitem__("degradation_coefficient", 0.0)),
)


def _add_rise(rig: Document, kelvin: float) -> None:
    rig["cooler"]["condenser_air_rise_k"] = rig["cooler"].get("condenser_air_rise_k", 0.0) + kelvin


def figures(rig: Document, place: Document, **start: Any) -> tuple[float, float, float]:
    """Return the uncooled peak [degC], the cooler's energy [Wh] and the peak felt [degC]."""
    report = nh.project(
        rig, "basin_desert_kelpanoor", place=place, date="01-15", operation=OPERATION,
        start={"cabin_temperature_c": "settled", "state_of_charge": 1.0, **start},
    )  # fmt: skip
    day = report.days.iloc[0]
    return float(day["uncooled_peak_comfort"]), float(day["cooler_wh"]), float(day["peak_comfort"])


def rows() -> list[tuple[str, float, float, float]]:
    """Return every change with what it moves: [K], [%], [K]."""
    rig = json.loads((ROOT / "sample_rigs/flatbed_cabin.json").read_text(encoding="utf-8"))
    place = {"latitude": -34.12, "longitude": -120.66, "elevation_m": 95.0}
    base = figures(rig, place)
    found = []
    for name, change in CHANGES:
        other, there = copy.deepcopy(rig), dict(place)
        if callable(change):
            change(other)
        else:
            there |= change
        ours = figures(other, there)
        found.append((name, *_apart(ours, base)))
    longer = figures(rig, place, spin_up_days=10)
    found.append(("ten days of spin-up instead of three", *_apart(longer, base)))
    return found


def _apart(
    ours: tuple[float, float, float], base: tuple[float, float, float]
) -> tuple[float, float, float]:
    return ours[0] - base[0], 100.0 * (ours[1] / base[1] - 1.0), ours[2] - base[2]


def write_table(path: Path) -> None:
    """Write the table."""
    lines = [
        "| change | uncooled peak, K | cooler's energy, % | warmest it feels, K |",
        "|---|---|---|---|",
    ]
    lines += [f"| {name} | {a:+.1f} | {b:+.1f} | {c:+.1f} |" for name, a, b, c in rows()]
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def setup(app: Any) -> dict[str, bool]:
    """Register with Sphinx."""
    app.connect("builder-inited", lambda _: write_table(ROOT / "docs/generated/sensitivities.md"))
    return {"parallel_read_safe": True}
