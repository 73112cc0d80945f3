"""A limit to how long the caller is willing to wait, looked at between the runs of the kernel.

Compiled code cannot be interrupted, but one run of it is short (a site-year about a fifth of a
second); a study is many of them. Whoever starts a computation may put it under a limit, and every
run that begins after the limit ends it. The limit belongs to the call (a context variable): other
threads know nothing of it.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass


@dataclass(frozen=True)
class _Limit:
    """Until when, and how long that was."""

    until: float
    seconds: float


_LIMIT: ContextVar[_Limit | None] = ContextVar("time_limit", default=None)


class OutOfTimeError(Exception):
    """The computation took longer than its caller allowed.

    It is no `errors.NoonholdError`: nothing is wrong with the input, and what gathers
    faults must not gather this one.

    Parameters
    ----------
    seconds : float
        What was allowed. [s]
    """

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        super().__init__(f"the computation took longer than {seconds:g} s")


@contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Put what is computed in the block under a limit.

    Parameters
    ----------
    seconds : float
        From now on; of two limits around one another the earlier holds. [s]

    Raises
    ------
    OutOfTimeError
        At the first run of the kernel that would begin after it.
    """
    mine, outer = _Limit(time.monotonic() + seconds, seconds), _LIMIT.get()
    token = _LIMIT.set(mine if outer is None or mine.until < outer.until else outer)
    try:
        yield
    finally:
        _LIMIT.reset(token)


def check_time() -> None:
    """End the computation where its time is over.

    Raises
    ------
    OutOfTimeError
        Where a limit was set and has passed.
    """
    limit = _LIMIT.get()
    if limit is not None and time.monotonic() > limit.until:
        raise OutOfTimeError(limit.seconds)
