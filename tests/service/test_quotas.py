"""Quotas: counted by key, told in headers, and refused with 429."""

import hashlib
import json
import logging
from collections.abc import Callable

import pytest
from flask.testing import FlaskClient

from noonhold_service.settings import Settings, SettingsError
from tests.service.test_hostile_input import problem

Maker = Callable[..., FlaskClient]
KEYS = ("first-key", "second-key")
HASHES = tuple(hashlib.sha256(each.encode()).hexdigest() for each in KEYS)


def ask(client: FlaskClient, key: str) -> object:
    return client.get("/v1/rigs", headers={"Authorization": f"Bearer {key}"})


def test_each_key_has_its_own_quota(with_settings: Maker) -> None:
    client = with_settings(key_hashes=HASHES, quota=("2/hour",))
    found = client.get("/v1/rigs", headers={"Authorization": f"Bearer {KEYS[0]}"})
    assert found.status_code == 200
    assert found.headers["RateLimit-Policy"] == '"hour";q=2;w=3600'
    assert found.headers["RateLimit"].startswith('"hour";r=1;t=')
    ask(client, KEYS[0])
    told = client.get("/v1/rigs", headers={"Authorization": f"Bearer {KEYS[0]}"})
    problem(told, 429, "quota-exceeded")
    assert 1 <= int(told.headers["Retry-After"]) <= 3600
    assert told.headers["RateLimit"].startswith('"hour";r=0;t=')
    other = client.get("/v1/rigs", headers={"Authorization": f"Bearer {KEYS[1]}"})
    assert other.status_code == 200
    # Health and documentation are open to all, always.
    assert client.get("/healthz").status_code == 200


def test_without_keys_an_address_is_counted_and_without_a_quota_nobody(
    with_settings: Maker, client: FlaskClient
) -> None:
    counted = with_settings(quota=("1/minute", "5/day"))
    assert counted.get("/v1/rigs").headers["RateLimit-Policy"].count("q=") == 2
    problem(counted.get("/v1/rigs"), 429, "quota-exceeded")
    assert counted.options("/v1/rigs").status_code == 200
    assert "RateLimit" not in client.get("/v1/rigs").headers


def test_the_log_names_the_key_by_its_digest_and_the_trace(
    with_settings: Maker, caplog: pytest.LogCaptureFixture
) -> None:
    client = with_settings(key_hashes=HASHES)
    trace = "0af7651916cd43dd8448eb211c80319c"
    headers = {
        "Authorization": f"Bearer {KEYS[0]}", "traceparent": f"00-{trace}-b7ad6b7169203331-01",
    }  # fmt: skip
    with caplog.at_level(logging.INFO, logger="service.requests"):
        client.get("/v1/rigs", headers=headers)
    line = json.loads(caplog.records[-1].getMessage())
    assert line["key"] == HASHES[0][:8] and line["trace_id"] == trace
    assert KEYS[0] not in caplog.text


def test_a_quota_that_cannot_be_read_stops_the_start() -> None:
    with pytest.raises(SettingsError, match="QUOTA"):
        Settings(quota=("often",))
