"""Who runs the blocks changes no number, even where a worker is killed in the middle."""

import json
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

import psutil
import pytest
import xarray as xr
from distributed import Client

from noonhold_batch.results.result import open_result
from noonhold_batch.sweep.dask_runner import DaskCluster
from noonhold_batch.sweep.executor import LocalProcesses, Runner, run_here
from noonhold_batch.sweep.run_sweep import sweep
from noonhold_batch.sweep.site_block import BlockResult
from noonhold_batch.sweep.sweep_cases import DEFAULT_SCENARIO, load_cases
from noonhold_batch.sweep.sweep_plan import Plan, find_sites
from tests.batch.commands import run
from tests.batch.conftest import GOOD

Victims = Callable[[], list[psutil.Process]]


def workers_of_this_process() -> list[psutil.Process]:
    """Return the processes that were started to run blocks, below this one."""
    marks = ("multiprocessing.spawn", "multiprocessing.forkserver")
    children = psutil.Process().children(recursive=True)
    found = [
        child for child in children if any(mark in " ".join(child.cmdline()) for mark in marks)
    ]
    return [child for child in found if "resource_tracker" not in " ".join(child.cmdline())]


@contextmanager
def local_processes(_checkout: Path, _folder: Path) -> Iterator[tuple[Runner, Victims]]:
    yield LocalProcesses(2), workers_of_this_process


@contextmanager
def dask_started_here(_checkout: Path, _folder: Path) -> Iterator[tuple[Runner, Victims]]:
    yield DaskCluster(None, 2), workers_of_this_process


@contextmanager
def dask_found_at_an_address(checkout: Path, folder: Path) -> Iterator[tuple[Runner, Victims]]:
    """A scheduler and two workers, each a process that nobody restarts when it dies."""
    loopback = ("--host", "127.0.0.1", "--no-dashboard")
    address = folder / "scheduler.json"

    with ExitStack() as processes:

        def start(tool: str, *arguments: str) -> subprocess.Popen[bytes]:
            command = [sys.executable, "-m", f"distributed.cli.{tool}", *loopback, *arguments]
            process = subprocess.Popen(command, cwd=checkout, stderr=subprocess.DEVNULL)
            processes.callback(process.wait)
            processes.callback(process.kill)
            return process

        file = ("--scheduler-file", str(address))
        scheduler = start("dask_scheduler", "--port", "0", *file)
        while not address.exists() or not address.read_text().endswith("}"):
            assert scheduler.poll() is None, "the scheduler ended"
            time.sleep(0.05)
        found = str(json.loads(address.read_text())["address"])
        assert "://127.0.0.1:" in found
        workers = [
            start("dask_worker", *file, "--nthreads", "1", "--no-nanny", "--name", str(number))
            for number in range(2)
        ]
        with Client(found) as client:
            client.wait_for_workers(2, timeout=120)
        yield DaskCluster(found, 2), lambda: [psutil.Process(workers[0].pid)]


@dataclass(frozen=True)
class Undisturbed:
    """A sweep of four blocks, and its result without any worker."""

    plan: Plan
    result: xr.Dataset


@pytest.fixture(scope="module")
def undisturbed(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> Undisturbed:
    folder = tmp_path_factory.mktemp("weather")
    for name in GOOD:
        shutil.copy(checkout / "sample_weather" / f"{name}.epw.gz", folder)
    shutil.copy(checkout / "sample_weather" / f"{GOOD[0]}.epw.gz", folder / "again.epw.gz")
    cases = load_cases([checkout / "sample_rigs" / "plywood_teardrop.json"], DEFAULT_SCENARIO, [])
    plan = Plan(cases, find_sites(folder), 1, None, 300)
    out = tmp_path_factory.mktemp("here") / "here.zarr"
    sweep(plan, out, run_here, "test")
    return Undisturbed(plan, open_result(out).load())


@pytest.mark.parametrize(
    "started",
    [local_processes, dask_started_here, dask_found_at_an_address],
    ids=["local", "cluster", "scheduler"],
)
def test_a_killed_worker_changes_nothing(
    started: Callable[[Path, Path], AbstractContextManager[tuple[Runner, Victims]]],
    undisturbed: Undisturbed,
    checkout: Path,
    tmp_path: Path,
) -> None:
    killed: list[int] = []
    with started(checkout, tmp_path) as (runner, victims):

        def kill_one(
            done: int, blocks: int, results: Iterable[BlockResult]
        ) -> Iterator[BlockResult]:
            for result in results:
                if not killed:
                    victim = victims()[0]
                    victim.kill()
                    killed.append(victim.pid)
                yield result

        outcome = sweep(undisturbed.plan, tmp_path / "r.zarr", runner, "test", watch=kill_one)
    assert killed
    assert outcome.failed == ()
    assert outcome.computed == 4
    xr.testing.assert_equal(open_result(tmp_path / "r.zarr").load(), undisturbed.result)


def test_a_scheduler_that_is_not_there_is_bad_input(checkout: Path, tmp_path: Path) -> None:
    ended = run(
        *("sweep", "--rig", checkout / "sample_rigs" / "plywood_teardrop.json"),
        *("--weather", checkout / "sample_weather", "--out", tmp_path / "r.zarr"),
        *("--scheduler", "nowhere"),
    )
    assert ended.exit_code == 2
    assert "--scheduler" in ended.output
