"""The process as a person starts it: what it says, what it answers, how it stops."""

import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from noonhold_service.description.request_examples import REQUESTS

BODY = json.dumps(REQUESTS["typical_day"].document).encode()


@pytest.fixture
def process(checkout: Path) -> Iterator[subprocess.Popen[str]]:
    environment = {**os.environ, "NOONHOLD_PORT": "0", "NOONHOLD_CONCURRENT": "1"}
    environment |= {"NOONHOLD_THREADS": "12"}
    with subprocess.Popen(
        [sys.executable, "-m", "noonhold", "serve"],
        cwd=checkout,
        env=environment | {"NOONHOLD_WAIT_S": "60"},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as started:
        try:
            yield started
        finally:
            started.kill()


def post(address: str) -> dict[str, Any]:
    request = urllib.request.Request(  # noqa: S310 - loopback
        f"{address}/v1/projections", BODY, {"Content-Type": "application/json"}
    )
    with urllib.request.urlopen(request, timeout=120) as response:  # noqa: S310 - loopback
        told: dict[str, Any] = json.load(response)
    return told


def test_it_says_what_it_does_answers_and_stops_without_losing_an_answer(
    process: subprocess.Popen[str],
) -> None:
    assert process.stdout is not None and process.stderr is not None
    first = process.stdout.readline()
    assert re.match(r"24 stations, 3 rigs\. Compiling the model", first)
    ready = process.stdout.readline()
    found = re.search(r"Ready after \d+ s: (http://127\.0\.0\.1:\d+) ", ready)
    assert found, ready
    address = found[1]
    assert post(address)["summary"]["verdict"] == "holds"

    # Six requests are on the way: some are being computed, others wait, not all are taken yet.
    asking = [http.client.HTTPConnection(address.removeprefix("http://")) for _ in range(6)]
    for each in asking:
        each.request("POST", "/v1/projections", BODY, {"Content-Type": "application/json"})
    process.send_signal(signal.SIGTERM)
    answers = [json.load(each.getresponse()) for each in asking]
    assert all(answer == answers[0] for answer in answers)
    for each in asking:
        each.close()
    assert process.wait(60) == 0
    assert process.stdout.read() == "Stopped.\n"

    lines = [json.loads(line) for line in process.stderr.read().splitlines()]
    assert len(lines) == 7
    assert {line["status"] for line in lines} == {200}
    assert {line["route"] for line in lines} == {"/v1/projections"}
    assert len({line["request_id"] for line in lines}) == 7


def test_a_setting_that_cannot_be_used_stops_it_with_a_plain_word(checkout: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "noonhold", "serve"],
        cwd=checkout,
        env={**os.environ, "NOONHOLD_HOST": "192.0.2.1"},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 2
    assert "NOONHOLD_ALLOW_OUTSIDE" in done.stderr and "Traceback" not in done.stderr


def test_a_port_in_use_is_told_in_a_sentence(checkout: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        result = subprocess.run(
            [sys.executable, "-m", "noonhold", "serve"],
            cwd=checkout,
            env={**os.environ, "NOONHOLD_PORT": port},
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )
    assert result.returncode == 2
    assert f"cannot listen on 127.0.0.1 port {port}" in result.stderr
    assert "NOONHOLD_PORT" in result.stderr
    assert "Traceback" not in result.stderr
