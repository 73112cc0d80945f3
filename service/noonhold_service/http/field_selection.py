"""Which parts of an answer are sent: all, some by name, or its summary."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, Final

from marshmallow import Schema, fields, validate

from noonhold.errors import Fault
from noonhold_service.http.content_negotiation import JSON
from noonhold_service.http.query import query_of
from noonhold_service.problems import ProblemError

SUMMARY: Final = "summary"
_FIELDS: Final = r"[a-z_]+(,[a-z_]+)*"


class FieldsQuerySchema(Schema):
    """Which parts of the answer are wanted."""

    fields_ = fields.String(
        data_key="fields",
        validate=validate.Regexp(re.compile(rf"{_FIELDS}\Z")),
        metadata={
            "description": "Parts of the answer by name, with commas between; `summary` is what "
            "one asks first, in about a kilobyte. Without it everything is sent. JSON only.",
            "example": SUMMARY,
            "pattern": f"^{_FIELDS}$",
        },
    )


def wanted_fields(
    answer: type[Schema], summary: Iterable[str], form: str
) -> tuple[str, ...] | None:
    """Return which parts the current request wants, before anything is computed.

    Parameters
    ----------
    answer : type of marshmallow.Schema
        Of the whole answer.
    summary : iterable of str
        The parts that ``summary`` stands for.
    form : str
        Media type of the answer; only JSON has parts.

    Raises
    ------
    ProblemError
        ``invalid-query`` where a part is unknown, or the answer is no JSON.
    """
    asked = query_of(FieldsQuerySchema())
    if "fields_" not in asked:
        return None
    known = tuple(answer().fields)
    wanted: list[str] = []
    for name in asked["fields_"].split(","):
        if name == SUMMARY:
            wanted += summary
        elif name in known:
            wanted.append(name)
        else:
            bound = "one of " + ", ".join(dict.fromkeys((SUMMARY, *known)))
            fault = Fault("fields", "the answer has no such part", name, bound)
            raise ProblemError("invalid-query", str(fault), [fault])
    if form != JSON:
        raise ProblemError("invalid-query", f"fields: goes only with {JSON}, not with {form}")
    return tuple(dict.fromkeys(wanted))


def only(document: Mapping[str, Any], wanted: tuple[str, ...] | None) -> dict[str, Any]:
    """Return the wanted parts of an answer, in its own order; what it does not have is left out."""
    if wanted is None:
        return dict(document)
    return {name: value for name, value in document.items() if name in wanted}
