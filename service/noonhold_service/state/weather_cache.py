"""Parsed weather files, kept so that no request parses a file that was parsed before."""

from __future__ import annotations

from collections import OrderedDict
from pathlib import Path
from threading import Lock
from typing import TypeAlias

from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import WeatherTable
from noonhold_service.state.disk_cache import DiskCache, mark_of

Key: TypeAlias = tuple[Path, int, int]


class WeatherCache:
    """The last weather tables that were read, by path, time of change and size.

    Parameters
    ----------
    most : int
        How many tables are kept; the one longest unused goes first.
    disk : DiskCache, optional
        Where tables that were parsed by another process, or before, are found.
    """

    def __init__(self, most: int, disk: DiskCache | None = None) -> None:
        self.most = most
        self.disk = disk
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
            As :func:`noonhold.weather.weather_files.read_weather` raises it.
        """
        mark = mark_of(path)
        key = path, *mark
        with self._lock:
            if key in self._tables:
                self._tables.move_to_end(key)
                return self._tables[key]
        # Two threads may read the same file at once; that is rarer than waiting would be costly.
        table = None if self.disk is None else self.disk.load_table(path, mark)
        if table is None:
            table = read_weather(path)
            if self.disk is not None:
                self.disk.save_table(path, mark, table)
        with self._lock:
            self._tables[key] = table
            self._tables.move_to_end(key)
            while len(self._tables) > self.most:
                self._tables.popitem(last=False)
        return table

    def __len__(self) -> int:
        """Return the number of tables kept."""
        return len(self._tables)
