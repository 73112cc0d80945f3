"""The library's calibration: a logger's file, and a rig fitted to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pandas as pd

from noonhold.documents.calibration_document import (
    dump_calibration,
    load_calibration,
    predict_second,
)
from noonhold.documents.logger_csv import csv_text, read_logger_csv
from noonhold.facade_inputs import (
    Document,
    RigLike,
    known_rig,
    log_document,
    operation_document,
    place_document,
)
from noonhold.reports import StudyReport
from noonhold.scenario import Operation, Place
from noonhold.studies.calibration import calibration_study


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
        See :func:`noonhold.load_rig`.
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
    return StudyReport("calibration", found, answer, loaded.assumptions, tuple(answer["factors"]))


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
        the file's headers are, and units and dates where the file does not state them.

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
