"""Equal intervals as a user states them: length, start, and whether they make a year."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from datetime import datetime

import numpy as np
import numpy.typing as npt

from noonhold.errors import Fault, WeatherFormatError
from noonhold.weather.calendar import HOURS, TYPICAL_YEAR
from noonhold.weather.clock import DAY_S


@dataclass(frozen=True)
class Span:
    """Which rows of a stretch of weather make the table.

    Parameters
    ----------
    rows : numpy.ndarray of int
        Rows to keep: all, but for 29 February in a whole leap year.
    start : numpy.datetime64
        Label of the first kept row; of ``TYPICAL_YEAR`` where a leap day was dropped, so that
        labels and dates stay together.
    full_year : bool
        True where the kept rows are 8760 hours.
    notes : tuple of str
        What was dropped.
    """

    rows: npt.NDArray[np.int64]
    start: np.datetime64
    full_year: bool
    notes: tuple[str, ...]


def interval_faults(path: str, given: object) -> list[Fault]:
    """Return the fault of an interval that does not divide an hour, if it has one.

    Parameters
    ----------
    path : str
        Of the fault.
    given : object
        An integer or its text. [s]

    Returns
    -------
    list of Fault
        Empty where all is well.
    """
    text = str(given)
    if text.isascii() and text.isdigit() and int(text) >= 60 and 3600 % int(text) == 0:
        return []
    bound = "whole seconds from 60 to 3600 that divide 3600"
    return [Fault(path, "interval_s does not divide an hour", given, bound)]


def parse_time(path: str, text: str) -> np.datetime64:
    """Return a time without zone, in whole seconds.

    Parameters
    ----------
    path : str
        Of the fault.
    text : str
        ISO 8601 without a zone, for example ``2024-07-01T00:00``.

    Returns
    -------
    numpy.datetime64
        In seconds.

    Raises
    ------
    WeatherFormatError
        Where it is none; a zone is refused, as the clock is stated by ``utc_offset_h``.
    """
    # Two hyphens are the date's; a third, or a plus, is a zone's.
    if text[-1:].upper() != "Z" and "+" not in text and text.count("-") == 2:
        with contextlib.suppress(ValueError):
            return np.datetime64(datetime.fromisoformat(text.strip()), "s")
    reason = "not a time of the form 2024-07-01T00:00, without a zone"
    raise WeatherFormatError([Fault(path, reason, text)])


def whole_year(start: np.datetime64, interval_s: int, count: int) -> Span:
    """Tell whether rows are a whole year, and which of them stay.

    Parameters
    ----------
    start : numpy.datetime64
        Start of the first interval.
    count : int
        Number of intervals.

    Returns
    -------
    Span
        Rows, label, and whether they join at the ends.
    """
    rows = np.arange(count)
    if count * interval_s == HOURS * 3600 + DAY_S:
        days = (start + rows * np.timedelta64(interval_s, "s")).astype("datetime64[D]")
        leap = np.char.endswith(np.datetime_as_string(days), "-02-29")
        if leap.any():
            kept = rows[~leap]
            date = str(days[kept[0]])[4:]
            clock = start + kept[0] * np.timedelta64(interval_s, "s") - days[kept[0]]
            moved = np.datetime64(f"{TYPICAL_YEAR}{date}", "s") + clock
            note = f"29 February dropped: {int(leap.sum())} rows"
            return Span(kept, moved, True, (note,))
    return Span(rows, start, count * interval_s == HOURS * 3600, ())
