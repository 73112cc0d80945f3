"""The rule by which the days of a year are judged, in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def rule_of(scenario: Mapping[str, Any]) -> str:
    """Return the rule of a scenario's document.

    Parameters
    ----------
    scenario : mapping
        With ``comfort`` and ``operation``.
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
        f" {share:.0f} % of the cooling window ({hours}, standard time; pull-down allowed), the"
        " battery stays above its reserve all day, and every load is served; narrowly when the"
        f" same day, somewhat worse, fails. Set point {operation.get('set_point_c', '?')} °C."
    )
