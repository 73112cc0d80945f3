"""Cabins of a few plain panels behind hourly outdoor air, as documents."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from noonhold.documents import load_projection
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import prepare
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.selection import select_weather

FloatArray = npt.NDArray[np.float64]
SIGMA = 5.670374419e-8


def layer(thickness: float, k: float, density: float, heat: float) -> dict[str, float]:
    return {
        "thickness_m": thickness, "conductivity_w_mk": k, "density_kg_m3": density,
        "specific_heat_j_kgk": heat,
    }  # fmt: skip


def document(
    outdoor_c: FloatArray,
    panels: list[dict[str, Any]],
    *,
    start_c: float,
    volume_m3: float = 1.0,
    ghi: float = 0.0,
    heat_c: float | None = None,
    heating_w: float = 1e6,
) -> dict[str, Any]:
    """A tight cabin without contents behind hourly outdoor air and a sky as warm as that."""
    columns = {
        "temp_air": outdoor_c.tolist(),
        "temp_dew": [-40.0] * len(outdoor_c),
        "ghi": [ghi] * len(outdoor_c),
        "dni": [0.0] * len(outdoor_c),
        "dhi": [ghi] * len(outdoor_c),
        "wind_speed": [0.0] * len(outdoor_c),
        "pressure": [101325.0] * len(outdoor_c),
        "horizontal_infrared": (SIGMA * (outdoor_c + 273.15) ** 4).tolist(),
    }
    request: dict[str, Any] = {
        "rig": {
            "name": "cube",
            "shell": {
                "volume_m3": volume_m3,
                "contents_heat_capacity_kj_k": 0.0,
                "contents_area_m2": 0.01,
                "leakage": {"air_changes_per_hour": 0.0},
                "panels": panels,
            },
            "battery": {"usable_energy_wh": 1e6, "in_cabin": False},
            "charging": {"shore_power_w": 1e5},
        },
        "place": {"latitude": 0.0, "longitude": 0.0, "elevation_m": 0.0, "ground_albedo": 0.0,
                  "ground": "air_temperature"},
        "weather": {"hourly": {"start": "2025-03-20T00:00:00+00:00", "columns": columns}},
        "operation": {
            "set_point_c": 60.0, "spans": [{"from": "00:00", "to": "24:00", "shore": True}]
        },
        "start": {"state_of_charge": 1.0, "cabin_temperature_c": start_c},
        "comfort": {"measure": "air", "limit": 30.0},
    }  # fmt: skip
    if heat_c is not None:
        request["rig"]["heater"] = {"heating_w": heating_w, "power_w": 0.0}
        request["operation"]["heating_set_point_c"] = heat_c
    return request


def run(request: dict[str, Any], step_s: int = 300) -> FloatArray:
    loaded = load_projection(request).value
    selected = select_weather(loaded.weather, loaded.scenario.place, 0, Catalogue((), ()))
    case, _ = prepare(loaded.rig, loaded.scenario, selected.table, step_s=step_s)
    return run_cases([case])[0]
