"""The library's face: ``import noonhold as nh``, a rig, a weather, a verdict.

Every function takes its arguments as dicts (the documents of the HTTP service), as the library's
dataclasses, or as the names of samples, and reports what it was not given as ``assumptions``.
"""

from __future__ import annotations

from noonhold.documents import load_projection
from noonhold.facade_inputs import (
    Document,
    LoadedRig,
    RigLike,
    WeatherLike,
    loaded_rig,
    question,
    step_of,
    weather_table,
)
from noonhold.projection_result import run_projection
from noonhold.reports import ProjectionReport
from noonhold.scenario import Comfort, Operation, Place, Start
from noonhold.weather.weather_table import WeatherTable


def load_rig(rig: RigLike) -> LoadedRig:
    """Return a rig from a file, a dict or the name of a sample.

    Parameters
    ----------
    rig : str, pathlib.Path, dict or Rig
        Name of a sample (see ``noonhold.samples.rigs()``), path of a JSON document, or the
        document.

    Returns
    -------
    LoadedRig
        A :class:`noonhold.rig.Rig` with ``assumptions``: every default that was taken.

    Raises
    ------
    DocumentError
        With every fault, each with its JSON pointer, the value and the bound.

    Examples
    --------
    >>> import noonhold as nh
    >>> rig = nh.load_rig("flatbed_cabin")
    >>> rig.name, rig.cooler.stages[0].name
    ('Flatbed cabin', 'low')
    """
    return loaded_rig(rig)


def read_weather(
    weather: WeatherLike, *, labels: str | None = None, place: Place | Document | None = None
) -> WeatherTable:
    """Return the weather of a file, a sample station or a pandas frame.

    Parameters
    ----------
    weather : str, pathlib.Path, pandas.DataFrame, or tuple of DataFrame and dict
        Name of a sample station (see ``noonhold.samples.stations()``); path of an EPW, TMY3,
        PVGIS or plain CSV file, gzip or not; or what a reader of ``pvlib.iotools`` returned, with
        its metadata or with `place` instead.
    labels : {"start", "middle", "end", "instant"}, optional
        What a frame's index means. Known for ``read_epw``, ``read_tmy3`` and PVGIS; otherwise
        ``start`` is taken and noted.
    place : Place or dict, optional
        Latitude, longitude and elevation of a frame without metadata.

    Returns
    -------
    WeatherTable
        Arrays of shape (n,) under pvlib's names, a value an interval, each labelled at its start;
        ``site`` is the place, ``notes`` what was filled, dropped or assumed.

    Raises
    ------
    WeatherError
        Where it is of no known format, or has gaps that cannot be filled.

    Examples
    --------
    >>> import noonhold as nh
    >>> weather = nh.read_weather("basin_desert_sandrevel")
    >>> len(weather), weather.full_year
    (8760, True)
    """
    return weather_table(weather, labels, place)


def project(
    rig: RigLike,
    weather: WeatherLike,
    *,
    place: Place | Document | None = None,
    operation: Operation | Document | None = None,
    start: Start | Document | None = None,
    comfort: Comfort | Document | None = None,
    date: str | None = None,
    days: int | None = None,
) -> ProjectionReport:
    """Project a rig through its weather, hour by hour, to a verdict.

    Parameters
    ----------
    rig : str, pathlib.Path, dict or Rig
        See :func:`load_rig`.
    weather : str, pathlib.Path, frame, WeatherTable, dict or request
        See :func:`read_weather`; or the service's ``weather`` document (``typical_year`` of a
        sample station, ``hot_day``, ``hourly``).
    place : Place or dict, optional
        Where it stands. By default where the weather was taken, on its standard time.
    operation : Operation or dict, optional
        By default a set point of 24 degC at any hour.
    start : Start or dict, optional
        By default a full battery in a cabin settled by three days before.
    comfort : Comfort or dict, optional
        By default an operative temperature of at most 27 degC.
    date : str, optional
        First day out of a year, ``MM-DD``; by default the one with the hottest mean.
    days : int, optional
        How many days out of a year; one by default.

    Returns
    -------
    ProjectionReport
        ``sentence``, ``summary``, ``days``, ``dataset``, ``plot()``, ``assumptions``,
        ``cautions``.

    Raises
    ------
    DocumentError, WeatherError, NumericalError
        With every fault.

    Examples
    --------
    >>> import noonhold as nh
    >>> report = nh.project(
    ...     "flatbed_cabin",
    ...     "basin_desert_sandrevel",
    ...     date="01-14",
    ...     operation={"set_point_c": 24, "cooling_window": {"from": "09:00", "to": "20:00"}},
    ... )
    >>> report.dataset["cabin_temperature_c"].attrs["units"]
    'degC'
    >>> len(report.days), len(repr(report).splitlines()) <= 10
    (1, True)
    """
    asked = question(rig, weather, place, operation, start, comfort, date, days)
    loaded = load_projection(asked.document, asked.resolver)
    request = loaded.value
    found = run_projection(
        request.rig,
        request.scenario,
        request.weather,
        asked.catalogue,
        asked.read,
        step_of(request),
    )
    return ProjectionReport(found, asked.assumptions + loaded.assumptions)
