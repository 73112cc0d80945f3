"""What computed a result: release, libraries, and the hash of the model's own sources."""

from __future__ import annotations

import hashlib
import platform
from importlib import metadata
from pathlib import Path

import engine

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


def model_hash() -> str:
    """Return the SHA-256 over the sources of ``engine``: the same physics, the same hash.

    Returns
    -------
    str
        Hexadecimal.
    """
    root = Path(engine.__file__).parent
    digest = hashlib.sha256()
    for path in sorted(root.rglob("*.py")):
        digest.update(path.relative_to(root).as_posix().encode() + b"\0")
        digest.update(path.read_bytes() + b"\0")
    return digest.hexdigest()


def versions() -> dict[str, str]:
    """Return every version that could move a number.

    Returns
    -------
    dict of str to str
        ``noonhold``, ``model`` (see `model_hash`), ``python`` and the libraries.
    """
    found = {DISTRIBUTION: release(), "model": model_hash(), "python": platform.python_version()}
    return found | {name: metadata.version(name) for name in _LIBRARIES}
