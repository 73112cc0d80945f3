"""The gate before the computations: so many at a time, a short wait, then a refusal."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore, Lock

from service.problems import ProblemError


class Gate:
    """Lets a limited number of computations through at a time.

    Parameters
    ----------
    most : int
        At a time.
    wait_s : float
        How long one waits for its turn. [s]
    """

    def __init__(self, most: int, wait_s: float) -> None:
        self.most = most
        self.wait_s = wait_s
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
            ``busy`` where none came free in time.
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
            yield
        finally:
            self._count(-1)
            self._places.release()

    def _count(self, change: int) -> None:
        with self._lock:
            self._inside += change
