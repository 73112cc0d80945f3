"""What happens after the cooler stops: the minute-by-minute runs of the warm-up study."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from noonhold.envelope.cabin_step import CabinState, first_state
from noonhold.numerics.time_limit import check_time
from noonhold.scenario import COVER_STATES, CoverState, Scenario, Setting, Span
from noonhold.simulation import channels as ch
from noonhold.simulation.controls import ControlTables, control_tables
from noonhold.simulation.forcing import ForcingTables
from noonhold.simulation.kernel import ChargeState, PreviousStep, simulate
from noonhold.simulation.record import NO_TRACE
from noonhold.simulation.run_state import slice_forcing
from noonhold.simulation.simulation_case import SimulationCase, without_cooling
from noonhold.studies.study_base import Prepared
from noonhold.weather.clock import DAY_S

FloatArray = npt.NDArray[np.float64]

STEP_S: Final = 60
_ALL_DAY: Final = (0.0, 24.0)
_BY_INTERVAL: Final = (
    "station_wind",
    "wind",
    "sky",
    "ground_temperature",
    "under_temperature",
    "pressure",
    "beam",
    "sky_diffuse",
    "ground",
    "window_beam",
    "array_beam",
    "array_diffuse",
    "array_beam_effective",
    "array_diffuse_effective",
    "imposed_heat",
)


@dataclass(frozen=True)
class Left:
    """How the cabin is left when the cooler stops.

    Parameters
    ----------
    covers : CoverState
        Which window covers are drawn from then on.
    occupants : float
        Who stays inside; people, or animals counted by the heat they give off.
    """

    covers: CoverState
    occupants: float


@dataclass(frozen=True)
class Moment:
    """The state of a rig at a moment of its run.

    Parameters
    ----------
    step : int
        Number of the step that begins there, counted from the first of the answer.
    cabin : CabinState
        A copy of its own.
    charge : ChargeState
        A copy of its own.
    before : PreviousStep
        A copy of its own.
    """

    step: int
    cabin: CabinState
    charge: ChargeState
    before: PreviousStep

    def copy(self) -> Moment:
        """Return the same moment on arrays of its own."""
        return Moment(
            self.step,
            self.cabin.copy(),
            ChargeState(self.charge.stored_wh.copy(), self.charge.stopped.copy()),
            PreviousStep(*(part.copy() for part in self.before)),
        )


def fine_step(interval_s: int) -> int:
    """Return the step for an interval: a minute, or the longest shorter one that divides it.

    Examples
    --------
    >>> fine_step(3600), fine_step(900), fine_step(90)
    (60, 60, 30)
    """
    return math.gcd(interval_s, STEP_S)


def fine_forcing(forcing: ForcingTables, step_s: int) -> ForcingTables:
    """Cut every interval of the forcing into its steps, so that each step gets a row of its own.

    Parameters
    ----------
    forcing : ForcingTables
        By interval of the weather.
    step_s : int
        Divides the interval. [s]

    Returns
    -------
    ForcingTables
        What the time loop itself makes of every step: outdoor air and its humidity straight
        between the instants, everything else as the interval has it. Only the cells of the arrays
        take the mean air of their row, which is now the step's instead of the interval's.
    """
    parts = forcing.interval_s // step_s
    rows: dict[str, Any] = {
        name: np.repeat(getattr(forcing, name), parts, axis=0) for name in _BY_INTERVAL
    }
    if len(forcing.awning_sunlit):
        rows["awning_sunlit"] = np.repeat(forcing.awning_sunlit, parts, axis=0)
    share = np.arange(parts + 1) / parts
    for name in ("outdoor", "humidity"):
        start, end = getattr(forcing, f"{name}_start"), getattr(forcing, f"{name}_end")
        line = start[:, None] + (end - start)[:, None] * share
        rows[f"{name}_start"] = line[:, :-1].ravel()
        rows[f"{name}_end"] = line[:, 1:].ravel()
    fine = forcing._replace(interval_s=step_s)
    return fine._replace(**rows)


class StoppableRun:
    """One rig's run by steps, from which runs without its cooler can branch off.

    Parameters
    ----------
    prepared : Prepared
        The question, prepared with the step of :func:`fine_step`.
    """

    def __init__(self, prepared: Prepared) -> None:
        case, warm_up = prepared.case, prepared.selected.spin_up
        self.prepared = prepared
        self.case = case
        self.step_s = prepared.step_s
        hours = slice_forcing(case.forcing, warm_up, len(case.clock_row))
        self.forcing = fine_forcing(hours, self.step_s)
        parts = case.forcing.interval_s // self.step_s
        rows = case.clock_row[warm_up:, None] + np.arange(parts)
        self.clock_row = (rows % (DAY_S // self.step_s)).ravel()

    def __len__(self) -> int:
        """Return the number of steps of the answer."""
        return len(self.clock_row)

    def start(self) -> Moment:
        """Return the state at the first moment of the answer, the settling days behind it."""
        case = self.case
        moment = Moment(
            step=0,
            cabin=first_state(
                case.network, case.start_c, case.start_outdoor_c, case.start_humidity
            ),
            charge=_charge(case.stored_wh),
            before=PreviousStep(np.zeros(1), np.ones(1), np.zeros(1)),
        )
        if case.spin_up:
            settling = slice_forcing(case.forcing, 0, case.spin_up)
            _simulate(case, settling, case.clock_row[: case.spin_up], moment)
        return replace(moment, charge=_charge(case.stored_wh))

    def advance(self, moment: Moment, step: int) -> Moment:
        """Let the rig run as it is operated from one moment to a later step.

        Parameters
        ----------
        moment : Moment
            Left unchanged.
        step : int
            Not before the moment's.
        """
        if step == moment.step:
            return moment
        return self._go(self.case, moment, step)[0]

    def without_cooler(self, moment: Moment, steps: int, control: ControlTables) -> FloatArray:
        """Return the cabin air after the cooler stopped at a moment.

        Parameters
        ----------
        moment : Moment
            Left unchanged.
        steps : int
            How many steps to follow it.
        control : ControlTables
            From :func:`left_control`.

        Returns
        -------
        numpy.ndarray, shape (steps + 1,)
            At the moment and at the end of each step. [degC]
        """
        case = replace(self.case, control=control)
        record = self._go(case, moment, moment.step + steps)[1]
        return np.concatenate([[moment.cabin.air[0]], record[:, ch.CABIN]])

    def _go(self, case: SimulationCase, moment: Moment, step: int) -> tuple[Moment, FloatArray]:
        forcing = slice_forcing(self.forcing, moment.step, step)
        later = replace(moment.copy(), step=step)
        record = _simulate(case, forcing, self.clock_row[moment.step : step], later)
        return later, record


def left_control(prepared: Prepared, left: Left) -> ControlTables:
    """Return the operation after the cooler has stopped.

    Parameters
    ----------
    left : Left
        How the cabin is left.

    Returns
    -------
    ControlTables
        Cooler off, parked, vents closed, no fresh air driven in; the rest, house loads too, as
        the operation has it.
    """
    scenario = prepared.request.scenario
    setting = Setting(
        covers=left.covers, occupants=left.occupants, driving_speed_km_h=0.0, vents_open=False
    )
    operation = replace(
        scenario.operation,
        spans=(*scenario.operation.spans, Span(*_ALL_DAY, setting)),
        fresh_air_m3_h_per_occupant=0.0,
    )
    stopped = Scenario(scenario.place, operation, scenario.comfort, scenario.start)
    control = control_tables(prepared.request.rig, stopped, prepared.step_s)
    return without_cooling(replace(prepared.case, control=control)).control


def minutes_until(temperature_c: FloatArray, threshold_c: float, step_s: int) -> float | None:
    """Return the minutes until a temperature is first reached, straight within a step.

    Parameters
    ----------
    temperature_c : numpy.ndarray, shape (n + 1,)
        From the first moment on. [degC]
    threshold_c : float
        [degC]

    Returns
    -------
    float or None
        0 where it is reached from the first; ``None`` where it is not reached. [min]

    Examples
    --------
    >>> minutes_until(np.array([24.0, 26.0, 30.0]), 27.0, 60)
    1.25
    >>> minutes_until(np.array([24.0, 26.0, 30.0]), 31.0, 60) is None
    True
    """
    reached = np.flatnonzero(temperature_c >= threshold_c)
    if not len(reached):
        return None
    last = int(reached[0])
    if last == 0:
        return 0.0
    before, after = temperature_c[last - 1], temperature_c[last]
    part = (threshold_c - before) / (after - before)
    return float((last - 1 + part) * step_s / 60.0)


def has_covers(prepared: Prepared) -> bool:
    """Tell whether any window of the rig has a cover to draw."""
    return any(window.covers for window in prepared.request.rig.shell.windows)


OPEN, CLOSED = COVER_STATES[0], CoverState.ALL


def _charge(stored_wh: float) -> ChargeState:
    return ChargeState(np.array([stored_wh]), np.zeros(1, dtype=np.int64))


def _simulate(
    case: SimulationCase, forcing: ForcingTables, clock_row: npt.NDArray[np.int64], moment: Moment
) -> FloatArray:
    """Run a stretch, changing the moment's arrays in place, and return its record."""
    check_time()
    record = np.empty((len(clock_row), len(ch.CHANNELS)))
    simulate(
        case.network,
        forcing,
        case.cooler,
        case.arrays,
        case.battery,
        case.control,
        case.comfort,
        clock_row,
        case.air_density,
        case.air_specific_heat,
        moment.cabin,
        moment.charge,
        moment.before,
        record,
        NO_TRACE,
    )
    return record
