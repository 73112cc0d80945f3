"""Short years made by hand: supply and demand of every step, and comfort by day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from noonhold.rig import Battery, Rig
from noonhold.scenario import Scenario
from noonhold.simulation import channels as ch
from noonhold.simulation.record import TRACE_COLUMNS, TRACE_DEMAND, TRACE_SOLAR
from noonhold.simulation.simulation_case import prepare
from noonhold.studies.year.year_run import YearRun
from noonhold.twins import FedRun, FedTwins, TwinRecords
from tests.engine.made import rig, scene, summer

FloatArray = npt.NDArray[np.float64]
_FIRSTS = (ch.FIRST_DISCOMFORT, ch.FIRST_RESERVE, ch.FIRST_SHORTAGE, ch.FIRST_UNMET)
_STEPS_AN_HOUR = 12


@dataclass(frozen=True)
class HandMade:
    """A rig and its year, both made up."""

    rig: Rig
    scenario: Scenario
    run: YearRun


def hand_made(
    battery: Battery,
    demand_w: FloatArray,
    solar_w: FloatArray,
    adverse_demand_w: FloatArray | None = None,
    too_warm: tuple[int, ...] = (),
) -> HandMade:
    """Return a year of as many days as the hours given have.

    Parameters
    ----------
    battery : Battery
        The bank.
    demand_w, solar_w : numpy.ndarray, shape (24 d,)
        By hour. [W]
    adverse_demand_w : numpy.ndarray, shape (24 d,), optional
        Of the adverse twin; the same without it. [W]
    too_warm : tuple of int, optional
        Days that miss their comfort limit at noon, whatever the energy.
    """
    days = len(demand_w) // 24
    whole, scenario = rig(battery=battery), scene()
    case, clock = prepare(whole, scenario, summer(days=days))

    def fed(demand: FloatArray) -> FedRun:
        record = np.zeros((24 * days, len(ch.CHANNELS)))
        record[:, _FIRSTS] = np.nan
        record[:, ch.FIRST_AT_SET_POINT] = np.nan
        record[:, ch.LOAD_POWER] = demand
        record[:, ch.SOLAR] = solar_w
        record[:, ch.JUDGED_S] = record[:, ch.COMFORTABLE_S] = 3600.0
        for day in too_warm:
            record[24 * day + 12 : 24 * day + 18, ch.COMFORTABLE_S] = 0.0
            record[24 * day + 12, ch.FIRST_DISCOMFORT] = 0.0
            record[24 * day + 12, ch.DISCOMFORT_STATE] = 4.0  # the highest stage full out
        trace = np.zeros((24 * days * _STEPS_AN_HOUR, TRACE_COLUMNS))
        trace[:, TRACE_DEMAND] = np.repeat(demand, _STEPS_AN_HOUR)
        trace[:, TRACE_SOLAR] = np.repeat(solar_w, _STEPS_AN_HOUR)
        trace[:, 4] = 20.0
        return FedRun(case, record, trace)

    nominal = fed(demand_w)
    adverse = fed(demand_w if adverse_demand_w is None else adverse_demand_w)
    twins = TwinRecords(nominal.record, nominal.record, adverse.record, None)
    run = YearRun(case, clock, twins, FedTwins(nominal, adverse))
    return HandMade(whole, scenario, run)


def hours(days: int, **spans: float) -> FloatArray:
    """Return a day's hours repeated, e.g. ``hours(2, from_06_to_14=100.0)``. [W]."""
    day = np.zeros(24)
    for name, value in spans.items():
        _, first, _, last = name.split("_")
        day[int(first) : int(last)] += value
    return np.tile(day, days)
