"""Every error as a problem document: never HTML, never a stack trace."""

from __future__ import annotations

import logging
import re
from typing import Final

from flask import Flask, Response, g
from werkzeug.exceptions import HTTPException

from noonhold.errors import (
    DocumentError,
    Fault,
    NoonholdError,
    NumericalError,
    StationNotFoundError,
    WeatherError,
)
from noonhold_service.http.request_body import too_large
from noonhold_service.problems import BY_STATUS, KINDS, ProblemError, ProblemResponse, respond
from noonhold_service.state.app_state import app_state

_LOG: Final = logging.getLogger("service")
_STATION: Final = "/weather/typical_year/station"
# Studies hold projections' documents within their own.
_INSIDE: Final = re.compile(r"/projection|/base|/variants/[0-9]+/patch")


def register_error_handlers(app: Flask) -> None:
    """Let every exception of an application end in a problem."""
    app.register_error_handler(ProblemError, _problem)
    app.register_error_handler(NoonholdError, _model)
    app.register_error_handler(HTTPException, http_problem)
    app.register_error_handler(Exception, _unforeseen)


def _respond(response: ProblemResponse) -> Response:
    g.problem = response.kind.slug
    return respond(response, g.get("request_id"))


def _problem(error: ProblemError) -> Response:
    return _respond(error.response)


def http_problem(error: HTTPException) -> Response:
    """Return the problem of an HTTP status that Flask or Werkzeug raised.

    Parameters
    ----------
    error : werkzeug.exceptions.HTTPException
        With its headers, of which Allow and the like are kept.
    """
    status = error.code or 500
    if status == 413:
        return _problem(too_large(app_state().settings))
    kind = BY_STATUS.get(status) or BY_STATUS[400 if status < 500 else 500]
    kept = {name: value for name, value in error.get_headers() if name.lower() != "content-type"}
    return _respond(ProblemResponse(kind, _said(error, kind.meaning), headers=kept))


def _said(error: HTTPException, meaning: str) -> str:
    if error.code in (404, 405):
        return meaning
    return re.sub(r"<[^>]*>", "", error.description or meaning)


def _model(error: NoonholdError) -> Response:
    problem = problem_of(error)
    return _unforeseen(error) if problem is None else _respond(problem)


def problem_of(error: NoonholdError) -> ProblemResponse | None:
    """Return the problem of an error of the library, ``None`` for one that nobody foresaw."""
    faults = tuple(_in_request(fault) for fault in error.faults)
    if isinstance(error, StationNotFoundError):
        # The catalogue knows no documents: a name stands in one field, a place in another.
        faults = tuple(
            Fault(
                _question(fault.path) + (_STATION if isinstance(fault.value, str) else "/place"),
                fault.message,
                fault.value,
                fault.bound,
                fault.hint,
            )
            for fault in error.faults
        )
        slug = "no-weather"
    elif isinstance(error, WeatherError):
        slug = "no-weather"
    elif isinstance(error, NumericalError):
        slug = "no-solution"
    elif isinstance(error, DocumentError):
        slug = "invalid-document"
    else:
        return None
    count = len(faults) + error.omitted
    detail = str(faults[0]) if count == 1 else f"{count} faults were found; see errors"
    return ProblemResponse(KINDS[slug], detail, faults, omitted=error.omitted)


def _question(path: str) -> str:
    """Return where the projection's document stands in the request; empty where it is it."""
    found = _INSIDE.match(path)
    return found[0] if found else ""


def _in_request(fault: Fault) -> Fault:
    """Return a fault of the engine with its pointer into the request."""
    inside = _question(fault.path)
    path = fault.path[len(inside) :]
    if path.startswith(("/cooler/", "/arrays/")):
        path = "/rig" + path
    elif not path.startswith("/") and path:
        # A weather file asked for by an address: its name is no secret, its folder is never shown.
        return Fault("", f"{path}: {fault.message}", None, fault.bound, fault.hint)
    return Fault(inside + path, fault.message, fault.value, fault.bound, fault.hint)


def _unforeseen(error: Exception) -> Response:
    _LOG.error("unforeseen", exc_info=error)
    return _respond(ProblemResponse(KINDS["internal"], KINDS["internal"].meaning))
