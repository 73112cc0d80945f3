"""Requests for studies to begin with, as `request_examples` has them for projections."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

from noonhold_service.description.request_examples import Example

_PLATEAU: Final[dict[str, Any]] = {
    "rig": "flatbed_cabin",
    "place": {"latitude": -33.35, "longitude": -119.22, "elevation_m": 1560, "heading_deg": 0},
    "weather": {"typical_year": {"from": "01-20", "station": "plateau_mesaquorn"}},
    "operation": {
        "set_point_c": 24,
        "policy": "low_then_high",
        "cooling_window": {"from": "08:00", "to": "20:00"},
        "fresh_air_m3_h_per_occupant": 25,
        "spans": [{"from": "08:00", "to": "20:00", "covers": "inside", "occupants": 1}],
    },
    "start": {"state_of_charge": 0.7, "cabin_temperature_c": "settled", "spin_up_days": 2},
    "comfort": {"measure": "operative", "limit": 27},
}

_STRETCH: Final[dict[str, Any]] = {
    "rig": "flatbed_cabin",
    "place": {"latitude": -33.6, "longitude": -121.4, "elevation_m": 2640},
    "weather": {
        "typical_year": {"station": "high_mountain_cragvennor", "from": "01-10", "days": 14}
    },
    "operation": {"set_point_c": 25, "cooling_window": {"from": "10:00", "to": "19:00"}},
    "start": {"state_of_charge": 1.0},
    "comfort": {"measure": "operative", "limit": 28},
}

_DESERT: Final[dict[str, Any]] = {
    **_STRETCH,
    "place": {"latitude": -35.26, "longitude": -120.51, "elevation_m": 415},
    "weather": {"typical_year": {"station": "basin_desert_alkumbra", "from": "01-10", "days": 14}},
}

_VAN: Final[dict[str, Any]] = {
    "rig": "lined_panel_van",
    "place": {"latitude": -33.48, "longitude": -120.42, "elevation_m": 210, "heading_deg": 0},
    "weather": {"hot_day": {"date": "2026-01-20", "high_c": 36, "low_c": 22, "dew_point_c": 15}},
    "operation": {
        "set_point_c": 24,
        "policy": "low_then_high",
        "cooling_window": {"from": "07:00", "to": "21:00"},
        "spans": [{"from": "00:00", "to": "24:00", "covers": "inside"}],
    },
    "start": {"state_of_charge": 1.0, "cabin_temperature_c": "settled", "spin_up_days": 2},
    "comfort": {"measure": "operative", "limit": 28},
}

_TO_CAMP: Final[dict[str, Any]] = {
    "from": "08:00", "to": "10:00", "driving_speed_km_h": 60, "policy": "off",
}  # fmt: skip
_INSIDE: Final[dict[str, Any]] = {
    "from": "08:00", "to": "20:00", "covers": "inside", "occupants": 1,
}  # fmt: skip


def _spans(*spans: dict[str, Any]) -> dict[str, Any]:
    return {"operation": {"spans": list(spans)}}


_COMPARISON: Final[dict[str, Any]] = {
    "base": {
        **_PLATEAU,
        "operation": {**_PLATEAU["operation"], "spans": [_INSIDE, _TO_CAMP]},
        "start": {"state_of_charge": 0.9, "cabin_temperature_c": 22},
    },
    "variants": [
        {
            "name": "all of it in the shade",
            "patch": {
                "place": {
                    "shade": [
                        {"from": "09:00", "to": "18:00", "beam_blocked": 0.9,
                         "diffuse_blocked": 0.5, "applies_to": ["cabin", "arrays"]}
                    ]
                }
            },
        },
        {
            "name": "cabin in the shade, arrays in the sun",
            "patch": {
                "place": {
                    "shade": [
                        {"from": "09:00", "to": "18:00", "beam_blocked": 0.9,
                         "diffuse_blocked": 0.5, "applies_to": ["cabin"]}
                    ]
                }
            },
        },
        {
            "name": "no folding panel",
            "patch": {
                "rig": {
                    "arrays": [
                        {"name": "roof", "rated_power_w": 500, "mount": "roof_raised",
                         "system_loss_fraction": 0.17, "controller": "roof controller",
                         "shades_panel": "roof", "area_m2": 2.4}
                    ]
                }
            },
        },
        {"name": "covers open", "patch": _spans({**_INSIDE, "covers": "open"}, _TO_CAMP)},
        {
            "name": "cooler on while driving to camp",
            "patch": _spans(
                _INSIDE, {"from": "08:00", "to": "10:00", "driving_speed_km_h": 60}
            ),
        },
        {
            "name": "pre-cooling",
            "patch": _spans(
                _INSIDE, _TO_CAMP, {"from": "10:00", "to": "13:00", "set_point_c": 20}
            ),
        },
        {"name": "start at 37 degrees", "patch": {"start": {"cabin_temperature_c": 37}}},
        {"name": "low stage only", "patch": {"operation": {"policy": "low_only"}}},
        {
            "name": "through an inverter",
            "patch": {
                "rig": {
                    "cooler": {
                        "supply": {"path": "inverter", "efficiency": 0.88, "idle_power_w": 20}
                    }
                }
            },
        },
        {
            "name": "at the humid coast",
            "patch": {
                "place": {"latitude": -33.1, "longitude": -123.95, "elevation_m": 6},
                "weather": {"typical_year": {"station": "coast_quellhaven"}},
            },
        },
        {"name": "heading turned", "patch": {"place": {"heading_deg": 90}}},
        {"name": "the same again", "patch": {"place": {"heading_deg": 0}}},
    ],
}  # fmt: skip

COMPARISONS: Final = {
    "comparison": Example("A day at camp, and everything that could be different", _COMPARISON)
}
WARM_UPS: Final = {
    "warm_up": Example(
        "The cooler of a van stops at two in the afternoon",
        {"projection": _VAN, "occupants": 2, "stop_at": "14:00", "horizon_h": 2},
    )
}
UNCERTAINTY: Final = {
    "uncertainty": Example(
        "What the verdict on a day is worth", {"projection": _PLATEAU, "seed": 1}
    )
}
SIZINGS: Final = {
    "sizing_battery": Example(
        "The smallest battery for nine days of ten that need cooling",
        {
            "projection": _STRETCH,
            "size": "battery",
            "required_feasible_fraction": 0.9,
            "battery_wh": {"least": 500, "most": 15000, "step": 250},
        },
    ),
    "sizing_frontier": Example(
        "The frontier of battery against array",
        {
            "projection": _DESERT,
            "size": "battery_and_array",
            "required_feasible_fraction": 0.9,
            "battery_wh": {"least": 1000, "most": 12000},
            "array_w": {"least": 300, "most": 2500},
        },
    ),
}
CALIBRATIONS: Final = {
    "calibration": Example(
        "A day and a half of log, every quarter of an hour",
        json.loads((Path(__file__).parent / "calibration_request.json").read_text("utf-8")),
    )
}
PLANS: Final = {
    "plan": Example(
        "A day in the desert, planned",
        {
            "projection": {
                **_DESERT,
                "weather": {
                    "typical_year": {"station": "basin_desert_alkumbra", "from": "01-20"}
                },
                "operation": {
                    "set_point_c": 25, "cooling_window": {"from": "11:00", "to": "18:00"},
                },
                "start": {"state_of_charge": 0.8},
                "comfort": {"measure": "operative", "limit": 27},
            },
            "lowest_set_point_c": 20,
            "highest_set_point_c": 28,
            "most_runs": 400,
        },
    )
}  # fmt: skip

YEARS: Final = {
    "year": Example(
        "A whole typical year of a rig at a place",
        {
            "rig": "flatbed_cabin",
            "place": {"latitude": -34.12, "longitude": -120.66, "elevation_m": 95},
            "station": "basin_desert_kelpanoor",
            "operation": {"set_point_c": 24, "cooling_window": {"from": "09:00", "to": "20:00"}},
            "start": {"cabin_temperature_c": "settled", "state_of_charge": 0.9},
            "comfort": {"measure": "operative", "limit": 27},
        },
    )
}

SURVEYS: Final = {
    "survey": Example(
        "January of a rig at three stations",
        {
            "rigs": ["flatbed_cabin"],
            "stations": ["basin_desert_kelpanoor", "coast_quellhaven", "high_mountain_cragvennor"],
            "month": 1,
            "operation": {"set_point_c": 24, "cooling_window": {"from": "09:00", "to": "20:00"}},
            "start": {"cabin_temperature_c": "settled", "state_of_charge": 0.9},
            "comfort": {"measure": "operative", "limit": 27},
        },
    )
}

# Every example of a study, with the address that it is posted to.
STUDY_REQUESTS: Final = {
    name: (address, example)
    for address, examples in (
        ("/v1/comparisons", COMPARISONS),
        ("/v1/warm-ups", WARM_UPS),
        ("/v1/uncertainties", UNCERTAINTY),
        ("/v1/sizings", SIZINGS),
        ("/v1/calibrations", CALIBRATIONS),
        ("/v1/plans", PLANS),
        ("/v1/years", YEARS),
    )
    for name, example in examples.items()
}

# Examples of fields that no request above has, and of whole schemas, as
# :mod:`noonhold_service.description.field_examples` has them.
STUDY_FIELDS: Final = {
    "ArrayRange.step": 100,
    "CoolerRange.least": 0.5,
    "CoolerRange.most": 2,
    "CoolerRange.step": 0.1,
    "Sizing.array": "roof",
    "MapBox.south": -36,
    "MapBox.north": -33,
    "MapBox.west": -123,
    "MapBox.east": -119,
    "Survey.rigs": ["flatbed_cabin"],
    "Survey.stations": ["coast_quellhaven"],
    "LogColumns.outdoor_temperature": [31.2, 31.4] * 6,
    "LogColumns.cabin_temperature": [26.1, 26.0] * 6,
    "LogColumns.state_of_charge": [0.91, 0.9] * 6,
    "LogColumns.array_power_w": [310, 325] * 6,
    "LogColumns.load_power_w": [45, 44] * 6,
    "LogColumns.cooler_power_w": [280, 281] * 6,
    "LogColumns.heater_power_w": [0, 400] * 6,
    "LogColumns.ghi": [690, 700] * 6,
    "LogColumns.dni": [810, 815] * 6,
    "LogColumns.dhi": [96, 97] * 6,
    "LogColumns.relative_humidity": [35, 34] * 6,
    "LogColumns.wind_speed": [2, 2.5] * 6,
    "Log.times": [f"2026-01-20T12:{5 * k:02d}:00-08:00" for k in range(12)],
    **{
        f"Widths.{name}": 0.2
        for name in (
            "shell_conductance", "solar_gain", "contents_capacity", "contents_coupling", "leakage",
            "cooler_capacity", "cooler_power", "array_power",
        )
    },
    "Fit.factors": ["shell_conductance", "array_power"],
    "Fit.accepted": ["clock_shift"],
    "Prediction.accepted": ["clock_shift"],
    "Log.csv": "time,cabin [°C],outside [°C],SOC [%]\n2026-01-20 12:00,26.1,31.2,91\n",
    "Log.timezone": "America/Phoenix",
    "Log.time_format": "%d/%m/%Y %H:%M",
    "Header.header": "Probe 1 [°C]",
    "FactorRange.low": 0.9,
    "FactorRange.high": 1.3,
    "OffsetRange.low": -1.5,
    "OffsetRange.high": 2,
    "WarmUp.stop_day": 1,
    "WarmUp.thresholds_c": [30, 35, 40],
    "Drive.duration_h": 2,
    "Drive.speed_km_h": 60,
    "UncertaintyAnswer.holding_days": [{"probability": 0.87, "standard_error": 0.02}],
    "Shares.lowest_charge": None,
    "StudyNumber.study": "warm_up",
    "StudyNumber.pointer": "/horizon_h",
    "StudyNumber.unit": "h",
    "StudyNumber.description": "How long the cabin is followed after the stop.",
    "StudyNumber.default": 6,
    "StudyNumber.reason": "the rest of a hot day's danger",
    "Shares.peak_temperature_c": None,
}  # fmt: skip
STUDY_WHOLES: Final = {
    "Variant": {"name": "heading turned", "patch": {"place": {"heading_deg": 90}}},
    "LogColumns": {
        name: STUDY_FIELDS[f"LogColumns.{name}"]
        for name in ("outdoor_temperature", "cabin_temperature")
    },
    "Event": {"at": "2026-01-20T12:00:00-08:00", "policy": "low_only"},
}
