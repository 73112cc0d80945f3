"""Counts and times of the requests, in the text format that Prometheus reads."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from threading import Lock
from typing import Final

MEDIA_TYPE: Final = "text/plain; version=0.0.4; charset=utf-8"
_BUCKETS_S: Final = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)


class Metrics:
    """What one process has done so far."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._requests: dict[tuple[str, str, int], int] = defaultdict(int)
        self._buckets: dict[str, list[int]] = defaultdict(lambda: [0] * len(_BUCKETS_S))
        self._seconds: dict[str, float] = defaultdict(float)
        self._counts: dict[str, int] = defaultdict(int)
        self._computing_s = 0.0
        self._computed_days = 0

    def request(self, route: str, method: str, status: int, seconds: float) -> None:
        """Note a request that was answered."""
        with self._lock:
            self._requests[route, method, status] += 1
            self._seconds[route] += seconds
            self._counts[route] += 1
            for index, bound in enumerate(_BUCKETS_S):
                self._buckets[route][index] += seconds <= bound

    def computation(self, days: int, seconds: float) -> None:
        """Note a projection that was computed."""
        with self._lock:
            self._computing_s += seconds
            self._computed_days += days

    def text(self, in_flight: int) -> str:
        """Return everything as text.

        Parameters
        ----------
        in_flight : int
            Computations under way.

        Returns
        -------
        str
        """
        with self._lock:
            return "\n".join(self._lines(in_flight)) + "\n"

    def _lines(self, in_flight: int) -> Iterator[str]:
        yield "# TYPE noonhold_requests_total counter"
        for (route, method, status), count in sorted(self._requests.items()):
            labels = f'route="{route}",method="{method}",status="{status}"'
            yield f"noonhold_requests_total{{{labels}}} {count}"
        yield "# TYPE noonhold_request_seconds histogram"
        for route in sorted(self._counts):
            for bound, count in zip(_BUCKETS_S, self._buckets[route], strict=True):
                yield f'noonhold_request_seconds_bucket{{route="{route}",le="{bound}"}} {count}'
            total = self._counts[route]
            yield f'noonhold_request_seconds_bucket{{route="{route}",le="+Inf"}} {total}'
            yield f'noonhold_request_seconds_sum{{route="{route}"}} {self._seconds[route]:.6f}'
            yield f'noonhold_request_seconds_count{{route="{route}"}} {total}'
        yield "# TYPE noonhold_computations_in_flight gauge"
        yield f"noonhold_computations_in_flight {in_flight}"
        yield "# TYPE noonhold_computing_seconds_total counter"
        yield f"noonhold_computing_seconds_total {self._computing_s:.6f}"
        yield "# TYPE noonhold_computed_days_total counter"
        yield f"noonhold_computed_days_total {self._computed_days}"
