"""What one running service holds: settings, stations, rigs, parsed weather, gate, readiness."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from threading import Event

from flask import current_app

from noonhold.documents import Loaded
from noonhold.rig import Rig
from noonhold.simulation.rig_tables import TableFactory, rig_tables
from noonhold.weather.catalogue import Catalogue, scan
from noonhold_service.settings import Settings
from noonhold_service.state.disk_cache import DiskCache
from noonhold_service.state.gate import Gate
from noonhold_service.state.metrics import Metrics
from noonhold_service.state.online_weather import OnlineCatalogue, PvgisSource
from noonhold_service.state.rig_store import RigRecord, read_rigs
from noonhold_service.state.weather_cache import WeatherCache

_EXTENSION = "noonhold"
_FREE_THREADS = 2
# A rig's tables are some 20 kB, and its request brought it within the size of a body.
_MOST_KEPT = 256


def kept_tables(most: int = _MOST_KEPT) -> TableFactory:
    """Return :func:`noonhold.simulation.rig_tables.rig_tables` with the last rigs' tables kept.

    Parameters
    ----------
    most : int, optional
        How many rigs are kept; the one longest unused goes first.

    Returns
    -------
    TableFactory
        Its answers are shared between requests and never changed.
    """
    return lru_cache(most)(rig_tables)


@dataclass(frozen=True)
class AppState:
    """What the resources work with; made once, by :func:`open_app_state`."""

    settings: Settings
    catalogue: Catalogue
    rigs: Mapping[str, RigRecord]
    weather: WeatherCache
    gate: Gate
    tables: TableFactory = field(default_factory=kept_tables)
    metrics: Metrics = field(default_factory=Metrics)
    ready: Event = field(default_factory=Event)

    def resolve_rig(self, rig_id: str) -> Loaded[Rig] | None:
        """Return the rig of an identifier, ``None`` where there is none."""
        record = self.rigs.get(rig_id)
        return None if record is None else record.loaded()


def open_app_state(settings: Settings) -> AppState:
    """Scan the stations, read the rigs, open the gate.

    Parameters
    ----------
    settings : Settings
        Which folders, which limits.

    Returns
    -------
    AppState
        Not ready yet; see :func:`noonhold_service.process.readiness.make_ready`.

    Raises
    ------
    NoonholdError
        Where a folder is missing or a rig cannot be read.
    """
    disk = DiskCache(settings.cache_folder)
    known = disk.known_sites(settings.weather_folder)
    catalogue = scan(settings.weather_folder, known.read_site)
    known.save()
    if settings.pvgis:
        source = PvgisSource(
            settings.pvgis_url, settings.cache_folder / "pvgis", settings.pvgis_timeout_s
        )
        catalogue = OnlineCatalogue(catalogue.stations, catalogue.rejected, source)
    metrics = Metrics()
    sites = {each.path: each.site for each in catalogue.stations}
    return AppState(
        settings=settings,
        catalogue=catalogue,
        rigs=read_rigs(settings.rigs_folder),
        weather=WeatherCache(settings.weather_files_kept, disk, sites),
        metrics=metrics,
        gate=Gate(
            settings.concurrent,
            settings.wait_s,
            most_long=settings.concurrent_long,
            on_change=metrics.inside,
            # Who waits holds a thread of the server: some are left for what needs no turn.
            most_waiting=max(
                settings.threads - settings.concurrent - settings.concurrent_long - _FREE_THREADS, 1
            ),
        ),
    )


def app_state() -> AppState:
    """Return what the current application holds."""
    state = current_app.extensions[_EXTENSION]
    if not isinstance(state, AppState):
        raise TypeError("the application was not made by create_app")
    return state
