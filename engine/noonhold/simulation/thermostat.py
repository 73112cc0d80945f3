"""The thermostat: what cooler and heater do over a step, within what the bus can give."""

from __future__ import annotations

from typing import Final

from noonhold.cooling.cooler import CoolerStep, ThinAir, fan_only, meet_load_in
from noonhold.cooling.cooler_tables import CoolerTables
from noonhold.numerics.compiled import inlined
from noonhold.simulation.controls import FAN_ONLY, NO_STAGE

# fmt: off
# States of the cooler at the first discomfort of an interval.
BY_ENERGY: Final = 1           # stopped or limited by the battery
RESTING: Final = 2             # no stage may run
STAGE_NOT_ALLOWED: Final = 3   # full out, and a higher stage may not run
FULL_OUT: Final = 4            # full out on the highest stage there is
AT_SET_POINT: Final = 5        # the cabin air is kept at its set point, and there is more to give
# fmt: on


@inlined
def cool(
    cooler: CoolerTables,
    thin: ThinAir,
    lowest: int,
    highest: int,
    needed_w: float,
    outdoor_c: float,
    air_c: float,
    humidity: float,
    pressure: float,
    allowance_w: float,
    wind: float,
) -> CoolerStep:
    """Let the thermostat choose what the cooler does over a step.

    Parameters
    ----------
    lowest, highest : int
        Stages the policy allows, or ``FAN_ONLY``, or ``NO_STAGE``.
    needed_w : float
        Sensible heat that must leave the air to land on the set point. [W]
    outdoor_c : float
        Outdoor air. [degC]
    air_c, humidity : float
        Cabin air and its humidity ratio at the step's start. [degC], [kg/kg]
    pressure : float
        [Pa]
    allowance_w : float
        What the bus can give over the step without touching the reserve. [W]
    wind : float
        Wind at the rig, or the driving speed. [m/s]

    Returns
    -------
    CoolerStep
        What it delivers and draws.
    """
    if lowest == NO_STAGE or allowance_w <= 0.0:
        return CoolerStep(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    if lowest == FAN_ONLY:
        return fan_only(cooler, allowance_w)
    return meet_load_in(
        cooler, thin, lowest, highest, needed_w, outdoor_c, air_c, humidity, pressure, allowance_w,
        wind,
    )  # fmt: skip


@inlined
def cooler_state(lacks_energy: bool, met: bool, stage: int, top_stage: int) -> int:
    """Return in a number what the cooler does, for the first cause of discomfort.

    Parameters
    ----------
    lacks_energy : bool
        Whether the reserve stops it, or the bus holds it back.
    met : bool
        Whether the cabin air lands on the set point or below it.
    stage, top_stage : int
        Highest stage that may run, below zero for none, and the highest that there is.

    Returns
    -------
    int
        One of the states above.
    """
    if lacks_energy:
        return BY_ENERGY
    if stage < 0:
        return RESTING
    if met:
        return AT_SET_POINT
    if stage < top_stage:
        return STAGE_NOT_ALLOWED
    return FULL_OUT


@inlined
def heat(
    needed_w: float, heating_w: float, heater_power_w: float, allowance_w: float
) -> tuple[float, float]:
    """Let the thermostat choose what the heater does over a step.

    Parameters
    ----------
    needed_w : float
        Heat that must enter the air to land on the heating set point; NaN without one. [W]
    heating_w, heater_power_w : float
        The heater's largest heat and its draw at that heat. [W]
    allowance_w : float
        What the bus can give over the step without touching the reserve. [W]

    Returns
    -------
    heat_w, power_w : float
        Into the air, and drawn from the bus. [W]
    """
    if not needed_w > 0.0 or heating_w <= 0.0:
        return 0.0, 0.0
    share = min(needed_w / heating_w, 1.0)
    if heater_power_w > 0.0:
        share = min(share, max(allowance_w, 0.0) / heater_power_w)
    return share * heating_w, share * heater_power_w
