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
from noonhold.simulation import channels as ch
from noonhold.simulation.bank import LAST_DAY_REPEATS, holding_spell
from noonhold.simulation.repeated_day import RepeatedDay, first_day_of, repeat_day
from noonhold.simulation.run_state import charge_state, copied, run_part, spun_up
from noonhold.simulation.simulation_case import SimulationCase
from noonhold.twins import run_twins
from noonhold.verdict import DayVerdicts, day_verdicts
from noonhold.weather.clock import Clock

FloatArray = npt.NDArray[np.float64]

MOST_DAYS = 1000  # that the bank alone is followed from the stated start


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


def sustained_day(projection: Projection, case: SimulationCase, today: DayVerdicts) -> Sustained:
    """Return what becomes of one day that is repeated.

    Parameters
    ----------
    today : DayVerdicts
        The day, judged from its stated start.

    Notes
    -----
    The cabin is repeated until it is periodic, on energy that never lacks; the bank alone is then
    stepped through that day's supply and demand (:func:`noonhold.simulation.repeated_day
    .repeat_day` says how and how exactly). From the charge that repeats, the day is run once more
    in full, its adverse twin beside it from its own, and judged as all days are.
    """
    rig, comfort, clock = projection.rig, projection.scenario.comfort, projection.clock
    interval_s = projection.weather.interval_s
    day = repeat_day(case, spun_up(case))
    settled = settled_record(case, day)
    failure = _first_failure(projection, case, day, today)
    if settled is None:
        return Sustained(Verdict.FAILS, daily_balance_wh=day.balance_wh, first_failure=failure)
    worse = adverse_case(case)
    adverse = settled_record(worse, repeat_day(worse, spun_up(worse)))
    days = day_verdicts(
        rig, comfort, clock, settled, projection.uncooled, interval_s, adverse, day.records[-1]
    )
    verdict = Verdict(int(days.verdict[0]))
    if adverse is None and verdict is Verdict.HOLDS:
        verdict = Verdict.NARROWLY
        days = replace(days, verdict=np.array([int(verdict)]))
    return Sustained(
        verdict,
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
        carried = replace(case, stored_wh=case.battery.usable_energy_wh, charge_is_settled=True)
        twins = run_twins(carried, projection.uncooled)
        record, fed = twins.record, twins.fed
        days = day_verdicts(
            rig, projection.scenario.comfort, clock, record, twins.uncooled, interval_s,
            twins.adverse, fed,
        )  # fmt: skip
    balance = daily_balance_wh(rig.battery, clock, record if fed is None else fed, interval_s)
    begun_wh = stored_at_start_wh(rig.battery, record, interval_s)
    return Sustained(
        Verdict(int(days.verdict.min())),
        daily_balance_wh=float(balance.mean()),
        settled_charge=begun_wh / rig.battery.usable_energy_wh,
        first_failure=first_failure_of(days),
        days=days,
    )
