"""``/docs``: the description as a page to read and to try, from installed files alone."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import flask_swagger_ui
from flask import Blueprint, Response, current_app, send_from_directory

from noonhold_service.problems import ProblemError

blueprint = Blueprint("documentation", __name__)

_FILES: Final = Path(flask_swagger_ui.__file__).parent / "dist"
_SERVED: Final = ("swagger-ui.css", "swagger-ui-bundle.js", "favicon-32x32.png")
# The page sets styles from its scripts and holds its pictures in data addresses; it reaches
# nobody but us.
_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
_PAGE: Final = """\
<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Noonhold</title>
<link rel="icon" href="/docs/favicon-32x32.png">
<link rel="stylesheet" href="/docs/swagger-ui.css">
</head>
<body>
<div id="description"></div>
<noscript>The description itself is at <a href="/openapi.json">/openapi.json</a>.</noscript>
<script src="/docs/swagger-ui-bundle.js"></script>
<script src="/docs/start.js"></script>
</body>
</html>
"""
_START: Final = """\
SwaggerUIBundle({
  url: "/openapi.json",
  dom_id: "#description",
  deepLinking: true,
  validatorUrl: null,
  defaultModelsExpandDepth: 0,
});
"""


@blueprint.get("/docs")
def get_page() -> Response:
    """Return the page."""
    response: Response = current_app.response_class(_PAGE, mimetype="text/html")
    response.headers["Content-Security-Policy"] = _POLICY
    return response


@blueprint.get("/docs/start.js")
def get_start() -> Response:
    """Return the script that starts it; one of its own, so that no inline script is allowed."""
    response: Response = current_app.response_class(_START, mimetype="text/javascript")
    return response


@blueprint.get("/docs/<name>")
def get_file(name: str) -> Response:
    """Return one of the installed files."""
    if name not in _SERVED:
        raise ProblemError("not-found", "there is no such file")
    return send_from_directory(_FILES, name, max_age=86_400)
