"""What every answer says about itself: safety, origins, freshness; and gzip where it is welcome."""

from __future__ import annotations

import gzip
from functools import lru_cache
from typing import Final

from flask import Flask, Response, current_app, request

from noonhold_service.state.app_state import app_state

# An answer of this service is data: nothing in it may load, run or be framed.
_POLICY: Final = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
SAFETY: Final = {
    "Content-Security-Policy": _POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
}
_NEVER_KEPT: Final = ("/healthz", "/readyz", "/metrics")
_CROSS_ORIGIN: Final = {
    "Access-Control-Allow-Methods": "GET, HEAD, POST, OPTIONS",
    "Access-Control-Allow-Headers": (
        "Accept, Authorization, Content-Encoding, Content-Type, If-None-Match, X-Request-ID, "
        "traceparent"
    ),
    "Access-Control-Expose-Headers": (
        "Content-Location, ETag, Link, RateLimit, RateLimit-Policy, Retry-After, X-Request-ID"
    ),
    "Access-Control-Max-Age": "3600",
}
_FRESH_S: Final = 300
_FILES: Final = ("/docs", "/page", "/openapi.json")
_WORTH_PACKING: Final = 1_000
_PACKABLE: Final = ("application/json", "application/problem+json", "text/", "image/svg+xml")


def register_response_headers(app: Flask) -> None:
    """Complete every answer of an application."""
    # Flask runs them last registered first: the tag is that of the plain content.
    app.after_request(_pack)
    app.after_request(_tag)
    app.after_request(_open_to_origins)
    app.after_request(_make_safe)
    app.after_request(_allow)


def _allow(response: Response) -> Response:
    """List the methods of the address that matched, not of a pattern that would match it too."""
    matched = request.url_rule
    if request.method == "OPTIONS" and matched is not None and "Allow" in response.headers:
        rules = [r for r in current_app.url_map.iter_rules() if r.rule == matched.rule]
        methods = set().union(*(rule.methods or () for rule in rules))
        response.headers["Allow"] = ", ".join(sorted(methods))
    return response


def _make_safe(response: Response) -> Response:
    for name, value in SAFETY.items():
        response.headers.setdefault(name, value)
    return response


def _open_to_origins(response: Response) -> Response:
    """Let the browsers of the allowed origins, and of no other, read the answer."""
    allowed = app_state().settings.allowed_origins
    if not allowed:
        return response
    origin = request.headers.get("Origin", "")
    if "*" in allowed:
        response.headers["Access-Control-Allow-Origin"] = "*"
    else:
        response.vary.add("Origin")
        if origin not in allowed:
            return response
        response.headers["Access-Control-Allow-Origin"] = origin
    response.headers.update(_CROSS_ORIGIN)
    return response


def _tag(response: Response) -> Response:
    """Tag what depends on its request alone, and answer 304 to whom has it."""
    if response.status_code != 200 or request.path in _NEVER_KEPT or request.method == "OPTIONS":
        response.headers.setdefault("Cache-Control", "no-store")
        return response
    whose = "private" if app_state().settings.key_hashes or request.method == "POST" else "public"
    response.headers.setdefault("Cache-Control", f"{whose}, max-age={_FRESH_S}")
    if response.is_streamed or response.direct_passthrough:
        return response
    response.add_etag()
    if request.method in ("GET", "HEAD"):
        response.make_conditional(request)
    elif request.method == "POST" and _is_known(response):
        # By RFC 9110 a POST would get 412. But these POSTs change nothing, they only ask with a
        # body, and 304 is what a client that keeps answers expects.
        response.status_code = 304
        response.set_data(b"")
        for name in ("Content-Type", "Content-Length"):
            response.headers.pop(name, None)
    return response


def _is_known(response: Response) -> bool:
    tag, _ = response.get_etag()
    return tag is not None and request.if_none_match.contains_weak(tag)


def _pack(response: Response) -> Response:
    """Pack a long text for whom can unpack it."""
    if response.direct_passthrough and response.status_code == 200 and not _in_part(response):
        # An installed file: short enough to be read whole.
        response.direct_passthrough = False
        response.set_data(response.get_data())
    if (
        response.is_streamed
        or response.direct_passthrough
        or "Content-Encoding" in response.headers
    ):
        return response
    if not (response.mimetype or "").startswith(_PACKABLE):
        return response
    response.vary.add("Accept-Encoding")
    length = response.content_length or 0
    if length < _WORTH_PACKING or not request.accept_encodings["gzip"]:
        return response
    response.set_data(_packed(response.get_data(), request.path.startswith(_FILES)))
    response.headers["Content-Encoding"] = "gzip"
    tag, _ = response.get_etag()
    if tag is not None:
        response.set_etag(tag, weak=True)
    return response


def _in_part(response: Response) -> bool:
    return request.method == "HEAD" or "Content-Range" in response.headers


def _packed(content: bytes, is_file: bool) -> bytes:
    # Level 1 is a fifth of the time of level 6 for a tenth more bytes; no time stamp, so that
    # equal answers are equal bytes.
    return _packed_file(content) if is_file else gzip.compress(content, compresslevel=1, mtime=0)


@lru_cache(64)
def _packed_file(content: bytes) -> bytes:
    """Return an installed file packed; once each, so it may take its time."""
    return gzip.compress(content, compresslevel=9, mtime=0)
