"""How long a rig is asked to hold at a place, in words: the first day, some days, living there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

LONGEST_STAY_D: Final = 14

_NUMBERS: Final = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve", "thirteen", "fourteen",
)  # fmt: skip


@dataclass(frozen=True)
class Horizon:
    """What is asked of every date of a year.

    Parameters
    ----------
    days : int or None
        Days in a row, the date of arrival being the first, from 1 to :data:`LONGEST_STAY_D`;
        ``None`` for living there, the charge carried from day to day.
    """

    days: int | None

    @property
    def living_there(self) -> bool:
        """Return whether the charge is carried from day to day."""
        return self.days is None

    @property
    def word(self) -> str:
        """Return the name that stands in tables, maps and files.

        Examples
        --------
        >>> [Horizon(days).word for days in (1, 3, None)]
        ['first day', '3 days', 'living there']
        """
        if self.days is None:
            return "living there"
        return "first day" if self.days == 1 else f"{self.days} days"

    def question(self, asks: str, charge: float = 1.0) -> str:
        """Return the question that a table or a picture answers.

        Parameters
        ----------
        asks : str
            ``when`` or ``where``.
        charge : float, optional
            State of charge on arrival.

        Examples
        --------
        >>> Horizon(3).question("where")
        'Where do three days in a row hold, arriving with a full battery?'
        """
        if self.days is None:
            return f"{asks.capitalize()} does the rig hold, living there?"
        one = "does the first day hold"
        held = one if self.days == 1 else f"do {_NUMBERS[self.days]} days in a row hold"
        return f"{asks.capitalize()} {held}, arriving with {battery_on_arrival(charge)}?"

    def rule(self, charge: float = 1.0) -> str:
        """Return in a sentence what is asked of a date.

        Parameters
        ----------
        charge : float, optional
            State of charge on arrival.
        """
        if self.days is None:
            return (
                "Living there: one run through the typical year, the charge carried from day to"
                " day."
            )
        arriving = f"the rig arrives at midnight with {battery_on_arrival(charge)}"
        if self.days == 1:
            return f"First day: on every date {arriving}, and that day must hold."
        return (
            f"{self.days} days: on every date {arriving}, and {self.days} days in a row must hold."
        )


def battery_on_arrival(charge: float) -> str:
    """Return in words with what battery a rig arrives.

    Examples
    --------
    >>> battery_on_arrival(1.0), battery_on_arrival(0.8)
    ('a full battery', 'a battery at 80 %')
    """
    return "a full battery" if charge == 1.0 else f"a battery at {100.0 * charge:.0f} %"


FIRST_DAY: Final = Horizon(1)
LIVING_THERE: Final = Horizon(None)
