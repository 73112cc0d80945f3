"""The gate before the computations: two lanes, so many at a time, a short wait, then a refusal.

What is expected to be short and what is not stand in lanes of their own, so that long studies
never shut out the short requests.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from threading import BoundedSemaphore, Lock
from typing import Final

from noonhold.errors import Fault
from noonhold.numerics.time_limit import OutOfTimeError, time_limit
from noonhold_service.problems import ProblemError

SHORT_S: Final = 0.25  # what is expected to take longer stands in the lane of long computations
_PACES: Final = (0.2, 20.0)  # how far from the estimate this machine may be
_SMOOTHING: Final = 0.3


@dataclass
class _Lane:
    """Places for computations of one kind, and what is expected of those under way."""

    name: str
    most: int
    waiting: int = 0
    running: dict[int, tuple[float, float]] = field(default_factory=dict)  # since, expected [s]

    def __post_init__(self) -> None:
        self.places = BoundedSemaphore(self.most)


class Gate:
    """Lets a limited number of computations through at a time, short ones beside long ones.

    Parameters
    ----------
    most : int
        Short ones at a time.
    wait_s : float
        How long one waits for its turn. [s]
    limit_s : float
        How long one may compute; may be set later, as the first one compiles the model. [s]
    most_long : int
        Long ones at a time, beside the short ones.
    most_waiting : int, optional
        How many may wait at a time, lest the waiting take every thread of the server; those
        beyond are refused at once.
    on_change : callable, optional
        Hears how many computations are under way whenever that changes.
    """

    def __init__(
        self,
        most: int,
        wait_s: float,
        limit_s: float = math.inf,
        most_long: int = 1,
        most_waiting: int | None = None,
        on_change: Callable[[int], None] = lambda inside: None,
    ) -> None:
        self.wait_s = wait_s
        self.limit_s = limit_s
        self.most_waiting = math.inf if most_waiting is None else most_waiting
        self._on_change = on_change
        self._short = _Lane("short", most)
        self._long = _Lane("long", most_long)
        self._lock = Lock()
        self._pace = 1.0

    @property
    def inside(self) -> int:
        """Return the number of computations under way."""
        return len(self._short.running) + len(self._long.running)

    @property
    def waiting(self) -> int:
        """Return the number of computations that wait for a place."""
        return self._short.waiting + self._long.waiting

    def check_fits(self, expected_s: float, path: str = "") -> None:
        """Refuse what can never be finished within the limit.

        Parameters
        ----------
        expected_s : float
            What the computation is expected to take. [s]
        path : str, optional
            JSON pointer of what makes it long.

        Raises
        ------
        ProblemError
            ``limit-exceeded`` with the estimate.
        """
        if expected_s <= self.limit_s:
            return
        fault = Fault(
            path,
            "makes a computation that is expected to take longer than is allowed",
            round(expected_s, 1),
            f"<= {self.limit_s:g} s",
        )
        raise ProblemError(
            "limit-exceeded",
            f"the computation is expected to take {expected_s:.1f} s; {self.limit_s:g} s are"
            " allowed: ask for fewer days, variants, samples or panels",
            [fault],
        )

    @contextmanager
    def turn(self, expected_s: float = 0.0) -> Iterator[None]:
        """Wait for a place and hold it.

        Parameters
        ----------
        expected_s : float, optional
            What the computation is expected to take; decides about the lane. [s]

        Raises
        ------
        ProblemError
            ``busy`` where none came free in time; ``out-of-time`` where the computation in the
            block is ended by the limit.
        """
        lane = self._long if expected_s > SHORT_S else self._short
        self._enter(lane)
        began, token = time.monotonic(), object()
        with self._lock:
            lane.running[id(token)] = began, expected_s
            self._on_change(self.inside)
        try:
            with time_limit(self.limit_s):
                yield
            if lane is self._long:
                self._learn(expected_s, time.monotonic() - began)
        except OutOfTimeError as error:
            raise ProblemError(
                "out-of-time", f"{error}, which is as long as is allowed, and was ended"
            ) from None
        finally:
            with self._lock:
                del lane.running[id(token)]
                self._on_change(self.inside)
            lane.places.release()

    def _enter(self, lane: _Lane) -> None:
        if lane.places.acquire(blocking=False):
            return
        with self._lock:
            full = self.waiting >= self.most_waiting
            lane.waiting += not full
        try:
            if not full and lane.places.acquire(timeout=self.wait_s):
                return
        finally:
            if not full:
                with self._lock:
                    lane.waiting -= 1
        raise self._busy(lane, full)

    def _busy(self, lane: _Lane, full: bool) -> ProblemError:
        why = "and as many wait as may" if full else f"and none ended within {self.wait_s:g} s"
        return ProblemError(
            "busy",
            f"{lane.most} {lane.name} computation{'s are' if lane.most > 1 else ' is'} under way,"
            f" which is as many as are allowed, {why}",
            headers={"Retry-After": str(self._seconds_until_free(lane))},
        )

    def _seconds_until_free(self, lane: _Lane) -> int:
        """Return when a place is expected for who asks again, those who wait now before him."""
        now = time.monotonic()
        with self._lock:
            left = []
            for since, expected in lane.running.values():
                most = self.limit_s - (now - since)
                # What overran its estimate is as likely as not to take half as long again.
                still = max(self._pace * expected - (now - since), 0.5 * (now - since))
                left.append(max(min(still, most), 0.0))
            ahead = lane.waiting
            each = self._pace * max((e for _, e in lane.running.values()), default=0.0)
        left.sort()
        rounds, place = divmod(ahead, max(len(left), 1))
        seconds = (left[place] if left else 0.0) + rounds * each
        return max(math.ceil(seconds), 1) if math.isfinite(seconds) else 1

    def _learn(self, expected_s: float, took_s: float) -> None:
        """Remember how long computations take here beside what was expected of them."""
        low, high = _PACES
        ratio = min(max(took_s / expected_s, low), high)
        with self._lock:
            self._pace += _SMOOTHING * (ratio - self._pace)
