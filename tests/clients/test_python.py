"""A Python client made from the API description asks the running service."""

import importlib
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings
from tests.live import listening


@pytest.fixture(scope="module")
def app() -> Flask:
    return create_app(Settings())


@pytest.fixture(scope="module")
def client_package(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the name of the package that was made, without a word of warning."""
    folder = tmp_path_factory.mktemp("made")
    # Its own formatting of what it made is nobody's need here; a survey's lines are a text to it.
    (folder / "settings.yaml").write_text(
        "post_hooks: []\ncontent_type_overrides:\n  application/x-ndjson: text/html\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [
            sys.executable, "-m", "openapi_python_client", "generate", "--fail-on-warning",
            "--path", checkout / "openapi" / "openapi.json", "--meta", "none",
            "--config", folder / "settings.yaml", "--output-path", folder / "made_client",
        ],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(folder)
        importlib.import_module("made_client")
    return "made_client"


def made(package: str, name: str) -> Any:
    return importlib.import_module(f"{package}.{name}")


def test_it_lists_stations_and_reads_a_rig(app: Flask, client_package: str) -> None:
    with listening(app) as address:
        client = made(client_package, "client").Client(base_url=address)
        page = made(client_package, "api.stations.list_stations").sync(
            client=client, near="-34.1,-120.6", page_size=2
        )
        assert page.stations[0].id == "basin_desert_kelpanoor"
        rig = made(client_package, "api.rigs.get_rig").sync("plywood_teardrop", client=client)
    assert rig.total_ua_w_k == pytest.approx(sum(each.ua_w_k for each in rig.conductances))


def test_it_asks_for_a_projection_and_understands_a_problem(
    app: Flask, client_package: str
) -> None:
    ask = made(client_package, "api.projections.create_projection")
    projection = made(client_package, "models").Projection
    request = REQUESTS["typical_day"].document
    with listening(app) as address:
        client = made(client_package, "client").Client(base_url=address, timeout=120)
        answer = ask.sync(client=client, body=projection.from_dict(request))
        hot = projection.from_dict({**request, "operation": {"set_point_c": 72}})
        problem = ask.sync(client=client, body=hot)
    direct = app.test_client().post("/v1/projections", json=request).get_json()
    assert answer.to_dict() == direct
    assert problem.status == 422
    assert problem.errors[0].pointer == "/operation/set_point_c"
    assert "degF" in problem.errors[0].hint
