"""Writing the record's rows: what is not a plain mean over the interval's steps."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.numerics.compiled import inlined
from noonhold.simulation import channels as ch

FloatArray = npt.NDArray[np.float64]

# Columns of the trace: what the bus is asked for and offered, step by step.
TRACE_DEMAND: Final = 0  # loads, electronics, cooler and heater [W]
TRACE_SOLAR: Final = 1  # at the bus, used or not [W]
TRACE_ALTERNATOR: Final = 2  # offered [W]
TRACE_SHORE: Final = 3  # offered [W]
TRACE_BATTERY_C: Final = 4  # temperature of the battery [degC]
TRACE_COLUMNS: Final = 5
NO_TRACE: Final = np.empty((0, TRACE_COLUMNS))

UNSERVED_W: Final = 1e-6  # less is the rounding of a step that lands on an empty battery


@inlined
def open_row(out: FloatArray, stored_wh: float) -> None:
    """Clear a row before its first step.

    Parameters
    ----------
    stored_wh : float
        Energy in the battery at the interval's start. [Wh]
    """
    out[:] = 0.0
    out[ch.STORED_LOWEST] = stored_wh
    out[ch.COMFORT_PEAK] = -np.inf
    out[ch.COMFORT_PEAK_WINDOW] = -np.inf
    out[ch.FIRST_DISCOMFORT] = np.nan
    out[ch.FIRST_RESERVE] = np.nan
    out[ch.FIRST_SHORTAGE] = np.nan
    out[ch.FIRST_UNMET] = np.nan
    out[ch.FIRST_AT_SET_POINT] = np.nan
    out[ch.COOLING_SPARE] = np.nan


@inlined
def note_comfort(
    out: FloatArray,
    second: float,
    step_s: float,
    measure: float,
    comfortable: bool,
    in_window: bool,
    judged: bool,
    stopped: bool,
    held_back: bool,
    met: bool,
    state: int,
) -> None:
    """Note what the day's verdict needs of one step.

    Parameters
    ----------
    second, step_s : float
        Start of the step within the interval, and its length. [s]
    measure : float
        The comfort measure at the step's end.
    comfortable : bool
        Whether it is within the limit.
    in_window, judged : bool
        Whether the step lies in the cooling window, and after its allowance.
    stopped : bool
        Whether the reserve holds the cooler off.
    held_back : bool
        Whether the bus could give less than the cooler asked for.
    met : bool
        Whether the cabin air landed on the set point or below it.
    state : int
        What the cooler did, as :func:`noonhold.simulation.thermostat.cooler_state` numbers it.
    """
    if stopped:
        out[ch.RESERVE_S] += step_s
    if in_window:
        out[ch.WINDOW_S] += step_s
        out[ch.COMFORT_PEAK_WINDOW] = max(out[ch.COMFORT_PEAK_WINDOW], measure)
        if met and np.isnan(out[ch.FIRST_AT_SET_POINT]):
            out[ch.FIRST_AT_SET_POINT] = second
        if held_back and np.isnan(out[ch.FIRST_SHORTAGE]):
            out[ch.FIRST_SHORTAGE] = second
    if judged:
        out[ch.JUDGED_S] += step_s
        out[ch.COMFORT_PEAK] = max(out[ch.COMFORT_PEAK], measure)
        if comfortable:
            out[ch.COMFORTABLE_S] += step_s
        elif np.isnan(out[ch.FIRST_DISCOMFORT]):
            out[ch.FIRST_DISCOMFORT] = second
            out[ch.DISCOMFORT_STATE] = state


@inlined
def note_energy(
    out: FloatArray,
    second: float,
    step_s: float,
    stored_before_wh: float,
    stored_wh: float,
    reserve_wh: float,
    unmet_w: float,
) -> None:
    """Note when the store first is at its reserve, and when the first load goes short.

    Parameters
    ----------
    second, step_s : float
        Start of the step within the interval, and its length. [s]
    stored_before_wh, stored_wh : float
        Energy in the battery at the step's start and end. [Wh]
    reserve_wh : float
        What still counts as the reserve. [Wh]
    unmet_w : float
        Demand that found no power. [W]

    Notes
    -----
    Within a step the store goes straight from one end to the other, so the moment at which it
    comes down to the reserve is exact where the flows are constant.
    """
    out[ch.STORED_LOWEST] = min(out[ch.STORED_LOWEST], stored_wh)
    if np.isnan(out[ch.FIRST_RESERVE]):
        if stored_before_wh <= reserve_wh:
            out[ch.FIRST_RESERVE] = second
        elif stored_wh <= reserve_wh:
            fallen = (stored_before_wh - reserve_wh) / (stored_before_wh - stored_wh)
            out[ch.FIRST_RESERVE] = second + fallen * step_s
    if unmet_w > UNSERVED_W and np.isnan(out[ch.FIRST_UNMET]):
        out[ch.FIRST_UNMET] = second


@inlined
def note_supply(
    trace: FloatArray,
    step: int,
    demand_w: float,
    solar_w: float,
    alternator_w: float,
    shore_w: float,
    battery_c: float,
) -> None:
    """Write a step's supply and demand down, where a trace is asked for.

    Parameters
    ----------
    trace : numpy.ndarray, shape (steps, 5) or (0, 5)
        Nothing is written into an empty one.
    step : int
        Row.
    demand_w, solar_w, alternator_w, shore_w : float
        What the bus is asked for, and what each source offers. [W]
    battery_c : float
        Temperature of the battery. [degC]
    """
    if len(trace) > 0:
        trace[step, TRACE_DEMAND] = demand_w
        trace[step, TRACE_SOLAR] = solar_w
        trace[step, TRACE_ALTERNATOR] = alternator_w
        trace[step, TRACE_SHORE] = shore_w
        trace[step, TRACE_BATTERY_C] = battery_c


@inlined
def close_row(
    out: FloatArray,
    substeps: int,
    stored_wh: float,
    stored_heat_change_w: float,
    stored_water_kg: float,
) -> None:
    """Turn a row's sums into means after its last step.

    Parameters
    ----------
    substeps : int
        Number of steps it summed.
    stored_wh : float
        Energy in the battery at the interval's end. [Wh]
    stored_heat_change_w : float
        Of the cabin network over the interval. [W]
    stored_water_kg : float
        Water in the cabin air and what it buffers, at the interval's end. [kg]
    """
    for c in range(ch.STORED):
        out[c] /= substeps
    for c in range(ch.SOLAR_IN, ch.STORED_HEAT_CHANGE):
        out[c] /= substeps
    out[ch.OUTDOOR_AIRFLOW] /= substeps
    out[ch.COMFORT] /= substeps
    out[ch.INCIDENT_ARRAYS] /= substeps
    for c in range(ch.WATER_EXCHANGE, ch.WATER_STORED):
        out[c] /= substeps
    out[ch.STORED] = stored_wh
    out[ch.STORED_HEAT_CHANGE] = stored_heat_change_w
    out[ch.WATER_STORED] = stored_water_kg
