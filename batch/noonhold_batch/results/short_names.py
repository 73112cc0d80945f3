"""Words that are too long for a terminal: wrapped, and names shortened so that they stay apart."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable

TERMINAL = 100  # columns
_MARK = "…"
_LEAST = 8  # characters; fewer would say nothing


def shortened(text: str, width: int, tail: int | None = None) -> str:
    """Return a name with its middle left out where it is too long.

    Parameters
    ----------
    text : str
        A name.
    width : int
        Characters there are for it.
    tail : int, optional
        How many of them are kept of its end; half of them by default.

    Returns
    -------
    str
        At most that long.

    Examples
    --------
    >>> shortened("USA_NV_Las.Vegas-McCarran.Intl.AP.723860_TMY3", 20)
    'USA_NV_Las…3860_TMY3'
    """
    if len(text) <= width:
        return text
    kept = (width - 1) // 2 if tail is None else tail
    return f"{text[: width - 1 - kept]}{_MARK}{text[len(text) - kept :]}"


def shortened_apart(names: Iterable[str], width: int) -> dict[str, str]:
    """Return names shortened all alike, none like another.

    Parameters
    ----------
    names : iterable of str
        Repeated ones count once.
    width : int
        Characters there are for each.

    Returns
    -------
    dict of str to str
        Name to short name. The middle is left out where that keeps all apart, else what lies
        nearer to an end; where no part of that length distinguishes them, they are longer.

    Examples
    --------
    >>> list(shortened_apart(["plain_of_reeds_1_long", "plain_of_reeds_2_long"], 12).values())
    ['plain…1_long', 'plain…2_long']
    """
    whole = list(dict.fromkeys(names))
    longest = max(map(len, whole), default=0)
    for room in range(max(width, _LEAST), longest):
        half = (room - 1) // 2
        for tail in sorted(range(room), key=lambda kept: abs(kept - half)):
            found = {name: shortened(name, room, tail) for name in whole}
            if max(Counter(found.values()).values()) == 1:
                return found
    return {name: name for name in whole}


def wrapped(text: str, indent: str) -> list[str]:
    """Return a text in lines that fit the terminal.

    Parameters
    ----------
    text : str
        Options and names of files in it are copied from the terminal, so hyphens break no line.
    indent : str
        Before the first line; two spaces more before the others.
    """
    return textwrap.wrap(
        text,
        TERMINAL,
        initial_indent=indent,
        subsequent_indent=indent + "  ",
        break_on_hyphens=False,
    )
