"""The body of a request: declared as JSON, short enough, strictly read."""

from __future__ import annotations

from typing import Any

from flask import request
from werkzeug.exceptions import RequestEntityTooLarge

from noonhold_service.http.study_costs import seconds_to_read
from noonhold_service.problems import ProblemError
from noonhold_service.settings import Settings
from noonhold_service.strict_json import NotJsonError, parse


def json_body(settings: Settings) -> tuple[Any, float]:
    """Return the body of the current request, and what reading it as a document will take.

    Parameters
    ----------
    settings : Settings
        For the limits.

    Returns
    -------
    document : object
        As the JSON says it.
    expected_s : float
        [s]

    Raises
    ------
    ProblemError
        ``wrong-media-type``, ``too-large`` or ``not-json``.
    """
    charset = request.mimetype_params.get("charset", "utf-8").lower()
    if request.mimetype != "application/json" or charset not in ("utf-8", "utf8"):
        given = request.headers.get("Content-Type", "")
        raise ProblemError(
            "wrong-media-type",
            f"the body is declared as {given[:100]!r}; this address takes application/json"
            if given
            else "the body is not declared; this address takes application/json",
            headers={"Accept": "application/json"},
        )
    try:
        body = request.get_data(cache=False)
    except RequestEntityTooLarge:
        raise too_large(settings) from None
    try:
        document = parse(body, settings.max_depth, settings.max_keys)
    except NotJsonError as error:
        raise ProblemError("not-json", str(error), [error.fault]) from None
    return document, seconds_to_read(document, len(body))


def too_large(settings: Settings) -> ProblemError:
    """Return the refusal of a body that is too long, with the limit and what was declared."""
    length = request.content_length
    given = "longer than that" if length is None else f"declared as {length} bytes"
    return ProblemError(
        "too-large",
        f"a body may have {settings.max_body_bytes} bytes; this one is {given}",
        headers={"Connection": "close"},
    )
