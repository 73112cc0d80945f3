import hashlib
from collections.abc import Callable

import pytest
from flask.testing import FlaskClient

from noonhold_service.http.access import is_known

Maker = Callable[..., FlaskClient]
KEY = "sesame-0123456789"
DIGEST = hashlib.sha256(KEY.encode()).hexdigest()


@pytest.mark.parametrize(
    "header",
    [None, "", "Bearer", "Bearer ", "Bearer wrong", f"Basic {KEY}", KEY, f"Bearer {DIGEST}",
     "Bearer " + "x" * 100_000],
)  # fmt: skip
def test_without_a_known_key_there_is_no_answer(with_settings: Maker, header: str | None) -> None:
    client = with_settings(key_hashes=("0" * 64, DIGEST))
    headers = {} if header is None else {"Authorization": header}
    for path in ("/v1/rigs", "/v1/projections", "/metrics", "/none"):
        response = client.get(path, headers=headers)
        assert response.status_code == 401
        assert response.mimetype == "application/problem+json"
        assert response.headers["WWW-Authenticate"].startswith("Bearer")


def test_with_a_known_key_there_is(with_settings: Maker) -> None:
    client = with_settings(key_hashes=("0" * 64, DIGEST))
    response = client.get("/v1/rigs", headers={"Authorization": f"Bearer {KEY}"})
    assert response.status_code == 200
    assert response.headers["Cache-Control"].startswith("private")


@pytest.mark.parametrize("path", ["/", "/healthz", "/docs", "/openapi.json", "/problems/no-access"])
def test_health_and_documentation_stay_open(with_settings: Maker, path: str) -> None:
    assert with_settings(key_hashes=(DIGEST,)).get(path).status_code == 200


def test_a_key_is_compared_by_its_digest() -> None:
    assert is_known(KEY, (DIGEST,))
    assert not is_known(KEY + " ", (DIGEST,))
    assert not is_known("", (hashlib.sha256(b"").hexdigest(),))
    assert not is_known("\udcff", (DIGEST,))


def test_origins_are_closed_by_default(client: FlaskClient) -> None:
    response = client.get("/v1/rigs", headers={"Origin": "https://a.example"})
    assert "Access-Control" not in str(response.headers)


def test_only_allowed_origins_may_read(with_settings: Maker) -> None:
    client = with_settings(allowed_origins=("https://a.example",))
    for origin, allowed in (
        ("https://a.example", "https://a.example"),
        ("https://b.example", None),
    ):
        response = client.options("/v1/projections", headers={"Origin": origin})
        assert response.status_code == 200
        assert response.headers.get("Access-Control-Allow-Origin") == allowed
        assert "Origin" in response.headers["Vary"]
    problem = client.get("/none", headers={"Origin": "https://a.example"})
    assert problem.headers["Access-Control-Allow-Origin"] == "https://a.example"


def test_a_browser_may_ask_before_it_has_a_key(with_settings: Maker) -> None:
    client = with_settings(allowed_origins=("*",), key_hashes=(DIGEST,))
    response = client.options("/v1/projections", headers={"Origin": "https://c.example"})
    assert response.status_code == 200
    assert response.headers["Access-Control-Allow-Origin"] == "*"
    assert "Authorization" in response.headers["Access-Control-Allow-Headers"]
