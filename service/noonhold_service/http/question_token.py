"""A whole question as a piece of an address: what a link needs, and no store.

The token is the kind of the question, then its document as JSON, deflated, in base64url.
"""

from __future__ import annotations

import base64
import binascii
import json
import zlib
from typing import Any, Final

from flask import Response, request

from noonhold_service.problems import ProblemError
from noonhold_service.settings import Settings
from noonhold_service.state.app_state import app_state
from noonhold_service.strict_json import NotJsonError, parse

KINDS: Final = {"p": "/v1/projections", "y": "/v1/years"}
# What an address ends in, and what is answered there.
FORMS: Final = {
    "json": "application/json",
    "svg": "image/svg+xml",
    "png": "image/png",
    "csv": "text/csv",
}
_RAW: Final = -15  # zlib: no header, no checksum; the answer is checked, not the address


def token_of(kind: str, document: Any) -> str:
    """Return the token of a question.

    Parameters
    ----------
    kind : str
        One of :data:`KINDS`.
    document : object
        As the JSON parser returned it; documents that differ by layout alone have one token.

    Returns
    -------
    str
        Letters, digits, ``-`` and ``_``.
    """
    text = json.dumps(document, separators=(",", ":"), sort_keys=True, ensure_ascii=False)
    packer = zlib.compressobj(9, zlib.DEFLATED, _RAW)
    packed = packer.compress(text.encode("utf-8", "surrogatepass")) + packer.flush()
    return kind + base64.urlsafe_b64encode(packed).decode().rstrip("=")


def question_of(token: str, settings: Settings) -> tuple[str, Any, int]:
    """Return the kind of question that a token carries, its document and its length.

    Parameters
    ----------
    token : str
        From :func:`token_of`, or whatever stands in an address.
    settings : Settings
        For the longest token, and the limits of a body, which its content may not exceed either.

    Returns
    -------
    kind : str
    document : object
    length : int
        Of the content. [bytes]

    Raises
    ------
    ProblemError
        ``not-found`` where no question can be read from it, ``too-large`` where it is too long.
    """
    if len(token) > settings.max_token:
        raise ProblemError(
            "too-large", f"a token may have {settings.max_token} characters; send a body instead"
        )
    kind, packed = token[:1], token[1:]
    if kind not in KINDS:
        raise ProblemError("not-found", "no question begins with this letter")
    unpacker = zlib.decompressobj(_RAW)
    try:
        raw = base64.b64decode(packed + "=" * (-len(packed) % 4), altchars=b"-_", validate=True)
        text = unpacker.decompress(raw, settings.max_body_bytes + 1)
    except (binascii.Error, ValueError, zlib.error):
        raise ProblemError("not-found", "no question can be read from this token") from None
    if len(text) > settings.max_body_bytes:
        raise ProblemError("too-large", f"a question may have {settings.max_body_bytes} bytes")
    if not unpacker.eof or unpacker.unused_data:
        raise ProblemError("not-found", "the token is cut off, or something follows it")
    try:
        return kind, parse(text, settings.max_depth, settings.max_keys), len(text)
    except NotJsonError as error:
        raise ProblemError("not-found", f"the token holds no question: {error}") from None


def locate(response: Response, kind: str, document: Any, form: str) -> None:
    """Let an answer name the address where it can be had by GET, where its question is short."""
    token = token_of(kind, document)
    if len(token) <= app_state().settings.max_token:
        ending = next(ending for ending, each in FORMS.items() if each == form)
        address = f"{request.script_root}/v1/answers/{token}.{ending}"
        response.headers["Content-Location"] = address
