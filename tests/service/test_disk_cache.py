"""What was read once of a weather file is not read again: not at the next start, nor elsewhere."""

import os
import shutil
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from noonhold.weather.catalogue import Catalogue, scan
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import WeatherTable
from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.process.app import create_app, reload_app
from noonhold_service.settings import Settings
from noonhold_service.state import weather_cache
from noonhold_service.state.disk_cache import DiskCache, mark_of
from noonhold_service.state.weather_cache import WeatherCache


@pytest.fixture
def weather(checkout: Path, tmp_path: Path) -> Path:
    """Return a folder of three stations and a file that is none."""
    folder = tmp_path / "weather"
    folder.mkdir()
    for source in sorted((checkout / "sample_weather").glob("*.epw.gz"))[:3]:
        shutil.copy(source, folder)
    (folder / "broken.epw").write_text("no weather")
    return folder


def start(cache: Path, weather: Path) -> tuple[Catalogue, int]:
    known = DiskCache(cache).known_sites(weather)
    found = scan(weather, known.read_site)
    known.save()
    return found, known.read_count


def same(one: WeatherTable, other: WeatherTable) -> bool:
    return all(
        np.array_equal(getattr(one, each.name), getattr(other, each.name))
        if isinstance(getattr(one, each.name), np.ndarray)
        else getattr(one, each.name) == getattr(other, each.name)
        for each in fields(WeatherTable)
    )


def test_headers_are_read_once_and_again_where_a_file_changed(
    weather: Path, tmp_path: Path
) -> None:
    plain = scan(weather)
    first, read = start(tmp_path / "cache", weather)
    assert (first, read) == (plain, 4)
    again, read = start(tmp_path / "cache", weather)
    # Only the one that is no weather file is read again.
    assert (again, read) == (plain, 1)
    os.utime(plain.stations[0].path, (1, 1))
    assert start(tmp_path / "cache", weather) == (plain, 2)
    plain.stations[0].path.unlink()
    fewer, read = start(tmp_path / "cache", weather)
    assert fewer.stations == plain.stations[1:] and read == 1


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b'{"x": 1}', b"\xff"])
def test_a_spoilt_index_is_made_anew(weather: Path, tmp_path: Path, content: bytes) -> None:
    plain, _ = start(tmp_path / "cache", weather)
    (kept,) = (tmp_path / "cache").glob("*/stations-*.json")
    kept.write_bytes(content)
    assert start(tmp_path / "cache", weather) == (plain, 4)


def test_columns_come_from_disk_as_they_were_parsed(
    weather: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = scan(weather).stations[0].path
    parsed = WeatherCache(2, DiskCache(tmp_path / "cache")).read(path)
    monkeypatch.setattr(weather_cache, "read_weather", None)  # another worker need not parse it
    kept = WeatherCache(2, DiskCache(tmp_path / "cache")).read(path)
    assert same(kept, parsed) and same(kept, read_weather(path))


def test_a_spoilt_or_outdated_table_is_parsed_anew(weather: Path, tmp_path: Path) -> None:
    path, disk = scan(weather).stations[0].path, DiskCache(tmp_path / "cache")
    parsed = WeatherCache(2, disk).read(path)
    (kept,) = (tmp_path / "cache").glob("*/*.npz")
    whole = kept.read_bytes()
    for content in (b"", b"PK", whole[:1000], whole[:-30]):
        kept.write_bytes(content)
        assert same(WeatherCache(2, disk).read(path), parsed)
    kept.write_bytes(whole)
    os.utime(path, (1, 1))
    assert disk.load_table(path, mark_of(path)) is None


def test_without_a_folder_to_write_to_all_goes_on(weather: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    found, read = start(tmp_path / "file", weather)
    assert (len(found.stations), read) == (3, 4)
    cache = WeatherCache(2, DiskCache(tmp_path / "file"))
    assert len(cache.read(found.stations[0].path)) == 8760


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    cache = DiskCache(tmp_path)
    cache.write("something", b"content")
    assert cache.read("something") is None
    assert not list(cache.folder.iterdir())


def test_a_file_that_is_gone_or_another_stations_is_no_fault_of_the_request(
    weather: Path, tmp_path: Path
) -> None:
    app = create_app(Settings(weather_folder=weather, cache_folder=tmp_path / "cache"))
    stations = app.extensions["noonhold"].catalogue.stations
    first, other = stations[0], stations[1]
    request = {
        **REQUESTS["typical_day"].document,
        "place": {
            "latitude": first.site.latitude,
            "longitude": first.site.longitude,
            "elevation_m": first.site.elevation_m,
        },
        "weather": {"typical_year": {"from": "01-15", "station": first.station_id}},
    }
    client = app.test_client()
    assert client.post("/v1/projections", json=request).status_code == 200
    kept = first.path.read_bytes()
    first.path.write_bytes(other.path.read_bytes())
    response = client.post("/v1/projections", json=request)
    assert (response.status_code, response.get_json()["type"]) == (503, "/problems/weather-changed")
    assert other.site.name in response.get_json()["detail"]
    first.path.unlink()
    response = client.post("/v1/projections", json=request)
    assert (response.status_code, response.get_json()["type"]) == (503, "/problems/weather-changed")
    assert reload_app(app)
    response = client.post("/v1/projections", json=request)
    assert (response.status_code, response.get_json()["type"]) == (422, "/problems/no-weather")
    first.path.write_bytes(kept)
    assert reload_app(app)
    assert client.post("/v1/projections", json=request).status_code == 200


def test_a_folder_that_cannot_be_read_again_leaves_everything_as_it_was(
    checkout: Path, tmp_path: Path
) -> None:
    rigs = tmp_path / "rigs"
    shutil.copytree(checkout / "sample_rigs", rigs)
    app = create_app(Settings(rigs_folder=rigs))
    before = app.extensions["noonhold"]
    (rigs / "broken.json").write_text("{")
    assert not reload_app(app)
    assert app.extensions["noonhold"] is before
    (rigs / "broken.json").unlink()
    assert reload_app(app)
    assert app.extensions["noonhold"].gate is before.gate
