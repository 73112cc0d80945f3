"""A field log as a document: times, columns as the instruments wrote them, and events."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

import numpy as np
from marshmallow import ValidationError

from noonhold.documents.fields import Choice, Described, Items, Part, Problem, Text
from noonhold.documents.logger_csv import NAMES, read_logger_csv
from noonhold.documents.scenario_document import SettingSchema
from noonhold.documents.schema import DocumentSchema, Problems
from noonhold.documents.study_numbers import StudyNumber
from noonhold.documents.weather_document import MOST_FAULTS_A_COLUMN, Column, Moment
from noonhold.errors import DocumentError, Fault
from noonhold.quantities import Quantity
from noonhold.scenario import Setting
from noonhold.studies.calibration.field_log import (
    LOG_COLUMNS,
    TEMPERATURES,
    Event,
    FieldLog,
    to_celsius,
)
from noonhold.studies.calibration.log_findings import LogFault

LEAST_ROWS = 12
MOST_ROWS = 100_000
MOST_CSV_CHARACTERS = 20_000_000
_CELSIUS, _FAHRENHEIT = "degC", "degF"


class Moments(Described):
    """A list of moments, each in ISO 8601 with its offset from UTC."""

    def __init__(self, description: str) -> None:
        self.moment = Moment(description)
        items = {"type": "string", "format": "date-time"}
        shape = {"type": "array", "items": items, "minItems": LEAST_ROWS, "maxItems": MOST_ROWS}
        super().__init__(metadata={**shape, "description": description})

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if not isinstance(value, list) or not LEAST_ROWS <= len(value) <= MOST_ROWS:
            bound = f"{LEAST_ROWS} to {MOST_ROWS} items"
            raise ValidationError([Problem("must be a list of moments", bound)])
        errors: dict[int, Any] = {}
        moments: list[datetime] = []
        for row, each in enumerate(value):
            try:
                moments.append(self.moment.deserialize(each))
            except ValidationError as error:
                errors[row] = error.messages
                if len(errors) == MOST_FAULTS_A_COLUMN:
                    errors[row] = [Problem("this and perhaps more rows are no moments")]
                    break
        if errors:
            raise ValidationError(errors)
        return moments


class LogColumn(Column):
    """What one instrument wrote, null where it wrote nothing.

    Any finite number is read; the checks of the log report impossible ones with their rows.
    """

    def __init__(self, name: str, unit: str, description: str) -> None:
        self.number = StudyNumber(Quantity(name, unit, description, -1e6, 1e6))
        metadata = {
            "type": "array",
            "items": {
                "type": ["number", "null"],
                "minimum": self.number.lower,
                "maximum": self.number.upper,
            },
            "minItems": LEAST_ROWS,
            "maxItems": MOST_ROWS,
            "description": self.number.metadata["description"],
        }
        Described.__init__(self, metadata=metadata)


class LogColumnsSchema(DocumentSchema):
    """The log's columns; readings hold at their row, means since the row before."""

    outdoor_temperature = LogColumn("outdoor_temperature", "temperature_unit", "Outdoor air.")
    cabin_temperature = LogColumn("cabin_temperature", "temperature_unit", "Cabin air.")
    state_of_charge = LogColumn("state_of_charge", "1", "Charge over usable, 0 to 1.")
    array_power_w = LogColumn("array_power_w", "W", "All arrays, at the bus; a mean.")
    load_power_w = LogColumn(
        "load_power_w", "W", "All loads and electronics without the cooler; a mean."
    )
    cooler_power_w = LogColumn("cooler_power_w", "W", "The cooler, at the bus; a mean.")
    heater_power_w = LogColumn(
        "heater_power_w", "W", "A heater whose heat goes into the cabin air; a mean."
    )
    ghi = LogColumn("ghi", "W m-2", "Global horizontal irradiance; a mean.")
    dni = LogColumn("dni", "W m-2", "Direct normal irradiance; a mean.")
    dhi = LogColumn("dhi", "W m-2", "Diffuse horizontal irradiance; a mean.")
    relative_humidity = LogColumn("relative_humidity", "%", "Of the outdoor air.")
    wind_speed = LogColumn("wind_speed", "m s-1", "At 10 m above open ground.")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require the two temperatures, and the global before its parts."""
        for name in ("outdoor_temperature", "cabin_temperature"):
            if name not in given:
                problems.add(name, f"{LogFault.MISSING_CHANNEL}: required field is missing")
        if {"dni", "dhi"} & given.keys() and "ghi" not in given:
            problems.add("ghi", "required where a part of it was logged")


class EventSchema(SettingSchema):
    """Something that was switched, and holds until it is switched again."""

    class Meta(DocumentSchema.Meta):
        """The moment stands first."""

        fields = ("at", *Setting.__dataclass_fields__)

    at = Moment("When.", required=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require something that changes."""
        if set(given) <= {"at"}:
            known = ", ".join(Setting.__dataclass_fields__)
            problems.add((), "an event must change something", "any of " + known)

    def build(self, data: dict[str, Any]) -> Event:
        """Make the event and its setting."""
        setting = Setting(**{name: value for name, value in data.items() if name != "at"})
        return Event(utc_moment(data["at"]), setting)


class HeaderSchema(DocumentSchema):
    """What a column of a logger's file is."""

    header = Text("As the file has it, with or without its unit in brackets.", required=True)
    column = Choice(("time", *NAMES), "What it is.", required=True)


class LogSchema(DocumentSchema):
    """A field log: its times and columns, or the text of a logger's CSV file."""

    temperature_unit = Choice(
        (_CELSIUS, _FAHRENHEIT),
        "Of the two temperatures; may be left out where the headers of a CSV text say it.",
    )
    times = Moments("When each row was written.")
    columns = Part(LogColumnsSchema, "What was read, one value a row.")
    csv = Text(
        "A logger's CSV file instead of times and columns: comma, semicolon or tab, decimal comma,"
        " local times, percent and kilowatts as they are.",
        longest=MOST_CSV_CHARACTERS,
    )
    timezone = Text("IANA zone of the logger's clock, where the CSV's times have no offset.")
    headers = Items(
        Part(HeaderSchema), "Columns of the CSV that have names of their own.", most=len(NAMES) + 2
    )
    time_format = Text(
        "Of the CSV's times, where day and month cannot be distinguished (strptime)."
    )
    events = Items(Part(EventSchema), "What was switched when, over the operation.", most=500)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require one value a row, and one way to give them."""
        for name in ("temperature_unit", "times", "columns"):
            if "csv" not in given and name not in given:
                problems.add(name, "required field is missing; or give csv")
        times, columns = given.get("times"), given.get("columns")
        if not isinstance(times, list) or not isinstance(columns, Mapping):
            return
        for name, values in columns.items():
            if isinstance(values, list) and len(values) != len(times):
                message = f"has {len(values)} rows where times has {len(times)}"
                problems.add(("columns", name), message, f"{len(times)} rows")

    def build(self, data: dict[str, Any]) -> FieldLog:
        """Make the log, in degC and UTC."""
        fahrenheit = data["temperature_unit"] == _FAHRENHEIT
        columns = {}
        for name in LOG_COLUMNS:
            given = data["columns"].get(name.removesuffix("_c") if name in TEMPERATURES else name)
            if given is None:
                continue
            values = np.array([np.nan if v is None else v for v in given], dtype=np.float64)
            columns[name] = to_celsius(values) if fahrenheit and name in TEMPERATURES else values
        offset = data["times"][0].utcoffset()
        events = self.fields["events"]
        return FieldLog(
            times=np.array([utc_moment(moment) for moment in data["times"]], dtype="datetime64[s]"),
            utc_offset_h=offset.total_seconds() / 3600.0,
            columns=columns,
            events=tuple(events.inner.schema.build(each) for each in data.get("events", ())),  # type: ignore[attr-defined] # Items of Part
            fahrenheit=fahrenheit,
        )


def with_csv_read(log: object, pointer: str) -> tuple[object, tuple[str, ...]]:
    """Return the document of a log with the text of its CSV file read, and notes.

    Parameters
    ----------
    log : object
        As the JSON parser returned it; without a text in ``csv`` it is returned as it is.
    pointer : str
        Of the log in the request, for the faults.

    Raises
    ------
    DocumentError
        With every line that cannot be read.
    """
    if not isinstance(log, Mapping) or not isinstance(log.get("csv"), str):
        return log, ()
    both = [name for name in ("times", "columns") if name in log]
    if both:
        raise DocumentError(
            Fault(f"{pointer}/{name}", "mutually exclusive with csv") for name in both
        )
    asked = {
        name: log[name]
        for name in ("timezone", "time_format", "temperature_unit")
        if isinstance(log.get(name), str)
    }
    headers = log.get("headers")
    mapped = {
        str(each.get("header")): str(each.get("column"))
        for each in (headers if isinstance(headers, list) else ())
        if isinstance(each, Mapping)
    }
    parsed = read_logger_csv(log["csv"], columns=mapped, pointer=f"{pointer}/csv", **asked)
    used = {"csv", "headers", *asked}
    rest = {name: value for name, value in log.items() if name not in used}
    return {**rest, **parsed.document}, parsed.notes


def utc_moment(moment: datetime) -> np.datetime64:
    """Return a moment with an offset in UTC.

    Parameters
    ----------
    moment : datetime.datetime
        With its offset.

    Returns
    -------
    numpy.datetime64
        In whole seconds.
    """
    return np.datetime64(int(moment.timestamp()), "s")
