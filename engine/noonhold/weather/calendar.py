"""The typical year's calendar: 8760 hours from 1 January, whatever years they came from."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt

from noonhold.weather.file_source import format_error

HOURS = 8760
TYPICAL_YEAR = 1990
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_FIRST_HOUR = 24 * np.concatenate(([0], np.cumsum(MONTH_DAYS)[:-1]))

IntArray = npt.NDArray[np.int64]


def year_start(years: IntArray) -> np.datetime64:
    """Return the label of a year's first interval.

    Parameters
    ----------
    years : numpy.ndarray
        Calendar year of every row.

    Returns
    -------
    numpy.datetime64
        1 January of the rows' own year where they share one that has no leap day, else of
        ``TYPICAL_YEAR``, a year without one.
    """
    year = int(years[0])
    own = 1900 <= year <= 2200 and bool((years == year).all()) and not _leap(year)
    return np.datetime64(f"{year if own else TYPICAL_YEAR}-01-01T00:00:00", "s")


def _leap(year: int) -> bool:
    """Tell whether a Gregorian year has 29 February."""
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def _place(month: IntArray, day: IntArray, hour: IntArray) -> IntArray:
    """Return the hour of a year without leap day; ``hour`` 24 is the next day's 0."""
    return (_FIRST_HOUR[month - 1] + 24 * (day - 1) + hour) % HOURS


def _check_dates(
    path: Path, month: IntArray, day: IntArray, hour: IntArray, lines: IntArray
) -> None:
    """Refuse what is on no calendar, naming the first row."""
    days = np.array((31, 29, *MONTH_DAYS[2:]))
    good_month = (month >= 1) & (month <= 12)
    last = days[np.where(good_month, month, 1) - 1]
    good = good_month & (day >= 1) & (day <= last) & (hour >= 0) & (hour <= 23)
    if not good.all():
        row = int(np.argmin(good))
        raise format_error(
            path, f"line {lines[row]} has no date of a year: month {month[row]}, day {day[row]}"
        )


def arrange_year(
    path: Path, month: IntArray, day: IntArray, hour: IntArray, lines: IntArray
) -> tuple[IntArray, tuple[str, ...]]:
    """Return the order that turns a file's rows into the hours of one year.

    Parameters
    ----------
    path : pathlib.Path
        Named in the errors.
    month, day : numpy.ndarray of int
        Date of the interval's start, shape (n,).
    hour : numpy.ndarray of int
        Hour of the interval's start, 0 to 23, shape (n,).
    lines : numpy.ndarray of int
        Line of each row in the file, for messages, shape (n,).

    Returns
    -------
    order : numpy.ndarray of int, shape (8760,)
        Row of the file for each hour of the year.
    notes : tuple of str
        What was dropped or moved.

    Raises
    ------
    WeatherFormatError
        Where the rows are not one unbroken year: a wrong count, a row out of place.
    """
    _check_dates(path, month, day, hour, lines)
    rows = np.flatnonzero(~((month == 2) & (day == 29)))
    notes = []
    if len(rows) < len(month):
        notes.append(f"29 February dropped: {len(month) - len(rows)} rows")
    if len(rows) != HOURS:
        raise format_error(
            path, f"{len(rows)} hourly rows; a year without 29 February has {HOURS}", len(rows)
        )
    place = _place(month[rows], day[rows], hour[rows])
    step = (place - place[0]) % HOURS
    wrong = step != np.arange(HOURS)
    if wrong.any():
        row = rows[int(np.argmax(wrong))]
        raise format_error(
            path,
            f"line {lines[row]} is out of order: month {month[row]}, day {day[row]}, hour from "
            f"{hour[row]}:00 does not follow the row before it",
        )
    if place[0] != 0:
        notes.append(f"the file's year begins at line {lines[rows[0]]} and was rolled to 1 January")
    return np.roll(rows, int(place[0])), tuple(notes)
