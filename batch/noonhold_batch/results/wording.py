"""What a result computed, in the words that stand under maps and figures."""

from __future__ import annotations

import json
from typing import Any

import xarray as xr

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


def rule(result: xr.Dataset, rig: str) -> str:
    """Return the rule by which a day is judged, in one or two sentences.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    rig : str
        On the ``rig`` axis.
    """
    scenarios: dict[str, Any] = json.loads(str(result.attrs.get("scenarios", "{}")))
    return rule_of(scenarios.get(rig, {}))


def weather_change(result: xr.Dataset) -> str:
    """Return what was done to the weather, empty where nothing was.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    """
    change = str(result.attrs.get("weather_change", "none"))
    return "" if change == "none" else f"Weather changed: {change}."
