"""Envelope cases of ANSI/ASHRAE Standard 140-2020: our figures for them."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from noonhold.documents import load_projection
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import SimulationCase, prepare
from noonhold.weather.catalogue import Catalogue, scan
from noonhold.weather.selection import select_weather
from noonhold.weather.weather_files import read_weather
from tests.published.standard_140_documents import request_document
from tests.published.standard_140_ranges import FREE_FLOAT, LOADS

FloatArray = npt.NDArray[np.float64]
WEATHER = Path(__file__).resolve().parents[1] / "data" / "weather"


@cache
def stations() -> Catalogue:
    return scan(WEATHER)


read_once = cache(read_weather)


def prepared(name: str, step_s: int = 300, spin_up_days: int = 30) -> SimulationCase:
    """Return a case ready to run, by way of its document."""
    request = load_projection(request_document(name, spin_up_days)).value
    selected = select_weather(
        request.weather, request.scenario.place, spin_up_days, stations(), read_once
    )
    return prepare(request.rig, request.scenario, selected.table, selected.spin_up, step_s)[0]


@cache
def year(name: str, step_s: int = 300) -> FloatArray:
    """Return a case's year hour by hour, shape (8760, channels)."""
    return run_cases([prepared(name, step_s)])[0]


def figures(name: str, step_s: int = 300) -> dict[str, float]:
    """Return a case's figures by the names of LOADS or FREE_FLOAT; peaks are hourly means."""
    record = year(name, step_s)
    if name.endswith("FF"):
        air = record[:, ch.CABIN]
        return dict(zip(FREE_FLOAT, map(float, (air.max(), air.min(), air.mean())), strict=True))
    heat, cold = record[:, ch.HEATING], record[:, ch.SENSIBLE]
    values = (heat.sum() / 1e6, cold.sum() / 1e6, heat.max() / 1e3, cold.max() / 1e3)
    return dict(zip(LOADS, map(float, values), strict=True))


def difference(case: str, less: str, quantity: str) -> float:
    """Return what a case has more of a quantity than another."""
    return figures(case)[quantity] - figures(less)[quantity]


def hours_of_extremes(name: str) -> dict[str, str]:
    """Return when a case's peaks and extremes are: day and the hour that ends then, local time."""
    record = year(name)
    air = record[:, ch.CABIN]
    if name.endswith("FF"):
        at = {"maximum degC": air.argmax(), "minimum degC": air.argmin()}
    else:
        heat, cold = record[:, ch.HEATING], record[:, ch.SENSIBLE]
        at = {"peak heating kW": heat.argmax(), "peak cooling kW": cold.argmax()}
        if heat.max() == 0.0:
            del at["peak heating kW"]
    months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
    found = {}
    for quantity, hour in at.items():
        day = date(2025, 1, 1) + timedelta(days=int(hour) // 24)
        found[quantity] = f"{day.day} {months[day.month - 1]}, hour {int(hour) % 24 + 1}"
    return found


@cache
def sun_figures() -> dict[str, float]:
    """Return our figures by the names of SUN."""
    simulation_case = prepared("620")
    forcing, first = simulation_case.forcing, simulation_case.spin_up
    plane = (forcing.beam + forcing.sky_diffuse + forcing.ground)[first:].sum(axis=0) / 1e3
    found = {
        f"incident {side}": float(plane[forcing.orientation[index]])
        for index, side in enumerate(("north", "east", "south", "west", "horizontal"))
    }
    for side, window, case in (
        ("south", 0, "600"), ("west", 1, "620"), ("south", 0, "660"), ("south", 0, "670"),
        ("south", 0, "610"), ("west", 1, "630"),
    ):  # fmt: skip
        found[f"transmitted {side} ({case})"] = _transmitted(prepared(case), window)
    found["sky temperature"] = float(forcing.sky[first:].mean())
    return found


def _transmitted(simulation_case: SimulationCase, window: int) -> float:
    """Return what a square metre of a window passes in the year, kWh."""
    forcing, first = simulation_case.forcing, simulation_case.spin_up
    p = len(simulation_case.network.area) - len(simulation_case.network.window_area) + window
    o = forcing.orientation[p]
    beam = forcing.window_beam[first:, window, 0]
    sky = forcing.sky_diffuse[first:, o]
    if forcing.awning_sunlit.shape[0]:
        beam = beam * forcing.awning_sunlit[first:, p]
        sky = sky * forcing.awning_sky[p]
    diffuse = (sky + forcing.ground[first:, o]).sum()
    diffuse *= forcing.window_hemispherical[window, 0]
    return float(
        simulation_case.network.window_transmittance[window] * (beam.sum() + diffuse) / 1e3
    )
