"""A place far from every station takes its year from a stand-in of PVGIS on loopback."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from flask import Flask, Response, request
from flask.testing import FlaskClient

from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings
from tests.engine.weather.builders import clear_instants, pvgis_json
from tests.live import listening
from tests.service.conftest import request_with

Maker = Callable[..., FlaskClient]
FAR = request_with(
    ("/place/latitude", 46.204),
    ("/place/longitude", 7.512),
    ("/weather/typical_year", {"from": "07-15"}),
)


class StandIn:
    """Answers as PVGIS does, with what the test sets, and remembers what it was asked."""

    def __init__(self) -> None:
        self.asked: list[dict[str, str]] = []
        self.answers: list[Response] = []
        self.app = Flask("stand_in")
        self.app.add_url_rule("/tmy", view_func=self._tmy)

    def _tmy(self) -> Response:
        self.asked.append(request.args.to_dict())
        return self.answers.pop(0) if len(self.answers) > 1 else self.answers[0]


@pytest.fixture
def source() -> StandIn:
    return StandIn()


@pytest.fixture(scope="module")
def a_year() -> bytes:
    content: bytes | str = pvgis_json(clear_instants(46.2, 7.51))
    return content.encode() if isinstance(content, str) else content


@contextmanager
def asking(source: StandIn, folder: Path, **settings: Any) -> Iterator[FlaskClient]:
    with listening(source.app) as address:
        yield create_app(
            Settings(pvgis=True, pvgis_url=address + "/", cache_folder=folder, **settings)
        ).test_client()


def told(response: Any, status: int, slug: str) -> dict[str, Any]:
    assert response.status_code == status, response.text
    problem: dict[str, Any] = response.get_json()
    assert problem["type"] == f"/problems/{slug}"
    return problem


def test_it_is_fetched_once_and_kept(source: StandIn, a_year: bytes, tmp_path: Path) -> None:
    source.answers = [Response(a_year, mimetype="application/json")]
    with asking(source, tmp_path) as client:
        answer = client.post("/v1/projections", json=FAR)
        assert answer.status_code == 200, answer.text
        again = client.post("/v1/projections", json=FAR)
    assert again.data == answer.data
    assert [(each["lat"], each["lon"]) for each in source.asked] == [("46.2", "7.51")]
    station = answer.get_json()["station"]
    assert station["id"] == "pvgis_46.20_7.51" and station["distance_km"] < 1
    with asking(source, tmp_path) as client:
        assert client.post("/v1/projections", json=FAR).data == answer.data
    assert len(source.asked) == 1


def test_a_failure_is_tried_again(source: StandIn, a_year: bytes, tmp_path: Path) -> None:
    source.answers = [Response("busy", 529), Response(a_year, mimetype="application/json")]
    with asking(source, tmp_path) as client:
        assert client.post("/v1/projections", json=FAR).status_code == 200
    assert len(source.asked) == 2


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (Response("<html>", 500), "status 500"),
        (Response("no JSON", 200), "no typical year"),
        (Response('{"inputs": {}}', 200, mimetype="application/json"), "no typical year"),
    ],
)
def test_a_source_that_fails_is_a_clear_problem_and_not_waited_for_again(
    source: StandIn, tmp_path: Path, answer: Response, said: str
) -> None:
    source.answers = [answer]
    with asking(source, tmp_path) as client:
        first = client.post("/v1/projections", json=FAR)
        assert said in told(first, 503, "weather-unreachable")["detail"]
        assert first.headers["Retry-After"] == "60"
        assert len(source.asked) == 2
        again = client.post("/v1/projections", json=FAR)
        assert "a moment ago" in told(again, 503, "weather-unreachable")["detail"]
        assert len(source.asked) == 2
        # What stands in the catalogue needs no source.
        assert client.post("/v1/projections", json=request_with()).status_code == 200


def test_a_source_that_is_not_there_or_never_answers(tmp_path: Path) -> None:
    client = create_app(
        Settings(pvgis=True, pvgis_url="http://127.0.0.1:9/", cache_folder=tmp_path)
    ).test_client()
    problem = told(client.post("/v1/projections", json=FAR), 503, "weather-unreachable")
    assert "127.0.0.1" not in problem["detail"]
    slow = Flask("slow")
    slow.add_url_rule("/tmy", view_func=lambda: time.sleep(0.5) or "late")
    with listening(slow) as address:
        client = create_app(
            Settings(
                pvgis=True, pvgis_url=address + "/", pvgis_timeout_s=0.05, cache_folder=tmp_path
            )
        ).test_client()
        problem = told(client.post("/v1/projections", json=FAR), 503, "weather-unreachable")
    assert "0.05 s" in problem["detail"]


def test_what_the_source_says_of_a_place_is_passed_on(source: StandIn, tmp_path: Path) -> None:
    source.answers = [
        Response('{"message": "Location over the sea."}', 400, mimetype="application/json")
    ]
    with asking(source, tmp_path) as client:
        problem = told(client.post("/v1/projections", json=FAR), 422, "no-weather")
    assert "Location over the sea." in problem["detail"] and len(source.asked) == 1


def test_it_is_off_by_default(client: FlaskClient) -> None:
    assert not Settings().pvgis
    told(client.post("/v1/projections", json=FAR), 422, "no-weather")
