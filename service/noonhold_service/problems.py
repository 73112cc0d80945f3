"""Problems by RFC 9457: the kinds there are, and how one is sent."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from flask import Response, current_app

from noonhold.errors import MOST_FAULTS, Fault
from noonhold_service.strict_json import plain

MEDIA_TYPE: Final = "application/problem+json"
LONGEST_VALUE: Final = 200


@dataclass(frozen=True)
class Kind:
    """A kind of problem; each has a page under ``/problems/{slug}``.

    Parameters
    ----------
    slug : str
        Last part of its type.
    status : int
        HTTP status.
    title : str
        In a few words.
    meaning : str
        When it comes.
    remedy : str
        What helps.
    """

    slug: str
    status: int
    title: str
    meaning: str
    remedy: str

    @property
    def uri(self) -> str:
        """Return the type as a reference relative to the service's root."""
        return f"/problems/{self.slug}"


_KINDS = (
    Kind(
        "bad-request",
        400,
        "Bad request",
        "The request could not be understood.",
        "Send a well-formed HTTP request.",
    ),
    Kind(
        "not-json",
        400,
        "The body is not JSON",
        "The body is no JSON by RFC 8259, or its meaning would depend on the reader: a key stands "
        "twice in one object, a number is NaN, Infinity or beyond a double's range, the text is "
        "not UTF-8, it is nested too deeply, or one object has too many keys.",
        "Mend the text at the place named; leave out what is not known instead of sending NaN.",
    ),
    Kind(
        "no-access",
        401,
        "A key is needed",
        "This service is open to holders of a key only, and the request brought none that is "
        "known.",
        "Send the header 'Authorization: Bearer ...' with a key of the operator's.",
    ),
    Kind(
        "not-found",
        404,
        "Not found",
        "There is nothing at this address.",
        "See /openapi.json or /docs for the addresses there are.",
    ),
    Kind(
        "wrong-method",
        405,
        "Method not allowed",
        "The address exists, but not for this method.",
        "Use one of the methods in the Allow header.",
    ),
    Kind(
        "not-acceptable",
        406,
        "Not acceptable",
        "The answer has none of the media types that the Accept header admits.",
        "Ask for one of the types that the description of the operation names.",
    ),
    Kind(
        "too-slow",
        408,
        "The request took too long to arrive",
        "The request did not arrive whole within the time that this service waits for one.",
        "Send the request in one go.",
    ),
    Kind(
        "too-large",
        413,
        "The body is too large",
        "The body is longer than this service takes.",
        "Send fewer days of own columns at a time; the limit is the operator's.",
    ),
    Kind(
        "wrong-media-type",
        415,
        "Wrong media type",
        "The body is not declared as JSON in UTF-8.",
        "Send the header 'Content-Type: application/json'.",
    ),
    Kind(
        "quota-exceeded",
        429,
        "Too many requests",
        "This caller has sent more requests than its quota allows.",
        "Wait the seconds that Retry-After names; RateLimit says what is left.",
    ),
    Kind(
        "headers-too-large",
        431,
        "The headers are too large",
        "The request's line or its headers are longer than this service takes.",
        "Send shorter headers; documents belong into the body.",
    ),
    Kind(
        "invalid-document",
        422,
        "The document breaks rules",
        "The body is JSON, but not a document of this service. Every fault found is listed under "
        "errors, each with the JSON pointer of the field, what was found, what is allowed, and a "
        "hint where a mix-up of units is likely.",
        "Mend the fields that the pointers name.",
    ),
    Kind(
        "invalid-query",
        422,
        "The query breaks rules",
        "A parameter of the query is unknown, or its value is not allowed.",
        "Mend the parameters that the errors name.",
    ),
    Kind(
        "limit-exceeded",
        422,
        "More than this service computes at once",
        "The document is sound but asks for more than the operator allows in one request.",
        "Ask in several requests, each within the bound.",
    ),
    Kind(
        "no-weather",
        422,
        "No weather for this request",
        "No station has that name or stands near enough, or its weather cannot be used.",
        "Choose a station from /v1/stations, raise max_distance_km, or describe the weather by "
        "hot_day or hourly.",
    ),
    Kind(
        "no-solution",
        422,
        "The model found no physical solution",
        "With this rig the temperatures left the physical range.",
        "Look for a slip of unit or sign in the rig.",
    ),
    Kind(
        "internal",
        500,
        "Something is wrong here",
        "The service failed; the request may be sound.",
        "Tell the operator the request_id.",
    ),
    Kind(
        "busy",
        503,
        "Too busy",
        "As many computations are under way as this service allows.",
        "Try again after the seconds that Retry-After names.",
    ),
    Kind(
        "weather-unreachable",
        503,
        "The online source of weather cannot be used",
        "No station stands near enough, and the online source that this service asks then did not "
        "answer, or not with a typical year.",
        "Try again later, name a station from /v1/stations, raise max_distance_km, or describe "
        "the weather by hot_day or hourly.",
    ),
    Kind(
        "weather-changed",
        503,
        "A weather file was changed under the service",
        "The weather file of this station is gone, or belongs to another station by now, and the "
        "service has not read its folder again.",
        "Name another station; the operator reads the folder again by SIGHUP.",
    ),
    Kind(
        "out-of-time",
        503,
        "The computation took too long",
        "The computation took longer than this service allows, and was ended.",
        "Ask for fewer days, variants or samples in one request; or again, when the service is "
        "less busy.",
    ),
    Kind(
        "not-ready",
        503,
        "Not ready",
        "The model is not compiled yet, or its self-check failed.",
        "Wait; compiling takes up to a minute at the first start.",
    ),
)
KINDS: Final[Mapping[str, Kind]] = {kind.slug: kind for kind in _KINDS}
BY_STATUS: Final = {
    status: KINDS[slug]
    for status, slug in (
        (400, "bad-request"),
        (401, "no-access"),
        (404, "not-found"),
        (405, "wrong-method"),
        (406, "not-acceptable"),
        (408, "too-slow"),
        (413, "too-large"),
        (415, "wrong-media-type"),
        (422, "invalid-document"),
        (429, "quota-exceeded"),
        (431, "headers-too-large"),
        (500, "internal"),
        (503, "busy"),
    )
}


@dataclass(frozen=True)
class ProblemResponse:
    """One answer of a kind of problem."""

    kind: Kind
    detail: str
    faults: tuple[Fault, ...] = ()
    headers: Mapping[str, str] = field(default_factory=dict)
    omitted: int = 0


class ProblemError(Exception):
    """A problem to be sent to the client.

    Parameters
    ----------
    slug : str
        Of the kind.
    detail : str
        What is the matter this time.
    faults : iterable of Fault
        Each with its place.
    headers : mapping, optional
        To be sent along.
    """

    def __init__(
        self,
        slug: str,
        detail: str,
        faults: Iterable[Fault] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self.response = ProblemResponse(KINDS[slug], detail, tuple(faults), dict(headers or {}))
        super().__init__(detail)


def as_document(problem: ProblemResponse, request_id: str | None = None) -> dict[str, Any]:
    """Return a problem as RFC 9457 writes it.

    Parameters
    ----------
    request_id : str, optional
        Of the request that met it.

    Returns
    -------
    dict
        With ``errors``, one a fault, the first hundred of them, and ``errors_omitted`` where
        there are more.
    """
    document: dict[str, Any] = {
        "type": problem.kind.uri,
        "title": problem.kind.title,
        "status": problem.kind.status,
        "detail": problem.detail,
    }
    if request_id is not None:
        document["request_id"] = request_id
    if problem.faults:
        document["errors"] = [_fault(each) for each in problem.faults[:MOST_FAULTS]]
        omitted = problem.omitted + max(len(problem.faults) - MOST_FAULTS, 0)
        if omitted:
            document["errors_omitted"] = omitted
    return document


def _fault(fault: Fault) -> dict[str, Any]:
    return {
        "pointer": fault.path,
        "detail": fault.message,
        "value": _short(plain(fault.value)),
        "bound": fault.bound,
        "hint": fault.hint,
    }


def _short(value: Any) -> Any:
    """Return a value as it is where it is short, else its beginning; a request is not sent back."""
    if isinstance(value, str):
        return value if len(value) <= LONGEST_VALUE else value[:LONGEST_VALUE] + "..."
    if isinstance(value, dict):
        return f"an object of {len(value)} fields"
    if isinstance(value, list) and len(value) > 4:
        return f"a list of {len(value)} items"
    return [_short(each) for each in value] if isinstance(value, list) else value


def respond(problem: ProblemResponse, request_id: str | None = None) -> Response:
    """Return a problem as a response.

    Parameters
    ----------
    request_id : str, optional
        Of the request that met it.
    """
    response: Response = current_app.response_class(
        current_app.json.dumps(as_document(problem, request_id)),
        status=problem.kind.status,
        mimetype=MEDIA_TYPE,
    )
    response.headers.update(problem.headers)
    return response
