"""What a result computed, in the words that stand under maps and figures."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

import numpy as np
import xarray as xr

from noonhold.quantities import Horizon, battery_on_arrival
from noonhold.studies.year.year_words import rule_of


def rig_title(result: xr.Dataset, rig: str) -> str:
    """Return the name a rig's document gives it, and the variant where it is one.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    rig : str
        On the ``rig`` axis.
    """
    documents = json.loads(str(result.attrs.get("rig_documents", "{}")))
    name = str(documents.get(rig, {}).get("name", rig))
    _, plus, variant = rig.partition("+")
    return f"{name}, {variant}" if plus else name


def charge_on_arrival(result: xr.Dataset, rig: str) -> float:
    """Return the state of charge with which a rig's stays begin.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    rig : str
        On the ``rig`` axis.
    """
    scenarios: dict[str, Any] = json.loads(str(result.attrs.get("scenarios", "{}")))
    stated = scenarios.get(rig, {}).get("start", {}).get("state_of_charge")
    return float(stated) if isinstance(stated, int | float) else 1.0


def question(result: xr.Dataset, rigs: Iterable[str], horizon: Horizon, asks: str) -> str:
    """Return the question that a table or a map of some rigs answers.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    rigs : iterable of str
        On the ``rig`` axis.
    horizon : Horizon
        What is asked of every date.
    asks : str
        ``when`` or ``where``.
    """
    charges = {charge_on_arrival(result, rig) for rig in rigs}
    if len(charges) == 1 or horizon.living_there:
        return horizon.question(asks, charges.pop())
    return horizon.question(asks).replace(battery_on_arrival(1.0), "the charge of each variant")


def table_title(result: xr.Dataset, by: str, horizon: Horizon) -> str:
    """Return the question above a table; of months, with the hemisphere that they are of.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    by : str
        ``site``, ``region``, ``month`` or ``rig``.
    horizon : Horizon
        What is asked of every date.
    """
    rigs = [str(name) for name in result["rig"].to_numpy()]
    asked = question(result, rigs, horizon, "when" if by == "month" else "where")
    title = f"{asked} ({horizon.word})" if horizon.word not in asked else asked
    if by != "month":
        return title
    latitude = np.asarray(result["latitude"], dtype=float)
    if (latitude < 0.0).any() and (latitude >= 0.0).any():
        return f"{title} Sites north and south of the equator apart, each with its summer amid."
    side = "south" if (latitude < 0.0).any() else "north"
    return f"{title} All sites lie {side} of the equator."


def rule(result: xr.Dataset, rig: str, horizon: Horizon) -> str:
    """Return the rule by which a day is judged, in one or two sentences.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    rig : str
        On the ``rig`` axis.
    horizon : Horizon
        What is asked of every date.
    """
    scenarios: dict[str, Any] = json.loads(str(result.attrs.get("scenarios", "{}")))
    return f"{rule_of(scenarios.get(rig, {}))} {horizon.rule(charge_on_arrival(result, rig))}"


def weather_change(result: xr.Dataset) -> str:
    """Return what was done to the weather, empty where nothing was.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    """
    change = str(result.attrs.get("weather_change", "none"))
    return "" if change == "none" else f"Weather changed: {change}."
