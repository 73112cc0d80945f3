"""What was read of the operator's weather files, kept on disk for the next start and other workers.

Two things are kept: the headers of all stations, so that thousands of files start in seconds, and
the columns of each file that a request needed, so that no worker parses what another one did. Both
go by a file's time of change and size, and by the code that read it. The cache can be deleted at
any time; where its folder cannot be written to, the service works without it.
"""

from __future__ import annotations

import hashlib
import io
import json
import logging
import os
import tempfile
from contextlib import suppress
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any, Final, TypeAlias
from zipfile import BadZipFile

import numpy as np

from noonhold.weather import weather_table as table_module
from noonhold.weather.weather_files import FORMATS, Format, read_site
from noonhold.weather.weather_table import Site, WeatherTable

Mark: TypeAlias = tuple[int, int]

_LOG: Final = logging.getLogger("service")
_BY_NAME: Final = {each.name: each for each in FORMATS.values()}
_COLUMNS: Final = tuple(
    each.name for each in fields(WeatherTable) if each.type == "FloatArray" or each.name == "start"
)


def mark_of(path: Path) -> Mark:
    """Return what changes when a file changes: its time of change and its size.

    Parameters
    ----------
    path : pathlib.Path
        A file; one that is gone is left to its reader.

    Returns
    -------
    tuple of int
        Nanoseconds and bytes.
    """
    try:
        found = path.stat()
    except OSError:
        return 0, 0
    return found.st_mtime_ns, found.st_size


class DiskCache:
    """A folder for what was read.

    Parameters
    ----------
    folder : pathlib.Path
        Made where it is not there.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder / _readers_digest()

    def known_sites(self, weather_folder: Path) -> KnownSites:
        """Return the headers of a folder's files as far as they are known."""
        return KnownSites(self, "stations-" + _digest(str(weather_folder.resolve())) + ".json")

    def load_table(self, path: Path, mark: Mark) -> WeatherTable | None:
        """Return a file's columns where they are kept, else ``None``."""
        try:
            content = (self.folder / _table_name(path, mark)).read_bytes()
            with np.load(io.BytesIO(content), allow_pickle=False) as kept:
                header = json.loads(str(kept["header"]))
                columns = {name: kept[name] for name in _COLUMNS if name in kept}
        except (OSError, ValueError, KeyError, EOFError, BadZipFile):
            return None
        columns["start"] = columns["start"][()]
        return WeatherTable(
            site=Site(**header["site"]),
            interval_s=header["interval_s"],
            full_year=header["full_year"],
            notes=tuple(header["notes"]),
            **columns,
        )

    def save_table(self, path: Path, mark: Mark, table: WeatherTable) -> None:
        """Keep a file's columns."""
        header = {
            "site": asdict(table.site),
            "interval_s": table.interval_s,
            "full_year": table.full_year,
            "notes": list(table.notes),
        }
        columns = {name: getattr(table, name) for name in _COLUMNS}
        if table.opening is not None:
            columns["opening"] = table.opening
        content = io.BytesIO()
        np.savez(content, header=np.array(json.dumps(header)), **columns)
        self.write(_table_name(path, mark), content.getvalue())

    def read(self, name: str) -> bytes | None:
        """Return what is kept under a name, else ``None``."""
        try:
            return (self.folder / name).read_bytes()
        except OSError:
            return None

    def write(self, name: str, content: bytes) -> None:
        """Keep something under a name, whole or not at all."""
        try:
            write_whole(self.folder / name, content)
        except OSError as error:
            _LOG.warning("the cache of weather is not written: %s", error.strerror)


def write_whole(path: Path, content: bytes) -> None:
    """Write a file whole or not at all; on a full disk nothing is left behind.

    Parameters
    ----------
    path : pathlib.Path
        Its folder is made where it is not there.

    Raises
    ------
    OSError
        Where it cannot be written.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        os.replace(temporary, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(temporary)
        raise


class KnownSites:
    """Headers by file name; those that are unknown or out of date are read and noted.

    Parameters
    ----------
    cache : DiskCache
        Where they are kept.
    name : str
        Under which name.
    """

    def __init__(self, cache: DiskCache, name: str) -> None:
        self._cache, self._name = cache, name
        self._old = _parsed(cache.read(name))
        self._new: dict[str, list[Any]] = {}
        self.read_count = 0

    def read_site(self, path: Path) -> tuple[Site, Format]:
        """Return a file's site and format, as `weather_files.read_site` does.

        Returns
        -------
        site : Site
            From its header.
        format : Format
            What reads it.

        Raises
        ------
        WeatherError
            Where it is no weather file; such a file is read again each time.
        """
        mark = list(mark_of(path))
        entry = self._old.get(path.name)
        if entry is None or entry[0] != mark or entry[1] not in _BY_NAME:
            self.read_count += 1
            site, kind = read_site(path)
            entry = [mark, kind.name, asdict(site)]
        self._new[path.name] = entry
        return Site(**entry[2]), _BY_NAME[entry[1]]

    def save(self) -> None:
        """Keep them, where anything changed."""
        if self._new != self._old:
            self._cache.write(self._name, json.dumps(self._new).encode())


def _parsed(content: bytes | None) -> dict[str, list[Any]]:
    try:
        found = json.loads(content or b"{}")
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:24]


def _table_name(path: Path, mark: Mark) -> str:
    return f"{_digest(f'{path.resolve()} {mark[0]} {mark[1]}')}.npz"


def _readers_digest() -> str:
    """Return what changes when the code that reads weather files does."""
    sources = hashlib.sha256()
    for path in sorted(Path(table_module.__file__).parent.glob("*.py")):
        sources.update(path.read_bytes())
    return sources.hexdigest()[:16]
