"""The library's face: ``import noonhold as nh``, a rig, a weather, a verdict.

Every function takes its arguments as dicts (the documents of the HTTP service), as the library's
dataclasses, or as the names of samples, and reports what it was not given as ``assumptions``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pandas as pd

from noonhold.documents import Loaded, load_projection
from noonhold.documents.calibration_document import (
    dump_calibration,
    load_calibration,
    predict_second,
)
from noonhold.documents.comparison_document import load_comparison
from noonhold.documents.logger_csv import csv_text, read_logger_csv
from noonhold.documents.plan_document import dump_plan, load_plan
from noonhold.documents.sizing_document import dump_sizing, load_sizing
from noonhold.documents.uncertainty_document import load_uncertainty
from noonhold.documents.warm_up_document import load_warm_up
from noonhold.facade_inputs import (
    Document,
    LoadedRig,
    RigLike,
    WeatherLike,
    known_rig,
    loaded_rig,
    log_document,
    moved,
    operation_document,
    place_document,
    question,
    step_of,
    study_document,
    weather_table,
)
from noonhold.projection_result import run_projection
from noonhold.reports import ProjectionReport, StudyReport
from noonhold.scenario import Comfort, Operation, Place, Start
from noonhold.studies.calibration import calibration_study
from noonhold.studies.comparison import comparison_study
from noonhold.studies.plan.plan_study import plan_day
from noonhold.studies.sizing.sizing_study import size_rig
from noonhold.studies.uncertainty import uncertainty_study
from noonhold.studies.warm_up import warm_up_study
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


def compare(
    rig: RigLike,
    weather: WeatherLike,
    variants: Mapping[str, Document],
    **scenario: Any,
) -> StudyReport:
    """Set variants beside a base and order what matters.

    Parameters
    ----------
    rig, weather
        The base, see :func:`project`.
    variants : mapping of str to dict
        By name, what changes: JSON merge patches of ``rig``, ``place``, ``operation``, ``start``,
        ``comfort``.
    **scenario
        ``place``, ``operation``, ``start``, ``comfort``, ``date``, ``days`` of :func:`project`.

    Returns
    -------
    StudyReport
        Its ``table`` has a row a variant.

    Examples
    --------
    >>> import noonhold as nh
    >>> report = nh.compare(
    ...     "flatbed_cabin",
    ...     "basin_desert_sandrevel",
    ...     {"cooler inside": {"operation": {"set_point_c": 22}}},
    ...     date="01-14",
    ... )
    >>> report.table["name"].tolist()
    ['cooler inside']
    """
    asked = question(rig, weather, **scenario)
    listed = [{"name": name, "patch": dict(patch)} for name, patch in variants.items()]
    loaded = load_comparison({"base": asked.document, "variants": listed}, asked.resolver)
    base = loaded.value.base
    found = comparison_study.compare(
        base, loaded.value.variants, asked.catalogue, asked.read, step_of(base)
    )
    document = comparison_study.comparison_report(found)
    assumptions = moved(asked.assumptions, "/base") + loaded.assumptions
    return StudyReport("comparison", found, document, assumptions, tuple(document["variants"]))


def size(
    rig: RigLike,
    weather: WeatherLike,
    what: str = "battery",
    *,
    battery_wh: Document | None = None,
    array_w: Document | None = None,
    cooler_factor: Document | None = None,
    required_feasible_fraction: float = 0.95,
    options: Document | None = None,
    **scenario: Any,
) -> StudyReport:
    """Find the smallest battery, array or cooler that holds the asked share of days.

    Parameters
    ----------
    rig, weather
        See :func:`project`.
    what : str, optional
        ``battery``, ``array``, ``cooler`` or another ``size`` of the service's sizing.
    battery_wh, array_w, cooler_factor : dict, optional
        ``least``, ``most``, and optionally ``step`` of what may be chosen. [Wh], [W], [1]
    required_feasible_fraction : float, optional
        Of the days that need cooling; 0.95 by default.
    options : dict, optional
        Further fields of the service's sizing document.
    **scenario
        ``place``, ``operation``, ``start``, ``comfort``, ``date``, ``days`` of :func:`project`.

    Returns
    -------
    StudyReport
        Its ``table`` has the sizes that were looked at: as given, found, next smaller, frontier.

    Examples
    --------
    >>> import noonhold as nh
    >>> report = nh.size(
    ...     "flatbed_cabin",
    ...     "plateau_highorrin",
    ...     battery_wh={"least": 2000, "most": 12000, "step": 1000},
    ...     date="01-14",
    ...     days=2,
    ... )
    >>> report.table["which"].tolist()[0]
    'given'
    """
    asked = question(rig, weather, **scenario)
    fields = {
        "size": what,
        "battery_wh": battery_wh,
        "array_w": array_w,
        "cooler_factor": cooler_factor,
        "required_feasible_fraction": required_feasible_fraction,
        **(options or {}),
    }
    loaded = load_sizing(study_document(asked, **fields), asked.resolver)
    found = size_rig(loaded.value, asked.catalogue, asked.read, step_of(loaded.value.base))
    document = dump_sizing(found)
    trials = [
        {"which": which, **document[which]}
        for which in ("given", "found", "next_smaller", "best", "unlimited")
        if document.get(which) is not None
    ]
    rows = trials + [{"which": "frontier", **each} for each in document["frontier"]]
    return _study("sizing", found, document, asked.assumptions, loaded, rows)


def estimate_uncertainty(
    rig: RigLike,
    weather: WeatherLike,
    *,
    ranges: Document | None = None,
    samples: int | None = None,
    sensitivity_samples: int | None = None,
    options: Document | None = None,
    **scenario: Any,
) -> StudyReport:
    """Say what a verdict is worth: bands by hour and the chance that every day holds.

    Parameters
    ----------
    rig, weather
        See :func:`project`.
    ranges : dict, optional
        By input, ``low`` and ``high``; by default each input's likely range, which is noted.
    samples : int, optional
        A power of two; 256 by default.
    sensitivity_samples : int, optional
        Rows of the indices that say which input matters, at most `samples`; 0 for none.
    options : dict, optional
        Further fields of the service's uncertainty document.
    **scenario
        ``place``, ``operation``, ``start``, ``comfort``, ``date``, ``days`` of :func:`project`.

    Returns
    -------
    StudyReport
        Its ``table`` has a row an hour.

    Examples
    --------
    >>> import noonhold as nh
    >>> report = nh.estimate_uncertainty(
    ...     "flatbed_cabin",
    ...     "basin_desert_sandrevel",
    ...     samples=16,
    ...     sensitivity_samples=0,
    ...     date="01-14",
    ... )
    >>> len(report.table)
    24
    """
    asked = question(rig, weather, **scenario)
    fields = study_document(
        asked,
        ranges=ranges,
        samples=samples,
        sensitivity_samples=sensitivity_samples,
        **(options or {}),
    )
    loaded = load_uncertainty(fields, asked.resolver)
    found = uncertainty_study.estimate_uncertainty(
        loaded.value, asked.catalogue, asked.read, step_of(loaded.value.base)
    )
    document = uncertainty_study.uncertainty_report(found)
    bands = ("cabin_temperature_c", "operative_temperature_c", "state_of_charge")
    rows = [
        {
            "time": time,
            **{name: {k: v[hour] for k, v in document[name].items()} for name in bands},
        }
        for hour, time in enumerate(document["times"])
    ]
    return _study("uncertainty", found, document, asked.assumptions, loaded, rows)


def warm_up(
    rig: RigLike,
    weather: WeatherLike,
    *,
    stop_at: str | None = None,
    thresholds_c: Sequence[float] | None = None,
    occupants: float | None = None,
    options: Document | None = None,
    **scenario: Any,
) -> StudyReport:
    """Say how soon the cabin is dangerously warm once its cooler stops.

    Parameters
    ----------
    rig, weather
        See :func:`project`.
    stop_at : str, optional
        ``HH:MM``; by default the worst moment is looked for.
    thresholds_c : sequence of float, optional
        Cabin temperatures whose times are looked for, rising. [degC]
    occupants : float, optional
        How many people are inside; their heat warms the cabin.
    options : dict, optional
        Further fields of the service's warm-up document.
    **scenario
        ``place``, ``operation``, ``start``, ``comfort``, ``date``, ``days`` of :func:`project`.

    Returns
    -------
    StudyReport
        Its ``table`` has a row a case.

    Examples
    --------
    >>> import noonhold as nh
    >>> report = nh.warm_up(
    ...     "flatbed_cabin", "basin_desert_sandrevel", stop_at="14:00", date="01-14"
    ... )
    >>> report.cautions[0][:55]
    'These minutes are a warning, not an allowance. A person'
    >>> len(report.table) > 0
    True
    """
    asked = question(rig, weather, **scenario)
    fields = study_document(
        asked,
        stop_at=stop_at,
        thresholds_c=None if thresholds_c is None else list(thresholds_c),
        occupants=occupants,
        **(options or {}),
    )
    loaded = load_warm_up(fields, asked.resolver)
    found = warm_up_study.warm_up(loaded.value, asked.catalogue, asked.read)
    document = warm_up_study.warm_up_report(found)
    return _study("warm-up", found, document, asked.assumptions, loaded, document["cases"])


def plan(
    rig: RigLike,
    weather: WeatherLike,
    *,
    drive: Document | None = None,
    options: Document | None = None,
    **scenario: Any,
) -> StudyReport:
    """Find the plan of the day that keeps the comfort limit with most charge left.

    Parameters
    ----------
    rig, weather
        See :func:`project`.
    drive : dict, optional
        ``duration_h``, ``speed_km_h``, ``earliest``, ``latest`` of a drive that belongs to the day.
    options : dict, optional
        Further fields of the service's plan document.
    **scenario
        ``place``, ``operation``, ``start``, ``comfort``, ``date``, ``days`` of :func:`project`.

    Returns
    -------
    StudyReport
        Its ``table`` sets the plan beside the operation as asked and the best fixed schedule.

    Examples
    --------
    >>> import noonhold as nh
    >>> report = nh.plan(
    ...     "flatbed_cabin", "plateau_highorrin", options={"most_runs": 20}, date="01-14"
    ... )
    >>> report.table["which"].tolist()
    ['plan', 'as asked', 'best fixed']
    """
    asked = question(rig, weather, **scenario)
    fields = study_document(asked, drive=drive, **(options or {}))
    loaded = load_plan(fields, asked.resolver)
    found = plan_day(loaded.value, asked.catalogue, asked.read, step_of(loaded.value.base))
    document = dump_plan(found)
    rows = [
        {"which": "plan", **document["figures"]},
        {"which": "as asked", **document["as_asked"]},
        {"which": "best fixed", **document["best_fixed"]["figures"]},
    ]
    return _study("plan", found, document, asked.assumptions, loaded, rows)


def calibrate(
    rig: RigLike,
    log: Document | pd.DataFrame,
    *,
    place: Place | Document,
    operation: Operation | Document,
    temperature_unit: str = "degC",
    events: Sequence[Document] | None = None,
    second_log: Document | pd.DataFrame | None = None,
    options: Document | None = None,
) -> StudyReport:
    """Fit a rig to a field log and say which factors the log identifies.

    Parameters
    ----------
    rig
        See :func:`load_rig`.
    log : dict or pandas.DataFrame
        The service's ``log`` document, as :func:`read_log` returns it, or a frame of its columns.
        The index has an offset from UTC, or is on the clock of ``place``'s time zone.
    place, operation
        Where the rig stood and what was done.
    temperature_unit : str, optional
        Of a frame's temperatures, ``degC`` or ``degF``.
    events : sequence of dict, optional
        What was switched when, beside a frame: ``at`` and what changed.
    second_log : dict or pandas.DataFrame, optional
        Another log of the same rig, predicted with what the first one taught: ``prediction`` of
        the report's ``document``. What differs from the first one's circumstances is said in
        ``options["prediction"]``.
    options : dict, optional
        Further fields of the service's calibration document: ``weather``, ``state_of_charge``,
        ``heater_from_battery``, ``fit``.

    Returns
    -------
    StudyReport
        Its ``table`` has a row a factor.
    """
    known = known_rig(rig)
    document = {
        "rig": "given",
        "place": place_document(place),
        "operation": operation_document(operation),
        **(options or {}),
    }
    zone = document["place"].get("timezone")
    document["log"] = _log(log, temperature_unit, events, zone)
    if second_log is not None:
        second = _log(second_log, temperature_unit, None, zone)
        document["prediction"] = {**document.get("prediction", {}), "log": second}
    loaded = load_calibration(document, lambda _: known)
    asked = loaded.value
    found = calibration_study.calibrate(asked.setup, asked.log, asked.options)
    prediction = predict_second(found, asked)
    answer = dump_calibration(found, given=asked.rig_document, prediction=prediction)
    return _study("calibration", found, answer, (), loaded, answer["factors"])


def read_log(
    source: str | Path,
    *,
    timezone: str | None = None,
    columns: Mapping[str, str] | None = None,
    temperature_unit: str | None = None,
    time_format: str | None = None,
) -> dict[str, Any]:
    """Read a logger's CSV file as the log of :func:`calibrate`.

    Parameters
    ----------
    source : str or pathlib.Path
        Path of the file: UTF-8, or Latin-1 where it is not that.
    timezone, columns, temperature_unit, time_format : optional
        See :func:`noonhold.documents.logger_csv.read_logger_csv`: zone of the logger's clock, what
        the file's headers are, and units and dates where the file does not tell them.

    Returns
    -------
    dict
        ``temperature_unit``, ``times`` and ``columns``; events may be added as ``events``.

    Raises
    ------
    DocumentError
        With every line that cannot be read.
    """
    return read_logger_csv(
        csv_text(Path(source)),
        timezone=timezone,
        columns=columns,
        temperature_unit=temperature_unit,
        time_format=time_format,
        pointer=str(source),
    ).document


def _log(
    log: Document | pd.DataFrame,
    temperature_unit: str,
    events: Sequence[Document] | None,
    timezone: str | None,
) -> dict[str, Any]:
    """Return a log as a document, with the events that are given beside it."""
    document = (
        log_document(log, temperature_unit, timezone)
        if isinstance(log, pd.DataFrame)
        else dict(log)
    )
    return document if events is None else {**document, "events": [dict(each) for each in events]}


def _study(
    name: str,
    found: object,
    document: Mapping[str, Any],
    assumed: tuple[Any, ...],
    loaded: Loaded[Any],
    rows: Sequence[Mapping[str, Any]],
) -> StudyReport:
    """Return the report of a study over a projection."""
    assumptions = moved(assumed, "/projection") + loaded.assumptions
    return StudyReport(name, found, document, assumptions, tuple(rows))
