"""Typical years of places far from every station, from PVGIS, where the operator allows it.

Off by default. The address is a setting, never a request's. A year is fetched once for a place
(rounded to hundredths of a degree, about a kilometre) and kept as a file; after a failure nobody
waits for the source again for a minute.
"""

from __future__ import annotations

import json
import logging
import re
import time
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Any, Final

import pandas as pd
import pvlib
import requests

from noonhold.errors import StationNotFoundError, WeatherError
from noonhold.weather.catalogue import DEFAULT_LIMIT_KM, Catalogue, Near, Station, station_id
from noonhold.weather.weather_files import read_site
from noonhold_service.problems import ProblemError
from noonhold_service.state.disk_cache import write_whole

_LOG: Final = logging.getLogger("service")
_DECIMALS: Final = 2
_TRIES: Final = 2
_PAUSE_S: Final = 60.0
_LONGEST: Final = 200
_UNREADABLE: Final = (ValueError, KeyError, TypeError, IndexError, AttributeError)


class PvgisSource:
    """The source, and the years that were fetched from it.

    Parameters
    ----------
    url : str
        Address of its interface, ending in ``/``.
    folder : pathlib.Path
        Where years are kept.
    timeout_s : float
        How long one try may wait for the connection, and then for each part of the answer. [s]
    """

    def __init__(self, url: str, folder: Path, timeout_s: float) -> None:
        self.url, self.folder, self.timeout_s = url, folder, timeout_s
        self._lock = Lock()
        self._silent_until = -1.0

    def station(self, latitude: float, longitude: float) -> Station:
        """Return the typical year of a place as a station.

        Parameters
        ----------
        latitude, longitude : float
            The place. [degree]

        Returns
        -------
        Station
            Its file is in the folder.

        Raises
        ------
        ProblemError
            ``weather-unreachable``, or ``no-weather`` where the source has none for the place.
        """
        north = round(latitude, _DECIMALS) + 0.0
        east = round((longitude + 180.0) % 360.0 - 180.0, _DECIMALS) + 0.0
        path = self.folder / f"pvgis_{north:.{_DECIMALS}f}_{east:.{_DECIMALS}f}.json"
        # One at a time: the second who asks for a place finds the file of the first.
        with self._lock:
            if not path.is_file():
                self._keep(path, self._fetch(north, east))
        try:
            site, kind = read_site(path)
        except WeatherError as error:
            path.unlink(missing_ok=True)
            raise _unreachable(f"what the source sent is no typical year: {error}") from None
        return Station(station_id(path), site, path, kind)

    def _fetch(self, latitude: float, longitude: float) -> dict[str, Any]:
        if time.monotonic() < self._silent_until:
            raise _unreachable("it did not answer a moment ago")
        said = ""
        for _ in range(_TRIES):
            try:
                data, meta = pvlib.iotools.get_pvgis_tmy(
                    latitude,
                    longitude,
                    map_variables=False,
                    url=self.url,
                    timeout=self.timeout_s,
                    coerce_year=None,
                )
                return _document(data, meta)
            except requests.HTTPError as error:
                if error.response is None:
                    # pvlib passes on what the source itself says, without the response.
                    raise _none_for(latitude, longitude, str(error)) from None
                said = f"it answered with status {error.response.status_code}"
            # Before the next: what is no JSON is both.
            except _UNREADABLE as error:
                said = f"its answer is no typical year ({type(error).__name__})"
            except requests.RequestException as error:
                said = f"no answer within {self.timeout_s:g} s ({type(error).__name__})"
        self._silent_until = time.monotonic() + _PAUSE_S
        _LOG.warning("the online source of weather: %s", said)
        raise _unreachable(said)

    def _keep(self, path: Path, document: dict[str, Any]) -> None:
        try:
            write_whole(path, json.dumps(document).encode())
        except OSError as error:
            raise _unreachable(f"its answer could not be kept here: {error.strerror}") from None


def _document(data: pd.DataFrame, meta: dict[str, Any]) -> dict[str, Any]:
    """Return what pvlib read as the JSON that PVGIS sends and our reader reads."""
    inputs = {name: each for name, each in meta["inputs"].items() if name != "descriptions"}
    rows = data.assign(**{"time(UTC)": pd.DatetimeIndex(data.index).strftime("%Y%m%d:%H%M")})
    return {
        "inputs": inputs,
        "outputs": {
            "months_selected": meta["months_selected"],
            "tmy_hourly": rows.to_dict(orient="records"),
        },
        "meta": {"inputs": meta["inputs"].get("descriptions", {})},
    }


def _unreachable(said: str) -> ProblemError:
    return ProblemError(
        "weather-unreachable",
        f"no station is near enough, and the online source of weather cannot be used: {said}",
        headers={"Retry-After": str(int(_PAUSE_S))},
    )


def _none_for(latitude: float, longitude: float, said: str) -> ProblemError:
    words = re.sub(r"\s+", " ", re.sub(r"[^\x20-\x7e]", "?", said))[:_LONGEST]
    return ProblemError(
        "no-weather",
        "no station is near enough, and the online source has no typical year of"
        f" {latitude:g}, {longitude:g}; it says: {words}",
    )


@dataclass(frozen=True)
class OnlineCatalogue(Catalogue):
    """The stations of a folder, and beyond them the online source.

    Parameters
    ----------
    source : PvgisSource
        Asked where no station is near enough.
    """

    source: PvgisSource | None = None

    def nearest(
        self,
        latitude: float,
        longitude: float,
        elevation_m: float | None = None,
        max_distance_km: float = DEFAULT_LIMIT_KM,
        count: int = 1,
        allow_beyond: bool = False,
    ) -> tuple[Near, ...]:
        """Return the stations nearest to a place, else the place's year from the source.

        Parameters
        ----------
        latitude, longitude, elevation_m, max_distance_km, count, allow_beyond
            See :meth:`noonhold.weather.catalogue.Catalogue.nearest`.

        Returns
        -------
        tuple of Near
            Nearest first; at least one.

        Raises
        ------
        StationNotFoundError, ProblemError
            Where there is neither.
        """
        try:
            return super().nearest(
                latitude, longitude, elevation_m, max_distance_km, count, allow_beyond
            )
        except StationNotFoundError:
            if self.source is None:
                raise
        station = self.source.station(latitude, longitude)
        return Catalogue((station,)).nearest(latitude, longitude, elevation_m, allow_beyond=True)
