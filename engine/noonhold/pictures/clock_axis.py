"""A time axis that shows the clock on the wall: hours passed beneath, clock readings as labels."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from noonhold.day_causes import clock_seconds
from noonhold.pictures.style import FloatArray
from noonhold.weather.clock import Clock

_HOUR_S = 3600.0
_DAY_S = 86400.0
_MOST_DAYS_NAMED = 10
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def passed(clock: Clock, interval_s: int) -> FloatArray:
    """Return the hours passed at every interval's start and at the last one's end.

    Where a clock is set back, its readings repeat; hours passed do not.

    Parameters
    ----------
    clock : Clock
        Over n intervals.
    interval_s : int
        Length of one. [s]

    Returns
    -------
    numpy.ndarray, shape (n + 1,)
        [h]
    """
    hours: FloatArray = np.arange(len(clock.starts) + 1, dtype=np.float64) * (interval_s / _HOUR_S)
    return hours


def readings(clock: Clock, interval_s: int, every_s: float, offset_s: float = 0.0) -> FloatArray:
    """Return the hours passed when the clock shows a multiple of a time.

    Parameters
    ----------
    clock, interval_s : see `passed`
        The same.
    every_s : float
        A divisor or multiple of a day. [s]
    offset_s : float, optional
        Shown beyond the multiple. [s]

    Returns
    -------
    numpy.ndarray, shape (k,)
        [h]
    """
    shown = clock_seconds(clock) - offset_s
    ahead = np.ceil(shown / every_s) * every_s - shown
    within = ahead < interval_s
    found: FloatArray = passed(clock, interval_s)[:-1][within] + ahead[within] / _HOUR_S
    return found


def windows(
    clock: Clock, interval_s: int, window: tuple[float, float]
) -> list[tuple[float, float]]:
    """Return when a window of the clock is open.

    Parameters
    ----------
    clock, interval_s : see `passed`
        The same.
    window : tuple of float
        From and to; may pass midnight. [h]

    Returns
    -------
    list of (float, float)
        Hours passed at its openings and closings. [h]
    """
    end = float(passed(clock, interval_s)[-1])
    if window[0] % 24.0 == window[1] % 24.0:
        return [(0.0, end)]
    opens, shuts = (readings(clock, interval_s, _DAY_S, hour * _HOUR_S) for hour in window)
    moments = sorted([(float(at), True) for at in opens] + [(float(at), False) for at in shuts])
    if not moments:
        first = float(clock_seconds(clock)[0] % _DAY_S / _HOUR_S)
        length = (window[1] - window[0]) % 24.0
        return [(0.0, end)] if (first - window[0]) % 24.0 < length else []
    if not moments[0][1]:
        moments.insert(0, (0.0, True))
    if moments[-1][1]:
        moments.append((end, False))
    return [
        (start, next(at for at, opening in moments[place:] if not opening))
        for place, (start, opens_now) in enumerate(moments)
        if opens_now
    ]


def label_axis(axes: Axes, clock: Clock, interval_s: int) -> None:
    """Put the clock's readings on an axis of hours passed.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        The lowest of those that share it.
    clock, interval_s : see `passed`
        The same.
    """
    end = float(passed(clock, interval_s)[-1])
    days = end / 24.0
    every_h = 2.0 if days <= 0.6 else 3.0 if days <= 1.5 else 6.0 if days <= 2.5 else 24.0
    every_h *= max(1.0, np.ceil(days / _MOST_DAYS_NAMED)) if every_h == 24.0 else 1.0
    seconds = clock_seconds(clock)
    first_midnight = float(seconds[0] // _DAY_S * _DAY_S)
    ticks = readings(clock, interval_s, every_h * _HOUR_S, first_midnight)
    rows = np.minimum((ticks / (interval_s / _HOUR_S) + 1e-9).astype(np.int64), len(seconds) - 1)
    shown = seconds[rows] + (ticks - rows * (interval_s / _HOUR_S)) * _HOUR_S
    several = days > 1.5
    labels = [_label(float(each), several) for each in shown]
    last = float(seconds[-1]) + interval_s
    if every_h < 24.0 and last % (every_h * _HOUR_S) == 0.0:
        ticks = np.append(ticks, end)
        labels.append("24:00" if last % _DAY_S == 0.0 else _label(last, several))
    axes.set_xticks(ticks, labels)
    axes.set_xlim(0.0, end)


def _label(second: float, with_date: bool) -> str:
    moment = np.datetime64("1970-01-01", "s") + np.timedelta64(round(second), "s")
    if with_date and second % _DAY_S == 0.0:
        return day_name(moment)
    return str(moment)[11:16]


def day_name(moment: np.datetime64) -> str:
    """Return a date as ``16 Jan``: the year of a typical year means nothing.

    Parameters
    ----------
    moment : numpy.datetime64
        Any moment of the day.
    """
    day = moment.astype("datetime64[D]")
    month = int(day.astype("datetime64[M]").astype(np.int64)) % 12
    return f"{int(str(day)[-2:])} {MONTHS[month]}"
