"""Months in the order of a hemisphere's seasons, and the best of them in words."""

from __future__ import annotations

from collections.abc import Collection

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def season_order(south: bool) -> tuple[int, ...]:
    """Return the months, 1 to 12, with the summer of a hemisphere in the middle.

    Parameters
    ----------
    south : bool
        Of the equator.

    Examples
    --------
    >>> season_order(True)
    (7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6)
    """
    first = 7 if south else 1
    return tuple((first - 1 + k) % 12 + 1 for k in range(12))


def month_words(months: Collection[int], south: bool) -> str:
    """Return months as spans; one that goes on over New Year is one span.

    Parameters
    ----------
    months : collection of int
        From 1 to 12.
    south : bool
        Hemisphere, for the order of the spans.

    Examples
    --------
    >>> month_words({3, 4, 5, 10}, True), month_words({11, 12, 1}, False), month_words((), False)
    ('Oct, Mar-May', 'Nov-Jan', 'none')
    """
    if len(set(months)) == 12:
        return "all year"
    order = [month for month in season_order(south) if month in months]
    spans = []
    for first in order:
        if (first - 2) % 12 + 1 in months:
            continue
        last = first
        while last % 12 + 1 in months:
            last = last % 12 + 1
        name = MONTHS[first - 1]
        spans.append(name if first == last else f"{name}-{MONTHS[last - 1]}")
    return ", ".join(spans) or "none"
