"""One answer in the form that the client asks for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from flask import Response, current_app, request

from noonhold.pictures.day_picture import draw_day
from noonhold.pictures.picture_output import KINDS
from noonhold.projection_result import ProjectionResult
from noonhold_service.http.csv_table import MEDIA_TYPE, hours_csv
from noonhold_service.problems import ProblemError
from noonhold_service.strict_json import json_response

JSON: Final = "application/json"
CSV: Final = MEDIA_TYPE
PICTURE_POLICY: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
OFFERED: Final = (JSON, CSV, *KINDS)


def acceptable(offered: Sequence[str] = OFFERED) -> str:
    """Return the media type that the current request likes best of those offered.

    Parameters
    ----------
    offered : sequence of str, optional
        Media types.

    Returns
    -------
    str
        JSON where it states no liking.

    Raises
    ------
    ProblemError
        ``not-acceptable``; asked before anything is computed.
    """
    if not request.headers.get("Accept", "").strip():
        return JSON
    best = request.accept_mimetypes.best_match(offered)
    if best is None:
        verb = "is" if len(offered) == 1 else "are"
        raise ProblemError("not-acceptable", f"offered {verb} {', '.join(offered)}")
    return best


def picture_response(picture: bytes, media_type: str) -> Response:
    """Return a picture as a response that depends on the Accept header.

    Parameters
    ----------
    media_type : str
        From :func:`acceptable`.
    """
    response = current_app.response_class(picture, mimetype=media_type)
    # An SVG carries its own styles; it still may load and run nothing.
    response.headers["Content-Security-Policy"] = PICTURE_POLICY
    return response


def respond_with(document: dict[str, Any], media_type: str, found: ProjectionResult) -> Response:
    """Return a projection's answer in a form.

    Parameters
    ----------
    document : dict
        From :func:`noonhold_service.answers.projection_answer.projection_document`.
    media_type : str
        From :func:`acceptable`.
    found : ProjectionResult
        What the document describes, for a picture.
    """
    if media_type == JSON:
        response = json_response(document)
    elif media_type == CSV:
        response = current_app.response_class(
            hours_csv(document), content_type=f"{CSV}; charset=utf-8"
        )
    else:
        picture = draw_day(found, document["summary"]["sentence"], KINDS[media_type])
        response = picture_response(picture, media_type)
    response.vary.add("Accept")
    return response
