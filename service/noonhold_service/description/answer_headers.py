"""The headers of answers, as the description has them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final


def _text(description: str, example: str) -> dict[str, Any]:
    return {"description": description, "schema": {"type": "string"}, "example": example}


HEADERS: Final[Mapping[str, dict[str, Any]]] = {
    "X-Request-ID": _text("The client's own where it sent a short one, else new.", "a1"),
    "ETag": _text("A digest of the content: equal answers have equal tags.", '"5e8a"'),
    "Cache-Control": _text("How long the answer may be kept, and by whom.", "private, max-age=300"),
    "RateLimit-Policy": _text(
        "The quota, where the operator set one: requests `q` in `w` seconds.", '"minute";q=60;w=60'
    ),
    "RateLimit": _text("Requests `r` left in the `t` seconds to come.", '"minute";r=59;t=60'),
    "Content-Location": _text(
        "Address of this answer by GET, where its question is short enough.",
        "/v1/answers/pq1YqykxR.json",
    ),
}
_OF_LINKED: Final = ("createProjection", "createYear")


def describe_headers(document: dict[str, Any]) -> None:
    """Put the headers of answers into a description; changes it."""
    document["components"]["headers"] = {name: dict(each) for name, each in HEADERS.items()}


def headers_of(operation: Mapping[str, Any]) -> dict[str, Any]:
    """Return the headers of an operation's answer, as references."""
    linked = operation["operationId"] in _OF_LINKED
    return {
        name: {"$ref": f"#/components/headers/{name}"}
        for name in HEADERS
        if linked or name != "Content-Location"
    }
