"""Parsed weather files, kept so that no request parses a file that was parsed before."""

from __future__ import annotations

import logging
from collections import OrderedDict
from collections.abc import Mapping
from pathlib import Path
from threading import Lock
from typing import Final, TypeAlias

from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import Site, WeatherTable
from noonhold_service.problems import ProblemError
from noonhold_service.state.disk_cache import DiskCache, mark_of

_LOG: Final = logging.getLogger("service")
Key: TypeAlias = tuple[Path, int, int]


class WeatherCache:
    """The last weather tables that were read, by path, time of change and size.

    Parameters
    ----------
    most : int
        How many tables are kept; the one longest unused goes first.
    disk : DiskCache, optional
        Where tables that were parsed by another process, or before, are found.
    sites : mapping of pathlib.Path to Site, optional
        Where each file's station stood when the folder was scanned.
    """

    def __init__(
        self,
        most: int,
        disk: DiskCache | None = None,
        sites: Mapping[Path, Site] | None = None,
    ) -> None:
        self.most = most
        self.disk = disk
        self.sites = sites or {}
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
        ProblemError
            ``weather-changed`` where the file is gone, or is another station's by now: that is
            no fault of the request.
        """
        mark = mark_of(path)
        if mark == (0, 0) and path in self.sites:
            raise _changed(path, "is gone")
        key = path, *mark
        with self._lock:
            if key in self._tables:
                self._tables.move_to_end(key)
                return self._tables[key]
        # Two threads may read the same file at once; that is rarer than waiting would be costly.
        table = None if self.disk is None else self.disk.load_table(path, mark)
        if table is None:
            table = read_weather(path)
            known = self.sites.get(path)
            if known is not None and _place(known) != _place(table.site):
                raise _changed(path, f"is another station's by now ({table.site.name})")
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


def _place(site: Site) -> tuple[float, float]:
    return round(site.latitude, 3), round(site.longitude, 3)


def _changed(path: Path, how: str) -> ProblemError:
    _LOG.error("the weather file %s %s; SIGHUP reads the folder again", path.name, how)
    return ProblemError(
        "weather-changed",
        f"the weather file of the station {how} since the service read its folder",
        headers={"Retry-After": "60"},
    )
