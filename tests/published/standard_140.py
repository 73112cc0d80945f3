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
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from engine import channels as ch
from engine.documents import load_projection
from engine.projection import Member, prepare, run_members
from engine.selection import select_weather
from engine.weather.catalogue import Catalogue, scan
from engine.weather.files import read_weather

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


class Range(NamedTuple):
    """Lowest, highest and mean of the six reference programs (Annex B8)."""

    low: float
    high: float
    mean: float


LOADS = ("heating MWh", "sensible cooling MWh", "peak heating kW", "peak cooling kW")
FREE_FLOAT = ("maximum degC", "minimum degC", "mean degC")

# Annex B8.1, in the order of LOADS, or of FREE_FLOAT for cases that end in FF.
PUBLISHED: dict[str, tuple[Range, ...]] = {
    "195": (
        Range(3.951, 4.217, 4.08),
        Range(0.592, 0.712, 0.627),
        Range(1.791, 1.802, 1.797),
        Range(0.944, 1.118, 1.011),
    ),
    "200": (
        Range(4.813, 5.226, 5.042),
        Range(0.788, 0.839, 0.813),
        Range(2.226, 2.353, 2.296),
        Range(1.198, 1.307, 1.248),
    ),
    "210": (
        Range(5.627, 6.531, 6.153),
        Range(0.459, 0.688, 0.537),
        Range(2.374, 2.75, 2.599),
        Range(0.877, 1.193, 0.987),
    ),
    "220": (
        Range(6.377, 7.178, 6.712),
        Range(0.498, 0.803, 0.608),
        Range(2.631, 2.879, 2.782),
        Range(0.968, 1.336, 1.108),
    ),
    "230": (
        Range(9.812, 10.417, 10.031),
        Range(0.897, 1.184, 0.991),
        Range(4.133, 4.316, 4.228),
        Range(1.694, 1.994, 1.782),
    ),
    "240": (
        Range(5.116, 5.944, 5.496),
        Range(0.834, 1.287, 0.98),
        Range(2.431, 2.693, 2.595),
        Range(1.15, 1.534, 1.292),
    ),
    "250": (
        Range(4.733, 5.373, 5.015),
        Range(2.904, 3.612, 3.344),
        Range(2.631, 2.874, 2.777),
        Range(2.688, 3.034, 2.84),
    ),
    "400": (
        Range(5.906, 7.047, 6.536),
        Range(0.013, 0.063, 0.028),
        Range(2.559, 2.879, 2.77),
        Range(0.372, 0.798, 0.531),
    ),
    "410": (
        Range(7.63, 8.661, 8.179),
        Range(0.035, 0.096, 0.055),
        Range(3.338, 3.597, 3.483),
        Range(0.604, 1.011, 0.746),
    ),
    "600": (
        Range(3.993, 4.504, 4.213),
        Range(5.432, 6.162, 5.856),
        Range(3.02, 3.359, 3.184),
        Range(5.422, 6.481, 6.024),
    ),
    "620": (
        Range(4.094, 4.719, 4.413),
        Range(3.841, 4.404, 4.09),
        Range(3.038, 3.385, 3.186),
        Range(3.955, 4.797, 4.527),
    ),
    "640": (
        Range(2.403, 2.682, 2.612),
        Range(5.237, 5.893, 5.636),
        Range(4.039, 4.658, 4.369),
        Range(5.365, 6.429, 5.973),
    ),
    "650": (
        Range(0.0, 0.0, 0.0),
        Range(4.186, 4.945, 4.644),
        Range(0.0, 0.0, 0.0),
        Range(5.045, 6.29, 5.813),
    ),
    "900": (
        Range(1.379, 1.814, 1.626),
        Range(2.267, 2.714, 2.467),
        Range(2.443, 2.778, 2.591),
        Range(2.556, 3.376, 2.975),
    ),
    "920": (
        Range(2.956, 3.607, 3.326),
        Range(2.549, 3.128, 2.786),
        Range(2.512, 2.895, 2.71),
        Range(2.71, 3.481, 3.127),
    ),
    "600FF": (Range(62.37, 68.36, 64.6), Range(-13.84, -9.9, -12.7), Range(24.26, 26.1, 25.23)),
    "650FF": (Range(61.13, 66.85, 63.07), Range(-17.76, -16.7, -17.32), Range(17.6, 18.93, 18.31)),
    "900FF": (Range(43.25, 46.0, 44.57), Range(0.6, 2.16, 1.26), Range(24.46, 25.69, 25.23)),
}
# Annex B8-13, B8-14 and B8-16: incident and transmitted sun, kWh/m2 a year; sky, mean degC.
SUN: dict[str, Range] = {
    "incident horizontal": Range(1662.5, 1670.0, 1666.4),
    "incident north": Range(399.0, 477.0, 440.0),
    "incident east": Range(1017.0, 1068.0, 1048.0),
    "incident south": Range(1291.0, 1387.0, 1352.0),
    "incident west": Range(903.0, 997.0, 951.0),
    "transmitted south (600)": Range(804.0, 826.0, 815.0),
    "transmitted west (620)": Range(569.0, 624.0, 593.0),
    "sky temperature": Range(-5.9, -2.0, -4.7),
}
# Case 600FF on 1 February by hour, mean of the six, degC.
FEBRUARY = np.array(
    [
        6.8,
        5.0,
        3.3,
        1.8,
        0.4,
        -0.7,
        -1.7,
        -1.6,
        2.1,
        8.9,
        17.3,
        26.4,
        35.1,
        42.1,
        46.3,
        47.7,
        45.7,
        40.2,
        33.8,
        28.1,
        23.1,
        18.5,
        14.5,
        11.1,
    ]
)


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
