"""Where compiled code is cached, so that an old kernel never answers for changed physics.

numba renews a cached function when its own file changes, not when a function or a constant that it
takes from another file does. The cache therefore gets a folder for every state of the library's
sources, in the user's cache folder. This runs before numba is imported: `noonhold.__init__` calls
it, and worker processes inherit the environment variable.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import sys
import time
from collections.abc import Collection
from pathlib import Path
from typing import Final

from platformdirs import user_cache_path

VARIABLE: Final = "NUMBA_CACHE_DIR"
_LIBRARY: Final = Path(__file__).resolve().parents[1]
_KEEP_S: Final = 7 * 86_400
# Rooms without a compiled function, and without a constant or function that one takes.
_NEVER_COMPILED: Final = ("documents", "pictures")


def sources_digest(library: Path = _LIBRARY, without: Collection[str] = ()) -> str:
    """Return the SHA-256 over the sources of the library: the same physics, the same digest.

    Parameters
    ----------
    library : pathlib.Path, optional
        The folder of the package.
    without : collection of str, optional
        Rooms left out.

    Returns
    -------
    str
        Hexadecimal.
    """
    sources = hashlib.sha256()
    for path in sorted(library.rglob("*.py")):
        if path.relative_to(library).parts[0] in without:
            continue
        sources.update(path.relative_to(library).as_posix().encode() + b"\0")
        sources.update(path.read_bytes() + b"\0")
    return sources.hexdigest()


def compiled_code_folder(library: Path = _LIBRARY) -> Path:
    """Return a cache of machine code that any change in what is compiled makes a new one.

    Parameters
    ----------
    library : pathlib.Path, optional
        The folder of the package.

    Returns
    -------
    pathlib.Path
        It need not exist yet.
    """
    return user_cache_path("noonhold") / "compiled" / sources_digest(library, _NEVER_COMPILED)[:16]


def set_compiled_code_folder(library: Path = _LIBRARY) -> Path | None:
    """Point numba at that cache and remove those not used for a week.

    Parameters
    ----------
    library : pathlib.Path, optional
        The folder of the package.

    Returns
    -------
    pathlib.Path or None
        The cache. ``None`` where nothing was done: a cache is named already, numba is imported
        already (it reads the variable once), or the folder cannot be written to.
    """
    if VARIABLE in os.environ or "numba" in sys.modules:
        return None
    folder = compiled_code_folder(library)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        os.utime(folder)
    except OSError:
        return None
    os.environ[VARIABLE] = str(folder)
    for other in folder.parent.iterdir():
        if time.time() - other.stat().st_mtime > _KEEP_S:
            shutil.rmtree(other, ignore_errors=True)
    return folder
