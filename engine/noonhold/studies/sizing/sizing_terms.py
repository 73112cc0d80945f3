"""What sizing is asked and what it answers."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from noonhold.projection_request import ProjectionRequest
from noonhold.rig import Rig
from noonhold.studies.sizing.sizes import Scaling
from noonhold.studies.sizing.trials import Confidence, Trial


class Target(StrEnum):
    """What may be made larger or smaller."""

    BATTERY = "battery"
    ARRAY = "array"
    BATTERY_AND_ARRAY = "battery_and_array"
    COOLER = "cooler"


class Outcome(StrEnum):
    """What the search came to."""

    FOUND = "found"
    NO_DAY_NEEDS_COOLING = "no_day_needs_cooling"
    COOLER_TOO_SMALL = "cooler_too_small"  # not even unlimited energy does it
    NOT_ENOUGH_ENERGY = "not_enough_energy"  # unlimited energy does it, the sizes allowed do not
    NO_COOLER_DOES_IT = "no_cooler_does_it"  # none of the coolers allowed does it


@dataclass(frozen=True)
class Range:
    """Sizes to choose from.

    Parameters
    ----------
    least, most : float
        The smallest and the largest.
    step : float
        From one to the next; the largest is always among them.
    """

    least: float
    most: float
    step: float

    def values(self) -> tuple[float, ...]:
        """Return the sizes, rising."""
        count = int(np.floor((self.most - self.least) / self.step + 1e-9))
        values = [round(self.least + k * self.step, 9) for k in range(count + 1)]
        if values[-1] < self.most - 1e-9 * self.step:
            values.append(self.most)
        return tuple(values)


@dataclass(frozen=True)
class SizingRequest:
    """What is to be sized, and for what.

    Parameters
    ----------
    base : ProjectionRequest
        As a projection is asked.
    target : Target
        What may change.
    required_feasible_fraction : float
        Share of the days that need cooling which must hold, day after day; house loads must be
        served on all days.
    battery_wh, array_w, cooler_factor : Range or None
        Sizes of what may change.
    scaling : Scaling
        Which array, and what grows along.
    confidence : Confidence
        How sure a day must hold to count.
    """

    base: ProjectionRequest
    target: Target
    required_feasible_fraction: float
    battery_wh: Range | None = None
    array_w: Range | None = None
    cooler_factor: Range | None = None
    scaling: Scaling = field(default_factory=Scaling)
    confidence: Confidence = Confidence.ADVERSE


@dataclass(frozen=True)
class FrontierPoint:
    """The smallest battery to one array; ``trial`` is ``None`` where no battery allowed does it."""

    array_w: float
    trial: Trial | None


@dataclass(frozen=True)
class Worth:
    """What a rig gains by one more kWh of battery, or by 100 W more of an array.

    Parameters
    ----------
    at : Trial
        The rig that gets it.
    battery, array : Trial or None
        With the next kWh, and with the next 100 W; ``None`` without an array.
    """

    at: Trial
    battery: Trial
    array: Trial | None


@dataclass(frozen=True)
class SizingAnswer:
    """The size, how it was checked, and what more would be worth.

    Parameters
    ----------
    target : Target
        What was sized.
    outcome : Outcome
        Whether there is one.
    rig : Rig or None
        The rig of that size; ``None`` for a frontier, and where nothing does it.
    found : Trial or None
        That rig as a projection judges it, its own uncooled twin included.
    next_smaller : Trial or None
        The size below, which does not do it; ``None`` where there is none.
    frontier : tuple of FrontierPoint
        By rising array.
    given : Trial
        The rig as given.
    best : Trial or None
        Where nothing does it, the best of the sizes that were run.
    unlimited : Trial or None
        Where nothing does it, the rig as given with unlimited energy.
    cooler_factor_needed : float or None
        Where the cooler is too small, the factor that does it with unlimited energy.
    worth : tuple of Worth
        At the rig as given, and at the size found.
    larger_is_worse : tuple of pairs of Trial
        Sizes that were run with which fewer days count than with the next smaller one that was,
        all else equal; the smaller one stands first.
    tried : tuple of Trial
        Every size that was run, judged by the days of the rig as given.
    confidence : Confidence
        How sure a day had to hold to count.
    required_feasible_fraction : float
        As asked.
    runs : int
        Full runs made.
    place : str
        Whose weather it was, as people read it.
    notes : tuple of str
        What was assumed.
    """

    target: Target
    outcome: Outcome
    rig: Rig | None
    found: Trial | None
    next_smaller: Trial | None
    frontier: tuple[FrontierPoint, ...]
    given: Trial
    best: Trial | None
    unlimited: Trial | None
    cooler_factor_needed: float | None
    worth: tuple[Worth, ...]
    larger_is_worse: tuple[tuple[Trial, Trial], ...]
    tried: tuple[Trial, ...]
    confidence: Confidence
    required_feasible_fraction: float
    runs: int
    place: str
    notes: tuple[str, ...]
