"""Requests to begin with: they stand in the API description, and the tests post each of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final


@dataclass(frozen=True)
class Example:
    """A request and what it shows.

    Parameters
    ----------
    summary : str
        In a few words.
    document : dict
        The body.
    """

    summary: str
    document: dict[str, Any]


_TYPICAL_DAY: Final[dict[str, Any]] = {
    "rig": "flatbed_cabin",
    "place": {
        "latitude": -34.12,
        "longitude": -120.66,
        "elevation_m": 95,
        "heading_deg": 90,
        "shade": [
            {
                "from": "15:00",
                "to": "20:00",
                "beam_blocked": 0.8,
                "diffuse_blocked": 0.3,
                "applies_to": ["cabin"],
            }
        ],
    },
    "weather": {"typical_year": {"from": "01-15", "days": 1, "station": "basin_desert_kelpanoor"}},
    "operation": {
        "set_point_c": 24,
        "cooling_window": {"from": "09:00", "to": "20:00"},
        "spans": [{"from": "09:00", "to": "20:00", "covers": "all", "occupants": 1}],
    },
    "start": {"cabin_temperature_c": "settled", "state_of_charge": 0.9},
    "comfort": {"measure": "operative", "limit": 27},
}

_HOT_DAY: Final[dict[str, Any]] = {
    "rig": "lined_panel_van",
    "place": {"latitude": -33.9, "longitude": -119.9, "elevation_m": 1200},
    "weather": {
        "hot_day": {
            "date": "2026-01-20",
            "high_c": 38,
            "low_c": 22,
            "dew_point_c": 11,
            "cloud_spans": [{"from": "13:00", "to": "16:00", "cloud_fraction": 0.4}],
        }
    },
    "operation": {"set_point_c": 24, "cooling_window": {"from": "10:00", "to": "19:00"}},
    "start": {"cabin_temperature_c": "outdoor", "state_of_charge": 0.6},
    "comfort": {"measure": "air", "limit": 27},
}

_SANDWICH: Final = [
    {"material": "plywood", "thickness_m": 0.006},
    {"material": "xps", "thickness_m": 0.03},
    {"material": "plywood", "thickness_m": 0.006},
]

_OWN_HOURS: Final[dict[str, Any]] = {
    "rig": {
        "name": "A small insulated box",
        "shell": {
            "contents_heat_capacity_kj_k": 120,
            "leakage": {"air_changes_per_hour": 0.6},
            "box": {
                "length_m": 2.6,
                "width_m": 1.7,
                "height_m": 1.4,
                "walls": {"layers": _SANDWICH, "solar_absorptance": 0.3},
                "roof": {"layers": _SANDWICH, "solar_absorptance": 0.25},
                "floor": {"layers": _SANDWICH, "solar_absorptance": 0.8},
            },
        },
        "cooler": {
            "stages": [{"name": "only", "cooling_w": 900, "power_w": 320}],
            "airflow_m3_h": 300,
            "sensible_heat_ratio": 0.8,
            "fan_power_w": 30,
        },
        "battery": {"usable_energy_wh": 2400, "reserve_fraction": 0.1},
        "arrays": [
            {
                "name": "roof",
                "rated_power_w": 300,
                "mount": "roof_flush",
                "tilt_deg": 0,
                "azimuth_from_front_deg": 0,
            }
        ],
        "loads": [{"name": "refrigerator", "power_w": 40, "heat_to_cabin_fraction": 1}],
    },
    "place": {"latitude": -34.5, "longitude": -121, "elevation_m": 300},
    "weather": {
        "hourly": {
            "start": "2026-01-20T08:00:00-08:00",
            "columns": {
                "temp_air": [24, 26.5, 29, 31, 32.5, 33.5, 34, 34, 33, 31, 28.5, 26],
                "relative_humidity": [52, 46, 40, 36, 33, 31, 30, 30, 32, 37, 43, 49],
                "ghi": [520, 700, 850, 950, 1000, 990, 920, 790, 610, 390, 140, 3],
                "wind_speed": [1.5, 1.5, 2, 2, 2.5, 3, 3, 3.5, 3, 2.5, 2, 1.5],
            },
        }
    },
    "operation": {"set_point_c": 25},
    "start": {"cabin_temperature_c": 23, "state_of_charge": 0.5},
    "comfort": {"measure": "heat_index", "limit": 30},
}

_SHORT_RIG: Final[dict[str, Any]] = {
    "name": "Weekend box",
    "outer_size": {"length_m": 2.6, "width_m": 1.9, "height_m": 1.9},
    "walls": {"foam_mm": 50},
    "colour": "white",
    "windows": [{"face": "left", "width_m": 0.9, "height_m": 0.5}],
    "battery_kwh": 2.5,
    "roof_array_w": 400,
    "set_out_array_w": 200,
    "cooler": {"cooling_w": 1500, "power_w": 600},
}
_TEN_LINES: Final[dict[str, Any]] = {
    "rig": _SHORT_RIG,
    "place": {"latitude": -34.12, "longitude": -120.66, "elevation_m": 95},
    "weather": {"typical_year": {"from": "01-15", "station": "basin_desert_kelpanoor"}},
    "operation": {"set_point_c": 24, "cooling_window": {"from": "09:00", "to": "20:00"}},
    "start": {"cabin_temperature_c": "settled", "state_of_charge": 0.9},
    "comfort": {"measure": "operative", "limit": 27},
}

REQUESTS: Final = {
    "typical_day": Example("A day of a typical year, by the station's name", _TYPICAL_DAY),
    "hot_day": Example("A hot day as a person would describe it", _HOT_DAY),
    "own_hours": Example("Own columns of weather, and a rig of one's own", _OWN_HOURS),
    "short_rig": Example("A rig in ten lines", _TEN_LINES),
}
SHORT_RIGS: Final = {"short_rig": Example("A rig in ten lines", _SHORT_RIG)}
