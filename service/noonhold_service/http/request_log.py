"""A request id and one line of JSON for every request; no bodies, no keys."""

from __future__ import annotations

import json
import logging
import re
import sys
import time
import uuid
from datetime import UTC, datetime
from typing import Final

from flask import Flask, Response, g, request

from noonhold_service.state.app_state import app_state

HEADER: Final = "X-Request-ID"
LOGGER: Final = logging.getLogger("service.requests")
# W3C Trace Context, version 00
_TRACE: Final = re.compile(r"00-([0-9a-f]{32})-[0-9a-f]{16}-[0-9a-f]{2}")
_GOOD_ID: Final = re.compile(r"[A-Za-z0-9._-]{1,64}")


def register_request_log(app: Flask) -> None:
    """Give every request of an application its id, its line and its count."""
    app.before_request(_begin)
    app.after_request(_end)


def _begin() -> None:
    given = request.headers.get(HEADER, "")
    g.request_id = given if _GOOD_ID.fullmatch(given) else uuid.uuid4().hex
    g.began = time.perf_counter()


def _end(response: Response) -> Response:
    seconds = time.perf_counter() - g.began
    route = request.url_rule.rule if request.url_rule is not None else "unknown"
    method = request.method if request.method in _METHODS else "other"
    app_state().metrics.request(route, method, response.status_code, seconds)
    response.headers[HEADER] = g.request_id
    line = {
        "time": datetime.now(UTC).isoformat(timespec="milliseconds"),
        "request_id": g.request_id,
        "method": method,
        "route": route,
        "status": response.status_code,
        "ms": round(1000.0 * seconds, 1),
        "bytes_in": request.content_length,
        "bytes_out": response.content_length,
    }
    if "key" in g:
        line["key"] = g.key
    trace = _TRACE.fullmatch(request.headers.get("traceparent", ""))
    if trace:
        line["trace_id"] = trace[1]
    if "problem" in g:
        line["problem"] = g.problem
    LOGGER.info("%s", json.dumps(line))
    return response


def log_refused(status: int, problem: str, request_id: str, bytes_out: int) -> None:
    """Log a request that the server refused before the application saw it.

    Parameters
    ----------
    status : int
        Of the answer.
    problem : str
        Its kind.
    request_id : str
        As the answer names it.
    bytes_out : int
        Of the answer's body. [bytes]
    """
    line = {
        "time": datetime.now(UTC).isoformat(timespec="milliseconds"),
        "request_id": request_id,
        "method": "other",
        "route": "unknown",
        "status": status,
        "bytes_out": bytes_out,
        "problem": problem,
    }
    LOGGER.info("%s", json.dumps(line))


def log_to_stderr() -> None:
    """Send the lines of requests, and what went wrong, to standard error."""
    lines = logging.StreamHandler(sys.stderr)
    lines.setFormatter(logging.Formatter("%(message)s"))
    for name in ("service.requests", "service"):
        logger = logging.getLogger(name)
        logger.setLevel(logging.INFO)
        logger.propagate = False
        logger.addHandler(lines)
    # A line of plain text whenever a request waits for a thread; how busy it is stands in /metrics.
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)


_METHODS: Final = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT")
