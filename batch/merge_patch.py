"""JSON merge patch, RFC 7396: how a variant says what it changes."""

from __future__ import annotations

from typing import Any


def merge_patch(target: Any, patch: Any) -> Any:
    """Return a document with a patch applied; neither is changed.

    Parameters
    ----------
    target : object
        JSON value.
    patch : object
        JSON value; ``null`` takes a member away, a list replaces a list as a whole.

    Returns
    -------
    object
        The patched value.

    References
    ----------
    RFC 7396, section 2.

    Examples
    --------
    >>> merge_patch({"a": {"b": 1, "c": 2}}, {"a": {"c": None}})
    {'a': {'b': 1}}
    """
    if not isinstance(patch, dict):
        return patch
    result = dict(target) if isinstance(target, dict) else {}
    for key, value in patch.items():
        if value is None:
            result.pop(key, None)
        else:
            result[key] = merge_patch(result.get(key), value)
    return result
