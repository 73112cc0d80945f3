"""The gate before the computations: so many at a time, a short wait, then a refusal."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore, Lock

from noonhold.numerics.time_limit import OutOfTimeError, time_limit
from noonhold_service.problems import ProblemError


class Gate:
    """Lets a limited number of computations through at a time.

    Parameters
    ----------
    most : int
        At a time.
    wait_s : float
        How long one waits for its turn. [s]
    limit_s : float
        How long one may compute; may be set later, as the first one compiles the model. [s]
    """

    def __init__(self, most: int, wait_s: float, limit_s: float = math.inf) -> None:
        self.most = most
        self.wait_s = wait_s
        self.limit_s = limit_s
        self._places = BoundedSemaphore(most)
        self._lock = Lock()
        self._inside = 0

    @property
    def inside(self) -> int:
        """Return the number of computations under way."""
        return self._inside

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Wait for a place and hold it.

        Raises
        ------
        ProblemError
            ``busy`` where none came free in time; ``out-of-time`` where the computation in the
            block is ended by the limit.
        """
        if not self._places.acquire(timeout=self.wait_s):
            raise ProblemError(
                "busy",
                f"{self.most} computations are under way, which is as many as are allowed, and"
                f" none ended within {self.wait_s:g} s",
                headers={"Retry-After": "1"},
            )
        self._count(1)
        try:
            with time_limit(self.limit_s):
                yield
        except OutOfTimeError as error:
            raise ProblemError(
                "out-of-time", f"{error}, which is as long as is allowed, and was ended"
            ) from None
        finally:
            self._count(-1)
            self._places.release()

    def _count(self, change: int) -> None:
        with self._lock:
            self._inside += change
