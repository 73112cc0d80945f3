"""Envelope cases of ANSI/ASHRAE Standard 140-2020 as ordinary projection requests.

Every case is made of its differences from case 600; nothing here is known to the engine. Geometry
and constructions as the 2020 edition has them (raised floor, weather station 725650). Its glass has
a solar transmittance of 0.834, a reflectance of 0.075, 3.048 mm of 1.0 W/mK; the gap of two panes
0.192 m2K/W (seen in public transcriptions). Windows are rated with the films 8.29 and 21.0 W/m2K,
and their values are derived here pane by pane:

- 600: two panes pass 0.834^2 / (1 - 0.075^2) = 0.6995; U 2.73 W/m2K, solar heat gain 0.763;
- 670: one pane; U 1 / (0.1682 + 0.0030) = 5.84, solar heat gain 0.834 + 0.091 0.287 = 0.860;
- 660: outside a coated pane (0.452, 0.359 and behind 0.397; emittance 0.047 to the gap; 3.18 mm),
  12 mm of argon, inside the pane of 600. They pass 0.452 0.834 / (1 - 0.397 0.075) = 0.3885. Gap
  0.0169 / 0.012 + 5.14 / (1/0.047 + 1/0.84 - 1) = 1.65 W/m2K at 10 degC (conductivity of argon
  from memory; still, for such a gap does not yet convect): U 1.28, solar heat gain 0.437.

The opaque window of the 200 series is the one of 600 with glass of 2470 kg/m3, 750 J/kgK. Cases
610, 630, 910 and 930 have an overhang 1 m deep at the roof, over the whole south wall or the width
of the window, the latter with fins of the same depth at its sides: awnings that let no light
through. Walls and roof of 680 and 980 have 0.25, 0.2452 and 0.4 m of the insulation of 600, 900.
Constructions and windows of these later cases: seen in the Modelica Buildings library,
ThermalZones.Detailed.Validation.BESTEST.

The cases in depth (215, 270 to 320, 395, 420 to 440, 800, 810) differ as their names in the tables
of results say (seen): opaque windows or glass, absorptances of 0.1, 0.6 and 0.9, infiltration,
gains, thermostat; what each has besides is from memory. Left out: 450 to 470, whose fixed surface
coefficients we have not seen, and 960, two rooms.

Surface convection is each program's own in the standard, so it is computed here too. Infiltration
is given in changes of local air (0.5 and 1.0), the night fan as 1703.16 m3/h of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

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
THICK_LIGHT_WALL = [layer(SIDING, 0.009), layer(FOAM, 0.25), layer(PLASTERBOARD, 0.012)]
THICK_HEAVY_WALL = [layer(SIDING, 0.009), layer(FOAM, 0.2452), layer(BLOCK, 0.100)]
THICK_ROOF = [layer(SIDING, 0.019), layer(QUILT, 0.4), layer(PLASTERBOARD, 0.010)]
OPAQUE_WINDOW = [layer(GLASS, 0.003048), resistance(0.192), layer(GLASS, 0.003048)]

WINDOW = {
    "u_value_w_m2k": 2.73,
    "solar_heat_gain_coefficient": 0.763,
    "solar_transmittance": 0.6995,
    "panes": 2,
    "thermal_emittance": 0.84,
}
COATED = {
    **WINDOW,
    "u_value_w_m2k": 1.28,
    "solar_heat_gain_coefficient": 0.437,
    "solar_transmittance": 0.3885,
}
SINGLE = {
    **WINDOW,
    "u_value_w_m2k": 5.84,
    "solar_heat_gain_coefficient": 0.860,
    "solar_transmittance": 0.834,
    "panes": 1,
}

BASE: Mapping[str, Any] = {
    "wall": LIGHT_WALL,
    "roof": ROOF,
    "floor": LIGHT_FLOOR,
    "window": WINDOW,
    "awnings": [],
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
HEAVY = {"wall": HEAVY_WALL, "floor": HEAVY_FLOOR}
THICK = {"wall": THICK_LIGHT_WALL, "roof": THICK_ROOF}
THICK_HEAVY = {**HEAVY, "wall": THICK_HEAVY_WALL, "roof": THICK_ROOF}
FREE = {"heat_c": None, "cool_c": None}
ALWAYS_20 = {"heat_c": 20.0, "cool_c": 20.0}
EAST_WEST = {"windows": {"right": 6.0, "left": 6.0}}
OVERHANG = {"depth_m": 1.0, "height_m": 2.7, "solar_transmittance": 0.0}
SOUTH_OVERHANG = {"awnings": [{"side": "rear", "length_m": 8.0, **OVERHANG}]}
FINS = {"left_curtain_drop_m": 2.7, "right_curtain_drop_m": 2.7}
EAST_WEST_SHADED = {
    **EAST_WEST,
    "awnings": [{"side": side, "length_m": 3.0, **OVERHANG, **FINS} for side in ("left", "right")],
}
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
LEAKY = {**BAND, "air_changes": 0.5}
GAINS = {**LEAKY, "gain_w": 200.0}
DARK = {**GAINS, "solar_absorptance": 0.6}
SUNLIT = {
    **BOTH_IR,
    "opaque_windows": {},
    "windows": {"rear": 12.0},
    "inside_solar_absorptance": 0.9,
}
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
    "215": {**BOTH_IR, "emittance": 0.1},
    "220": BOTH_IR,
    "230": {**BOTH_IR, "air_changes": 1.0},
    "240": {**BOTH_IR, "gain_w": 200.0},
    "250": {**BOTH_IR, "solar_absorptance": 0.9},
    "270": SUNLIT,
    "280": {**SUNLIT, "inside_solar_absorptance": 0.1},
    "290": {**SUNLIT, **SOUTH_OVERHANG},
    "300": {**SUNLIT, **EAST_WEST},
    "310": {**SUNLIT, **EAST_WEST_SHADED},
    "320": {**SUNLIT, "cool_c": 27.0},
    "395": {**BAND, "opaque_windows": {}},
    "400": BAND,
    "410": LEAKY,
    "420": GAINS,
    "430": DARK,
    "440": {"inside_solar_absorptance": 0.1},
    "600": {},
    "610": SOUTH_OVERHANG,
    "620": EAST_WEST,
    "630": EAST_WEST_SHADED,
    "640": SETBACK,
    "650": NIGHT,
    "660": {"window": COATED},
    "670": {"window": SINGLE},
    "680": THICK,
    "685": ALWAYS_20,
    "695": {**THICK, **ALWAYS_20},
    "800": {**DARK, **HEAVY},
    "810": {**HEAVY, "inside_solar_absorptance": 0.1},
    "900": HEAVY,
    "910": {**HEAVY, **SOUTH_OVERHANG},
    "920": {**HEAVY, **EAST_WEST},
    "930": {**HEAVY, **EAST_WEST_SHADED},
    "940": {**HEAVY, **SETBACK},
    "950": {**HEAVY, **NIGHT},
    "980": THICK_HEAVY,
    "985": {**HEAVY, **ALWAYS_20},
    "995": {**THICK_HEAVY, **ALWAYS_20},
    "600FF": FREE,
    "650FF": {**NIGHT, "cool_c": None},
    "680FF": {**THICK, **FREE},
    "900FF": {**HEAVY, **FREE},
    "950FF": {**HEAVY, **NIGHT, "cool_c": None},
    "980FF": {**THICK_HEAVY, **FREE},
}

FACES = {"front": 21.6, "right": 16.2, "rear": 21.6, "left": 16.2, "roof": 48.0, "floor": 48.0}
WIDTHS = {"front": 8.0, "right": 6.0, "rear": 8.0, "left": 6.0}


def extent(
    width_m: float | None, height_m: float, bottom_m: float, offset_m: float
) -> dict[str, Any]:
    """Return the field that says where an upright part lies; none for roof and floor."""
    if width_m is None:
        return {}
    return {
        "extent": {
            "width_m": width_m,
            "height_m": height_m,
            "bottom_m": bottom_m,
            "offset_m": offset_m,
        }
    }


def rig_document(case: Mapping[str, Any]) -> dict[str, Any]:
    c = {**BASE, **case}
    surfaces = {
        "solar_absorptance": c["solar_absorptance"],
        "thermal_emittance": c["emittance"],
        "inside_solar_absorptance": c["inside_solar_absorptance"],
        "inside_thermal_emittance": c["inside_emittance"],
    }
    panels = []
    for face, area in FACES.items():
        layers = c[face if face in ("roof", "floor") else "wall"]
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
                **extent(WIDTHS.get(face), 2.7, 0.0, 0.0),
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
    # Two windows of 3 m by 2 m south, one each east and west, their sills at 0.2 m.
    windows = [
        {
            "name": f"{face} window {number + 1}",
            "face": face,
            "area_m2": 6.0,
            **c["window"],
            **extent(3.0, 2.0, 0.2, offset),
        }
        for face, area in c["windows"].items()
        for number, offset in enumerate((-2.0, 2.0) if area == 12.0 else (0.0,))
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
        "awnings": c["awnings"],
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
            "ground": "air_temperature",  # the standard has no ground temperature but the air's
            "ground_albedo": 0.2,
            "terrain": "open",
        },
        "weather": {"typical_year": {"from": "01-01", "days": 365}},
        "operation": operation,
        "start": {
            "state_of_charge": 1.0,
            "cabin_temperature_c": "settled",
            "spin_up_days": settled,
        },
        "comfort": {"measure": "air", "limit": 27.0},
    }
