"""Small valid documents for the tests to break."""

from copy import deepcopy
from typing import Any

RIG: dict[str, Any] = {
    "name": "test rig",
    "shell": {
        "volume_m3": 10,
        "contents_heat_capacity_kj_k": 200,
        "leakage": {"air_changes_per_hour": 0.5},
        "panels": [
            {
                "name": "left",
                "face": "left",
                "area_m2": 5,
                "layers": [{"material": "xps", "thickness_m": 0.04}],
            },
            {
                "name": "right",
                "face": "right",
                "area_m2": 5,
                "u_value_w_m2k": 1.2,
                "heat_capacity_kj_m2k": 10,
            },
            {
                "name": "roof",
                "tilt_deg": 0,
                "azimuth_from_front_deg": 0,
                "area_m2": 6,
                "layers": [
                    {"thermal_resistance_m2k_w": 1.5},
                    {
                        "thickness_m": 0.009,
                        "conductivity_w_mk": 0.13,
                        "density_kg_m3": 500,
                        "specific_heat_j_kgk": 1600,
                    },
                ],
            },
        ],
        "windows": [
            {
                "name": "pane",
                "face": "left",
                "area_m2": 0.5,
                "u_value_w_m2k": 2.7,
                "solar_heat_gain_coefficient": 0.65,
                "covers": [
                    {
                        "position": "inside",
                        "solar_transmittance": 0.1,
                        "solar_reflectance": 0.6,
                        "added_resistance_m2k_w": 0.2,
                    }
                ],
            }
        ],
        "vents": [{"name": "fan", "airflow_m3_h": 300, "fan_power_w": 20}],
    },
    "cooler": {
        "stages": [
            {"name": "low", "cooling_w": 1000, "power_w": 330},
            {"name": "high", "cooling_w": 2000, "power_w": 750},
        ],
        "airflow_m3_h": 380,
        "sensible_heat_ratio": 0.78,
        "fan_power_w": 35,
    },
    "battery": {"usable_energy_wh": 5000},
    "arrays": [
        {"name": "top", "rated_power_w": 500, "mount": "roof_flush", "controller": "mppt"},
        {
            "name": "out",
            "rated_power_w": 400,
            "mount": "open_stand",
            "folding": True,
            "aims": [{"from": "00:00", "tilt_deg": 30, "azimuth_deg": 180}],
        },
    ],
    "controllers": [{"name": "mppt", "max_power_w": 600}],
    "loads": [{"name": "lights", "power_w": 15, "hours": [{"from": "20:00", "to": "24:00"}]}],
}

PLACE: dict[str, Any] = {"latitude": 39.8, "longitude": -104.9, "elevation_m": 1650}
OPERATION: dict[str, Any] = {"set_point_c": 24}
COMFORT: dict[str, Any] = {"measure": "operative", "limit": 26}
START: dict[str, Any] = {"state_of_charge": 0.9}
WEATHER: dict[str, Any] = {"typical_year": {"from": "07-21"}}
PROJECTION: dict[str, Any] = {
    "rig": RIG,
    "place": PLACE,
    "weather": WEATHER,
    "operation": OPERATION,
    "start": START,
    "comfort": COMFORT,
}
_GONE = object()


def changed(document: dict[str, Any], *changes: tuple[str, Any]) -> dict[str, Any]:
    """Return a copy with values set, each at its JSON pointer."""
    result = deepcopy(document)
    for pointer, value in changes:
        *parents, last = pointer[1:].split("/")
        node: Any = result
        for part in parents:
            node = node[int(part)] if isinstance(node, list) else node[part]
        key = int(last) if isinstance(node, list) else last
        if value is _GONE:
            del node[key]
        else:
            node[key] = value
    return result


def without(document: dict[str, Any], *pointers: str) -> dict[str, Any]:
    """Return a copy without what stands at the pointers."""
    return changed(document, *((pointer, _GONE) for pointer in pointers))
