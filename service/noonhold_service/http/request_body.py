"""The body of a request: declared as JSON, unpacked within the limit, strictly read."""

from __future__ import annotations

import zlib
from typing import Any, Final

from flask import request
from werkzeug.exceptions import RequestEntityTooLarge

from noonhold_service.http.study_costs import seconds_to_read
from noonhold_service.problems import ProblemError
from noonhold_service.settings import Settings
from noonhold_service.strict_json import NotJsonError, parse

_GZIP: Final = 31  # zlib: a gzip header and trailer around 32 kB of window
_PIECE: Final = 65_536


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
        ``wrong-media-type``, ``too-large``, ``bad-request`` or ``not-json``.
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
    body = _unpacked(_raw(settings), settings)
    try:
        document = parse(body, settings.max_depth, settings.max_keys)
    except NotJsonError as error:
        raise ProblemError("not-json", str(error), [error.fault]) from None
    return document, seconds_to_read(document, len(body))


def _raw(settings: Settings) -> bytes:
    """Return the body as it came, whole or not at all."""
    if not request.environ.get("wsgi.input_terminated"):
        try:
            return request.get_data(cache=False)
        except RequestEntityTooLarge:
            raise too_large(settings) from None
    # In chunks, of no declared length: one byte more than is allowed is read to see that it is.
    pieces: list[bytes] = []
    source, length = request.environ["wsgi.input"], 0
    while length <= settings.max_body_bytes:
        try:
            piece = source.read(min(_PIECE, settings.max_body_bytes + 1 - length))
        except (OSError, ValueError) as error:
            raise ProblemError("bad-request", f"the body cannot be read: {error}") from None
        if not piece:
            return b"".join(pieces)
        pieces.append(piece)
        length += len(piece)
    raise too_large(settings)


def _unpacked(body: bytes, settings: Settings) -> bytes:
    """Return the content of a body that may be compressed, within the limit."""
    coding = request.headers.get("Content-Encoding", "identity").strip().lower()
    if coding in ("identity", ""):
        return body
    if coding not in ("gzip", "x-gzip"):
        raise ProblemError(
            "wrong-media-type",
            f"the body is compressed as {coding[:100]!r}; this address takes gzip or none",
            headers={"Accept-Encoding": "gzip"},
        )
    unpacker = zlib.decompressobj(_GZIP)
    try:
        content = unpacker.decompress(body, settings.max_body_bytes + 1)
    except zlib.error:
        raise ProblemError("bad-request", "the body is declared as gzip and is not") from None
    if len(content) > settings.max_body_bytes:
        raise too_large(settings, "unpacked it is longer than that")
    if not unpacker.eof or unpacker.unused_data:
        raise ProblemError("bad-request", "the body is no whole gzip member, or more than one")
    return content


def too_large(settings: Settings, given: str | None = None) -> ProblemError:
    """Return the refusal of a body that is too long, with the limit and what was declared."""
    if given is None:
        length = request.content_length
        given = f"this one is declared as {length} bytes" if length else "this one is longer"
    return ProblemError("too-large", f"a body may have {settings.max_body_bytes} bytes; {given}")
