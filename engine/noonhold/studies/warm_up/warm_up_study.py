"""Warm-up: how soon the cabin is dangerously warm once the cooler stops."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from noonhold.errors import DocumentError, NumericalError
from noonhold.projection_request import ProjectionRequest
from noonhold.scenario import CoverState
from noonhold.simulation.case_runs import check_cabin
from noonhold.studies.fault_places import inside_projection
from noonhold.studies.plain_values import plain
from noonhold.studies.study_base import Prepared, ProjectionCache
from noonhold.studies.warm_up.cooler_stop import (
    CLOSED,
    OPEN,
    Left,
    Moment,
    StoppableRun,
    fine_step,
    has_covers,
    left_control,
    minutes_until,
)
from noonhold.verdict import CAUTIONS
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.clock import DAY_S
from noonhold.weather.hot_day import MOST_DAYS, HotDay
from noonhold.weather.selection import Reader
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_request import TypicalYear, WeatherRequest

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

EVERY_S: Final = 900  # stops are tried this far apart
RISE_AT_MIN: Final = (5, 10, 20, 30, 40, 50, 60)

# Rise of the air in closed parked cars in the sun, by minutes. A widely published table (from
# memory: 19, 29, 34, 38, 41, 43 degF); the last is what C. McLaren, J. Null, J. Quinn, Pediatrics
# 116(1) e109, 2005, measured (about 40 degF in an hour whatever the outdoor temperature).
PARKED_CAR_RISE_K: Final = {10: 10.6, 20: 16.1, 30: 18.9, 40: 21.1, 50: 22.8, 60: 23.9}

WARM_UP_CAUTION: Final = (
    "These minutes are a warning, not an allowance. A person or an animal can be harmed before the"
    " first threshold is reached, and a real cabin can warm faster than this one."
)


@dataclass(frozen=True)
class WarmUpRequest:
    """What is asked of a cooler's stop.

    Parameters
    ----------
    base : ProjectionRequest
        The rig in its day, the cooler running as it is operated.
    stop_hour : float or None
        Hour of the clock of the stop; ``None`` for the worst. [h]
    stop_day : int
        On which of the days, from 1, where an hour is given.
    thresholds_c : tuple of float
        Temperatures of the cabin air, rising. [degC]
    horizon_h : float
        How long the cabin is followed. [h]
    occupants : float
        Who may be left inside, beside the case of nobody.
    """

    base: ProjectionRequest
    stop_hour: float | None = None
    stop_day: int = 1
    thresholds_c: tuple[float, ...] = (30.0, 35.0, 40.0)
    horizon_h: float = 6.0
    occupants: float = 1.0


@dataclass(frozen=True)
class Case:
    """The cabin after the stop, left in one of the ways.

    Parameters
    ----------
    covers : CoverState
        Which covers are drawn.
    occupants : float
        Who is inside.
    minutes_until : dict of float to float or None
        By threshold; ``None`` where it is not reached while the cabin is followed. [min]
    rise_k : dict of int to float
        By minutes after the stop. [K]
    highest_c : float
        Highest cabin air while it is followed. [degC]
    temperature_c : numpy.ndarray, shape (steps + 1,)
        Cabin air from the stop on. [degC]
    """

    covers: CoverState
    occupants: float
    minutes_until: dict[float, float | None]
    rise_k: dict[int, float]
    highest_c: float
    temperature_c: FloatArray


@dataclass(frozen=True)
class Trial:
    """One of the stops that were tried in search of the worst.

    Parameters
    ----------
    at : str
        ISO 8601.
    cabin_c : float
        Cabin air at the stop. [degC]
    minutes : float or None
        Fewest minutes to the lowest threshold among the cases.
    highest_c : float
        Highest cabin air among the cases. [degC]
    """

    at: str
    cabin_c: float
    minutes: float | None
    highest_c: float


@dataclass(frozen=True)
class WarmUp:
    """What a stop of the cooler comes to.

    Parameters
    ----------
    stop_at : str
        ISO 8601.
    worst : bool
        Whether that is the worst moment, as against a stated one.
    cabin_c, mean_radiant_c, outdoor_c : float
        At the stop. [degC]
    followed_h : float
        How long the cabin was followed; shorter than asked where the weather ends. [h]
    step_s : int
        Step of the runs. [s]
    cases : tuple of Case
        Covers open and drawn, nobody and somebody inside.
    trials : tuple of Trial
        The stops tried; empty where the hour was stated.
    notes : tuple of str
        What was assumed.
    """

    stop_at: str
    worst: bool
    cabin_c: float
    mean_radiant_c: float
    outdoor_c: float
    followed_h: float
    step_s: int
    cases: tuple[Case, ...]
    trials: tuple[Trial, ...]
    notes: tuple[str, ...]


@inside_projection(NumericalError)  # a run raises it anywhere below
def warm_up(asked: WarmUpRequest, catalogue: Catalogue, read: Reader = read_weather) -> WarmUp:
    """Follow the cabin after its cooler stops.

    Parameters
    ----------
    asked : WarmUpRequest
        The rig, the stop, the thresholds.
    catalogue : Catalogue
        Stations to choose from.
    read : callable, optional
        Reads a station's file.

    Raises
    ------
    DocumentError
        Where the stated hour lies outside the weather, or the cooler may never run.
    NoonholdError
        As the parts of a projection raise it.

    Notes
    -----
    Until the stop the rig runs as it is operated. From then on the cooler is off, the rig parked,
    vents closed and no fresh air driven in; house loads and everything else go on by the clock.

    Stops are tried every quarter of an hour in which the cooler may run and its pull-down (the
    comfort's allowance) is over, for just after the pull-down the cabin's air is cool in a shell
    that is not, and any stop is a quick one. The worst is the one with the fewest minutes to the
    lowest threshold in any of the cases, by the next threshold where that is the same, and by the
    highest temperature where none is reached. A stop at which the cabin is at the lowest threshold
    already is passed over, unless all of them are so.
    """
    prepared, asked_steps = _prepared(asked, catalogue, read)
    run = StoppableRun(prepared)
    step_s = run.step_s
    horizon = round(asked.horizon_h * 3600 / step_s)
    ways = [Left(c, n) for c in (OPEN, CLOSED) for n in dict.fromkeys((0.0, asked.occupants))]
    controls = [left_control(prepared, left) for left in ways]

    def curves(moment: Moment) -> list[FloatArray]:
        steps = min(horizon, len(run) - moment.step)
        found = [run.without_cooler(moment, steps, control) for control in controls]
        check_cabin(np.array(found))
        return found

    moment = run.start()
    trials: list[tuple[Moment, list[FloatArray]]] = []
    for step in _candidates(asked, run, asked_steps):
        moment = run.advance(moment, step)
        trials.append((moment, curves(moment)))
    if asked.stop_hour is None:
        moment, after = _worst(trials, asked.thresholds_c, step_s)
    else:
        moment, after = trials[0]
    cases = tuple(
        _case(left, curve, asked.thresholds_c, step_s)
        for left, curve in zip(ways, after, strict=True)
    )
    followed = len(after[0]) - 1
    notes = [*prepared.selected.notes, *prepared.selected.table.notes]
    if not has_covers(prepared):
        notes.append("the windows have no covers: drawn is the same as open")
    if followed < horizon:
        notes.append("the weather ends before the time that was to be followed")
    return WarmUp(
        stop_at=_iso(run, moment.step),
        worst=asked.stop_hour is None,
        cabin_c=float(moment.cabin.air[0]),
        mean_radiant_c=float(moment.cabin.air[1]),
        outdoor_c=float(run.forcing.outdoor_start[moment.step]),
        followed_h=followed * step_s / 3600.0,
        step_s=step_s,
        cases=cases,
        trials=tuple(
            _trial(run, *trial, asked.thresholds_c[0])
            for trial in (trials if asked.stop_hour is None else ())
        ),
        notes=tuple(notes),
    )


def warm_up_report(found: WarmUp) -> dict[str, Any]:
    """Return a warm-up as plain values for a JSON writer, its cautions first.

    Parameters
    ----------
    found : WarmUp
        From :func:`warm_up`.
    """
    document = plain(found)
    for case, source in zip(document["cases"], found.cases, strict=True):
        case["minutes_until"] = [
            {"temperature_c": t, "minutes": m} for t, m in source.minutes_until.items()
        ]
        case["rise"] = [
            {"minutes": m, "rise_k": rise, "parked_car_rise_k": PARKED_CAR_RISE_K.get(m)}
            for m, rise in source.rise_k.items()
        ]
        del case["rise_k"]
    return {"cautions": [WARM_UP_CAUTION, *CAUTIONS], **document}


def _prepared(asked: WarmUpRequest, catalogue: Catalogue, read: Reader) -> tuple[Prepared, int]:
    """Return the question prepared with weather to spare, and the steps of the days asked."""
    question = replace(asked.base, weather=_longer(asked.base.weather, asked.horizon_h))
    with inside_projection():
        coarse = ProjectionCache(catalogue, read)
        selected = coarse.select(question)
        step_s = fine_step(selected.table.interval_s)
        prepared = ProjectionCache(catalogue, coarse.read, step_s).prepare(question)
    shown_s = (len(selected.table) - selected.spin_up) * selected.table.interval_s
    more = _days(question.weather) - _days(asked.base.weather)
    return prepared, (shown_s - more * DAY_S) // step_s


def _days(weather: WeatherRequest) -> int:
    """Return the days a request names, 0 for own columns."""
    return weather.days if isinstance(weather, TypicalYear | HotDay) else 0


def _longer(weather: WeatherRequest, hours: float) -> WeatherRequest:
    """Return a request for as much more weather as can be had after the days asked."""
    more = math.ceil(hours / 24.0)
    if isinstance(weather, TypicalYear | HotDay):
        return replace(weather, days=min(weather.days + more, MOST_DAYS))
    return weather


def _candidates(asked: WarmUpRequest, run: StoppableRun, asked_steps: int) -> IntArray:
    """Return the steps at which the cooler's stop is to be looked at."""
    seconds = _clock_seconds(run)
    second = seconds % DAY_S
    if asked.stop_hour is not None:
        day = seconds // DAY_S - seconds[0] // DAY_S + 1
        there = (second == round(asked.stop_hour * 3600)) & (day == asked.stop_day)
        found = np.flatnonzero(there)[:1]
        if not len(found):
            raise DocumentError.single(
                "/stop_at", "the weather has no such hour on that day", asked.stop_hour
            )
        return found
    control = run.case.control
    may_run = (control.lowest_stage[run.clock_row] >= 0) & (second % EVERY_S == 0)
    candidates = may_run & (control.judged[run.clock_row] == 1)
    found = np.flatnonzero(candidates[:asked_steps])
    if not len(found):
        found = np.flatnonzero(may_run[:asked_steps])
    if not len(found):
        raise DocumentError.single(
            "/projection/operation", "the cooler may not run at any hour, so it cannot stop"
        )
    return found


def _clock_seconds(run: StoppableRun) -> IntArray:
    """Return the clock's face at every step as seconds of an epoch."""
    clock = run.prepared.shown_clock()
    starts = clock.starts.astype("datetime64[s]").astype(np.int64)
    parts = len(run) // len(starts)
    within: IntArray = np.arange(parts, dtype=np.int64) * run.step_s
    return (starts[:, None] + within).ravel()


def _iso(run: StoppableRun, step: int) -> str:
    """Return the moment at which a step begins as ISO 8601 with its offset."""
    clock = run.prepared.shown_clock()
    interval, part = divmod(step, len(run) // len(clock.starts))
    later = replace(clock, starts=clock.starts + np.timedelta64(part * run.step_s, "s"))
    return later.iso_times()[interval]


def _key(curves: list[FloatArray], thresholds_c: tuple[float, ...], step_s: int) -> list[float]:
    """Return what makes one stop worse than another; the smaller the worse."""
    minutes = [
        min(
            math.inf if m is None else m
            for m in (minutes_until(curve, threshold, step_s) for curve in curves)
        )
        for threshold in thresholds_c
    ]
    return [*minutes, -max(float(curve.max()) for curve in curves)]


def _worst(
    trials: list[tuple[Moment, list[FloatArray]]], thresholds_c: tuple[float, ...], step_s: int
) -> tuple[Moment, list[FloatArray]]:
    """Return the worst stop."""
    cool_before = [trial for trial in trials if trial[0].cabin.air[0] < thresholds_c[0]]
    return min(cool_before or trials, key=lambda trial: _key(trial[1], thresholds_c, step_s))


def _case(left: Left, curve: FloatArray, thresholds_c: tuple[float, ...], step_s: int) -> Case:
    """Return what a curve says."""
    rise = {
        m: float(curve[m * 60 // step_s] - curve[0])
        for m in RISE_AT_MIN
        if m * 60 // step_s < len(curve)
    }
    return Case(
        covers=left.covers,
        occupants=left.occupants,
        minutes_until={t: minutes_until(curve, t, step_s) for t in thresholds_c},
        rise_k=rise,
        highest_c=float(curve.max()),
        temperature_c=curve,
    )


def _trial(run: StoppableRun, moment: Moment, curves: list[FloatArray], lowest: float) -> Trial:
    """Return a tried stop in short."""
    minutes = _key(curves, (lowest,), run.step_s)[0]
    return Trial(
        at=_iso(run, moment.step),
        cabin_c=float(moment.cabin.air[0]),
        minutes=None if math.isinf(minutes) else minutes,
        highest_c=max(float(curve.max()) for curve in curves),
    )
