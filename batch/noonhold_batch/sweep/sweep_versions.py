"""What computed a result: release, libraries, and the hash of the model's own sources."""

from __future__ import annotations

import platform
from functools import cache
from importlib import metadata

from noonhold.numerics.machine_code import sources_digest

DISTRIBUTION = "noonhold"
_LIBRARIES = ("numba", "numpy", "pandas", "pvlib", "scipy", "xarray", "zarr")


def release() -> str:
    """Return the release of this project, ``unreleased`` where it is not installed."""
    try:
        return metadata.version(DISTRIBUTION)
    except metadata.PackageNotFoundError:
        return "unreleased"


@cache
def model_digest() -> str:
    """Return the hash of the library's sources as this process has them.

    Returns
    -------
    str
        Hexadecimal.
    """
    return sources_digest()


def versions() -> dict[str, str]:
    """Return every version that could move a number.

    Returns
    -------
    dict of str to str
        ``noonhold``, ``model`` (the digest of the library's sources), ``python`` and the libraries.
    """
    found = {
        DISTRIBUTION: release(),
        "model": model_digest(),
        "python": platform.python_version(),
    }
    return found | {name: metadata.version(name) for name in _LIBRARIES}
