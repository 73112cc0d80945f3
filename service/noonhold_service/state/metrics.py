"""Counts and times of the requests, in the text format that Prometheus reads.

Where gunicorn runs several workers, they write into one folder (``PROMETHEUS_MULTIPROC_DIR``, which
its configuration makes), and every worker answers for all of them.
"""

from __future__ import annotations

import os
from typing import Final

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, generate_latest
from prometheus_client.multiprocess import MultiProcessCollector

MEDIA_TYPE: Final = "text/plain; version=0.0.4; charset=utf-8"
_BUCKETS_S: Final = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)


class Metrics:
    """What the service has done so far: this process, or all workers together."""

    def __init__(self) -> None:
        self._registry = CollectorRegistry()
        self._requests = Counter(
            "noonhold_requests",
            "Requests that were answered.",
            ("route", "method", "status"),
            registry=self._registry,
        )
        self._seconds = Histogram(
            "noonhold_request_seconds",
            "Seconds from a request's arrival to its answer.",
            ("route",),
            buckets=_BUCKETS_S,
            registry=self._registry,
        )
        self._in_flight = Gauge(
            "noonhold_computations_in_flight",
            "Computations under way.",
            multiprocess_mode="livesum",
            registry=self._registry,
        )
        self._computing = Counter(
            "noonhold_computing_seconds", "Seconds of computing.", registry=self._registry
        )
        self._days = Counter(
            "noonhold_computed_days", "Days that were computed.", registry=self._registry
        )
        self._in_flight.set(0)

    def request(self, route: str, method: str, status: int, seconds: float) -> None:
        """Note a request that was answered."""
        self._requests.labels(route, method, status).inc()
        self._seconds.labels(route).observe(seconds)

    def computation(self, days: int, seconds: float) -> None:
        """Note a projection that was computed."""
        self._computing.inc(seconds)
        self._days.inc(days)

    def inside(self, count: int) -> None:
        """Note how many computations are under way in this process."""
        self._in_flight.set(count)

    def text(self) -> str:
        """Return everything as text."""
        registry = self._registry
        if os.environ.get("PROMETHEUS_MULTIPROC_DIR"):
            registry = CollectorRegistry()
            MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
        return generate_latest(registry).decode()
