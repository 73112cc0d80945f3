"""What a result computed, in the words that stand under maps and figures."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import xarray as xr


def rig_title(result: xr.Dataset, rig: str) -> str:
    """Return the name a rig's document gives it, and the variant where it is one.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    rig : str
        On the ``rig`` axis.

    Returns
    -------
    str
    """
    documents = json.loads(str(result.attrs.get("rig_documents", "{}")))
    name = str(documents.get(rig, {}).get("name", rig))
    _, plus, variant = rig.partition("+")
    return f"{name}, {variant}" if plus else name


def rule(result: xr.Dataset, rig: str) -> str:
    """Return the rule by which a day is judged, in one or two sentences.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    rig : str
        On the ``rig`` axis.

    Returns
    -------
    str
    """
    scenarios: dict[str, Any] = json.loads(str(result.attrs.get("scenarios", "{}")))
    return rule_of(scenarios.get(rig, {}))


def rule_of(scenario: Mapping[str, Any]) -> str:
    """Return the rule of a scenario's document.

    Parameters
    ----------
    scenario : mapping
        With ``comfort`` and ``operation``.

    Returns
    -------
    str
    """
    comfort, operation = scenario.get("comfort", {}), scenario.get("operation", {})
    measure = str(comfort.get("measure", "comfort")).replace("_", " ")
    unit = "" if measure == "pmv" else " °C"
    window = operation.get("cooling_window", {})
    hours = f"{window['from']}-{window['to']}" if "from" in window else "all day"
    share = 100.0 * float(comfort.get("required_fraction", 0.95))
    words = {"operative": "operative temperature", "air": "cabin air"}.get(measure, measure)
    return (
        f"A day holds when the {words} stays at or below {comfort.get('limit', '?')}{unit} for"
        f" {share:.0f} % of the cooling window ({hours}, standard time; pull-down allowed) and the"
        " battery never reaches its reserve in it. Set point"
        f" {operation.get('set_point_c', '?')} °C; the charge is carried from day to day through"
        " one typical year."
    )


def weather_change(result: xr.Dataset) -> str:
    """Return what was done to the weather, empty where nothing was.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.

    Returns
    -------
    str
    """
    change = str(result.attrs.get("weather_change", "none"))
    return "" if change == "none" else f"Weather changed: {change}."
