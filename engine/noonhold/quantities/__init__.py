"""The one table of numbers: name, unit, meaning, bounds, and the names CF gives them.

Schemas, faults, the service's ``GET /v1/quantities`` and the attributes of a result all read it,
so a number has one unit and one pair of bounds wherever it appears. The bounds are wide: they
keep out slips of the unit and the sign, not unusual rigs.
"""

from __future__ import annotations

from dataclasses import asdict
from types import MappingProxyType

from noonhold.quantities.day_quantities import (
    COMFORT_DIFFERENCES,
    DAY_FIGURES,
    DAY_TOTALS,
    IN_COMFORT_UNIT,
)
from noonhold.quantities.horizon_words import (
    FIRST_DAY,
    LIVING_THERE,
    LONGEST_STAY_D,
    Horizon,
    battery_on_arrival,
)
from noonhold.quantities.input_quantities import INPUTS
from noonhold.quantities.output_quantities import OUTPUTS
from noonhold.quantities.quantity_type import SQUARE_FEET, Quantity, bound_text
from noonhold.quantities.verdict_words import Cause, Verdict

__all__ = [
    "COMFORT_DIFFERENCES",
    "DAY_FIGURES",
    "DAY_TOTALS",
    "FIRST_DAY",
    "INPUTS",
    "IN_COMFORT_UNIT",
    "LIVING_THERE",
    "LONGEST_STAY_D",
    "OUTPUTS",
    "QUANTITIES",
    "SQUARE_FEET",
    "Cause",
    "Horizon",
    "Quantity",
    "Verdict",
    "battery_on_arrival",
    "bound_text",
    "describe",
    "quantity",
]

# Outputs that a document gives, too: the start's temperature and charge, the shore's power.
_ALSO_GIVEN = frozenset({"cabin_temperature_c", "state_of_charge", "shore_power_w"})

QUANTITIES = MappingProxyType({**INPUTS, **OUTPUTS, **DAY_FIGURES})


def quantity(name: str) -> Quantity:
    """Return the quantity of a name.

    Parameters
    ----------
    name : str
        Name of a document's number field or of a result's variable.

    Raises
    ------
    KeyError
        If the table has no such name.
    """
    return QUANTITIES[name]


def describe() -> list[dict[str, object]]:
    """Return the whole table as plain dicts, sorted by name, each with its ``kind``.

    Returns
    -------
    list of dict
        ``kind`` is ``input``, ``output``, ``both`` where a document gives and a result has it, or
        ``day`` for a figure of a day's verdict.
    """
    return [
        {
            **asdict(q),
            "kind": _kind(name),
        }
        for name, q in sorted(QUANTITIES.items())
    ]


def _kind(name: str) -> str:
    """Return where a quantity stands."""
    if name in DAY_FIGURES:
        return "day"
    if name in _ALSO_GIVEN:
        return "both"
    return "output" if name in OUTPUTS else "input"
