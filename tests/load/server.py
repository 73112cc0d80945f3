"""gunicorn with the service, on loopback, for as long as a block lasts."""

import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parents[2]


class Server:
    """A master and its workers.

    Parameters
    ----------
    process : subprocess.Popen
        The master.
    port : int
        Of loopback.
    """

    def __init__(self, process: subprocess.Popen[bytes], port: int) -> None:
        self.process, self.port = process, port

    def stop(self) -> None:
        """Ask it to stop, as a supervisor does."""
        self.process.send_signal(signal.SIGTERM)

    def resident_mb(self) -> list[float]:
        """Return the resident memory of master and workers. [MB]"""
        pids = [self.process.pid]
        children = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children")
        pids += [int(each) for each in children.read_text().split()]
        return [round(_resident_kb(pid) / 1024, 1) for pid in pids]


def _resident_kb(pid: int) -> int:
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith("VmRSS"):
            return int(line.split()[1])
    return 0


@contextmanager
def serving(workers: int) -> Iterator[Server]:
    """Start it, wait until it is ready, stop it.

    Parameters
    ----------
    workers : int
        Worker processes.
    """
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    environment = os.environ | {
        "NOONHOLD_PORT": str(port), "WEB_CONCURRENCY": str(workers),
    }  # fmt: skip
    command = [
        sys.executable,
        "-m",
        "gunicorn",
        "-c",
        "python:noonhold_service.process.gunicorn_conf",
    ]
    with (
        tempfile.TemporaryFile() as log,
        subprocess.Popen(command, cwd=CHECKOUT, env=environment, stderr=log, stdout=log) as process,
    ):
        try:
            _wait(process, port)
            yield Server(process, port)
        finally:
            process.send_signal(signal.SIGTERM)
            try:
                process.wait(60)
            except subprocess.TimeoutExpired:
                process.kill()


def _wait(process: subprocess.Popen[bytes], port: int) -> None:
    until = time.monotonic() + 600
    while time.monotonic() < until:
        if process.poll() is not None:
            raise RuntimeError("gunicorn ended before it was ready")
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/readyz", timeout=5):
                return
        except OSError:
            time.sleep(0.5)
    raise RuntimeError("the service was not ready within ten minutes")
