"""The stations of a folder: found by their headers, looked up by name or by distance."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cached_property
from pathlib import Path
from typing import TypeAlias

import numpy as np

from noonhold.errors import StationNotFoundError, WeatherError
from noonhold.weather.file_source import format_error
from noonhold.weather.weather_files import Format, read_site
from noonhold.weather.weather_table import FloatArray, Site, WeatherTable

EARTH_RADIUS_KM = 6371.0088  # mean radius of the WGS84 ellipsoid, (2a + b) / 3
DEFAULT_LIMIT_KM = 100.0
SiteReader: TypeAlias = Callable[[Path], tuple[Site, Format]]
SUFFIXES = (".epw", ".csv", ".json", ".txt")
PACKED = (".gz", ".zip")


@dataclass(frozen=True)
class Station:
    """One weather file of a catalogue.

    Parameters
    ----------
    station_id : str
        The file's name without its suffixes.
    site : Site
        From the file's header.
    format : Format
        What reads it.
    """

    station_id: str
    site: Site
    path: Path
    format: Format

    def read(self) -> WeatherTable:
        """Return the station's weather.

        Returns
        -------
        WeatherTable
            See `read_weather`.

        Raises
        ------
        WeatherFormatError, WeatherGapError
            See `read_weather`.
        """
        return self.format.read(self.path)


@dataclass(frozen=True)
class Rejected:
    """One file that could be no station.

    Parameters
    ----------
    reason : str
        Why not.
    """

    path: Path
    reason: str


@dataclass(frozen=True)
class Near:
    """A station and how far it is from the place that was asked for.

    Parameters
    ----------
    distance_km : float
        Along the great circle. [km]
    elevation_difference_m : float, optional
        Station above the place; None where the place's elevation was not given. [m]
    """

    station: Station
    distance_km: float
    elevation_difference_m: float | None


def great_circle_km(
    latitude: float, longitude: float, latitudes: FloatArray, longitudes: FloatArray
) -> FloatArray:
    """Return distances from one place to many.

    Parameters
    ----------
    latitude, longitude : float
        The place. [degree]
    latitudes, longitudes : numpy.ndarray, shape (n,)
        The others. [degree]

    Returns
    -------
    numpy.ndarray, shape (n,)
        [km]

    Notes
    -----
    Haversine formula on a sphere of the WGS84 mean radius: within 0.5 % of the ellipsoid, and
    indifferent to poles and to the 180th meridian.
    """
    here, there = np.radians(latitude), np.radians(latitudes)
    north = np.sin(0.5 * (there - here)) ** 2
    east = np.sin(0.5 * np.radians(longitudes - longitude)) ** 2
    square = np.clip(north + np.cos(here) * np.cos(there) * east, 0.0, 1.0)
    distance: FloatArray = 2.0 * EARTH_RADIUS_KM * np.arcsin(np.sqrt(square))
    return distance


@dataclass(frozen=True)
class Catalogue:
    """The stations of a folder.

    Parameters
    ----------
    stations : tuple of Station
        In the order of their names.
    rejected : tuple of Rejected
        Files that look like weather by their suffix and are none.
    """

    stations: tuple[Station, ...]
    rejected: tuple[Rejected, ...] = ()

    @cached_property
    def _by_id(self) -> dict[str, Station]:
        """Return the stations by name."""
        return {station.station_id: station for station in self.stations}

    @cached_property
    def _places(self) -> FloatArray:
        """Return latitudes and longitudes, shape (2, n)."""
        pairs = [(item.site.latitude, item.site.longitude) for item in self.stations]
        return np.array(pairs, dtype=np.float64).reshape(-1, 2).T

    def get(self, station_id: str) -> Station:
        """Return a station by its name.

        Raises
        ------
        StationNotFoundError
            Naming stations with a similar name, where there are any.
        """
        station = self._by_id.get(station_id)
        if station is not None:
            return station
        near = get_close_matches(station_id, self._by_id, n=3)
        hint = f"similar: {', '.join(near)}" if near else None
        raise StationNotFoundError.single(
            "/station", f"no station is named {station_id!r}", station_id, hint=hint
        )

    def nearest(
        self,
        latitude: float,
        longitude: float,
        elevation_m: float | None = None,
        max_distance_km: float = DEFAULT_LIMIT_KM,
        count: int = 1,
        allow_beyond: bool = False,
    ) -> tuple[Near, ...]:
        """Return the stations nearest to a place.

        Parameters
        ----------
        latitude, longitude : float
            The place; longitude may run past 180. [degree]
        elevation_m : float, optional
            Of the place, for the difference in height to the station. [m]
        max_distance_km : float
            Stations farther than this are left out. [km]
        count : int
            Number of stations wanted, at most.
        allow_beyond : bool
            True to take stations beyond the limit, too.

        Returns
        -------
        tuple of Near
            Nearest first; at least one.

        Raises
        ------
        StationNotFoundError
            Where there is no station within the limit; names the nearest and its distance.
        """
        if not self.stations:
            raise StationNotFoundError.single("/station", "the catalogue has no stations")
        distances = great_circle_km(latitude, longitude, *self._places)
        order = np.argsort(distances, kind="stable")[: max(count, 1)]
        first = int(order[0])
        if not allow_beyond and not distances[first] <= max_distance_km:
            station = self.stations[first]
            raise StationNotFoundError.single(
                "/station",
                f"no station within {max_distance_km:g} km of {latitude:g}, {longitude:g};"
                f" the nearest is {station.station_id} ({station.site.name}),"
                f" {distances[first]:.0f} km away",
                float(distances[first]),
                f"at most {max_distance_km:g} km",
            )
        within = [int(k) for k in order if allow_beyond or distances[k] <= max_distance_km]
        return tuple(self._near(k, float(distances[k]), elevation_m) for k in within)

    def _near(self, place: int, distance_km: float, elevation_m: float | None) -> Near:
        """Return one answer of `nearest`."""
        station = self.stations[place]
        higher = None if elevation_m is None else station.site.elevation_m - elevation_m
        return Near(station, distance_km, higher)


def station_id(path: Path) -> str:
    """Return the name of a weather file's station.

    Returns
    -------
    str
        The file's name without ``.gz`` or ``.zip`` and without the suffix of its format.
    """
    name = unpacked_name(path)
    return name[: -len(Path(name).suffix)] if Path(name).suffix.lower() in SUFFIXES else name


def unpacked_name(path: Path) -> str:
    """Return a file's name without ``.gz`` or ``.zip``, in any case of letters."""
    return path.name[: -len(path.suffix)] if path.suffix.lower() in PACKED else path.name


def weather_paths(folder: Path) -> list[Path]:
    """Return everything under a folder that is named like weather.

    Parameters
    ----------
    folder : pathlib.Path
        Searched with its subfolders; links to folders are not followed, so that none leads round
        in a circle. What begins with a dot is passed over.

    Returns
    -------
    list of pathlib.Path
        Sorted; folders and pipes that are named like weather among them.
    """
    found = []
    for top, folders, files in os.walk(folder):
        named = [name for name in folders if _is_weather_name(Path(name))]
        folders[:] = sorted(n for n in folders if not n.startswith(".") and n not in named)
        found += [Path(top, name) for name in (*named, *files) if _is_weather_name(Path(name))]
    return sorted(found)


def _is_weather_name(path: Path) -> bool:
    """Tell whether a name is that of a weather file; a zip archive need not say what it holds."""
    suffix = Path(unpacked_name(path)).suffix.lower()
    packed = path.suffix.lower() == ".zip"
    return (suffix in SUFFIXES or packed) and not path.name.startswith(".")


def scan(folder: Path, read: SiteReader = read_site) -> Catalogue:
    """Return the catalogue of a folder, reading only the files' headers.

    Parameters
    ----------
    folder : pathlib.Path
        Files with the suffixes of ``SUFFIXES``, gzip or zip or plain, in it and its subfolders.
    read : callable, optional
        Returns a file's site and format; for callers who remember headers.

    Returns
    -------
    Catalogue
        Stations by name; files that are none stand aside with their reason.

    Raises
    ------
    WeatherFormatError
        Where there is no such folder.
    """
    if not folder.is_dir():
        raise format_error(folder, "there is no such folder of weather files", str(folder))
    stations: dict[str, Station] = {}
    rejected = []
    for path in (path for path in weather_paths(folder) if not path.is_dir()):
        name = station_id(path)
        try:
            site, kind = read(path)
        except WeatherError as exc:
            rejected.append(Rejected(path, str(exc)))
            continue
        if name in stations:
            other = stations[name].path.name
            rejected.append(Rejected(path, f"{path.name}: {other} has the same station name"))
            continue
        stations[name] = Station(name, site, path, kind)
    ordered = tuple(stations[name] for name in sorted(stations))
    return Catalogue(ordered, tuple(rejected))
