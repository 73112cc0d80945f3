"""What a map shows: stations for one rig, each with its feasible fraction and a look."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Look(StrEnum):
    """How a station is drawn, by what failed first there more often."""

    ALL_HELD = "all days held"
    CAPACITY = "cooler too small first"
    ENERGY = "energy ran out first"
    OPERATION = "set point or schedule first"
    NO_NEED = "no day needs cooling"
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
        Of the days needing cooling that hold; NaN where there is none or no verdict.
    """

    longitude: float
    latitude: float
    look: Look
    share: float


@dataclass(frozen=True)
class RigMap:
    """The stations of one rig.

    Parameters
    ----------
    stations : tuple of Station
        Those whose place is known.
    """

    title: str
    stations: tuple[Station, ...]

    @property
    def summary(self) -> str:
        """Return in a few words what the map comes to."""
        cooled = [each for each in self.stations if each.share == each.share]  # not NaN
        always = sum(each.look is Look.ALL_HELD for each in cooled)
        if not cooled:
            return "no station has a day that needs cooling"
        return f"holds every day at {always} of {len(cooled)} stations where days need cooling"
