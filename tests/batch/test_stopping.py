"""A sweep that is stopped, or killed: its workers end with it, and what is done stays."""

import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import psutil
import pytest
import xarray as xr

from noonhold_batch.results.result import open_result
from noonhold_batch.sweep.run_status import Status
from tests.batch.commands import run
from tests.batch.conftest import GOOD

SITES = 9
WORKERS = 2
PATIENCE_S = 60.0
# Until the last worker has gone. It may be within an import or a compiled loop.
SOON_S = 10.0


@pytest.fixture(autouse=True)
def heard() -> Iterator[None]:
    """Let commands hear SIGINT: a job behind a script's `&` hands on that it is ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.fixture(scope="module")
def weather(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("weather")
    for number in range(SITES):
        name = GOOD[number % len(GOOD)]
        shutil.copy(checkout / "sample_weather" / f"{name}.epw.gz", folder / f"{number}.epw.gz")
    return folder


@dataclass(frozen=True)
class Ended:
    """How a command and its workers ended."""

    code: int
    said: str
    workers: int


def is_worker(process: psutil.Process) -> bool:
    try:
        return "spawn_main" in " ".join(process.cmdline())
    except psutil.Error:
        return False


def ended_by(
    number: signal.Signals,
    begun: Callable[[list[psutil.Process]], bool],
    *arguments: object,
) -> Ended:
    """Start a command, signal it alone once it has begun, and see every child of it gone."""
    process = subprocess.Popen(
        [sys.executable, "-m", "noonhold", *map(str, arguments)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    children: list[psutil.Process] = []
    with process:
        try:
            end = time.monotonic() + PATIENCE_S
            while not begun(list(filter(is_worker, children))):
                assert process.poll() is None, "ended before it could be stopped"
                assert time.monotonic() < end
                time.sleep(0.01)
                children = psutil.Process(process.pid).children(recursive=True)
            workers = len(list(filter(is_worker, children)))
            process.send_signal(number)
            _, alive = psutil.wait_procs(children, timeout=SOON_S)
            assert alive == []
            code = process.wait(SOON_S)
        finally:
            for each in filter(psutil.Process.is_running, children):
                each.kill()
            process.kill()
        assert process.stderr is not None
        return Ended(code, process.stderr.read(), workers)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_workers_end_with_a_sweep_and_it_goes_on_later(
    number: signal.Signals, weather: Path, rigs: tuple[str, ...], tmp_path: Path
) -> None:
    out = tmp_path / "r.zarr"
    sweep = ("sweep", *rigs[2:], "--weather", weather, "--out", out)

    def two_blocks_are_there(_workers: list[psutil.Process]) -> bool:
        return len(list((out / "status" / "c" / "0").glob("*"))) >= 2

    ended = ended_by(number, two_blocks_are_there, *sweep, "--workers", WORKERS)
    assert ended.workers == WORKERS
    if number == signal.SIGKILL:
        assert ended.code == -number
    else:
        # As a shell reports a program that a signal ended.
        assert ended.code == 128 + number, ended.said
        assert f"stopped by {number.name}: what is done is kept" in ended.said
        assert "Traceback" not in ended.said
    stopped = open_result(out)
    assert stopped.attrs["sweep_state"] == "running"
    kept = int((stopped["status"] == int(Status.OK)).sum())
    assert 2 <= kept < SITES
    if number == signal.SIGTERM:
        again = run(*sweep, "--workers", 1, "--quiet")
        assert f"{SITES - kept} blocks run, {kept} kept" in again.output
        # Sites of the same file have the same verdicts, whether computed before or after.
        result = open_result(out).load()
        for site in range(len(GOOD), SITES):
            one, other = (result.isel(site=k) for k in (site, site % len(GOOD)))
            xr.testing.assert_equal(one["lowest_charge"].variable, other["lowest_charge"].variable)


def test_workers_that_have_hardly_started_end_too(weather: Path, rigs: tuple[str, ...]) -> None:
    ended = ended_by(
        signal.SIGTERM,
        lambda workers: len(workers) >= WORKERS,
        *("warm-up", *rigs[2:], "--weather", weather, "--workers", WORKERS),
    )
    assert ended.code == 128 + signal.SIGTERM, ended.said
    assert "stopped by SIGTERM: nothing is kept" in ended.said
