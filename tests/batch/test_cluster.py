import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path

import psutil
import pytest
import xarray as xr

from batch.block import BlockResult
from batch.cases import DEFAULT_SCENARIO, load_cases
from batch.dask_runner import DaskCluster
from batch.executor import LocalProcesses, Runner, run_here
from batch.plan import Plan, find_sites
from batch.result import open_result
from batch.sweep import sweep
from tests.batch.conftest import GOOD


def workers_of_this_process() -> list[psutil.Process]:
    """Return the processes that were started to run blocks, below this one."""
    marks = ("multiprocessing.spawn", "multiprocessing.forkserver")
    children = psutil.Process().children(recursive=True)
    found = [
        child for child in children if any(mark in " ".join(child.cmdline()) for mark in marks)
    ]
    return [child for child in found if "resource_tracker" not in " ".join(child.cmdline())]


@pytest.mark.parametrize("runner", [LocalProcesses(2), DaskCluster(None, 2)], ids=["local", "dask"])
def test_a_killed_worker_changes_nothing(runner: Runner, checkout: Path, tmp_path: Path) -> None:
    folder = tmp_path / "weather"
    folder.mkdir()
    for name in GOOD:
        for copy in range(3):
            shutil.copy(
                checkout / "sample_weather" / f"{name}.epw.gz", folder / f"{name}{copy}.epw.gz"
            )
    cases = load_cases([checkout / "sample_rigs" / "plywood_teardrop.json"], DEFAULT_SCENARIO, [])
    plan = Plan(cases, find_sites(folder), 1, None, 300)
    killed: list[int] = []

    def kill_one(done: int, blocks: int, results: Iterable[BlockResult]) -> Iterator[BlockResult]:
        for result in results:
            if not killed:
                victim = workers_of_this_process()[0]
                victim.kill()
                killed.append(victim.pid)
            yield result

    outcome = sweep(plan, tmp_path / "killed.zarr", runner, "test", watch=kill_one)
    assert killed
    assert outcome.failed == ()
    assert outcome.computed == 9
    sweep(plan, tmp_path / "here.zarr", run_here, "test")
    xr.testing.assert_equal(
        open_result(tmp_path / "killed.zarr").load(), open_result(tmp_path / "here.zarr").load()
    )
