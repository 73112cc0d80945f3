"""Faults that a study finds while it runs: each pointer leads to a place in the posted document."""

import shutil
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.description.study_examples import STUDY_REQUESTS
from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings
from tests.engine.document_samples import changed, without

GOOD, BAD = "plateau_highorrin", "coast_ostmarrow"
AT_BAD = {"latitude": -34.02, "longitude": -124.18, "elevation_m": 14}
# Where each study's document holds a projection's.
BASES = {
    "comparison": "/base",
    "warm_up": "/projection",
    "uncertainty": "/projection",
    "sizing_battery": "/projection",
    "sizing_frontier": "/projection",
    "plan": "/projection",
}


@pytest.fixture(scope="module")
def client(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    """Return a client of a service with two stations, one of whose files has gone bad since."""
    folder = tmp_path_factory.mktemp("stations")
    for name in (GOOD, BAD):
        shutil.copy(checkout / "sample_weather" / f"{name}.epw.gz", folder)
    found = create_app(Settings(weather_folder=folder)).test_client()
    (folder / f"{BAD}.epw.gz").write_bytes(b"\x1f\x8bno longer gzip")
    return found


def study(name: str, *changes: tuple[str, Any]) -> dict[str, Any]:
    """Return a small request of a study: one day, at the good station, one variant."""
    base = BASES[name]
    document = changed(
        STUDY_REQUESTS[name][1].document,
        (
            f"{base}/weather",
            {"typical_year": {"station": GOOD, "from": "01-20", "allow_far": True}},
        ),
    )
    if name == "comparison":
        document["variants"] = [{"name": "turned", "patch": {"place": {"heading_deg": 90}}}]
    return changed(document, *changes)


def there(document: Any, pointer: str) -> Any:
    """Return what stands at a JSON pointer (RFC 6901); a place that is not there is an error."""
    for part in pointer.split("/")[1:]:
        key = part.replace("~1", "/").replace("~0", "~")
        document = document[int(key)] if isinstance(document, list) else document[key]
    return document


def faults(client: FlaskClient, name: str, document: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the faults of a refused request, whose pointers all lead to places in it."""
    response = client.post(STUDY_REQUESTS[name][0], json=document)
    assert response.status_code == 422, response.text[:500]
    told: list[dict[str, Any]] = response.get_json()["errors"]
    for fault in told:
        there(document, fault["pointer"])
    return told


@pytest.mark.parametrize("name", BASES)
def test_a_stations_bad_file_is_told_where_the_station_is_named(
    client: FlaskClient, name: str
) -> None:
    pointer = f"{BASES[name]}/weather/typical_year/station"
    (fault,) = faults(client, name, study(name, (pointer, BAD)))
    assert (fault["pointer"], fault["value"]) == (pointer, BAD)
    assert fault["detail"].startswith(f"{BAD}.epw.gz: the gzip is damaged")


@pytest.mark.parametrize("name", BASES)
def test_the_nearest_stations_bad_file_is_told_where_no_station_is_named(
    client: FlaskClient, name: str
) -> None:
    base = BASES[name]
    near = [(f"{base}/place/{key}", value) for key, value in AT_BAD.items()]
    document = without(study(name, *near), f"{base}/weather/typical_year/station")
    document = without(document, f"{base}/weather/typical_year/allow_far")
    (fault,) = faults(client, name, document)
    assert fault["pointer"] == f"{base}/weather/typical_year"
    assert BAD in fault["detail"]


def test_a_projections_own_pointers_are_those_of_its_document(client: FlaskClient) -> None:
    document = changed(REQUESTS["typical_day"].document, ("/place", AT_BAD))
    for weather, pointer in (
        ({"from": "01-20", "station": BAD, "allow_far": True}, "/weather/typical_year/station"),
        ({"from": "01-20"}, "/weather/typical_year"),
    ):
        asked = changed(document, ("/weather", {"typical_year": weather}))
        (fault,) = client.post("/v1/projections", json=asked).get_json()["errors"]
        assert fault["pointer"] == pointer


OWN_HOURS = REQUESTS["own_hours"].document
# More than any sky gives an hour after sunrise; it can be recognised only where the place is known.
TOO_BRIGHT = changed(
    OWN_HOURS["weather"], ("/hourly/columns/ghi/11", 1400), ("/hourly/columns/ghi/0", None)
)


@pytest.mark.parametrize("name", BASES)
def test_own_columns_are_told_at_their_place(client: FlaskClient, name: str) -> None:
    base = BASES[name]
    document = study(
        name,
        (f"{base}/weather", TOO_BRIGHT),
        (f"{base}/place", OWN_HOURS["place"]),
        (f"{base}/start", OWN_HOURS["start"]),
    )
    told = faults(client, name, document)
    assert {fault["pointer"] for fault in told} == {f"{base}/weather/hourly/columns/ghi"}
    assert len(told) == 1, "what variants share with the base is reported once"


@pytest.mark.parametrize("name", BASES)
def test_a_cabin_beyond_all_bounds_is_told_at_the_rig(client: FlaskClient, name: str) -> None:
    base = BASES[name]
    crowd = {"from": "00:00", "to": "24:00", "occupants": 50}
    operation = {"set_point_c": 25, "sensible_w_per_occupant": 1000, "spans": [crowd]}
    told = faults(client, name, study(name, (f"{base}/operation", operation)))
    assert {fault["pointer"] for fault in told} == {f"{base}/rig"}
    assert "physical range" in told[0]["detail"]


def variant(client: FlaskClient, patch: dict[str, Any], *changes: tuple[str, Any]) -> list[str]:
    document = study("comparison", *changes, ("/variants/0/patch", patch))
    return [fault["pointer"] for fault in faults(client, "comparison", document)]


def test_a_variants_weather_is_told_in_its_patch(client: FlaskClient) -> None:
    patch = {"weather": {"typical_year": {"station": BAD, "allow_far": True}}}
    assert variant(client, patch) == ["/variants/0/patch/weather/typical_year/station"]


def test_a_variant_that_fails_by_what_it_does_not_hold_is_told_at_its_patch(
    client: FlaskClient,
) -> None:
    nearest = ("/base/weather", {"typical_year": {"from": "01-20"}})
    at_good = ("/base/place", {"latitude": -34.92, "longitude": -119.31, "elevation_m": 1880})
    assert variant(client, {"place": AT_BAD}, nearest, at_good) == ["/variants/0/patch"]
    bright = [
        ("/base/weather", changed(OWN_HOURS["weather"], ("/hourly/columns/ghi/4", 1250))),
        ("/base/place", OWN_HOURS["place"]),
        ("/base/start", OWN_HOURS["start"]),
    ]
    # The same light at the other side of the earth falls at night.
    patch = {"place": {"latitude": 34.5, "longitude": 59}}
    assert set(variant(client, patch, *bright)) == {"/variants/0/patch"}
    crowd = {"from": "00:00", "to": "24:00", "occupants": 50}
    patch = {"operation": {"sensible_w_per_occupant": 1000, "spans": [crowd]}}
    patch["operation"]["fresh_air_m3_h_per_occupant"] = None
    assert variant(client, patch) == ["/variants/0/patch"]


LOGGED = [("ghi", 60, 1550.0, "/log/columns/ghi"), ("dni", 60, -15.0, "/log/columns/dni")]


@pytest.mark.parametrize(("column", "row", "value", "pointer"), LOGGED)
def test_a_logs_weather_is_told_at_its_column(
    client: FlaskClient, column: str, row: int, value: float, pointer: str
) -> None:
    document = changed(
        STUDY_REQUESTS["calibration"][1].document, (f"/log/columns/{column}/{row}", value)
    )
    told = faults(client, "calibration", document)
    assert pointer in [fault["pointer"] for fault in told]
    assert any(
        "brought to every 300 s from 2026-01-20T18:15:00-08:00" in str(f["hint"]) for f in told
    )
