"""The words of a verdict and their codes: what a day does, and what made it fail."""

from __future__ import annotations

from enum import IntEnum


class Verdict(IntEnum):
    """What a day does, the better the higher; in documents its name in small letters."""

    FAILS = 0
    NARROWLY = 1  # it holds, and its adverse twin does not
    HOLDS = 2

    @property
    def word(self) -> str:
        """Return the word that stands for it in every document."""
        return self.name.lower()


class Cause(IntEnum):
    """What made a day fail, by what came first in time; in documents its name in small letters."""

    NONE = 0
    CAPACITY = 1  # the highest stage full out and still above the set point, or no cooler
    ENERGY_BALANCE = 2  # at the reserve, or loads unserved: the day takes more than it gives
    ENERGY_STORAGE = 3  # the same, though the day gives what it takes: too small a battery
    MEASURE = 4  # capacity to spare, yet walls or humidity keep the measure above the limit
    SCHEDULE = 5  # cooling not allowed, a stage not allowed, or begun too late to pull down

    @property
    def word(self) -> str:
        """Return the word that stands for it in every document."""
        return self.name.lower()

    @property
    def of_energy(self) -> bool:
        """Tell whether energy was lacking."""
        return self in (Cause.ENERGY_BALANCE, Cause.ENERGY_STORAGE)
