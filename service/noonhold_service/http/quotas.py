"""Quotas: how many requests a key, or an address where there are no keys, may send in a time."""

from __future__ import annotations

import hashlib
import math
import time
from collections.abc import Iterable
from typing import Final

from flask import Flask, Response, g, request
from limits import RateLimitItem, parse
from limits.storage import MemoryStorage
from limits.strategies import FixedWindowRateLimiter

from noonhold_service.http.access import is_open, key_of
from noonhold_service.problems import ProblemError

_LABEL: Final = 8  # hexadecimal digits of a key's digest: tells keys apart, and gives none away


def register_quotas(app: Flask, quota: Iterable[str]) -> None:
    """Count the requests of every caller; after the check of the keys.

    Parameters
    ----------
    quota : iterable of str
        Such as ``60/minute``; empty for none. Counted in this process.
    """
    app.before_request(_label)
    items = [parse(each) for each in quota]
    if items:
        limiter = FixedWindowRateLimiter(MemoryStorage())
        app.before_request(lambda: _count(limiter, items))
        app.after_request(_tell)


def _label() -> None:
    """Note who asks, for the log: never the key itself."""
    key = key_of(request.headers.get("Authorization", ""))
    if key:
        g.key = hashlib.sha256(key.encode("utf-8", "surrogateescape")).hexdigest()[:_LABEL]


def _count(limiter: FixedWindowRateLimiter, items: list[RateLimitItem]) -> None:
    if request.method == "OPTIONS" or is_open(request.path):
        return
    who = g.get("key") or request.remote_addr or "unknown"
    allowed = [limiter.hit(item, who) for item in items]
    policies, left, waits = [], [], []
    for item, within in zip(items, allowed, strict=True):
        stats = limiter.get_window_stats(item, who)
        seconds = max(math.ceil(stats.reset_time - time.time()), 1)
        name = f'"{item.GRANULARITY.name}"'
        policies.append(f"{name};q={item.amount};w={item.get_expiry()}")
        left.append(f"{name};r={stats.remaining};t={seconds}")
        if not within:
            waits.append(seconds)
    g.quota = {"RateLimit-Policy": ", ".join(policies), "RateLimit": ", ".join(left)}
    if waits:
        raise ProblemError(
            "quota-exceeded",
            "more requests were sent than the quota allows: " + "; ".join(map(str, items)),
            headers={"Retry-After": str(max(waits))},
        )


def _tell(response: Response) -> Response:
    response.headers.update(g.get("quota", {}))
    return response
