from dataclasses import replace

import pytest

from noonhold.documents import load_projection
from noonhold.projection import Projection
from noonhold.projection_result import run_projection
from noonhold.simulation import channels as ch
from noonhold.weather.catalogue import Catalogue
from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.process.app import create_ready_app
from noonhold_service.process.readiness import SelfCheckError, check
from noonhold_service.settings import Settings


@pytest.fixture(scope="module")
def projection() -> Projection:
    request = load_projection(REQUESTS["hot_day"].document | {"rig": _rig()}).value
    return run_projection(request.rig, request.scenario, request.weather, Catalogue(())).projection


def _rig() -> object:
    return REQUESTS["own_hours"].document["rig"]


def test_a_ready_application_says_so() -> None:
    assert create_ready_app(Settings()).test_client().get("/readyz").status_code == 200


def test_a_projection_passes(projection: Projection) -> None:
    assert len(projection.record) == 24
    check(projection)


@pytest.mark.parametrize(
    ("channel", "ledger"),
    [
        (ch.SOLAR_USED, "electricity"),
        (ch.CHARGE, "electricity"),
        (ch.BATTERY_LOSS, "the battery"),
        (ch.STORED, "the battery"),
        (ch.ENVELOPE, "heat"),
        (ch.SENSIBLE, "heat"),
    ],
)
def test_a_ledger_that_does_not_close_is_found(
    projection: Projection, channel: int, ledger: str
) -> None:
    record = projection.record.copy()
    record[7, channel] += 0.1
    with pytest.raises(SelfCheckError, match=ledger):
        check(replace(projection, record=record))


def test_a_nan_is_found(projection: Projection) -> None:
    record = projection.record.copy()
    record[7, ch.ENVELOPE] = float("nan")
    with pytest.raises(SelfCheckError, match="heat"):
        check(replace(projection, record=record))
