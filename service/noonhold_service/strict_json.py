"""JSON as it is written, and nothing that merely resembles it: read strictly, written finitely."""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import PurePath
from typing import Any, Final

import numpy as np
from flask import Response, current_app
from flask.json.provider import JSONProvider

from noonhold.errors import Fault

MOST_DIGITS: Final = 100
MOST_KEYS: Final = 500


class NotJsonError(ValueError):
    """A text that is not JSON, or is JSON whose meaning depends on the reader."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault
        super().__init__(fault.message)


def parse(text: bytes, max_depth: int, max_keys: int = MOST_KEYS) -> Any:
    """Read JSON by RFC 8259, refusing what it leaves to the reader.

    Parameters
    ----------
    text : bytes
        UTF-8.
    max_depth : int
        Deepest nesting of objects and lists.
    max_keys : int, optional
        Most keys of one object.

    Returns
    -------
    object
        As :func:`json.loads` gives it.

    Raises
    ------
    NotJsonError
        Broken syntax or encoding, a key twice in an object, ``NaN`` or ``Infinity``, a number
        beyond a double's range, nesting that is too deep, an object of too many keys.
    """
    try:
        decoded = text.decode("utf-8")
    except UnicodeDecodeError as error:
        raise NotJsonError(
            Fault("", f"byte {error.start} of the body is not UTF-8", None, "UTF-8")
        ) from None

    def pairs_hook(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        if len(pairs) > max_keys:
            raise NotJsonError(
                Fault("", f"an object has {len(pairs)} keys", None, f"at most {max_keys} keys")
            )
        return _unique(pairs)

    try:
        document = json.loads(
            decoded,
            object_pairs_hook=pairs_hook,
            parse_constant=_no_constant,
            parse_float=_finite,
            parse_int=_integer,
        )
    except json.JSONDecodeError as error:
        raise NotJsonError(
            Fault("", f"{error.msg} at line {error.lineno}, column {error.colno}", None, "RFC 8259")
        ) from None
    except RecursionError:
        raise _too_deep(max_depth) from None
    _check_depth(document, max_depth)
    return document


def _check_depth(document: Any, most: int) -> None:
    """Refuse nesting that later steps, which go down by recursion, could not bear."""
    level, depth = [[document]], 0
    while level:
        if depth > most:
            raise _too_deep(most)
        level = [
            list(item.values()) if isinstance(item, dict) else item
            for each in level
            for item in each
            if isinstance(item, dict | list)
        ]
        depth += 1


def _too_deep(most: int) -> NotJsonError:
    return NotJsonError(Fault("", "the body is nested too deeply", None, f"at most {most} levels"))


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    result = dict(pairs)
    if len(result) != len(pairs):
        ((twice, _),) = Counter(key for key, _ in pairs).most_common(1)
        raise NotJsonError(
            Fault("", f"the key {_short(twice)} stands twice in one object", twice, "once")
        )
    return result


def _no_constant(text: str) -> Any:
    raise NotJsonError(Fault("", f"{text} is not a JSON number", text, "a finite number"))


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise NotJsonError(
            Fault("", f"{_short(text)} is beyond the range of a double", text[:MOST_DIGITS])
        )
    return number


def _integer(text: str) -> int:
    if len(text) > MOST_DIGITS:
        raise NotJsonError(
            Fault("", f"{_short(text)} has too many digits", None, f"at most {MOST_DIGITS} digits")
        )
    return int(text)


def _short(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:37] + "...")


def plain(value: Any) -> Any:
    """Return a value as JSON can carry it; what is no finite number becomes null.

    Parameters
    ----------
    value : object
        Numbers, texts, dates, numpy scalars and arrays, mappings and sequences of these.

    Returns
    -------
    object
        Made of dict, list, str, int, float, bool and None; anything unknown as its text.
    """
    if value is None or isinstance(value, bool | str):
        return str(value) if type(value) not in (str, bool, type(None)) else value
    if isinstance(value, np.ndarray | np.generic):
        return plain(value.tolist())
    if isinstance(value, int):
        return int(value)
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, Sequence | set | frozenset) and not isinstance(value, bytes | bytearray):
        return [plain(each) for each in value]
    if isinstance(value, date):
        return value.isoformat()
    return value.name if isinstance(value, PurePath) else str(value)


class StrictJsonProvider(JSONProvider):
    """Flask's JSON: order kept, nothing but ASCII, an unfinite number an error and never sent."""

    def dumps(self, obj: Any, **kwargs: Any) -> str:
        """Return JSON text."""
        return json.dumps(obj, allow_nan=False, separators=(",", ":"), **kwargs)

    def loads(self, s: str | bytes, **kwargs: Any) -> Any:
        """Read JSON text."""
        return json.loads(s, **kwargs)


def json_response(document: Any) -> Response:
    """Return a document as a JSON response.

    Parameters
    ----------
    document : object
        Finite and plain.
    """
    response: Response = current_app.response_class(
        current_app.json.dumps(document), mimetype="application/json"
    )
    return response
