"""The kinds of field that every answer is described with; metadata goes to the description."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, fields


def text(description: str, *, null: bool = False, **metadata: Any) -> fields.Field[Any]:
    """Return a text of an answer."""
    return fields.String(
        required=True, allow_none=null, metadata={"description": description, **metadata}
    )


def real(description: str, *, null: bool = False, **metadata: Any) -> fields.Field[Any]:
    """Return a number of an answer; its unit stands in brackets at the end."""
    return fields.Float(
        required=True, allow_none=null, metadata={"description": description, **metadata}
    )


def whole(description: str, **metadata: Any) -> fields.Field[Any]:
    """Return a count of an answer."""
    return fields.Integer(
        required=True, metadata={"description": description, "minimum": 0, **metadata}
    )


def truth(description: str, **metadata: Any) -> fields.Field[Any]:
    """Return a yes or no of an answer."""
    return fields.Boolean(required=True, metadata={"description": description, **metadata})


def part(schema: type[Schema], description: str, *, null: bool = False) -> fields.Field[Any]:
    """Return a part of an answer that has a schema of its own."""
    return fields.Nested(
        schema, required=True, allow_none=null, metadata={"description": description}
    )


def many(inner: fields.Field[Any], description: str, **metadata: Any) -> fields.Field[Any]:
    """Return a list of an answer."""
    return fields.List(inner, required=True, metadata={"description": description, **metadata})
