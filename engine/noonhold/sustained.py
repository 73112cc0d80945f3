"""Day after day: does the rig hold once its charge repeats, and how long until it does not."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from noonhold.adverse import adverse_case
from noonhold.day_causes import daily_balance_wh, day_conditions
from noonhold.first_failure import FirstFailure, failure_of_fed_day, first_failure_of
from noonhold.projection import Projection, stored_at_start_wh
from noonhold.quantities import Verdict
from noonhold.rig import Rig
from noonhold.scenario import Comfort
from noonhold.simulation import channels as ch
from noonhold.simulation.bank import LAST_DAY_REPEATS, holding_spell
from noonhold.simulation.repeated_day import RepeatedDay, first_day_of, repeat_day, run_down
from noonhold.simulation.run_state import charge_state, copied, run_part, spun_up
from noonhold.simulation.simulation_case import SimulationCase
from noonhold.twins import run_twins
from noonhold.verdict import DayVerdicts, day_verdicts
from noonhold.weather.clock import DAY_S, Clock

FloatArray = npt.NDArray[np.float64]

MOST_DAYS = 1000  # that the bank alone is followed from the stated start
_SHORTEST_DAY_S = DAY_S - 2 * 3600  # the clock may be set ahead


@dataclass(frozen=True)
class Sustained:
    """What becomes of a day that comes again and again, or of a stretch with its days before.

    Parameters
    ----------
    verdict : Verdict or None
        Of the settled day, or the lowest of the stretch; ``None`` where the question has no
        answer, for `reason`.
    reason : str or None
        Why there is none.
    daily_balance_wh : float or None
        What the day (on a stretch, the mean day) gives more than it takes, to a battery that is
        never full nor empty. [Wh]
    settled_charge : float or None
        State of charge with which the day begins again and again, or the stretch begins; ``None``
        where the day takes more than it gives, or empties the battery.
    first_failure : FirstFailure or None
        The first day that fails from the stated start, the day itself being the first; of a
        stretch, from its settled start. ``None`` where no day does.
    days : DayVerdicts or None
        The settled day, or the stretch from its settled start, as all days are judged.
    """

    verdict: Verdict | None
    reason: str | None = None
    daily_balance_wh: float | None = None
    settled_charge: float | None = None
    first_failure: FirstFailure | None = None
    days: DayVerdicts | None = field(default=None, repr=False)


@dataclass(frozen=True)
class SettledRun:
    """Days run from a charge that has settled, their twins beside them.

    Parameters
    ----------
    days : DayVerdicts
        As all days are judged; a day whose charge never repeats above the reserve fails.
    record, adverse, fed : numpy.ndarray, shape (n, channels)
        Of the same, of its adverse twin from its own settled charge, and on energy that never
        lacks; ``None`` where the adverse twin has no such charge, or energy does not lack.
    """

    days: DayVerdicts
    record: FloatArray
    adverse: FloatArray | None
    fed: FloatArray | None


def is_one_day(case: SimulationCase, clock: Clock) -> bool:
    """Tell whether a case is of one whole day, which then is repeated.

    Parameters
    ----------
    clock : Clock
        Of the run, settling intervals left off.
    """
    seconds = len(clock.starts) * case.forcing.interval_s
    alone = first_day_of(case)[1] == len(case.clock_row) and len(clock.day_first()) == 1
    return alone and seconds >= _SHORTEST_DAY_S


def settled_day(
    rig: Rig,
    comfort: Comfort,
    clock: Clock,
    case: SimulationCase,
    uncooled: FloatArray,
    day: RepeatedDay,
) -> SettledRun:
    """Judge one day from the charge with which it begins again and again.

    Parameters
    ----------
    comfort : Comfort
        What a day must reach.
    clock : Clock
        Of the day.
    uncooled : numpy.ndarray, shape (n, channels)
        Of the uncooled twin.
    day : RepeatedDay
        The day repeated until the cabin is periodic.

    Notes
    -----
    The cabin is repeated until it is periodic, on energy that never lacks; the bank alone is then
    stepped through that day's supply and demand (:func:`noonhold.simulation.repeated_day
    .repeat_day` says how and how exactly). From the charge that repeats, the day is run once more
    in full, its adverse twin beside it from its own, and judged as all days are. Where no charge
    repeats above the reserve the day fails, and its figures are those of the day on which the
    charge has run down.
    """
    record, adverse = settled_record(case, day), None
    settles = record is not None
    if record is None:
        record = _run_down(case, day)
    else:
        worse = adverse_case(case)
        adverse = settled_record(worse, repeat_day(worse, spun_up(worse)))
    fed = day.records[-1]
    days = day_verdicts(
        rig, comfort, clock, record, uncooled, case.forcing.interval_s, adverse, fed
    )
    verdict = Verdict(int(days.verdict[0])) if settles else Verdict.FAILS
    if adverse is None:
        verdict = min(verdict, Verdict.NARROWLY)
    return SettledRun(replace(days, verdict=np.array([int(verdict)])), record, adverse, fed)


def settled_stretch(
    rig: Rig,
    comfort: Comfort,
    clock: Clock,
    case: SimulationCase,
    uncooled: FloatArray | None = None,
) -> SettledRun:
    """Judge a stretch whose charge is carried through the days before it.

    Parameters
    ----------
    comfort : Comfort
        What a day must reach.
    clock : Clock
        Of the stretch, settling intervals left off.
    case : SimulationCase
        Its tables; without settling intervals it begins as stated.
    uncooled : numpy.ndarray, shape (n, channels), optional
        Of the uncooled twin, where it is at hand.

    Returns
    -------
    SettledRun
        The battery is full at the beginning of the settling days.
    """
    if case.spin_up and not case.charge_is_settled:
        case = replace(case, stored_wh=case.battery.usable_energy_wh, charge_is_settled=True)
    twins = run_twins(case, uncooled)
    days = day_verdicts(
        rig, comfort, clock, twins.record, twins.uncooled, case.forcing.interval_s, twins.adverse,
        twins.fed,
    )  # fmt: skip
    return SettledRun(days, twins.record, twins.adverse, twins.fed)


def sustained_day(projection: Projection, case: SimulationCase, today: DayVerdicts) -> Sustained:
    """Return what becomes of one day that is repeated.

    Parameters
    ----------
    today : DayVerdicts
        The day, judged from its stated start.

    Returns
    -------
    Sustained
        See :func:`settled_day`.
    """
    rig, comfort, clock = projection.rig, projection.scenario.comfort, projection.clock
    day = repeat_day(case, spun_up(case))
    failure = _first_failure(projection, case, day, today)
    if not np.isfinite(day.settled_wh):
        return Sustained(Verdict.FAILS, daily_balance_wh=day.balance_wh, first_failure=failure)
    days = settled_day(rig, comfort, clock, case, projection.uncooled, day).days
    return Sustained(
        Verdict(int(days.verdict[0])),
        daily_balance_wh=day.balance_wh,
        settled_charge=day.settled_wh / rig.battery.usable_energy_wh,
        first_failure=failure,
        days=days,
    )


def settled_record(case: SimulationCase, day: RepeatedDay) -> FloatArray | None:
    """Return a repeated day run in full from the charge that repeats, ``None`` without one."""
    if not np.isfinite(day.settled_wh):
        return None
    first, last = first_day_of(case)
    record = np.empty((last - first, len(ch.CHANNELS)))
    state = copied(day.state)._replace(charge=charge_state(day.settled_wh))
    run_part(case, first, last, state, record)
    return record


def _run_down(case: SimulationCase, day: RepeatedDay) -> FloatArray:
    """Return a day whose charge has run down to what the day itself leaves it."""
    first, last = first_day_of(case)
    record = np.empty((last - first, len(ch.CHANNELS)))
    state = copied(day.state)._replace(charge=charge_state(case.battery.usable_energy_wh))
    run_part(case, first, last, run_down(case, state), record)
    return record


def _first_failure(
    projection: Projection, case: SimulationCase, day: RepeatedDay, today: DayVerdicts
) -> FirstFailure | None:
    """Return the first day that fails from the stated start on, ``None`` where none does."""
    failed = first_failure_of(today)
    if failed is not None:
        return failed
    rig, comfort, clock = projection.rig, projection.scenario.comfort, projection.clock
    # The day itself was the first copy; the second begins with the charge that it left.
    records, traces = day.records[1:], day.traces[1:]
    steps = traces.shape[1]
    fine = np.array([not day_conditions(comfort, clock, r).comfort_failed[0] for r in records])
    step_s = case.network.step_s
    stored_wh = float(projection.record[-1, ch.STORED])
    spell = holding_spell(
        case.battery, traces.reshape(-1, traces.shape[2]), np.arange(len(traces) + 1) * steps,
        fine, 0, stored_wh, step_s, MOST_DAYS, LAST_DAY_REPEATS,
    )  # fmt: skip
    if spell.days >= MOST_DAYS:
        return None
    record = records[min(spell.days, len(records) - 1)]
    found = failure_of_fed_day(rig, comfort, clock, record, spell.lacking_at_s, day.balance_wh)
    if found is None:
        return None
    return FirstFailure(spell.days + 2, None, *found)


def sustained_stretch(
    projection: Projection, case: SimulationCase, clock: Clock, days: DayVerdicts
) -> Sustained:
    """Return what becomes of a stretch of days whose charge is carried through the days before it.

    Parameters
    ----------
    projection : Projection
        Of the stretch.
    case : SimulationCase
        Its tables, with settling intervals.
    clock : Clock
        Of the stretch, settling intervals left off.
    days : DayVerdicts
        The stretch from its stated start; it is the answer itself where that is settled.

    Returns
    -------
    Sustained
        The battery is full at the beginning of the settling days.
    """
    rig, interval_s = projection.rig, projection.weather.interval_s
    record, fed = projection.record, projection.fed
    if not case.charge_is_settled:
        comfort = projection.scenario.comfort
        run = settled_stretch(rig, comfort, clock, case, projection.uncooled)
        days, record, fed = run.days, run.record, run.fed
    balance = daily_balance_wh(rig.battery, clock, record if fed is None else fed, interval_s)
    begun_wh = stored_at_start_wh(rig.battery, record, interval_s)
    return Sustained(
        Verdict(int(days.verdict.min())),
        daily_balance_wh=float(balance.mean()),
        settled_charge=begun_wh / rig.battery.usable_energy_wh,
        first_failure=first_failure_of(days),
        days=days,
    )
