r"""House loads in a step: those by the clock, and those that follow the temperature around them.

A refrigerator pumps out what leaks in, which goes with the temperature difference of outside and
inside, and does so with an efficiency that falls as its condenser gets warmer. With the rated
power :math:`P_r` at the rated temperature :math:`T_r`, the inside :math:`T_i` and the part
:math:`c` that does not depend on temperature,

.. math:: P = P_r \left(c + (1 - c) \frac{T - T_i}{T_r - T_i}
          \frac{T - T_i + A}{T_r - T_i + A}\right)

with :math:`A` the sum of what the condenser is warmer than the room and the evaporator colder than
the food: the second factor is the ratio of two ideal cycles. The reasoning is that of IEC 62552-3,
which measures at 16 and at 32 degC; :math:`A` is common practice, no source.
"""

from __future__ import annotations

from typing import Final

from noonhold.numerics.compiled import inlined
from noonhold.simulation.controls import ControlTables

CYCLE_APPROACH_K: Final = 25.0
"""Condenser over room plus food over evaporator."""


@inlined
def thermostatic_ratio(around_c: float, inside_c: float, rated_c: float, constant: float) -> float:
    """Return a thermostatic load's power over its rated power.

    Parameters
    ----------
    around_c : float
        Air around it. [degC]
    inside_c, rated_c : float
        Its mean inside temperature, and the temperature around it at its rated power. [degC]
    constant : float
        Part of the rated power that does not depend on temperature. [-]

    Returns
    -------
    float
        No less than the constant part. [-]
    """
    lift = max(around_c - inside_c, 0.0)
    rated = rated_c - inside_c
    cycle = (lift + CYCLE_APPROACH_K) / (rated + CYCLE_APPROACH_K)
    return constant + (1.0 - constant) * lift / rated * cycle


@inlined
def house_loads(
    control: ControlTables, row: int, cabin_c: float, outdoor_c: float
) -> tuple[float, float, float]:
    """Return what the house loads draw and where their heat goes.

    Parameters
    ----------
    cabin_c, outdoor_c : float
        Air in the cabin and outdoors. [degC]

    Returns
    -------
    power_w, to_air_w, to_radiant_w : float
        [W]
    """
    power = control.load_power[row]
    to_air = control.load_to_air[row]
    to_radiant = control.load_to_radiant[row]
    for k in range(len(control.thermostatic_inside)):
        rated_w = control.thermostatic_power[row, k]
        around = cabin_c if control.thermostatic_in_cabin[k] == 1 else outdoor_c
        drawn = rated_w * thermostatic_ratio(
            around,
            control.thermostatic_inside[k],
            control.thermostatic_rated[k],
            control.thermostatic_constant[k],
        )
        drawn = min(drawn, max(control.thermostatic_most[k], rated_w)) if rated_w > 0.0 else 0.0
        power += drawn
        to_air += drawn * control.thermostatic_to_air[k]
        to_radiant += drawn * control.thermostatic_to_radiant[k]
    return power, to_air, to_radiant
