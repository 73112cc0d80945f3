import io
import json
from dataclasses import replace
from pathlib import Path

import matplotlib.image
import numpy as np
import pytest

from noonhold.documents import load_projection
from noonhold.pictures.clock_axis import day_name, passed, readings, windows
from noonhold.pictures.day_picture import draw_day
from noonhold.projection_result import ProjectionResult, run_projection
from noonhold.scenario import ComfortMeasure
from noonhold.weather.catalogue import scan
from noonhold.weather.clock import Clock, clock_over
from noonhold.weather.weather_table import Site, WeatherTable
from tests.engine.pictures.svg import words

VERDICT = "Feasible: the cabin keeps to 27 degC & the battery does not fall below 49 %."
HOUR = 3600


@pytest.fixture(scope="module")
def found(checkout: Path) -> ProjectionResult:
    """Return the answer to a day of the user's own hours, which needs no station."""
    document = json.loads((checkout / "openapi/examples/own_hours.request.json").read_text())
    document["rig"] = json.loads((checkout / "tests/data/rigs/field_day_cabin.json").read_text())
    document["operation"]["cooling_window"] = {"from": "10:00", "to": "20:00"}
    request = load_projection(document).value
    nowhere = scan(checkout / "openapi")
    return run_projection(request.rig, request.scenario, request.weather, nowhere)


def clock(start: str, hours: int) -> Clock:
    starts = np.datetime64(start, "s") + np.arange(hours) * np.timedelta64(1, "h")
    return Clock("UTC+00:00", starts, np.zeros(hours, dtype=np.int64))


def test_a_stranger_reads_what_is_drawn(found: ProjectionResult) -> None:
    svg = draw_day(found, VERDICT, "svg")
    told = " ".join(words(svg))
    for text in (
        "Feasible: the cabin keeps to 27 °C & the battery does not fall below 49 %.",
        "temperature, °C",
        "charge, %",
        "power, W",
        "cabin without its cooler",
        "outdoors",
        "cooling window",
        "comfort limit 30 °C",
        "Heat in a closed vehicle can kill",
        "standard time of the weather",
        "10:00",
        "18:00",
    ):
        assert text in told, text
    assert b'role="img">\n <title>Cabin of the field day: Feasible' in svg
    assert b"<script" not in svg and b'href="http' not in svg


def test_the_same_answer_is_the_same_file_without_date_or_release(found: ProjectionResult) -> None:
    svg, png = draw_day(found, VERDICT, "svg"), draw_day(found, VERDICT, "png")
    assert (svg, png) == (draw_day(found, VERDICT, "svg"), draw_day(found, VERDICT, "png"))
    assert b"<dc:date>" not in svg and b"Matplotlib v" not in svg and b"Software" not in png
    assert matplotlib.image.imread(io.BytesIO(png)).std() > 0.05


@pytest.mark.parametrize("measure", list(ComfortMeasure))
def test_only_degrees_are_drawn_among_degrees(
    found: ProjectionResult, measure: ComfortMeasure
) -> None:
    comfort = replace(found.projection.scenario.comfort, measure=measure)
    scenario = replace(found.projection.scenario, comfort=comfort)
    other = replace(found, projection=replace(found.projection, scenario=scenario))
    told = words(draw_day(other, VERDICT, "svg"))
    judged = [text for text in told if text.endswith("(judged)")]
    limits = [text for text in told if text.startswith("comfort limit")]
    expected = 0 if measure is ComfortMeasure.PMV else 1
    assert (len(judged), len(limits)) == (expected, expected)


def test_a_long_run_names_days_instead_of_hours(found: ProjectionResult) -> None:
    projection = found.projection
    days = 31
    long = replace(
        projection,
        clock=clock("2025-01-01T00:00", 24 * days),
        record=np.tile(projection.record, (2 * days, 1)),
        uncooled=np.tile(projection.uncooled, (2 * days, 1)),
    )
    told = words(draw_day(replace(found, projection=long), VERDICT, "svg"))
    assert "1 Jan" in told and "5 Jan" in told and "2 Jan" not in told
    assert any(text.endswith("1 Jan to 31 Jan") for text in told)


def test_windows_open_and_shut_by_the_clock() -> None:
    day = clock("2025-06-01T00:00", 24)
    assert windows(day, HOUR, (9.5, 20.0)) == [(9.5, 20.0)]
    assert windows(day, HOUR, (22.0, 6.0)) == [(0.0, 6.0), (22.0, 24.0)]
    assert windows(day, HOUR, (0.0, 24.0)) == [(0.0, 24.0)]
    assert windows(clock("2025-06-01T12:00", 3), HOUR, (9.0, 20.0)) == [(0.0, 3.0)]
    assert windows(clock("2025-06-01T21:00", 2), HOUR, (9.0, 20.0)) == []
    two = windows(clock("2025-06-01T10:00", 24), HOUR, (9.0, 20.0))
    assert two == [(0.0, 10.0), (23.0, 24.0)]


def test_a_clock_set_back_shows_an_hour_twice_and_moves_nothing_else() -> None:
    # Spain, 2025-10-26: 03:00 summer time is 02:00 winter time again; the day has 25 hours.
    site = Site("Place", 40.0, -3.0, 600.0, 1.0)
    hours = 25
    level = np.full(hours, 20.0)
    table = WeatherTable(
        site=site,
        start=np.datetime64("2025-10-25T23:00", "s"),
        interval_s=HOUR,
        temp_air=level,
        relative_humidity=level,
        pressure=np.full(hours, 95_000.0),
        wind_speed=level * 0.1,
        ghi=level * 0.0,
        dni=level * 0.0,
        dhi=level * 0.0,
        horizontal_infrared=level * 20.0,
        full_year=False,
    )
    local = clock_over(table, "Europe/Madrid")
    assert str(local.starts[0]) == "2025-10-26T00:00:00"
    assert readings(local, HOUR, HOUR).tolist() == list(range(25))
    assert readings(local, HOUR, 24.0 * HOUR, 9.0 * HOUR).tolist() == [10.0]
    assert passed(local, HOUR)[-1] == 25.0


def test_a_clock_of_quarter_hours_has_its_full_hours_between_the_rows() -> None:
    quarter = clock("2025-06-01T23:45", 24)
    assert readings(quarter, HOUR, 6.0 * HOUR).tolist() == [0.25, 6.25, 12.25, 18.25]
    assert day_name(quarter.starts[1]) == "2 Jun"
