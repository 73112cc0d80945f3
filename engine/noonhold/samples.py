"""Where the sample rigs and weather are: in the checkout or in the installed package."""

from __future__ import annotations

from pathlib import Path
from typing import Final

_PACKAGE: Final = Path(__file__).resolve().parent


def _folder(name: str) -> Path:
    packaged = _PACKAGE / "sample_data" / name
    return packaged if packaged.is_dir() else _PACKAGE.parents[1] / f"sample_{name}"


def rigs_folder() -> Path:
    """Return the folder of the sample rig documents.

    Returns
    -------
    pathlib.Path
    """
    return _folder("rigs")


def weather_folder() -> Path:
    """Return the folder of the sample typical-year files.

    Returns
    -------
    pathlib.Path
    """
    return _folder("weather")
