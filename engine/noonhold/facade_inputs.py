"""What a caller of the facade hands over, as the documents that the one loader validates."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from pathlib import Path
from typing import Any, Final, TypeAlias

import numpy as np
import pandas as pd

from noonhold import samples
from noonhold.documents import (
    Assumption,
    Loaded,
    RigResolver,
    dump_comfort,
    dump_operation,
    dump_place,
    dump_start,
    dump_weather,
    load_rig,
)
from noonhold.errors import DocumentError
from noonhold.projection_request import ProjectionRequest
from noonhold.rig import Rig
from noonhold.scenario import Comfort, Operation, Place, Start
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold.weather import weather_files
from noonhold.weather.catalogue import Catalogue, Station, scan, station_id
from noonhold.weather.hot_day import HotDay
from noonhold.weather.selection import Reader, at_elevation
from noonhold.weather.weather_files import FORMATS
from noonhold.weather.weather_frame import read_frame
from noonhold.weather.weather_request import Hourly, TypicalYear
from noonhold.weather.weather_table import INSTANT_COLUMNS, RADIATION_COLUMNS, Site, WeatherTable

Document: TypeAlias = Mapping[str, Any]
RigLike: TypeAlias = "str | Path | Document | Rig"
FrameLike: TypeAlias = "pd.DataFrame | tuple[pd.DataFrame, Mapping[str, Any]]"
WeatherLike: TypeAlias = (
    "str | Path | Document | WeatherTable | TypicalYear | HotDay | Hourly | FrameLike"
)

SET_POINT_C: Final = 24.0
OPERATIVE_LIMIT_C: Final = 27.0
CHARGE: Final = 1.0
_NOT_SAID: Final = "not given; common practice, no source"
_PLACE: Final = ("latitude", "longitude", "elevation_m")
_REFERENCE: Final = "given"
_FROM: Final = "/weather/typical_year/from"


@dataclass(frozen=True)
class LoadedRig(Rig):
    """A rig with the defaults that its document left to Noonhold.

    Parameters
    ----------
    assumptions : tuple of Assumption
        A study of the rig reports them again. After ``dataclasses.replace`` of a part they are
        still those of the document.
    """

    assumptions: tuple[Assumption, ...] = field(default=(), compare=False, repr=False)

    def plain(self) -> Rig:
        """Return the rig without its assumptions."""
        return Rig(**{each.name: getattr(self, each.name) for each in fields(Rig)})


def read_document(path: Path) -> Any:
    """Return the JSON value of a file.

    Raises
    ------
    DocumentError
        Where there is no such file or it is no JSON.
    """
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise DocumentError.single(str(path), f"cannot be read: {error.strerror}") from None
    except ValueError as error:
        raise DocumentError.single(str(path), f"is no JSON: {error}") from None


def known_rig(rig: RigLike) -> Loaded[Rig]:
    """Return a rig and its assumptions, the pointers as within a request."""
    if isinstance(rig, LoadedRig):
        return Loaded(rig.plain(), tuple(replace(a, path=f"/rig{a.path}") for a in rig.assumptions))
    if isinstance(rig, Rig):
        return Loaded(rig, ())
    if isinstance(rig, (str, Path)):
        sample = samples.rig_path(rig) if isinstance(rig, str) else None
        rig = read_document(sample or Path(rig))
    return load_rig(rig, ("rig",))


def loaded_rig(rig: RigLike) -> LoadedRig:
    """Return a rig that carries its assumptions, the pointers within the rig."""
    try:
        loaded = known_rig(rig)
    except DocumentError as error:
        raise DocumentError(
            replace(fault, path=fault.path.removeprefix("/rig")) for fault in error.faults
        ) from None
    values = {each.name: getattr(loaded.value, each.name) for each in fields(Rig)}
    assumptions = (replace(a, path=a.path.removeprefix("/rig")) for a in loaded.assumptions)
    return LoadedRig(**values, assumptions=tuple(assumptions))


def weather_table(
    weather: WeatherLike, labels: str | None = None, place: Place | Document | None = None
) -> WeatherTable:
    """Return weather that is a file, a sample station or a frame as a table."""
    if isinstance(weather, WeatherTable):
        return weather
    if isinstance(weather, (str, Path)):
        sample = samples.weather_path(weather) if isinstance(weather, str) else None
        return weather_files.read_weather(sample or Path(weather))
    if isinstance(weather, pd.DataFrame):
        weather = weather, {}
    if isinstance(weather, tuple) and isinstance(weather[0], pd.DataFrame):
        data, meta = weather[0], dict(weather[1])
        if place is not None:
            said = place_document(place)
            meta = {**{k: v for k, v in said.items() if k in _PLACE}, **meta}
        return read_frame(data, meta, labels)
    raise TypeError(f"{type(weather).__name__} is no weather: see noonhold.read_weather")


@dataclass(frozen=True)
class Question:
    """A request as a document, and what else its loader and its study need.

    Parameters
    ----------
    document : dict
        Of a projection; its rig is a reference that `resolver` knows.
    resolver : callable
        Returns the rig.
    catalogue : Catalogue
        Stations; the sample stations unless the weather was handed over.
    read : callable
        Reads a station's file, or returns the table that was handed over.
    assumptions : tuple of Assumption
        Parts that the caller did not give, and what the weather's reader noted.
    """

    document: dict[str, Any]
    resolver: RigResolver
    catalogue: Catalogue
    read: Reader
    assumptions: tuple[Assumption, ...]


def step_of(request: ProjectionRequest) -> int:
    """Return the step of the time loop, in seconds; it divides the weather's interval."""
    if not isinstance(request.weather, Hourly):
        return DEFAULT_STEP_S
    interval = request.weather.interval_s
    return next(step for step in range(DEFAULT_STEP_S, 0, -1) if interval % step == 0)


def question(
    rig: RigLike,
    weather: WeatherLike,
    place: Place | Document | None = None,
    operation: Operation | Document | None = None,
    start: Start | Document | None = None,
    comfort: Comfort | Document | None = None,
    date: str | None = None,
    days: int | None = None,
) -> Question:
    """Return everything that a projection needs, defaults filled in and noted.

    Parameters
    ----------
    rig, weather, place, operation, start, comfort, date, days
        As of :func:`noonhold.project`.
    """
    known = known_rig(rig)
    noted: list[Assumption] = []
    catalogue = Catalogue(())
    read: Reader = weather_files.read_weather
    site: Site | None = None
    asked = _asked(weather)
    if asked is None:
        station, table, noted = _handed_over(weather, place)
        site = table.site
        place = _place(place, site, noted)
        if table.full_year:
            asked = {"typical_year": _stretch(table, station.station_id, date, days, noted)}
            catalogue, read = Catalogue((station,)), lambda _: table
        else:
            asked = _hourly(at_elevation(table, float(place["elevation_m"])), date, days)
    else:
        if date is not None or days is not None:
            raise TypeError("date and days go with weather that is a file, a frame or a table")
        if "typical_year" in asked:
            catalogue = scan(samples.weather_folder())
        if isinstance(place, Place):
            place = dump_place(place)
    document = {
        "rig": _REFERENCE,
        "place": place,
        "weather": asked,
        "operation": _part("operation", operation, {"set_point_c": SET_POINT_C}, noted),
        "start": _part("start", start, {"state_of_charge": CHARGE}, noted),
        "comfort": _part(
            "comfort", comfort, {"measure": "operative", "limit": OPERATIVE_LIMIT_C}, noted
        ),
    }
    if start is None:
        document["start"]["cabin_temperature_c"] = "settled"
        noted.append(Assumption("/start/cabin_temperature_c", "settled", _NOT_SAID))
    if place is None:
        del document["place"]
    return Question(document, lambda _: known, catalogue, read, tuple(noted))


_DUMP: Final[Mapping[type[Any], Any]] = {
    Operation: dump_operation,
    Start: dump_start,
    Comfort: dump_comfort,
}


def _part(
    name: str,
    given: Operation | Start | Comfort | Document | None,
    defaults: Document,
    noted: list[Assumption],
) -> Any:
    """Return a part as a document with the facade's own defaults filled in."""
    if given is not None and not isinstance(given, Mapping):
        return _DUMP[type(given)](given) if type(given) in _DUMP else given
    part = dict(given or {})
    if name == "comfort" and "measure" in part:
        return part  # a limit belongs to its measure
    for key, value in defaults.items():
        if key not in part:
            part[key] = value
            noted.append(Assumption(f"/{name}/{key}", value, _NOT_SAID))
    return part


def _asked(weather: WeatherLike) -> dict[str, Any] | None:
    """Return weather that is a request as its document, ``None`` where it is weather itself."""
    if isinstance(weather, (TypicalYear, HotDay, Hourly)):
        return dump_weather(weather)
    return dict(weather) if isinstance(weather, Mapping) else None


def _handed_over(
    weather: WeatherLike, place: Place | Document | None
) -> tuple[Station, WeatherTable, list[Assumption]]:
    """Return weather itself as the only station of a catalogue."""
    table = weather_table(weather, place=place)
    path = Path(weather) if isinstance(weather, (str, Path)) else Path("weather")
    name = station_id(path) or "weather"
    return Station(name, table.site, path, FORMATS["plain"]), table, []


def _place(place: Place | Document | None, site: Site, noted: list[Assumption]) -> dict[str, Any]:
    """Return the place, the weather's own where it is not said."""
    said = {} if place is None else place_document(place)
    for name in _PLACE:
        if name not in said:
            said[name] = getattr(site, name)
            noted.append(Assumption(f"/place/{name}", said[name], "that of the weather"))
    return said


def _stretch(
    table: WeatherTable, station: str, date: str | None, days: int | None, noted: list[Assumption]
) -> dict[str, Any]:
    """Return a stretch of a year, its hottest day where no date is given."""
    if date is None:
        per_day = 86400 // table.interval_s
        means = table.temp_air.reshape(-1, per_day).mean(axis=1)
        date = str(table.starts()[int(np.argmax(means)) * per_day])[5:10]
        noted.append(Assumption(_FROM, date, "the day of the hottest mean"))
    stretch: dict[str, Any] = {"station": station, "from": date}
    return stretch if days is None else {**stretch, "days": days}


def _hourly(table: WeatherTable, date: str | None, days: int | None) -> dict[str, Any]:
    """Return a table that is no year as the user's own columns."""
    if date is not None or days is not None:
        raise TypeError("date and days go with weather of a whole year")
    columns = {
        name: getattr(table, name).tolist() for name in (*INSTANT_COLUMNS, *RADIATION_COLUMNS)
    }
    start = table.index()[0].isoformat()
    return {"hourly": {"start": start, "interval_s": table.interval_s, "columns": columns}}


def place_document(place: Place | Document) -> dict[str, Any]:
    """Return a place as a document."""
    return dump_place(place) if isinstance(place, Place) else dict(place)


def operation_document(operation: Operation | Document) -> dict[str, Any]:
    """Return an operation as a document."""
    return dump_operation(operation) if isinstance(operation, Operation) else dict(operation)


def log_document(
    log: pd.DataFrame, temperature_unit: str, timezone: str | None = None
) -> dict[str, Any]:
    """Return a frame of readings as the document of a field log."""
    if not isinstance(log.index, pd.DatetimeIndex) or (log.index.tz is None and timezone is None):
        message = "the index of the log needs an offset from UTC, or the place a timezone"
        raise DocumentError.single("/log/times", message)
    if log.index.tz is None:
        try:
            log = log.set_axis(log.index.tz_localize(timezone, ambiguous="infer"))
        except ValueError as error:
            raise DocumentError.single("/log/times", str(error)) from None
    columns = {
        str(name): [None if pd.isna(each) else float(each) for each in log[name]] for name in log
    }
    times = [moment.isoformat() for moment in log.index]
    return {"temperature_unit": temperature_unit, "times": times, "columns": columns}


def study_document(asked: Question, **options: Any) -> dict[str, Any]:
    """Return the document of a study over a projection, options that were not given left out."""
    return {"projection": asked.document, **{k: v for k, v in options.items() if v is not None}}


def moved(assumptions: tuple[Assumption, ...], prefix: str) -> tuple[Assumption, ...]:
    """Return assumptions at their place in a larger document."""
    return tuple(replace(each, path=prefix + each.path) for each in assumptions)
