"""What a map shows: stations for one rig, each with its part of dates that hold and a look."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum


class Look(StrEnum):
    """How a station is drawn: by its lowest verdict, and by what most often fails first there."""

    HOLDS = "holds on every date"
    NARROWLY = "holds on every date, on some narrowly"
    ENERGY = "fails on some dates, most often the energy first"
    CAPACITY = "fails on some dates, most often the cooler first"
    OPERATION = "fails on some dates, most often set point or schedule first"
    NO_NEED = "no date needs cooling"
    NO_VERDICT = "no verdict"


@dataclass(frozen=True)
class Station:
    """One station on a map.

    Parameters
    ----------
    longitude, latitude : float
        East and north positive. [degree]
    look : Look
        How it is drawn.
    share : float
        Of the dates needing cooling that hold, narrowly or not; NaN where there is none or no
        verdict.
    narrow_share : float
        Of the same dates that hold narrowly.
    """

    longitude: float
    latitude: float
    look: Look
    share: float
    narrow_share: float = 0.0

    @property
    def numbers(self) -> str:
        """Return the percent that hold, and in brackets the percent that do so narrowly.

        Examples
        --------
        >>> Station(0.0, 0.0, Look.ENERGY, 0.998, 0.25).numbers
        '99 (25)'
        """
        held = percent(self.share)
        return f"{held} ({percent(self.narrow_share)})" if self.narrow_share > 0.0 else held


def percent(share: float) -> str:
    """Return a share as a whole percent that is 0 or 100 only where it is none or all.

    Examples
    --------
    >>> [percent(share) for share in (0.0, 0.002, 0.5, 0.998, 1.0)]
    ['0', '1', '50', '99', '100']
    """
    if math.isclose(share, round(share)):
        return f"{100.0 * share:.0f}"
    return f"{min(max(100.0 * share, 1.0), 99.0):.0f}"


@dataclass(frozen=True)
class RigMap:
    """The stations of one rig.

    Parameters
    ----------
    asked : str
        The horizon of the question in a word or two.
    stations : tuple of Station
        Those whose place is known.
    """

    title: str
    asked: str
    stations: tuple[Station, ...]

    @property
    def summary(self) -> str:
        """Return in a sentence what the map comes to."""
        cooled = [each for each in self.stations if each.share == each.share]  # not NaN
        if not cooled:
            return f"{self.asked}: no station has a date that needs cooling"
        narrow = sum(each.look is Look.NARROWLY for each in cooled)
        held = narrow + sum(each.look is Look.HOLDS for each in cooled)
        said = f"{self.asked}: holds on every date at {held} of {len(cooled)} stations"
        return f"{said}, at {narrow} of them narrowly on some dates" if narrow else said
