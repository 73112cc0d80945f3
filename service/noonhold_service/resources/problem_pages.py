"""``/problems/{type}``: a page for each kind of problem, in plain text that any browser shows."""

from __future__ import annotations

from flask import Blueprint, Response, current_app

from noonhold_service.problems import KINDS, ProblemError

blueprint = Blueprint("problem_pages", __name__)


@blueprint.get("/problems")
def list_problems() -> Response:
    """Return the list of all kinds."""
    return _text("\n".join(f"{kind.uri}  {kind.status}  {kind.title}" for kind in KINDS.values()))


@blueprint.get("/problems/<slug>")
def get_problem(slug: str) -> Response:
    """Return the page of one kind."""
    if slug not in KINDS:
        raise ProblemError("not-found", "there is no such kind of problem; see /problems")
    kind = KINDS[slug]
    return _text(
        f"{kind.title}\n{'=' * len(kind.title)}\n\nHTTP status {kind.status}\n\n"
        f"{kind.meaning}\n\nWhat helps: {kind.remedy}"
    )


def _text(text: str) -> Response:
    response: Response = current_app.response_class(
        text + "\n", content_type="text/plain; charset=utf-8"
    )
    return response
