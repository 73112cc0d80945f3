"""The comfort measure of a moment, chosen by the user, as the time loop evaluates it."""

from __future__ import annotations

from typing import Final, NamedTuple

from noonhold.air.comfort import heat_index_c, operative_temperature, pmv
from noonhold.air.moist_air import relative_humidity
from noonhold.numerics.compiled import inlined
from noonhold.scenario import Comfort, ComfortMeasure

_MEASURES: Final = (
    ComfortMeasure.OPERATIVE,
    ComfortMeasure.AIR,
    ComfortMeasure.HEAT_INDEX,
    ComfortMeasure.PMV,
)
OPERATIVE: Final = 0
AIR: Final = 1
HEAT_INDEX: Final = 2


class ComfortTables(NamedTuple):
    """The comfort limit as plain numbers."""

    measure: int
    limit: float
    metabolic_met: float
    clothing_clo: float
    air_speed_m_s: float


def comfort_tables(comfort: Comfort) -> ComfortTables:
    """Return the comfort limit as plain numbers.

    Parameters
    ----------
    comfort : Comfort
        Measure and limit.

    Returns
    -------
    ComfortTables
        For the time loop.
    """
    return ComfortTables(
        _MEASURES.index(comfort.measure),
        float(comfort.limit),
        float(comfort.metabolic_met),
        float(comfort.clothing_clo),
        float(comfort.air_speed_m_s),
    )


@inlined
def comfort_value(
    comfort: ComfortTables, air_c: float, radiant_c: float, humidity: float, pressure: float
) -> float:
    """Return the comfort measure of a moment.

    Parameters
    ----------
    comfort : ComfortTables
        Which measure, and what it takes.
    air_c, radiant_c : float
        Cabin air and mean radiant temperature. [degC]
    humidity : float
        Humidity ratio. [kg/kg]
    pressure : float
        [Pa]

    Returns
    -------
    float
        Degrees Celsius, or PMV's own scale.
    """
    if comfort.measure == OPERATIVE:
        return operative_temperature(air_c, radiant_c)
    if comfort.measure == AIR:
        return air_c
    wet = min(max(relative_humidity(air_c, humidity, pressure), 0.0), 1.0)
    if comfort.measure == HEAT_INDEX:
        return heat_index_c(air_c, wet)
    return pmv(
        air_c, radiant_c, comfort.air_speed_m_s, wet, comfort.metabolic_met, comfort.clothing_clo
    )
