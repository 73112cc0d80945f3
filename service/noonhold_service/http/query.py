"""The query of a request, read by a schema, with every fault reported at once."""

from __future__ import annotations

from typing import Any

from flask import request
from marshmallow import RAISE, Schema, ValidationError

from noonhold.errors import Fault
from noonhold_service.problems import ProblemError


def query_of(schema: Schema) -> dict[str, Any]:
    """Return the parameters of the current request's query.

    Parameters
    ----------
    schema : marshmallow.Schema
        What they must be; unknown names are refused.

    Raises
    ------
    ProblemError
        ``invalid-query``; pointers are the parameters' names.
    """
    given = request.args.to_dict(flat=False)
    faults = [
        Fault(name, "stands more than once", values, "once")
        for name, values in given.items()
        if len(values) > 1
    ]
    try:
        loaded = schema.load({name: values[0] for name, values in given.items()}, unknown=RAISE)
    except ValidationError as error:
        messages: Any = error.messages
        for name, reasons in messages.items():
            values = given.get(name, [None])
            said = (
                "; ".join(str(each) for each in reasons)
                if isinstance(reasons, list)
                else str(reasons)
            )
            bound = (
                schema.fields[name].metadata.get("description")
                if name in schema.fields
                else ("one of " + ", ".join(schema.fields))
            )
            faults.append(Fault(name, said, values[0], bound))
        loaded = {}
    if faults:
        detail = "; ".join(f"{fault.path}: {fault.message}" for fault in faults)
        raise ProblemError("invalid-query", detail, faults)
    result: dict[str, Any] = dict(loaded)
    return result
