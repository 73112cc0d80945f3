import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from noonhold.errors import DocumentError, WeatherFormatError
from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings
from noonhold_service.state.app_state import kept_tables
from noonhold_service.state.rig_store import read_rigs
from noonhold_service.state.weather_cache import WeatherCache
from tests.engine.made import rig
from tests.service.conftest import request_with


@pytest.fixture
def weather_file(checkout: Path, tmp_path: Path) -> Path:
    source = checkout / "sample_weather" / "coast_ostmarrow.epw.gz"
    return Path(shutil.copy(source, tmp_path / source.name))


def test_a_file_is_parsed_once_until_it_changes(weather_file: Path) -> None:
    cache = WeatherCache(2)
    first = cache.read(weather_file)
    assert cache.read(weather_file) is first
    os.utime(weather_file, (1, 1))
    assert cache.read(weather_file) is not first


def test_the_longest_unused_goes_first(weather_file: Path) -> None:
    cache = WeatherCache(2)
    paths = [Path(shutil.copy(weather_file, weather_file.parent / f"{n}.epw.gz")) for n in "abc"]
    tables = [cache.read(path) for path in paths[:2]]
    assert cache.read(paths[0]) is tables[0]
    cache.read(paths[2])
    assert len(cache) == 2
    assert cache.read(paths[0]) is tables[0]
    assert cache.read(paths[1]) is not tables[1]


def test_a_station_whose_file_went_bad_is_a_problem_of_its_name_alone(
    weather_file: Path, checkout: Path
) -> None:
    settings = Settings(weather_folder=weather_file.parent)
    client = create_app(settings).test_client()
    weather_file.write_bytes(b"\x1f\x8bno longer gzip")
    weather = {"from": "01-15", "station": "coast_ostmarrow"}
    response = client.post("/v1/projections", json=request_with(("/weather/typical_year", weather)))
    assert response.status_code == 422
    problem = response.get_json()
    assert problem["type"] == "/problems/no-weather"
    assert problem["errors"][0]["pointer"] == "/weather/typical_year/station"
    assert str(weather_file.parent) not in response.text


def test_a_missing_folder_stops_the_start(tmp_path: Path) -> None:
    with pytest.raises(WeatherFormatError, match="no such folder"):
        create_app(Settings(weather_folder=tmp_path / "none"))


def test_rigs_that_cannot_be_read_stop_the_start_and_are_all_named(tmp_path: Path) -> None:
    (tmp_path / "one.json").write_text('{"name": "x"}')
    (tmp_path / "two.json").write_text('{"name": NaN}')
    (tmp_path / "Three x.json").write_text("{}")
    with pytest.raises(DocumentError) as caught:
        read_rigs(tmp_path)
    files = {fault.path.split(":")[0] for fault in caught.value.faults}
    assert files == {"one.json", "two.json", "Three x.json"}


def test_a_rig_comes_with_what_follows_from_it(client: FlaskClient, checkout: Path) -> None:
    listed = client.get("/v1/rigs").get_json()["rigs"]
    assert [each["id"] for each in listed] == [
        "flatbed_cabin", "lined_panel_van", "plywood_teardrop",
    ]  # fmt: skip
    for each in listed:
        told = client.get(f"/v1/rigs/{each['id']}").get_json()
        document = json.loads((checkout / "sample_rigs" / f"{each['id']}.json").read_text())
        assert told["rig"] == document
        assert told["total_ua_w_k"] == pytest.approx(
            sum(row["area_m2"] * row["u_value_w_m2k"] for row in told["conductances"]), rel=1e-6
        )
        given = [p["u_value_w_m2k"] for p in document["shell"]["panels"] if "u_value_w_m2k" in p]
        told_values = [row["u_value_w_m2k"] for row in told["conductances"]]
        # A U-value that was given goes to layers and comes back.
        assert all(any(v == pytest.approx(g) for v in told_values) for g in given)


def stations(client: FlaskClient, query: str) -> dict[str, Any]:
    response = client.get(f"/v1/stations?{query}")
    assert response.status_code == 200, response.text
    told: dict[str, Any] = response.get_json()
    return told


def test_pages_together_are_all_stations_once(client: FlaskClient) -> None:
    pages = [stations(client, f"page_size=7&page={page}") for page in range(1, 6)]
    assert [len(page["stations"]) for page in pages] == [7, 7, 7, 3, 0]
    names = [each["id"] for page in pages for each in page["stations"]]
    assert names == sorted(set(names)) and len(names) == pages[0]["total"] == 24
    assert pages[0]["pages"] == 4


def test_nearest_first_and_within(client: FlaskClient) -> None:
    told = stations(client, "near=-34.12,-120.66&within_km=80")
    distances = [each["distance_km"] for each in told["stations"]]
    assert told["stations"][0]["id"] == "basin_desert_kelpanoor"
    assert distances == sorted(distances) and distances[0] == 0 and distances[-1] <= 80
    assert 1 < told["total"] < 24


@pytest.mark.parametrize(
    ("query", "total"),
    [
        ("name=KELPA", 1),
        ("name=coast_", 4),
        ("region=desert", 4),
        ("bbox=-125,-36,-123,-33", 5),
        ("bbox=170,-36,-123,-33", 5),
        ("bbox=-10,-36,10,-33", 0),
        ("near=0,0&within_km=10", 0),
    ],
)
def test_filters(client: FlaskClient, query: str, total: int) -> None:
    assert stations(client, query)["total"] == total


def test_readiness_comes_with_the_self_check(
    with_settings: Callable[..., FlaskClient],
) -> None:
    client = with_settings()
    response = client.get("/readyz")
    assert response.status_code == 503
    assert response.get_json()["type"] == "/problems/not-ready"
    client.application.extensions["noonhold"].ready.set()
    assert client.get("/readyz").get_json() == {"status": "ok"}


def test_an_equal_rig_is_laid_out_once_and_another_step_anew() -> None:
    make = kept_tables(2)
    first = make(rig(), 300)
    assert make(rig(), 300) is first
    coarse = make(rig(), 600)
    assert coarse.network.step_s == 600.0
    assert make(rig(standing_power_w=9.0), 300) is not first
    assert make(rig(), 600) is coarse  # two are kept, and the first went
    assert make(rig(), 300) is not first
