"""Which releases computed an answer."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from typing import Final

from service.settings import CHECKOUT

_TOLD: Final = ("numba", "numpy", "pvlib")


@cache
def versions() -> dict[str, str]:
    """Return the releases of this program and of the libraries that make its numbers.

    Returns
    -------
    dict of str to str
    """
    return {"noonhold": own_version(), **{name: version(name) for name in _TOLD}}


@cache
def own_version() -> str:
    """Return this program's release, of the checkout where it runs from one."""
    project = CHECKOUT / "pyproject.toml"
    if project.is_file():
        return str(tomllib.loads(project.read_text(encoding="utf-8"))["project"]["version"])
    try:
        return version("noonhold")
    except PackageNotFoundError:
        return "unknown"
