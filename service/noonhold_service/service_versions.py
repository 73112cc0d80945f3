"""Which releases computed an answer."""

from __future__ import annotations

from functools import cache
from importlib.metadata import version
from typing import Final

_NAMED: Final = ("noonhold", "numba", "numpy", "pvlib")


@cache
def versions() -> dict[str, str]:
    """Return the releases of this program and of the libraries that make its numbers."""
    return {name: version(name) for name in _NAMED}


def own_version() -> str:
    """Return this program's release."""
    return versions()["noonhold"]
