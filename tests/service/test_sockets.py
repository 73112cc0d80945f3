"""Both servers over a real socket: what is refused, what is slow, and how they stop."""

import gzip
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from noonhold_service.description.request_examples import REQUESTS

BODY = json.dumps(REQUESTS["typical_day"].document).encode()
LIMIT = 20_000
POST = b"POST /v1/projections HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"


@dataclass
class Running:
    """A server and where it listens."""

    process: subprocess.Popen[str]
    port: int

    def ask(self, data: bytes, timeout: float = 60.0) -> "Answer":
        """Send bytes, and read one answer to its end."""
        with self.connect(timeout) as connection:
            connection.sendall(data)
            return answer_of(connection)

    def end(self) -> None:
        self.process.kill()
        self.process.wait(30)
        if self.process.stdout is not None:
            self.process.stdout.close()

    def connect(self, timeout: float = 60.0) -> socket.socket:
        return socket.create_connection(("127.0.0.1", self.port), timeout=timeout)


@dataclass
class Answer:
    """Status, headers in lower case, body."""

    status: int
    headers: dict[str, str]
    body: bytes

    def problem(self, slug: str) -> dict[str, Any]:
        assert self.headers["content-type"] == "application/problem+json", self.body
        told: dict[str, Any] = json.loads(self.body)
        assert (told["type"], told["status"]) == (f"/problems/{slug}", self.status), told
        assert told["request_id"] == self.headers["x-request-id"]
        assert "Traceback" not in self.body.decode()
        return told


def answer_of(connection: socket.socket) -> Answer:
    with connection.makefile("rb") as stream:
        line = stream.readline()
        assert line.startswith(b"HTTP/1."), line
        headers = {}
        while (header := stream.readline()) not in (b"\r\n", b""):
            name, _, value = header.decode("latin-1").partition(":")
            headers[name.lower()] = value.strip()
        body = stream.read(int(headers.get("content-length", 0)))
    return Answer(int(line.split()[1]), headers, body)


def environment() -> dict[str, str]:
    return {
        **os.environ,
        "NOONHOLD_PORT": "0",
        "NOONHOLD_MAX_BODY_BYTES": str(LIMIT),
        "NOONHOLD_READ_S": "2",
        "NOONHOLD_KEEP_ALIVE_S": "30",
        "NOONHOLD_THREADS": "4",
        "NOONHOLD_WAIT_S": "60",
    }


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return int(taken.getsockname()[1])


def start(
    kind: str, checkout: Path, more: dict[str, str] | None = None, workers: int = 1
) -> Running:
    settings = environment() | (more or {})
    if kind == "embedded":
        command = [sys.executable, "-m", "noonhold", "serve"]
        port = 0
    else:
        port = free_port()
        settings["NOONHOLD_PORT"] = str(port)
        conf = "python:noonhold_service.process.gunicorn_conf"
        command = [sys.executable, "-m", "gunicorn", "-c", conf, "-w", str(workers)]
    process = subprocess.Popen(
        command,
        cwd=checkout,
        env=settings,
        stdout=subprocess.PIPE if kind == "embedded" else subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    if kind == "embedded":
        assert process.stdout is not None
        for line in process.stdout:
            if found := re.search(r"Ready after .*127\.0\.0\.1:(\d+)", line):
                return Running(process, int(found[1]))
        raise AssertionError("the server did not start")
    running = Running(process, port)
    until = time.monotonic() + 120
    while time.monotonic() < until:
        try:
            if running.ask(b"GET /readyz HTTP/1.0\r\n\r\n").status == 200:
                return running
        except (OSError, AssertionError):
            time.sleep(0.2)
    raise AssertionError("the server did not start")


KINDS = ("embedded", "gunicorn")


@pytest.fixture(scope="module", params=KINDS)
def server(request: pytest.FixtureRequest, checkout: Path) -> Iterator[Running]:
    if request.param == "gunicorn":
        pytest.importorskip("gunicorn")
    running = start(request.param, checkout)
    try:
        yield running
    finally:
        running.end()


def chunked(*chunks: bytes, end: bytes = b"0\r\n\r\n") -> bytes:
    body = b"".join(b"%x\r\n%b\r\n" % (len(each), each) for each in chunks)
    return POST + b"Transfer-Encoding: chunked\r\n\r\n" + body + end


def plain(body: bytes, *headers: bytes) -> bytes:
    more = b"".join(each + b"\r\n" for each in headers)
    return POST + more + b"Content-Length: %d\r\n\r\n" % len(body) + body


def test_a_body_in_chunks_is_answered(server: Running) -> None:
    assert server.ask(chunked(BODY[:100], BODY[100:])).status == 200


@pytest.mark.parametrize("times", [1.5, 3, 40])
def test_a_body_that_is_too_long(server: Running, times: float) -> None:
    padding = b" " * int(times * LIMIT)
    for data in (plain(BODY + padding), chunked(BODY, padding)):
        answer = server.ask(data)
        assert answer.status == 413
        answer.problem("too-large")


def test_a_body_of_just_the_limit_is_answered(server: Running) -> None:
    whole = BODY.ljust(LIMIT)
    assert server.ask(chunked(whole[:7], whole[7:])).status == 200
    assert server.ask(chunked(whole, b" ")).status == 413


@pytest.mark.parametrize(
    "data",
    [
        POST + b"Transfer-Encoding: chunked\r\n\r\nxyz\r\n{}\r\n0\r\n\r\n",
        POST + b"Transfer-Encoding: chunked\r\n\r\n2\r\n{}xx\r\n0\r\n\r\n",
        POST + b"Transfer-Encoding: chunked\r\n\r\n-2\r\n{}\r\n0\r\n\r\n",
        POST + b"Content-Length: two\r\n\r\n{}",
        b"NONSENSE\r\n\r\n",
        b"GET /healthz HTTP/1.1\r\nbad header\r\n\r\n",
    ],
)
def test_broken_http_is_a_problem_and_never_a_trace(server: Running, data: bytes) -> None:
    answer = server.ask(data)
    assert answer.status == 400
    answer.problem("bad-request")
    assert server.ask(b"GET /healthz HTTP/1.0\r\n\r\n").status == 200


def test_endless_headers(server: Running) -> None:
    answer = server.ask(b"GET /healthz HTTP/1.1\r\n" + b"X-A: " + b"a" * 300_000 + b"\r\n\r\n")
    assert answer.status == 431
    answer.problem("headers-too-large")


def test_a_compressed_body_is_unpacked_within_the_limit(server: Running) -> None:
    coded = b"Content-Encoding: gzip"
    assert server.ask(plain(gzip.compress(BODY), coded)).status == 200
    bomb = gzip.compress(BODY + b" " * 50_000_000)
    server.ask(plain(bomb[: LIMIT * 3], coded)).problem("too-large")
    server.ask(plain(BODY, coded)).problem("bad-request")
    server.ask(plain(gzip.compress(BODY)[:-4], coded)).problem("bad-request")
    answer = server.ask(plain(BODY, b"Content-Encoding: br"))
    assert answer.status == 415
    answer.problem("wrong-media-type")


def test_slow_clients_hold_nobody_up_and_are_ended(server: Running) -> None:
    slow = [server.connect() for _ in range(200)]
    try:
        for index, each in enumerate(slow):
            each.sendall(POST[:30] if index % 2 else POST + b"Content-Length: 9\r\n\r\n{")
        began = time.monotonic()
        assert server.ask(b"GET /healthz HTTP/1.0\r\n\r\n", 10).status == 200
        assert server.ask(plain(BODY), 30).status == 200
        assert time.monotonic() - began < 10
        for each in slow:
            each.sendall(b" ")  # a byte now and then does not help them
        for each in slow:
            answer = answer_of(each)
            assert answer.status == 408
            answer.problem("too-slow")
        assert time.monotonic() - began < 20
    finally:
        for each in slow:
            each.close()


def test_health_stands_in_no_queue(server: Running) -> None:
    busy = [server.connect() for _ in range(8)]
    long = json.dumps(
        {
            **REQUESTS["typical_day"].document,
            "weather": {"typical_year": {"from": "01-01", "days": 31}},
        }
    ).encode()
    try:
        for each in busy:
            each.sendall(plain(long))
        began = time.monotonic()
        assert server.ask(b"GET /healthz HTTP/1.0\r\n\r\n", 10).status == 200
        assert time.monotonic() - began < 5
        assert {answer_of(each).status for each in busy} <= {200, 422, 503}
    finally:
        for each in busy:
            each.close()


@pytest.mark.parametrize("kind", KINDS)
def test_a_connection_that_is_kept_alive_gets_its_answer_after_sigterm(
    kind: str, checkout: Path
) -> None:
    if kind == "gunicorn":
        pytest.importorskip("gunicorn")
    running = start(kind, checkout)
    try:
        with running.connect() as kept, running.connect() as idle:
            kept.sendall(plain(BODY))
            assert answer_of(kept).headers.get("connection", "").lower() != "close"
            idle.sendall(b"GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n")
            assert answer_of(idle).status == 200
            running.process.send_signal(signal.SIGTERM)
            time.sleep(0.5)
            kept.sendall(plain(BODY))
            answer = answer_of(kept)
            assert answer.status == 200
            assert answer.headers["connection"].lower() == "close"
            assert kept.recv(1) == idle.recv(1) == b""  # an end, not a reset
        assert running.process.wait(60) == 0
    finally:
        running.end()


@pytest.mark.parametrize("kind", KINDS)
def test_sighup_reads_the_folders_again_and_workers_count_together(
    kind: str, checkout: Path, tmp_path: Path
) -> None:
    if kind == "gunicorn":
        pytest.importorskip("gunicorn")
    rigs = tmp_path / "rigs"
    shutil.copytree(checkout / "sample_rigs", rigs)
    running = start(kind, checkout, {"NOONHOLD_RIGS_FOLDER": str(rigs)}, workers=2)

    def status(rig: str) -> int:
        return running.ask(b"GET /v1/rigs/%b HTTP/1.0\r\n\r\n" % rig.encode()).status

    def counted() -> int:
        text = running.ask(b"GET /metrics HTTP/1.0\r\n\r\n").body.decode()
        found = re.search(r'noonhold_requests_total\{.*route="/v1/quantities".*\} (\S+)', text)
        return int(float(found[1])) if found else 0

    try:
        for _ in range(10):
            assert running.ask(b"GET /v1/quantities HTTP/1.0\r\n\r\n").status == 200
        assert {counted() for _ in range(6)} == {10}
        shutil.copy(rigs / "lined_panel_van.json", rigs / "second_van.json")
        assert status("second_van") == 404
        running.process.send_signal(signal.SIGHUP)
        until = time.monotonic() + 60
        while {status("second_van") for _ in range(4)} != {200}:
            assert time.monotonic() < until
            time.sleep(0.2)
    finally:
        running.process.terminate()
        running.process.wait(60)
        running.end()
