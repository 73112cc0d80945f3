"""One application for all tests of the service: the model is compiled once a session."""

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings
from tests.browser import browser as browser
from tests.engine.document_samples import changed


@pytest.fixture(scope="session")
def app() -> Flask:
    return create_app(Settings())


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture(scope="session")
def typical_day(app: Flask) -> dict[str, Any]:
    """Return the answer to the example of a typical day."""
    response = app.test_client().post("/v1/projections", json=REQUESTS["typical_day"].document)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.get_json()
    return answer


@pytest.fixture(scope="session")
def with_settings() -> Callable[..., FlaskClient]:
    """Return a maker of clients of an application with other settings."""
    return lambda **settings: create_app(Settings(**settings)).test_client()


def request_with(*changes: tuple[str, Any], name: str = "typical_day") -> dict[str, Any]:
    """Return an example request with values set, each at its JSON pointer."""
    return changed(REQUESTS[name].document, *changes)
