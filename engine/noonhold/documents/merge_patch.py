"""JSON merge patch: how a variant says what it changes in a document."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def merge_patch(target: Any, patch: Any) -> Any:
    """Return a document with a patch applied; neither of them is changed.

    Parameters
    ----------
    target : object
        A JSON value as the JSON parser gave it.
    patch : object
        What changes: an object is merged member by member, ``null`` removes a member, and
        anything else, a list too, stands in the place of what was there.

    Returns
    -------
    object
        The patched value; what the patch leaves alone is shared with the target, not copied.

    Notes
    -----
    A merge patch cannot set a member to null nor change one item of a list.

    References
    ----------
    .. [1] P. Hoffman, J. Snell, "JSON Merge Patch", RFC 7396, section 2, 2014.
       :doi:`10.17487/RFC7396`

    Examples
    --------
    >>> merge_patch({"a": {"b": 1, "c": 2}}, {"a": {"c": None, "d": [3]}})
    {'a': {'b': 1, 'd': [3]}}
    """
    if not isinstance(patch, Mapping):
        return patch
    result: dict[str, Any] = dict(target) if isinstance(target, Mapping) else {}
    for name, value in patch.items():
        if value is None:
            result.pop(name, None)
        else:
            result[name] = merge_patch(result.get(name), value)
    return result
