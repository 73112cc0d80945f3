"""The page for people at ``/``, and its files under ``/page``: the API's worked example."""

from __future__ import annotations

from pathlib import Path
from types import MappingProxyType
from typing import Final

from flask import Blueprint, Response, current_app, request

from noonhold_service.problems import ProblemError

blueprint = Blueprint("page", __name__)

_FOLDER: Final = Path(__file__).parents[1] / "page"
_TYPES: Final = MappingProxyType(
    {
        ".html": "text/html",
        ".css": "text/css",
        ".js": "text/javascript",
        ".json": "application/json",
        ".svg": "image/svg+xml",
        ".txt": "text/plain",
        ".webmanifest": "application/manifest+json",
    }
)
# Scripts, styles and answers come from here and nowhere else; nothing inline. Pictures for print
# are drawn in the browser and stand in data addresses.
_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


def _served() -> dict[str, Path]:
    """Return the files by the names that requests may use: a name never becomes a path."""
    found = (each for each in _FOLDER.rglob("*") if each.suffix in _TYPES)
    return {each.relative_to(_FOLDER).as_posix(): each for each in found}


_WORKER: Final = "worker.js"
_SERVED: Final = MappingProxyType(_served())


def asks_for_page() -> bool:
    """Tell whether the client of the current request would rather have HTML than JSON.

    Returns
    -------
    bool
        False for a client that takes anything, as most programs do.
    """
    liked = request.accept_mimetypes
    return bool(liked["text/html"] > liked["application/json"])


def page_response(name: str = "index.html") -> Response:
    """Return a file of the page.

    Parameters
    ----------
    name : str
        Relative to the page's folder.

    Returns
    -------
    flask.Response
        To be revalidated each time, lest parts of two releases meet; its tag makes that cheap.

    Raises
    ------
    ProblemError
        There is no such file.
    """
    path = _SERVED.get(name)
    if path is None:
        raise ProblemError("not-found", "there is no such file")
    response: Response = current_app.response_class(
        path.read_bytes(), content_type=f"{_TYPES[path.suffix]}; charset=utf-8"
    )
    response.headers["Content-Security-Policy"] = _POLICY
    response.headers["Cache-Control"] = "no-cache"
    if name == _WORKER:
        # It looks after / as well, beyond its own folder.
        response.headers["Service-Worker-Allowed"] = "/"
    return response


@blueprint.get("/page/")
def get_page() -> Response:
    """Return the page, whatever the client takes."""
    return page_response()


@blueprint.get("/page/<path:name>")
def get_file(name: str) -> Response:
    """Return one of its files."""
    return page_response(name)
