"""How high the lowest charge could be at best: two bounds on any plan, each with what it rests on.

The first is proven for the time loop: the same day without any cooling. The second is a linear
program over the day with everything known beforehand, on a cabin linearised about the plan; it is
far tighter, and as good as the linearisation.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy.optimize import linprog
from scipy.sparse import csr_matrix, diags_array, eye_array, hstack, lil_array, vstack

from noonhold.cooling.cooler import steady_stage
from noonhold.electricity.battery import BatteryTables
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.controls import ControlTables
from noonhold.simulation.simulation_case import SimulationCase, without_cooling
from noonhold.studies.study_base import Prepared
from noonhold.weather.clock import DAY_S

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

MOST_INTERVALS: Final = 200
_PULSE_W: Final = 100.0
_LEAST_NEEDED_W: Final = 1.0  # cooling below it says nothing about the cooler's efficiency

STATEMENT: Final = (
    "'without_cooling' is proven for this model: no plan with the same drive can have a higher"
    " lowest charge than the day with the cooler off, since the battery's ledger only falls with"
    " what is drawn. 'foresight' is a linear program with perfect foresight on the cabin"
    " linearised about the plan, with the cooler's efficiency of full load in every hour, free"
    " choice of cooling within the hour and cycling for nothing: every plan near this one lies"
    " below it, but for a cabin run very differently it is an estimate and not a proof. It lets"
    " the time that may be uncomfortable be as warm as the cabin without cooling, which makes it"
    " generous where that time is long."
)


@dataclass(frozen=True)
class Foresight:
    """Bounds on the lowest charge of any plan; state of charge.

    Parameters
    ----------
    without_cooling : float
        With the cooler off.
    foresight : float or None
        The linear program's; ``None`` where even that finds no way to keep the comfort limit, or
        where the run has too many intervals for it.
    note : str or None
        Why there is none.
    """

    without_cooling: float
    foresight: float | None
    note: str | None


@dataclass(frozen=True)
class _Day:
    """What the linear program knows; ``n`` intervals."""

    hours: float  # length of an interval [h]
    response: FloatArray  # (n, n) fall of the comfort measure by cooling, row by column [1/W]
    cooling: FloatArray  # (n,) of the plan [W]
    most_cooling: FloatArray  # (n,) [W]
    power_per_cooling: FloatArray  # (n,) least, bus over net sensible
    record: FloatArray  # (n, channels) of the plan
    loads: FloatArray  # (n,) the least that house loads draw in any plan [W]
    offered: FloatArray  # (n,) alternator and shore [W]
    unmet: FloatArray  # (n,) of the loads, with this plan or without cooling [W]
    excess: FloatArray  # (n,) of the comfort measure over its limit at the most
    day: npt.NDArray[np.int64]  # (n,) number of the day


def charge_limits(prepared: Prepared, case: SimulationCase, record: FloatArray) -> Foresight:
    r"""Bound the lowest charge of any plan.

    Parameters
    ----------
    case : SimulationCase
        The plan's run.
    record : numpy.ndarray, shape (n, channels)
        The plan's record.

    Notes
    -----
    Over hourly cooling :math:`q`, bus power :math:`p`, battery flows, charge :math:`E` and the
    share :math:`v` of an hour that may be uncomfortable,

    .. math::

        \max z: \quad z \le E_t, \quad
        y_t^{plan} - \sum_s H_{ts} (q_s - q_s^{plan}) \le L + v_t (y_t^{max} - L), \quad
        p_s \ge c_s q_s, \quad 0 \le q_s \le q_s^{max}, \quad
        \sum_t v_t \le (1 - share) \sum_t 1

    with the battery's ledger and limits. :math:`H` is measured on the compiled time loop by one
    pulse an hour, :math:`c` is the least power per net sensible cooling of any stage at full load
    in the air of the plan, or what the plan itself reaches where that is less. The plan is one of
    the program's points, so its own lowest charge never lies above the bound.
    """
    idle = without_cooling(case)
    battery = case.battery._replace(
        charge_low_c=-np.inf, charge_high_c=np.inf, discharge_low_c=-np.inf, discharge_high_c=np.inf
    )
    unheated = idle.control._replace(heating_w=0.0, heater_power_w=0.0)
    uncooled = run_cases([replace(idle, battery=battery, control=unheated)])[0]
    size = battery.usable_energy_wh
    proven = float(uncooled[:, ch.STORED_LOWEST].min()) / size
    if len(record) > MOST_INTERVALS:
        return Foresight(proven, None, f"the run has more than {MOST_INTERVALS} intervals")
    day = _known_day(prepared, case, record, uncooled)
    lowest = _highest_lowest_charge(day, battery, case.stored_wh, prepared)
    if lowest is None:
        return Foresight(proven, None, "no cooling that the cooler has keeps the comfort limit")
    return Foresight(proven, min(lowest / size, proven), None)


def _known_day(
    prepared: Prepared, case: SimulationCase, record: FloatArray, uncooled: FloatArray
) -> _Day:
    interval_s = prepared.selected.table.interval_s
    control = case.control
    rows = (case.clock_row[case.spin_up :, None] + np.arange(interval_s // prepared.step_s)) % (
        len(control.set_point)
    )
    allowed = (control.in_window[rows] > 0).any(axis=1)
    cooling = record[:, ch.SENSIBLE]
    best, most = _cooler_at_best(case, record, uncooled)
    power = record[:, ch.COOLER_POWER]
    ran = cooling > _LEAST_NEEDED_W
    reached = np.where(ran, power / np.where(ran, cooling, 1.0), np.inf)
    limit = prepared.request.scenario.comfort.limit
    peak = np.maximum(uncooled[:, ch.COMFORT_PEAK], record[:, ch.COMFORT_PEAK])
    first = prepared.shown_clock().day_first()
    return _Day(
        hours=interval_s / 3600.0,
        response=_response(prepared, case, cooling),
        cooling=cooling,
        most_cooling=np.where(allowed, np.maximum(most, cooling), np.maximum(cooling, 0.0)),
        power_per_cooling=np.minimum(best, reached),
        record=record,
        loads=_least_loads(control, rows, record[:, ch.LOAD_POWER]),
        offered=(control.alternator[rows] + control.shore[rows]).mean(axis=1),
        unmet=np.maximum(record[:, ch.UNMET], uncooled[:, ch.UNMET]),
        excess=np.maximum(np.where(np.isfinite(peak), peak - limit, 0.0), 0.0),
        day=np.searchsorted(first, np.arange(len(record)), side="right") - 1,
    )


def _least_loads(control: ControlTables, rows: IntArray, drawn: FloatArray) -> FloatArray:
    """Return the least draw of house loads: those that follow the cabin may come to rest."""
    if control.thermostatic_inside.size == 0:
        return drawn
    constant = control.thermostatic_power @ control.thermostatic_constant
    least: FloatArray = (control.load_power + constant)[rows].mean(axis=1)
    return least


def _cooler_at_best(
    case: SimulationCase, record: FloatArray, uncooled: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the least bus power per net sensible cooling, and the most cooling, by interval."""
    cooler = case.cooler
    least = np.full(len(record), np.inf)
    most = np.zeros(len(record))
    pressure = case.forcing.pressure[case.spin_up :]
    # A rig on the move has more wind at its condenser than any weather.
    wind = np.maximum(case.forcing.wind[case.spin_up :], case.control.driving_speed.max())
    for i, (plan, idle) in enumerate(zip(record, uncooled, strict=True)):
        warmest = max(plan[ch.CABIN], idle[ch.CABIN])
        for stage in range(len(cooler.gross_capacity_w)):
            for air_c in (plan[ch.CABIN], warmest):
                sensible, _, power = steady_stage(
                    cooler, stage, plan[ch.OUTDOOR], air_c, plan[ch.HUMIDITY], pressure[i], wind[i]
                )
                most[i] = max(most[i], sensible)
                if air_c == plan[ch.CABIN] and sensible > 0.0:
                    least[i] = min(least[i], power / cooler.supply_efficiency / sensible)
    return np.where(np.isfinite(least), least, 0.0), most


def _response(prepared: Prepared, case: SimulationCase, cooling: FloatArray) -> FloatArray:
    """Return how the comfort measure of every interval falls with the cooling of every other.

    The cooler is off and its cooling given as known heat, on the first day and alike on the days
    that settle the cabin, as a plan that repeats does.
    """
    n, spin_up = len(cooling), case.spin_up
    per_day = DAY_S // prepared.selected.table.interval_s
    settled = np.resize(cooling[:per_day], per_day)[(np.arange(spin_up) - spin_up) % per_day]
    imposed = -np.concatenate([settled, cooling])
    idle = without_cooling(case)

    def measure(heat: FloatArray) -> FloatArray:
        forcing = case.forcing._replace(imposed_heat=heat)
        result: FloatArray = run_cases([replace(idle, forcing=forcing)])[0][:, ch.COMFORT]
        return result

    before = measure(imposed)
    response = np.empty((n, n))
    settling = (np.arange(spin_up) - spin_up) % per_day
    for s in range(n):
        pulse = imposed.copy()
        pulse[spin_up + s] -= _PULSE_W
        if s < per_day:
            pulse[:spin_up][settling == s] -= _PULSE_W
        response[:, s] = (before - measure(pulse)) / _PULSE_W
    return response


def _highest_lowest_charge(
    day: _Day, battery: BatteryTables, stored_wh: float, prepared: Prepared
) -> float | None:
    """Solve the linear program for the highest lowest charge. [Wh].

    Variables, n each: cooling q, cooler power p, charge c, discharge d, unmet u, stored e at the
    end of the interval, uncomfortable share v; and the lowest charge z.
    """
    n = len(day.cooling)
    comfort = prepared.request.scenario.comfort
    interval_s = prepared.selected.table.interval_s
    one, none = eye_array(n, format="csr"), csr_matrix((n, n))
    column = csr_matrix(np.ones((n, 1)))
    empty = csr_matrix((n, 1))
    judged = day.record[:, ch.JUDGED_S]
    # Intervals judged in part have means that say little of the part; leaving them out loosens.
    whole = judged >= interval_s - 1e-6
    base = day.loads + day.record[:, ch.STANDING_POWER]
    sources = day.record[:, ch.SOLAR] + day.offered

    warm = [csr_matrix(-day.response), none, none, none, none, none]
    comfortable = hstack([*warm, diags_array(-day.excess, format="csr"), empty], format="csr")
    comfort_bound = comfort.limit - day.record[:, ch.COMFORT] - day.response @ day.cooling
    days = int(day.day.max()) + 1
    shares = lil_array((days, 7 * n + 1))
    shares[day.day, 6 * n + np.arange(n)] = judged
    fraction_bound = (1.0 - comfort.required_fraction) * np.bincount(day.day, judged)
    needs = hstack(
        [diags_array(day.power_per_cooling, format="csr"), -one, none, none, none, none, none,
         empty], format="csr",
    )  # fmt: skip
    # base + p + charge <= sources + discharge + unmet
    bus = hstack([none, one, one, -one, -one, none, none, empty], format="csr")
    above = hstack([none, none, none, none, none, -one, none, column], format="csr")
    difference = one - eye_array(n, k=-1, format="csr")
    ledger = hstack(
        [none, none, -battery.charge_efficiency * day.hours * one,
         day.hours / battery.discharge_efficiency * one, none, difference, none, empty],
        format="csr",
    )  # fmt: skip
    start = np.zeros(n)
    start[0] = stored_wh
    limits = [
        *zip(np.minimum(day.cooling, 0.0), day.most_cooling, strict=True),
        *[(0.0, None)] * n,
        *[(0.0, battery.max_charge_w)] * n,
        *[(0.0, battery.max_discharge_w)] * n,
        *zip(np.zeros(n), day.unmet, strict=True),
        *[(0.0, battery.usable_energy_wh)] * n,
        *[(0.0, 1.0)] * n,
        (0.0, stored_wh),
    ]
    objective = np.zeros(7 * n + 1)
    objective[-1] = -1.0
    solved = linprog(
        objective,
        A_ub=vstack([comfortable[whole], shares.tocsr(), needs, bus, above], format="csr"),
        b_ub=np.concatenate(
            [comfort_bound[whole], fraction_bound, np.zeros(n), sources - base, np.zeros(n)]
        ),
        A_eq=ledger,
        b_eq=start,
        bounds=limits,
        method="highs",
    )
    return float(solved.x[-1]) if solved.x is not None and solved.status == 0 else None
