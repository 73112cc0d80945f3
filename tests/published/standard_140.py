"""Envelope cases of ANSI/ASHRAE Standard 140-2020: their documents, published results, and ours.

Every case is an ordinary projection request made of its differences from case 600; nothing here is
known to the engine. Geometry and constructions as the 2020 edition has them (raised floor, weather
station 725650). Its window: panes of solar transmittance 0.834 and reflectance 0.075, 3.048 mm of
1.0 W/mK, and 0.192 m2K/W of gap (seen in public transcriptions); two of them pass
0.834^2 / (1 - 0.075^2) = 0.6995, and with films 8.29 and 21.0 W/m2K, by which our documents rate
windows, U is 2.73 W/m2K and the solar heat gain 0.763 (derived here pane by pane). The opaque
window of the 200 series is the same with glass of 2470 kg/m3, 750 J/kgK.

Surface convection is each program's own in the standard, so it is computed here too. Infiltration
is given in changes of local air (0.5 and 1.0), the night fan as 1703.16 m3/h of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from engine import channels as ch
from engine.documents import load_projection
from engine.projection import Member, prepare, run_members
from engine.selection import select_weather
from engine.weather.catalogue import Catalogue, scan
from engine.weather.files import read_weather
from tests.published.standard_140_ranges import FREE_FLOAT, LOADS

FloatArray = npt.NDArray[np.float64]
WEATHER = Path(__file__).resolve().parents[1] / "data" / "weather"

PLASTERBOARD = (0.160, 950.0, 840.0)
QUILT = (0.040, 12.0, 840.0)
SIDING = (0.140, 530.0, 900.0)
TIMBER = (0.140, 650.0, 1200.0)
BLOCK = (0.510, 1400.0, 1000.0)
FOAM = (0.040, 10.0, 1400.0)
SLAB = (1.130, 1400.0, 1000.0)
GLASS = (1.0, 2470.0, 750.0)


def layer(values: tuple[float, float, float], thickness_m: float) -> dict[str, Any]:
    k, rho, cp = values
    return {
        "thickness_m": thickness_m,
        "conductivity_w_mk": k,
        "density_kg_m3": rho,
        "specific_heat_j_kgk": cp,
    }


def resistance(value: float) -> dict[str, Any]:
    return {"thermal_resistance_m2k_w": value}


# outside to inside, as documents have them; the standard lists them from inside
LIGHT_WALL = [layer(SIDING, 0.009), layer(QUILT, 0.066), layer(PLASTERBOARD, 0.012)]
LIGHT_FLOOR = [resistance(25.075), layer(TIMBER, 0.025)]
HEAVY_WALL = [layer(SIDING, 0.009), layer(FOAM, 0.0615), layer(BLOCK, 0.100)]
HEAVY_FLOOR = [resistance(25.175), layer(SLAB, 0.080)]
ROOF = [layer(SIDING, 0.019), layer(QUILT, 0.1118), layer(PLASTERBOARD, 0.010)]
OPAQUE_WINDOW = [layer(GLASS, 0.003048), resistance(0.192), layer(GLASS, 0.003048)]

WINDOW = {
    "u_value_w_m2k": 2.73,
    "solar_heat_gain_coefficient": 0.763,
    "solar_transmittance": 0.6995,
    "panes": 2,
    "thermal_emittance": 0.84,
}

BASE: Mapping[str, Any] = {
    "mass": "light",
    "windows": {"rear": 12.0},
    "opaque_windows": {},
    "air_changes": 0.5,
    "gain_w": 200.0,
    "heat_c": 20.0,
    "cool_c": 27.0,
    "solar_absorptance": 0.6,
    "emittance": 0.9,
    "inside_emittance": 0.9,
    "inside_solar_absorptance": 0.6,
    "spans": [],
    "vent_m3_h": 0.0,
}
FREE = {"heat_c": None, "cool_c": None}
EAST_WEST = {"windows": {"right": 6.0, "left": 6.0}}
SOLID = {
    "windows": {},
    "air_changes": 0.0,
    "gain_w": 0.0,
    "heat_c": 20.0,
    "cool_c": 20.0,
    "solar_absorptance": 0.1,
    "emittance": 0.1,
    "inside_emittance": 0.1,
}
OPAQUE = {**SOLID, "opaque_windows": {"rear": 12.0}}
OUT_IR = {**OPAQUE, "inside_emittance": 0.1, "emittance": 0.9}
BOTH_IR = {**OUT_IR, "inside_emittance": 0.9}
BAND = {**BOTH_IR, "cool_c": 27.0}
# from 07:00 to 08:00 the set point rises linearly; each step of 300 s ends at its own
RAMP = [
    {
        "from": f"07:{5 * k:02d}",
        "to": f"07:{5 * k + 5:02d}" if k < 11 else "08:00",
        "heating_set_point_c": 10.0 + (k + 1) * 10.0 / 12.0,
    }
    for k in range(12)
]
SETBACK = {"spans": [{"from": "23:00", "to": "07:00", "heating_set_point_c": 10.0}, *RAMP]}
NIGHT = {
    "heat_c": None,
    "vent_m3_h": 1703.16,
    "spans": [{"from": "18:00", "to": "07:00", "vents_open": True, "policy": "off"}],
}

CASES: dict[str, dict[str, Any]] = {
    "195": SOLID,
    "200": OPAQUE,
    "210": OUT_IR,
    "220": BOTH_IR,
    "230": {**BOTH_IR, "air_changes": 1.0},
    "240": {**BOTH_IR, "gain_w": 200.0},
    "250": {**BOTH_IR, "solar_absorptance": 0.9},
    "400": BAND,
    "410": {**BAND, "air_changes": 0.5},
    "600": {},
    "620": EAST_WEST,
    "640": SETBACK,
    "650": NIGHT,
    "900": {"mass": "heavy"},
    "920": {"mass": "heavy", **EAST_WEST},
    "600FF": FREE,
    "650FF": {**NIGHT, "cool_c": None},
    "900FF": {"mass": "heavy", **FREE},
}

FACES = {"front": 21.6, "right": 16.2, "rear": 21.6, "left": 16.2, "roof": 48.0, "floor": 48.0}


def rig_document(case: Mapping[str, Any]) -> dict[str, Any]:
    c = {**BASE, **case}
    heavy = c["mass"] == "heavy"
    surfaces = {
        "solar_absorptance": c["solar_absorptance"],
        "thermal_emittance": c["emittance"],
        "inside_solar_absorptance": c["inside_solar_absorptance"],
        "inside_thermal_emittance": c["inside_emittance"],
    }
    panels = []
    for face, area in FACES.items():
        layers = HEAVY_WALL if heavy else LIGHT_WALL
        if face == "roof":
            layers = ROOF
        if face == "floor":
            layers = HEAVY_FLOOR if heavy else LIGHT_FLOOR
        taken = c["windows"].get(face, 0.0) + c["opaque_windows"].get(face, 0.0)
        panels.append(
            {
                "name": face,
                "face": face,
                "area_m2": area - taken,
                "layers": layers,
                "exposed_to": "sheltered" if face == "floor" else "outdoors",
                "surface_roughness": "rough",
                **surfaces,
            }
        )
    for face, area in c["opaque_windows"].items():
        panels.append(
            {
                "name": f"opaque window {face}",
                "face": face,
                "area_m2": area,
                "layers": OPAQUE_WINDOW,
                "surface_roughness": "very_smooth",
                **surfaces,
            }
        )
    windows = [
        {"name": f"{face} window", "face": face, "area_m2": area, **WINDOW}
        for face, area in c["windows"].items()
    ]
    rig: dict[str, Any] = {
        "name": "Standard 140",
        "shell": {
            "volume_m3": 129.6,
            "contents_heat_capacity_kj_k": 0.0,
            "contents_area_m2": 0.01,
            "contents_solar_fraction": 0.0,
            "leakage": {"air_changes_per_hour": c["air_changes"]},
            "panels": panels,
            "windows": windows,
            "mid_height_m": 1.35,
        },
        "battery": {"usable_energy_wh": 1e6, "in_cabin": False},
        "charging": {"shore_power_w": 1e6},
        "loads": [],
    }
    if c["gain_w"]:
        rig["loads"] = [{"name": "gains", "power_w": c["gain_w"], "radiant_fraction": 0.6}]
    if c["vent_m3_h"]:
        rig["shell"]["vents"] = [
            {"name": "fan", "airflow_m3_h": c["vent_m3_h"], "fan_power_w": 0.0}
        ]
    if c["cool_c"] is not None:
        rig["cooler"] = {
            "stages": [{"name": "on", "cooling_w": 1e6, "power_w": 0.0}],
            "airflow_m3_h": 1000.0,
            "sensible_heat_ratio": 1.0,
            "fan_power_w": 0.0,
            "performance_map": [
                {"outdoor_c": 35.0, "wet_bulb_c": 19.0, "capacity_ratio": 1.0, "power_ratio": 1.0}
            ],
            "degradation_coefficient": 0.0,
        }
    if c["heat_c"] is not None:
        rig["heater"] = {"heating_w": 1e6, "power_w": 0.0}
    return rig


def request_document(name: str, settled: int = 30) -> dict[str, Any]:
    c = {**BASE, **CASES[name]}
    operation: dict[str, Any] = {
        "set_point_c": 27.0 if c["cool_c"] is None else c["cool_c"],
        "cooling_window": {"from": "00:00", "to": "24:00"},
        "spans": [{"from": "00:00", "to": "24:00", "shore": True}, *c["spans"]],
    }
    if c["heat_c"] is not None:
        operation["heating_set_point_c"] = c["heat_c"]
    return {
        "rig": rig_document(c),
        "place": {
            "latitude": 39.83,
            "longitude": -104.65,
            "elevation_m": 1650.0,
            "heading_deg": 0.0,
            "ground_albedo": 0.2,
            "terrain": "open",
        },
        "weather": {"typical_year": {"from": "01-01", "days": 365}},
        "operation": operation,
        "start": {
            "state_of_charge": 1.0,
            "cabin_temperature_c": "settled",
            "settled_days": settled,
        },
        "comfort": {"measure": "air", "limit": 27.0},
    }


@cache
def stations() -> Catalogue:
    return scan(WEATHER)


read_once = cache(read_weather)


def prepared(name: str, step_s: int = 300, settled_days: int = 30) -> Member:
    """Return a case ready to run, by way of its document."""
    request = load_projection(request_document(name, settled_days)).value
    selected = select_weather(
        request.weather, request.scenario.place, settled_days, stations(), read_once
    )
    return prepare(request.rig, request.scenario, selected.table, selected.warm_up, step_s)[0]


@cache
def year(name: str, step_s: int = 300) -> FloatArray:
    """Return a case's year hour by hour, shape (8760, channels)."""
    return run_members([prepared(name, step_s)])[0]


def figures(name: str, step_s: int = 300) -> dict[str, float]:
    """Return a case's figures by the names of LOADS or FREE_FLOAT; peaks are hourly means."""
    record = year(name, step_s)
    if name.endswith("FF"):
        air = record[:, ch.CABIN]
        return dict(zip(FREE_FLOAT, map(float, (air.max(), air.min(), air.mean())), strict=True))
    heat, cold = record[:, ch.HEATING], record[:, ch.SENSIBLE]
    values = (heat.sum() / 1e6, cold.sum() / 1e6, heat.max() / 1e3, cold.max() / 1e3)
    return dict(zip(LOADS, map(float, values), strict=True))


@cache
def sun_figures() -> dict[str, float]:
    """Return our figures by the names of SUN."""
    member = prepared("620")
    forcing, first = member.forcing, member.warm_up
    plane = (forcing.beam + forcing.sky_diffuse + forcing.ground)[first:].sum(axis=0) / 1e3
    found = {
        f"incident {side}": float(plane[forcing.orientation[index]])
        for index, side in enumerate(("north", "east", "south", "west", "horizontal"))
    }
    found["transmitted south (600)"] = _transmitted(prepared("600"), 0)
    found["transmitted west (620)"] = _transmitted(member, 1)
    found["sky temperature"] = float(forcing.sky[first:].mean())
    return found


def _transmitted(member: Member, window: int) -> float:
    """Return what a square metre of a window passes in the year, kWh."""
    forcing, first = member.forcing, member.warm_up
    o = forcing.orientation[len(member.network.area) - len(member.network.window_area) + window]
    diffuse = (forcing.sky_diffuse + forcing.ground)[first:, o].sum()
    diffuse *= forcing.window_hemispherical[window, 0]
    beam = forcing.window_beam[first:, window, 0].sum()
    return float(member.network.window_transmittance[window] * (beam + diffuse) / 1e3)
