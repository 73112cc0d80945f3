"""From results to plain values that a JSON writer takes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum, IntEnum
from typing import Any

import numpy as np


def plain(value: object) -> Any:
    """Return a result as dicts, lists, texts, numbers and nulls.

    Parameters
    ----------
    value : object
        Dataclasses, mappings, sequences and arrays of numbers, dates, enumerations and texts.

    Returns
    -------
    object
        A dataclass becomes a dict of its fields, an integer enumeration its case's name in
        small letters, another enumeration its value, a number that is not finite ``None``, a
        date its ISO 8601 text.

    Raises
    ------
    TypeError
        For what has no place in JSON, so that no answer leaves in a form nobody meant.

    Examples
    --------
    >>> plain({"peak_c": float("nan"), "rises": (1.0, np.float64(2.5))})
    {'peak_c': None, 'rises': [1.0, 2.5]}
    """
    if isinstance(value, Enum):
        return value.name.lower() if isinstance(value, IntEnum) else plain(value.value)
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    return _plain_parts(value)


def _plain_parts(value: object) -> Any:
    """Return what is made of parts, or comes from numpy."""
    if isinstance(value, np.datetime64):
        return str(value)
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, date):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return {part.name: plain(getattr(value, part.name)) for part in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(part) for key, part in value.items()}
    if isinstance(value, tuple | list | np.ndarray):
        return [plain(part) for part in value]
    raise TypeError(f"a {type(value).__name__} has no place in an answer")
