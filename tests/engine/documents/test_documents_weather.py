from datetime import date, timedelta
from typing import Any

import pytest

from noonhold.documents import load_weather
from noonhold.documents.weather_document import MOST_FAULTS_A_COLUMN
from noonhold.errors import DocumentError
from noonhold.weather.hot_day import HotDay, hot_day
from noonhold.weather.weather_request import Hourly, TypicalYear
from noonhold.weather.weather_table import Site
from tests.engine.document_samples import changed, without

HOT: dict[str, Any] = {
    "hot_day": {"date": "2026-07-21", "high_c": 38, "low_c": 20, "dew_point_c": 8}
}
OWN: dict[str, Any] = {
    "hourly": {
        "start": "2026-07-21T00:00:00-06:00",
        "columns": {
            "temp_air": [20, 21.5, None],
            "relative_humidity": [40, 41, 42],
            "ghi": [0, 0, 0],
            "wind_speed": [2, 2, 2],
        },
    }
}


def faulty(document: Any) -> list[str]:
    with pytest.raises(DocumentError) as caught:
        load_weather(document, ("weather",))
    return [fault.path for fault in caught.value.faults]


def test_a_typical_year_tells_what_it_chose() -> None:
    loaded = load_weather({"typical_year": {"from": "07-21"}}, ("weather",))
    assert loaded.value == TypicalYear(7, 21)
    assert {a.path for a in loaded.assumptions} == {
        "/weather/typical_year/days",
        "/weather/typical_year/station",
        "/weather/typical_year/max_distance_km",
    }


def test_a_named_station_needs_no_distance() -> None:
    named = {"typical_year": {"from": "12-31", "days": 2, "station": "anywhere"}}
    loaded = load_weather(named)
    assert loaded.value == TypicalYear(12, 31, 2, "anywhere")
    assert loaded.assumptions == ()
    assert faulty(changed(named, ("/typical_year/max_distance_km", 5))) == [
        "/weather/typical_year/max_distance_km"
    ]


def test_a_hot_day_becomes_the_model_s_own_and_makes_weather() -> None:
    spans = [{"from": "13:00", "to": "24:00", "cloud_fraction": 0.4}]
    loaded = load_weather(
        changed(HOT, ("/hot_day/cloud_spans", spans), ("/hot_day/hour_of_high", "15:30"))
    )
    expected = HotDay(
        date(2026, 7, 21), 38.0, 20.0, 8.0, 2.0, 0.0, ((13.0, 24.0, 0.4),), 1, None, 15.5
    )
    assert loaded.value == expected
    table = hot_day(Site("here", 40.0, -105.0, 1600.0, -7.0), expected)
    assert table.temp_air.max() == pytest.approx(38.0, abs=0.5)


@pytest.mark.parametrize(
    ("where", "value", "pointer"),
    [
        ("/hot_day/date", "21.7.2026", "/weather/hot_day/date"),
        ("/hot_day/date", "2026-02-30", "/weather/hot_day/date"),
        ("/hot_day/date", "1810-02-01", "/weather/hot_day/date"),
        ("/hot_day/date", 20260721, "/weather/hot_day/date"),
        ("/hot_day/low_c", 39, "/weather/hot_day/low_c"),
        ("/hot_day/dew_point_c", 39, "/weather/hot_day/dew_point_c"),
        ("/hot_day/high_c", 100, "/weather/hot_day/high_c"),
        ("/hot_day/pressure_pa", 850, "/weather/hot_day/pressure_pa"),
        ("/hot_day/hour_of_high", 15.5, "/weather/hot_day/hour_of_high"),
        (
            "/hot_day/cloud_spans",
            [{"from": "13:00", "to": "13:00", "cloud_fraction": 1}],
            "/weather/hot_day/cloud_spans/0/to",
        ),
    ],
)
def test_a_broken_hot_day_is_told_where(where: str, value: Any, pointer: str) -> None:
    assert faulty(changed(HOT, (where, value))) == [pointer]


def test_own_columns_keep_their_holes_and_their_offset() -> None:
    request = load_weather(OWN).value
    assert isinstance(request, Hourly)
    assert request.start.utcoffset() == timedelta(hours=-6)
    assert request.interval_s == 3600
    assert request.columns["temp_air"] == (20.0, 21.5, None)


@pytest.mark.parametrize(
    ("where", "value", "pointers"),
    [
        ("/hourly/start", "2026-07-21T00:00:00", ["/weather/hourly/start"]),
        ("/hourly/start", "noon", ["/weather/hourly/start"]),
        ("/hourly/start", 0, ["/weather/hourly/start"]),
        ("/hourly/start", "2026-07-21T00:00:00.5Z", ["/weather/hourly/start"]),
        ("/hourly/interval_s", 700, ["/weather/hourly/interval_s"]),
        ("/hourly/interval_s", 7200, ["/weather/hourly/interval_s"]),
        ("/hourly/columns/temp_air", [1, 2], ["/weather/hourly/columns/temp_air"]),
        ("/hourly/columns/temp_air", [], ["/weather/hourly/columns/temp_air"]),
        ("/hourly/columns/temp_air", 20, ["/weather/hourly/columns/temp_air"]),
        (
            "/hourly/columns/temp_air",
            [95, "20", True],
            [f"/weather/hourly/columns/temp_air/{row}" for row in (0, 1, 2)],
        ),
        ("/hourly/columns/sunshine", [1, 2, 3], ["/weather/hourly/columns/sunshine"]),
    ],
)
def test_broken_columns_are_told_where(where: str, value: Any, pointers: list[str]) -> None:
    assert faulty(changed(OWN, (where, value))) == pointers


def test_what_columns_lack_is_told_at_once() -> None:
    assert faulty(changed(OWN, ("/hourly/columns", {}))) == [
        "/weather/hourly/columns/ghi",
        "/weather/hourly/columns/relative_humidity",
        "/weather/hourly/columns/temp_air",
        "/weather/hourly/columns/wind_speed",
    ]
    split = changed(without(OWN, "/hourly/columns/ghi"), ("/hourly/columns/dni", [0, 0, 0]))
    assert faulty(split) == ["/weather/hourly/columns/ghi"]


def test_a_column_that_is_wrong_throughout_does_not_flood_the_answer() -> None:
    column = ["x"] * 5000
    paths = faulty(changed(OWN, ("/hourly/columns/temp_air", column)))
    rows = [path for path in paths if "/temp_air/" in path]
    assert len(rows) == MOST_FAULTS_A_COLUMN


@pytest.mark.parametrize(
    ("document", "pointers"),
    [
        ({}, ["/weather"]),
        ({**HOT, "typical_year": {"from": "01-01"}}, ["/weather/hot_day"]),
        ({"file": "x.epw"}, ["/weather", "/weather/file"]),
    ],
)
def test_exactly_one_way(document: Any, pointers: list[str]) -> None:
    assert faulty(document) == pointers
