"""One question from its document to its verdict, on the days that calendars and latitudes bend."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from noonhold.documents import load_projection
from noonhold.errors import DocumentError
from noonhold.projection_result import ProjectionResult, run_projection
from noonhold.simulation import channels as ch
from noonhold.weather.catalogue import Catalogue, scan
from noonhold.weather.hot_day import HotDay, hot_day
from noonhold.weather.plain_csv import to_plain_csv
from noonhold.weather.weather_table import Site
from tests.engine.made import summer

NOWHERE = Catalogue((), ())
SAMPLE = Path(__file__).resolve().parents[2]


def question(weather: dict[str, Any], **place: Any) -> dict[str, Any]:
    rig = json.loads((SAMPLE / "tests/data/rigs/field_day_cabin.json").read_text())
    where = {"latitude": 70.0, "longitude": 15.0, "elevation_m": 10.0} | place
    return {
        "rig": rig,
        "place": where,
        "weather": weather,
        "operation": {"set_point_c": 22.0},
        "start": {"state_of_charge": 0.6, "cabin_temperature_c": "settled", "spin_up_days": 2},
        "comfort": {"measure": "operative", "limit": 26.0},
    }


def asked(document: dict[str, Any], catalogue: Catalogue = NOWHERE) -> ProjectionResult:
    request = load_projection(document).value
    return run_projection(request.rig, request.scenario, request.weather, catalogue)


def sound(given: ProjectionResult, days: int, hours: int) -> np.ndarray:
    """Assert what every answer keeps, and return its record."""
    record = given.projection.record
    assert len(record) == hours
    assert given.summary.days == days
    assert len(given.days.verdict) == days
    for channel in (ch.CABIN, ch.RADIANT, ch.STORED, ch.SOLAR, ch.COOLER_POWER, ch.HUMIDITY):
        assert np.isfinite(record[:, channel]).all(), ch.CHANNELS[channel]
    times = given.projection.clock.iso_times()
    assert len(set(times)) == hours
    universal = [datetime.fromisoformat(time).timestamp() for time in times]
    assert set(np.diff(universal).tolist()) == {3600.0}
    return record


def station_year(folder: Path, latitude: float, utc_offset_h: float, longitude: float) -> Catalogue:
    """Return a catalogue of one plain file: a year of days alike under the sun of the place."""
    site = Site("made", latitude, longitude, 10.0, utc_offset_h, station="made")
    days = HotDay(date(2025, 1, 1), 24.0, 12.0, 5.0, 3.0, days=365)
    table = replace(hot_day(site, days), full_year=True, opening=None)
    (folder / "made.csv").write_text(to_plain_csv(table), encoding="utf-8")
    return scan(folder)


@pytest.fixture(scope="module")
def arctic(tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    return station_year(tmp_path_factory.mktemp("arctic"), 70.0, 1.0, 15.0)


def typical(first: str, days: int = 1) -> dict[str, Any]:
    return {"typical_year": {"from": first, "days": days}}


def test_a_polar_day_yields_at_midnight(arctic: Catalogue) -> None:
    given = asked(question(typical("06-20", 2), timezone="Europe/Oslo"), arctic)
    record = sound(given, days=2, hours=48)
    assert (record[:, ch.SOLAR] > 0.0).all()
    midnight = [time[11:13] for time in given.projection.clock.iso_times()].index("00")
    assert record[midnight, ch.SOLAR] < record[:, ch.SOLAR].max() / 3.0


def test_a_polar_night_yields_nothing_and_is_no_fault(arctic: Catalogue) -> None:
    given = asked(question(typical("12-20", 2), timezone="Europe/Oslo"), arctic)
    record = sound(given, days=2, hours=48)
    for channel in (ch.SOLAR, ch.CURTAILED, ch.SOLAR_IN, ch.INCIDENT_ARRAYS):
        assert (record[:, channel] == 0.0).all(), ch.CHANNELS[channel]
    assert given.summary.charge_at_end < 0.6


def test_described_days_of_polar_night_and_day() -> None:
    day = {"high_c": 15.0, "low_c": 5.0, "dew_point_c": 2.0}
    dark = asked(question({"hot_day": {"date": "2026-12-21", **day}}))
    assert sound(dark, 1, 24)[:, ch.SOLAR].max() == 0.0
    bright = asked(question({"hot_day": {"date": "2026-06-21", **day}}))
    assert sound(bright, 1, 24)[:, ch.SOLAR].min() > 0.0


def test_at_either_pole_the_sun_goes_round() -> None:
    day = {"high_c": 5.0, "low_c": -5.0, "dew_point_c": -8.0}
    for latitude, month in ((90.0, 6), (-90.0, 12)):
        pole = question({"hot_day": {"date": f"2026-{month:02d}-21", **day}}, latitude=latitude)
        record = sound(asked(pole), 1, 24)
        assert record[:, ch.SOLAR].min() > 0.0


def test_the_years_end_runs_on_into_its_beginning(arctic: Catalogue) -> None:
    given = asked(question(typical("12-31", 2)), arctic)
    sound(given, days=2, hours=48)
    dates = [time[:10] for time in given.projection.clock.iso_times()]
    assert (dates[0], dates[-1]) == ("2025-12-31", "2026-01-01")


def test_a_typical_year_has_no_29_february(arctic: Catalogue) -> None:
    with pytest.raises(DocumentError, match="no 29 February") as caught:
        asked(question(typical("02-29")), arctic)
    assert [fault.path for fault in caught.value.faults] == ["/weather/typical_year/from"]
    given = asked(question(typical("02-28", 2)), arctic)
    sound(given, days=2, hours=48)
    assert given.projection.clock.iso_times()[24].startswith("2025-03-01T00:00")


def test_own_hours_and_a_described_day_have_it_in_a_leap_year() -> None:
    table = summer(days=2, first=date(2024, 2, 28))
    start = datetime(2024, 2, 28, tzinfo=timezone(timedelta(hours=-9)))
    columns = {
        name: getattr(table, name).tolist()
        for name in ("ghi", "dni", "dhi", "temp_air", "relative_humidity", "wind_speed")
    }
    own = {"hourly": {"start": start.isoformat(), "columns": columns}}
    given = asked(question(own, latitude=38.0, longitude=-135.0))
    sound(given, days=2, hours=48)
    assert given.projection.clock.iso_times()[-1] == "2024-02-29T23:00:00-09:00"
    day = {"date": "2024-02-29", "high_c": 30.0, "low_c": 15.0, "dew_point_c": 5.0}
    described = asked(question({"hot_day": day}, latitude=38.0, longitude=-135.0))
    sound(described, days=1, hours=24)
    assert described.projection.clock.iso_times()[0] == "2024-02-29T00:00:00-09:00"


@pytest.mark.parametrize(
    ("zone", "month_day", "described", "hours"),
    [
        ("America/Denver", "03-09", "2025-03-09", 23),
        ("America/Denver", "11-02", "2025-11-02", 25),
        ("Australia/Adelaide", "04-06", "2025-04-06", 25),
        ("Africa/Cairo", "04-25", "2025-04-25", 23),
    ],
)
def test_a_day_on_which_the_clock_changes_is_one_day(
    tmp_path: Path, zone: str, month_day: str, described: str, hours: int
) -> None:
    offset, longitude, latitude = {
        "America/Denver": (-7.0, -105.0, 40.0),
        "Australia/Adelaide": (9.5, 138.6, -35.0),
        "Africa/Cairo": (2.0, 31.2, 30.0),
    }[zone]
    where = {"latitude": latitude, "longitude": longitude, "timezone": zone}
    catalogue = station_year(tmp_path, latitude, offset, longitude)
    sound(asked(question(typical(month_day), **where), catalogue), 1, hours)
    day = {"date": described, "high_c": 30.0, "low_c": 15.0, "dew_point_c": 5.0}
    sound(asked(question({"hot_day": day}, **where)), 1, hours)


@pytest.mark.parametrize(
    ("zone", "offset_h", "shown"),
    [("Asia/Kolkata", 5.5, "+05:30"), ("Asia/Kathmandu", 5.75, "+05:45")],
)
def test_zones_off_the_whole_hour(tmp_path: Path, zone: str, offset_h: float, shown: str) -> None:
    where = {"latitude": 27.0, "longitude": 85.0, "timezone": zone}
    catalogue = station_year(tmp_path, 27.0, offset_h, 85.0)
    for weather in (
        typical("05-10"),
        {"hot_day": {"date": "2026-05-10", "high_c": 40.0, "low_c": 27.0, "dew_point_c": 12.0}},
    ):
        given = asked(question(weather, **where), catalogue)
        record = sound(given, 1, 24)
        first = given.projection.clock.iso_times()[0]
        assert first[5:16] == "05-10T00:00"
        assert first.endswith(shown)
        assert 10 <= int(np.argmax(record[:, ch.INCIDENT_ARRAYS])) <= 13


def test_in_the_south_the_typical_january_sun_stands_in_the_north(tmp_path: Path) -> None:
    # The only window looks ahead; with the front to the north it lets the noon sun in.
    catalogue = station_year(tmp_path, -35.0, 10.0, 150.0)
    taken = {}
    for heading in (0.0, 180.0):
        where = {"latitude": -35.0, "longitude": 150.0, "heading_deg": heading}
        document = question(typical("03-20"), **where)
        window = document["rig"]["shell"]["windows"][0]
        for gone in ("extent", "covers"):
            window.pop(gone, None)
        window |= {"face": "front", "name": "front window"}
        window.pop("azimuth_from_front_deg", None)
        document["rig"]["shell"]["windows"] = [window]
        document["rig"].pop("notes", None)
        taken[heading] = sound(asked(document, catalogue), 1, 24)[:, ch.SOLAR_IN].sum()
    assert taken[0.0] > 1.5 * taken[180.0]
