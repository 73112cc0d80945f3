"""One number of the documents or of a result: unit, meaning, bounds, and the name CF gives it."""

from __future__ import annotations

from dataclasses import dataclass

FAHRENHEIT = "it may be in degF: take 32 away and divide by 1.8"
PERCENT = "it may be in percent: divide by 100"
KILOWATT = "it may be in kW: multiply by 1000"
BTU = "it may be in BTU/h: divide by 3.412"
MILLIMETRE = "it may be in mm: divide by 1000"
SQUARE_FEET = "it may be in square feet: divide by 10.76"
PASCAL = "it may be in hPa (multiply by 100) or kPa (multiply by 1000)"
SWAPPED = "latitude and longitude may be swapped"
FEET = "it may be in feet: divide by 3.281"


@dataclass(frozen=True)
class Quantity:
    """One number of the documents or of a result.

    Parameters
    ----------
    name : str
        The field's or variable's name.
    unit : str
        Unit as UDUNITS writes it, ``1`` for a ratio.
    description : str
        What it is, in one sentence.
    lower, upper : float
        Inclusive bounds.
    standard_name : str, optional
        CF standard name, where CF has one that says no more than we do.
    cell_method : str, optional
        ``mean`` or ``minimum`` over the interval, ``point`` at its end, for a result's variables.
    low_hint, high_hint : str, optional
        The likely unit mix-up behind a value below or above the bounds.
    """

    name: str
    unit: str
    description: str
    lower: float
    upper: float
    standard_name: str | None = None
    cell_method: str | None = None
    low_hint: str | None = None
    high_hint: str | None = None

    @property
    def bound(self) -> str:
        """Return the bounds in short, for example ``0 <= value <= 1``."""
        return bound_text(self.lower, self.upper, self.unit)


def bound_text(lower: float, upper: float, unit: str) -> str:
    """Return bounds as a fault states them.

    Parameters
    ----------
    lower, upper : float
        Inclusive bounds.
    unit : str
        Unit, left out where it is ``1``.

    Examples
    --------
    >>> bound_text(0.0, 60.0, "degC")
    '0 <= value <= 60 degC'
    """
    return f"{lower:.10g} <= value <= {upper:.10g}" + ("" if unit == "1" else f" {unit}")
