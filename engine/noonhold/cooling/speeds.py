"""Speeds of a variable-speed cooler: the rated points between its least and its most cooling.

The time loop knows stages only. A cooler that modulates gets stages of its own in between, each
with the efficiency of its part load; between two of them the coefficient of performance is linear.

References
----------
.. [1] Laboratory test of a residential mini-split at ten speeds, as the National Renewable Energy
   Laboratory publishes it in the open code of ResStock and OpenStudio-HPXML (function
   ``calc_mshp_cool_eirs``, table ``cops_norm``, capacities from 0.4 to 1.2 of the rated one): net
   coefficient of performance over that at the highest speed.
.. [2] J. Winkler, "Laboratory Test Report for Fujitsu 12RLS and Mitsubishi FE12NA Mini-Split Heat
   Pumps", NREL/TP-5500-52175, 2011: the method and the kind of unit (figures not taken from it).
"""

from __future__ import annotations

from typing import Final

import numpy as np

from noonhold.rig import Cooler, Modulation, SpeedPoint, Stage

LABORATORY_PART_LOAD: Final = (
    SpeedPoint(0.4 / 1.2, 1.901),
    SpeedPoint(0.4889 / 1.2, 1.859),
    SpeedPoint(0.5778 / 1.2, 1.746),
    SpeedPoint(0.7556 / 1.2, 1.474),
    SpeedPoint(0.9333 / 1.2, 1.247),
)
"""Six of the ten speeds of [1]_ (the sixth is full speed, 1): the others lie within 1 % between."""


def efficiency_ratio(cooler: Cooler, fraction: float) -> float:
    """Net efficiency at part of the highest stage's cooling over that at the highest stage.

    Parameters
    ----------
    cooler : Cooler
        With a modulation. Its own part-load points come first, then its own stages where it has
        several, then the laboratory's points.
    fraction : float
        Cooling over that of the highest stage, above 0. [-]

    Returns
    -------
    float
        Linear between points. Below the lowest of the user's points it keeps its value; below the
        lowest of several stages it rises as the laboratory's points do. [-]
    """
    top = cooler.stages[-1]
    if cooler.modulation is not None and cooler.modulation.part_load:
        return _between(cooler.modulation.part_load, fraction)
    own = tuple(
        SpeedPoint(
            stage.cooling_w / top.cooling_w,
            (stage.cooling_w / stage.power_w) / (top.cooling_w / top.power_w),
        )
        for stage in cooler.stages[:-1]
        if stage.power_w > 0.0
    )
    if not own:
        return _between(LABORATORY_PART_LOAD, fraction)
    lowest = own[0].cooling_fraction
    if fraction >= lowest:
        return _between(own, fraction)
    further = _between(LABORATORY_PART_LOAD, fraction) / _between(LABORATORY_PART_LOAD, lowest)
    return own[0].efficiency_ratio * further


def _between(points: tuple[SpeedPoint, ...], fraction: float) -> float:
    """Return the ratio at a fraction, linear between points that end at full speed, 1."""
    fractions = [*(point.cooling_fraction for point in points), 1.0]
    ratios = [*(point.efficiency_ratio for point in points), 1.0]
    return float(np.interp(fraction, fractions, ratios))


def running_stages(cooler: Cooler) -> tuple[tuple[Stage, ...], tuple[int, ...]]:
    """Return the stages that the time loop runs, and which of them are the user's.

    Returns
    -------
    stages : tuple of Stage
        From low to high; without a modulation the user's own only, except that a variable-speed
        cooler of one stage modulates by default.
    places : tuple of int
        Place of each of the user's stages among them.
    """
    own = cooler.stages
    modulation = cooler.modulation
    if modulation is None and cooler.variable_speed and len(own) == 1:
        modulation = Modulation()
    if modulation is None:
        return own, tuple(range(len(own)))
    top = own[-1]
    least = modulation.least_fraction
    points = modulation.part_load or LABORATORY_PART_LOAD
    nodes = {least, *(point.cooling_fraction for point in points)}
    taken = [stage.cooling_w / top.cooling_w for stage in own]
    fractions = sorted(
        node
        for node in nodes
        if least <= node < 1.0 and all(abs(node - other) > _SAME_SPEED for other in taken)
    )
    stages = list(own)
    for fraction in fractions:
        cooling_w = fraction * top.cooling_w
        power_w = fraction * top.power_w / efficiency_ratio(cooler, fraction)
        stages.append(Stage(f"speed {fraction:.0%}", cooling_w, power_w))
    stages.sort(key=lambda stage: stage.cooling_w)
    return tuple(stages), tuple(stages.index(stage) for stage in own)


# Two speeds nearer than this are one: the stage that the user named stays.
_SAME_SPEED: Final = 0.02
