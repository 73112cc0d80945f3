"""Keys, where the operator set any: only their digests are known here."""

from __future__ import annotations

import hashlib
import hmac
from typing import Final

from flask import Flask, request

from noonhold_service.problems import ProblemError
from noonhold_service.state.app_state import app_state

_OPEN: Final = ("/", "/healthz", "/readyz", "/openapi.json")
_OPEN_BELOW: Final = ("/docs", "/page", "/problems")
_LONGEST_KEY: Final = 512


def register_access(app: Flask) -> None:
    """Ask for a key before everything but health, documentation and the page's own files.

    Parameters
    ----------
    app : flask.Flask
        The application; without key hashes in its settings it is open.
    """
    app.before_request(_check)


def _check() -> None:
    hashes = app_state().settings.key_hashes
    if not hashes or request.method == "OPTIONS" or is_open(request.path):
        return
    if not is_known(key_of(request.headers.get("Authorization", "")), hashes):
        raise ProblemError(
            "no-access",
            "the request has no key, or none that is known",
            headers={"WWW-Authenticate": 'Bearer realm="noonhold"'},
        )


def is_open(path: str) -> bool:
    """Return whether an address is open to everyone: health, documentation, the page's files."""
    return path in _OPEN or any(path == top or path.startswith(top + "/") for top in _OPEN_BELOW)


def key_of(authorization: str) -> str:
    """Return the bearer key of an ``Authorization`` header, empty where there is none."""
    scheme, _, key = authorization.partition(" ")
    return key.strip() if scheme.lower() == "bearer" else ""


def is_known(key: str, hashes: tuple[str, ...]) -> bool:
    """Tell whether a key is one of those whose digests are known.

    Parameters
    ----------
    key : str
        As the client sent it.
    hashes : tuple of str
        SHA-256 in hexadecimal. Keys are random and long, so a slow hash would add nothing.

    Returns
    -------
    bool
        Every digest is compared, in constant time.
    """
    if not 0 < len(key) <= _LONGEST_KEY:
        return False
    digest = hashlib.sha256(key.encode("utf-8", "surrogateescape")).hexdigest()
    matches = [hmac.compare_digest(digest, each) for each in hashes]
    return any(matches)
