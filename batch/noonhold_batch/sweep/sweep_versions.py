"""What computed a result: release, libraries, and the hash of the model's own sources."""

from __future__ import annotations

import platform
from importlib import metadata

from noonhold.numerics.machine_code import sources_digest

DISTRIBUTION = "noonhold"
_LIBRARIES = ("numba", "numpy", "pandas", "pvlib", "scipy", "xarray", "zarr")


def release() -> str:
    """Return the release of this project, ``unreleased`` where it is not installed.

    Returns
    -------
    str
    """
    try:
        return metadata.version(DISTRIBUTION)
    except metadata.PackageNotFoundError:
        return "unreleased"


def versions() -> dict[str, str]:
    """Return every version that could move a number.

    Returns
    -------
    dict of str to str
        ``noonhold``, ``model`` (the digest of the library's sources), ``python`` and the libraries.
    """
    found = {
        DISTRIBUTION: release(),
        "model": sources_digest(),
        "python": platform.python_version(),
    }
    return found | {name: metadata.version(name) for name in _LIBRARIES}
