"""Where compiled code is kept, so that an old kernel never answers for changed physics.

numba renews a cached function when its own file changes, not when a function or a constant that it
takes from another file does. In a checkout that is edited or pulled, the cache therefore gets a
folder for every state of the engine. Standard library only: this runs before numba is imported.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import time
from pathlib import Path
from typing import Final

VARIABLE: Final = "NUMBA_CACHE_DIR"
_KEPT_S: Final = 86_400


def compiled_code_folder(checkout: Path) -> Path:
    """Name a cache of machine code that any change in ``engine/`` makes a new one.

    Parameters
    ----------
    checkout : pathlib.Path
        The folder that holds ``engine/``.

    Returns
    -------
    pathlib.Path
        Within the checkout; it need not exist yet.
    """
    sources = hashlib.sha256()
    for path in sorted((checkout / "engine").rglob("*.py")):
        sources.update(path.as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return checkout / ".numba_cache" / sources.hexdigest()[:16]


def keep_compiled_code_apart(checkout: Path) -> Path | None:
    """Point numba at that cache and drop those of other days; call it before numba is imported.

    Parameters
    ----------
    checkout : pathlib.Path
        The folder that holds ``engine/``.

    Returns
    -------
    pathlib.Path or None
        The cache. ``None`` where nothing was done: a cache is named already, the folder is an
        installation (its files do not change under it) or cannot be written to.
    """
    if VARIABLE in os.environ or not (checkout / "pyproject.toml").is_file():
        return None
    folder = compiled_code_folder(checkout)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        os.utime(folder)
    except OSError:
        return None
    os.environ[VARIABLE] = str(folder)
    for other in folder.parent.iterdir():
        if time.time() - other.stat().st_mtime > _KEPT_S:
            shutil.rmtree(other, ignore_errors=True)
    return folder
