"""The sample rigs and weather by name: in the checkout or in the installed package."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Final

from noonhold.errors import DocumentError

_PACKAGE: Final = Path(__file__).resolve().parent
_RIG: Final = ".json"
_WEATHER: Final = ".epw.gz"


def _folder(name: str) -> Path:
    packaged = _PACKAGE / "sample_data" / name
    return packaged if packaged.is_dir() else _PACKAGE.parents[1] / f"sample_{name}"


def rigs_folder() -> Path:
    """Return the folder of the sample rig documents."""
    return _folder("rigs")


def weather_folder() -> Path:
    """Return the folder of the sample typical-year files."""
    return _folder("weather")


def _names(folder: Path, suffix: str) -> tuple[str, ...]:
    return tuple(sorted(path.name.removesuffix(suffix) for path in folder.glob(f"*{suffix}")))


def rigs() -> tuple[str, ...]:
    """Return the names of the sample rigs.

    Examples
    --------
    >>> rigs()
    ('flatbed_cabin', 'lined_panel_van', 'plywood_teardrop')
    """
    return _names(rigs_folder(), _RIG)


def stations() -> tuple[str, ...]:
    """Return the names of the stations with sample weather, 24 in six climates.

    Examples
    --------
    >>> stations()[:2]
    ('basin_desert_alkumbra', 'basin_desert_drustavar')
    """
    return _names(weather_folder(), _WEATHER)


def rig_path(name: str) -> Path | None:
    """Return the document of a sample rig, ``None`` where no sample has this name."""
    return rigs_folder() / f"{name}{_RIG}" if name in rigs() else None


def weather_path(name: str) -> Path | None:
    """Return the file of a sample station, ``None`` where no sample has this name."""
    return weather_folder() / f"{name}{_WEATHER}" if name in stations() else None


def copy_samples(folder: Path) -> tuple[int, int]:
    """Copy the sample rigs and weather into ``rigs`` and ``weather`` under a folder.

    Parameters
    ----------
    folder : pathlib.Path
        Made where it is not there.

    Returns
    -------
    tuple of int
        How many rigs and stations were written.

    Raises
    ------
    DocumentError
        Where one of the files is there already; nothing is then written.
    """
    sources = [(rigs_folder() / f"{name}{_RIG}", folder / "rigs") for name in rigs()]
    sources += [(weather_folder() / f"{name}{_WEATHER}", folder / "weather") for name in stations()]
    there = [str(to / source.name) for source, to in sources if (to / source.name).exists()]
    if there:
        raise DocumentError.single(str(folder), f"{len(there)} of the files are there already")
    for source, to in sources:
        to.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, to / source.name)
    return len(rigs()), len(stations())
