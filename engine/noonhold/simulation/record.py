"""Writing the record's rows: what is not a plain mean over the interval's steps."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from noonhold.numerics.compiled import inlined
from noonhold.simulation import channels as ch

FloatArray = npt.NDArray[np.float64]


@inlined
def open_row(out: FloatArray, stored_wh: float) -> None:
    """Clear a row before its first step.

    Parameters
    ----------
    out : numpy.ndarray, shape (channels,)
        The row.
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
) -> None:
    """Note what the day's verdict needs of one step.

    Parameters
    ----------
    out : numpy.ndarray, shape (channels,)
        The row.
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
    """
    if stopped:
        out[ch.RESERVE_S] += step_s
    if in_window:
        out[ch.WINDOW_S] += step_s
        out[ch.COMFORT_PEAK_WINDOW] = max(out[ch.COMFORT_PEAK_WINDOW], measure)
        if stopped and np.isnan(out[ch.FIRST_RESERVE]):
            out[ch.FIRST_RESERVE] = second
        if held_back and np.isnan(out[ch.FIRST_SHORTAGE]):
            out[ch.FIRST_SHORTAGE] = second
    if judged:
        out[ch.JUDGED_S] += step_s
        out[ch.COMFORT_PEAK] = max(out[ch.COMFORT_PEAK], measure)
        if comfortable:
            out[ch.COMFORTABLE_S] += step_s
        elif np.isnan(out[ch.FIRST_DISCOMFORT]):
            out[ch.FIRST_DISCOMFORT] = second


@inlined
def close_row(
    out: FloatArray, substeps: int, stored_wh: float, stored_heat_change_w: float
) -> None:
    """Turn a row's sums into means after its last step.

    Parameters
    ----------
    out : numpy.ndarray, shape (channels,)
        The row.
    substeps : int
        Number of steps it summed.
    stored_wh : float
        Energy in the battery at the interval's end. [Wh]
    stored_heat_change_w : float
        Of the cabin network over the interval. [W]
    """
    for c in range(ch.STORED):
        out[c] /= substeps
    for c in range(ch.SOLAR_IN, ch.STORED_HEAT_CHANGE):
        out[c] /= substeps
    out[ch.OUTDOOR_AIRFLOW] /= substeps
    out[ch.COMFORT] /= substeps
    out[ch.INCIDENT_ARRAYS] /= substeps
    out[ch.STORED] = stored_wh
    out[ch.STORED_HEAT_CHANGE] = stored_heat_change_w
