"""Parsed weather files, kept so that no request parses a file that was parsed before."""

from __future__ import annotations

from collections import OrderedDict
from pathlib import Path
from threading import Lock
from typing import TypeAlias

from engine.weather.files import read_weather
from engine.weather.table import WeatherTable

Key: TypeAlias = tuple[Path, int, int]


class WeatherCache:
    """The last weather tables that were read, by path, time of change and size.

    Parameters
    ----------
    most : int
        How many tables are kept; the one longest unused goes first.
    """

    def __init__(self, most: int) -> None:
        self.most = most
        self._tables: OrderedDict[Key, WeatherTable] = OrderedDict()
        self._lock = Lock()

    def read(self, path: Path) -> WeatherTable:
        """Return a file's weather, from memory where the file is as it was.

        Parameters
        ----------
        path : pathlib.Path
            A weather file of the catalogue.

        Returns
        -------
        WeatherTable
            Shared between requests and never changed.

        Raises
        ------
        WeatherError
            As :func:`engine.weather.files.read_weather` raises it.
        """
        key = _key(path)
        with self._lock:
            if key in self._tables:
                self._tables.move_to_end(key)
                return self._tables[key]
        # Two threads may read the same file at once; that is rarer than waiting would be costly.
        table = read_weather(path)
        with self._lock:
            self._tables[key] = table
            self._tables.move_to_end(key)
            while len(self._tables) > self.most:
                self._tables.popitem(last=False)
        return table

    def __len__(self) -> int:
        """Return the number of tables kept."""
        return len(self._tables)


def _key(path: Path) -> Key:
    """Return what changes when a file changes; a file that is gone is left to the reader."""
    try:
        found = path.stat()
    except OSError:
        return path, 0, 0
    return path, found.st_mtime_ns, found.st_size
