"""The weather that a document asks for, in exactly one of three ways."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from marshmallow import ValidationError

from noonhold.documents.fields import (
    Clock,
    Described,
    Flag,
    Items,
    Number,
    Part,
    Problem,
    Text,
    refuse,
)
from noonhold.documents.power_document import check_span
from noonhold.documents.schema import DocumentSchema, Loaded, Path, Problems, load_document
from noonhold.weather.hot_day import HotDay
from noonhold.weather.weather_request import Hourly, TypicalYear, WeatherRequest

MOST_ROWS = 366 * 24 * 12
MOST_FAULTS_A_COLUMN = 10
_MONTH_LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


class YearDay(Described):
    """A day of a typical year as ``MM-DD``."""

    _PATTERN = re.compile(r"([0-9]{2})-([0-9]{2})\Z")

    def __init__(self, description: str, **options: Any) -> None:
        metadata = {
            "type": "string",
            "pattern": "^[0-9]{2}-[0-9]{2}$",
            "description": description,
            "example": "07-21",
        }
        super().__init__(metadata=metadata, **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        match = self._PATTERN.match(value) if isinstance(value, str) else None
        if match is None:
            raise refuse("must be a day of the year as 'MM-DD'", "01-01 to 12-31")
        month, day = int(match[1]), int(match[2])
        if (month, day) == (2, 29):
            raise refuse("a typical year has no 29 February", "01-01 to 12-31")
        if not 1 <= month <= 12 or not 1 <= day <= _MONTH_LENGTHS[month - 1]:
            raise refuse("is no day of the year", "01-01 to 12-31")
        return month, day

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:
        return None if value is None else f"{value[0]:02d}-{value[1]:02d}"


class Day(Described):
    """A date as ``YYYY-MM-DD``."""

    def __init__(self, description: str, **options: Any) -> None:
        metadata = {
            "type": "string",
            "format": "date",
            "description": description,
            "example": "2026-07-21",
        }
        super().__init__(metadata=metadata, **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> date:
        bound = "1950-01-01 to 2100-12-31"
        if not isinstance(value, str) or not re.match(r"[0-9]{4}-[0-9]{2}-[0-9]{2}\Z", value):
            raise refuse("must be a date as 'YYYY-MM-DD'", bound)
        try:
            day = date.fromisoformat(value)
        except ValueError:
            raise refuse("is no day of the calendar", bound) from None
        if not 1950 <= day.year <= 2100:
            raise refuse("lies too far off", bound)
        return day

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:
        return None if value is None else value.isoformat()


class Moment(Described):
    """A moment in ISO 8601 with its offset from UTC."""

    def __init__(self, description: str, **options: Any) -> None:
        metadata = {
            "type": "string",
            "format": "date-time",
            "description": description,
            "example": "2026-07-21T00:00:00-07:00",
        }
        super().__init__(metadata=metadata, **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> datetime:
        bound = "for example 2026-07-21T00:00:00-07:00"
        try:
            moment = datetime.fromisoformat(value)
        except (TypeError, ValueError):
            raise refuse("must be a moment in ISO 8601 with its offset", bound) from None
        if moment.tzinfo is None:
            raise refuse("needs its offset from UTC", bound)
        if not 1950 <= moment.year <= 2100:
            raise refuse("lies too far off", "1950 to 2100")
        if moment.microsecond:
            raise refuse("must be on a whole second", bound)
        return moment

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:
        return None if value is None else value.isoformat()


class Column(Described):
    """A list of numbers, null where one is missing."""

    def __init__(self, name: str) -> None:
        self.number = Number(name)
        shape = {k: v for k, v in self.number.metadata.items() if k in ("minimum", "maximum")}
        metadata = {
            "type": "array",
            "items": {"type": ["number", "null"], **shape},
            "minItems": 1,
            "maxItems": MOST_ROWS,
            "description": self.number.metadata["description"],
        }
        super().__init__(metadata=metadata)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if not isinstance(value, list) or not 1 <= len(value) <= MOST_ROWS:
            raise refuse("must be a list of numbers", f"1 to {MOST_ROWS} items")
        low, high = self.number.lower, self.number.upper
        errors: dict[int, Any] = {}
        numbers: list[float | None] = []
        for row, each in enumerate(value):
            # The usual case first: a year of columns is a hundred thousand numbers.
            if type(each) is float and low <= each <= high:
                numbers.append(each)
                continue
            numbers.append(None)
            if each is None:
                continue
            try:
                numbers[row] = self.number.checked(each)
            except ValidationError as error:
                errors[row] = error.messages
                if len(errors) == MOST_FAULTS_A_COLUMN:
                    errors[row] = [Problem("this and perhaps more rows of the column are wrong")]
                    break
        if errors:
            raise ValidationError(errors)
        return tuple(numbers)

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:
        return None if value is None else list(value)


class TypicalYearSchema(DocumentSchema):
    """A stretch of a typical-year file."""

    target = TypicalYear

    first = YearDay("The first day.", key="from", required=True)
    days = Number("days", whole=True, default=1, reason="one day")
    station = Text(
        "Identifier of a station of the catalogue.", reason="the nearest station to the place"
    )
    max_distance_km = Number("max_distance_km")
    allow_far = Flag(
        "Whether a station that is named may be more than 100 km away, or 300 m higher or lower,"
        " than the place; the answer then says so.",
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require a distance only where a nearest station is looked for."""
        if "allow_far" in given and "station" not in given:
            problems.add("allow_far", "goes only with a station that is named")
        if "station" in given and "max_distance_km" in given:
            problems.add("max_distance_km", "mutually exclusive with station")

    def derived(self, data: dict[str, Any]) -> Any:
        """Refuse stations that are far off unless a distance is given."""
        if "station" not in data and "max_distance_km" not in data:
            yield "max_distance_km", 100.0, "a farther station may have another climate"

    def build(self, data: dict[str, Any]) -> TypicalYear:
        """Make the request."""
        month, day = data["first"]
        return TypicalYear(month, day, **{k: v for k, v in data.items() if k != "first"})

    def get_attribute(self, obj: Any, attr: str, default: Any) -> Any:
        """Read month and day as one."""
        if attr == "first":
            return obj.month, obj.day
        return super().get_attribute(obj, attr, default)

    def dumped(self, data: dict[str, Any], source: TypicalYear) -> dict[str, Any]:
        """Leave the distance out where a station is named."""
        if source.station is None:
            return {**data, "allow_far": None}
        return {**data, "max_distance_km": None}


class CloudSchema(DocumentSchema):
    """Cloud from one hour of the clock to another."""

    from_hour = Clock("Start.", key="from", required=True)
    to_hour = Clock("End; 24:00 for the end of the day.", end=True, key="to", required=True)
    cloud_fraction = Number("cloud_fraction", required=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Validate that the span has a length."""
        check_span(data, problems)

    def build(self, data: dict[str, Any]) -> tuple[float, float, float]:
        """Make the three numbers."""
        return data["from_hour"], data["to_hour"], data["cloud_fraction"]

    def get_attribute(self, obj: Any, attr: str, default: Any) -> Any:
        """Read the three numbers as if they had names."""
        if isinstance(obj, tuple):
            return obj[("from_hour", "to_hour", "cloud_fraction").index(attr)]
        return super().get_attribute(obj, attr, default)


class HotDaySchema(DocumentSchema):
    """A day as a person would describe it."""

    target = HotDay

    date = Day("Sets the sun.", required=True)
    high_c = Number("high_c", required=True)
    low_c = Number("low_c", required=True)
    dew_point_c = Number("dew_point_c", required=True)
    wind_speed_m_s = Number("wind_speed_m_s", default=2.0, reason="a light wind")
    cloud_fraction = Number("cloud_fraction", default=0.0, reason="a clear sky")
    cloud_spans = Items(Part(CloudSchema), "Cloud by hour, over cloud_fraction.", most=48)
    days = Number("days", whole=True, default=1, reason="one day")
    pressure_pa = Number("pressure_pa", reason="the standard atmosphere at the place's elevation")
    hour_of_high = Clock(
        "When the high comes, on the clock.", reason="ASHRAE curve, 14:30 in standard time"
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Hold low and dew point below the high."""
        high = data.get("high_c", math.inf)
        for name in ("low_c", "dew_point_c"):
            if data.get(name, -math.inf) > high:
                problems.add(name, "cannot exceed high_c", f"value <= {high:.10g} degC")


class ColumnsSchema(DocumentSchema):
    """The user's own columns, by pvlib's names."""

    temp_air = Column("temp_air")
    relative_humidity = Column("relative_humidity")
    temp_dew = Column("temp_dew")
    ghi = Column("ghi")
    dni = Column("dni")
    dhi = Column("dhi")
    horizontal_infrared = Column("horizontal_infrared")
    wind_speed = Column("wind_speed")
    pressure = Column("pressure")
    opaque_sky_cover = Column("opaque_sky_cover")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require what a projection needs, all of one length."""
        for name in ("temp_air", "wind_speed"):
            if name not in given:
                problems.add(name, "required field is missing")
        if "relative_humidity" not in given and "temp_dew" not in given:
            problems.add("relative_humidity", "required field is missing; or give temp_dew")
        if "ghi" not in given and not {"dni", "dhi"} <= given.keys():
            problems.add("ghi", "required field is missing; or give dni and dhi")
        lengths = {
            name: len(given[name])
            for name in self.fields
            if given.get(name) and isinstance(given[name], list)
        }
        usual = max(lengths.values(), default=0)
        for name, length in lengths.items():
            if length != usual:
                problems.add(name, f"has {length} rows where others have {usual}", f"{usual} rows")

    def build(self, data: dict[str, Any]) -> dict[str, tuple[float | None, ...]]:
        """Make the mapping of columns."""
        return data

    def get_attribute(self, obj: Any, attr: str, default: Any) -> Any:
        """Read a mapping's columns."""
        return obj.get(attr, default)


class HourlySchema(DocumentSchema):
    """Own columns from a moment on."""

    target = Hourly

    start = Moment("Start of the first interval.", required=True)
    interval_s = Number("interval_s", whole=True, default=3600, reason="hourly")
    columns = Part(
        ColumnsSchema,
        "Radiation as the interval's mean, the rest at the interval's end; null where missing.",
        required=True,
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require an interval that divides an hour."""
        interval = data.get("interval_s")
        if interval is not None and 3600 % interval:
            problems.add("interval_s", "must divide an hour", "3600 is a multiple of value")


class WeatherSchema(DocumentSchema):
    """Exactly one way of asking for weather."""

    typical_year = Part(TypicalYearSchema, "A stretch of a typical year.")
    hot_day = Part(HotDaySchema, "An invented hot day.")
    hourly = Part(HourlySchema, "Own columns.")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require exactly one."""
        named = [name for name in self.fields if name in given]
        if not named:
            problems.add((), "needs one of " + ", ".join(self.fields))
        for name in named[1:]:
            problems.add(name, f"mutually exclusive with {named[0]}", "exactly one")

    def build(self, data: dict[str, Any]) -> WeatherRequest:
        """Make the one that is given."""
        (request,) = self.built(data).values()
        result: WeatherRequest = request
        return result


def load_weather(document: object, root: Path = ()) -> Loaded[WeatherRequest]:
    """Read a weather request.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    root : tuple of str or int
        Where it stands in a larger document.

    Raises
    ------
    DocumentError
        With every fault.
    """
    data, assumptions = load_document(_SCHEMA, document, root)
    return Loaded(_SCHEMA.build(data), tuple(assumptions))


def dump_weather(request: WeatherRequest) -> dict[str, Any]:
    """Return the document of a weather request."""
    names = {TypicalYear: "typical_year", HotDay: "hot_day", Hourly: "hourly"}
    document: dict[str, Any] = _SCHEMA.dump({names[type(request)]: request})
    return document


_SCHEMA = WeatherSchema()
