"""Who runs the blocks: this process, local processes, or a dask cluster; the same function."""

from __future__ import annotations

from collections.abc import Generator, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from typing import Protocol

from noonhold_batch.batch_errors import BatchError
from noonhold_batch.sweep.site_block import BlockResult, run_block
from noonhold_batch.sweep.sweep_plan import Block
from noonhold_batch.sweep.workers import worker_pool

_WAITING_PER_WORKER = 2
_RESTARTS = 3


class Runner(Protocol):
    """Runs blocks and yields their results as they are ready, in any order.

    A generator, so that who stops early can close it: its workers then end.
    """

    def __call__(self, blocks: Iterable[Block]) -> Generator[BlockResult, None, None]:
        """Run all blocks."""
        ...


def run_here(blocks: Iterable[Block]) -> Generator[BlockResult, None, None]:
    """Run blocks one after the other in this process.

    Parameters
    ----------
    blocks : iterable of Block
        To run.

    Yields
    ------
    BlockResult
        In order.
    """
    for block in blocks:
        yield run_block(block)


class LocalProcesses:
    """Runs blocks in fresh (spawned) processes; a worker that dies is replaced.

    Parameters
    ----------
    workers : int
        Number of processes.
    """

    def __init__(self, workers: int) -> None:
        self.workers = workers

    def __call__(self, blocks: Iterable[Block]) -> Generator[BlockResult, None, None]:
        """Run all blocks.

        Parameters
        ----------
        blocks : iterable of Block
            Taken from as workers become free: a few wait, however many there are.

        Yields
        ------
        BlockResult
            As they are ready.

        Raises
        ------
        BatchError
            Where workers go on dying.
        """
        waiting = iter(blocks)
        unfinished: list[Block] = []
        for _ in range(_RESTARTS + 1):
            lost: list[Block] = []
            yield from self._one_pool(unfinished, waiting, lost)
            if not lost:
                return
            unfinished = lost
        names = ", ".join(site.site_id for block in unfinished for site in block.sites)
        raise BatchError.single(
            "workers", f"worker processes died {_RESTARTS + 1} times, the last time at: {names}"
        )

    def _one_pool(
        self, first: list[Block], waiting: Iterator[Block], lost: list[Block]
    ) -> Iterator[BlockResult]:
        """Run until all is done or a worker dies; ``lost`` takes what was under way."""
        running: dict[Future[BlockResult], Block] = {}
        pending = list(first)
        with worker_pool(self.workers) as pool:
            while True:
                try:
                    self._fill(pool, running, pending, waiting)
                except BrokenProcessPool:
                    lost += [*running.values(), *pending]
                    return
                if not running:
                    return
                done, _ = wait(running, return_when=FIRST_COMPLETED)
                broken = False
                for future in done:
                    block = running.pop(future)
                    try:
                        result = future.result()
                    except BrokenProcessPool:
                        lost.append(block)
                        broken = True
                        continue
                    yield result
                if broken:
                    lost += [*running.values(), *pending]
                    return

    def _fill(
        self,
        pool: ProcessPoolExecutor,
        running: dict[Future[BlockResult], Block],
        pending: list[Block],
        waiting: Iterator[Block],
    ) -> None:
        """Hand out blocks until enough of them are under way."""
        while len(running) < self.workers * _WAITING_PER_WORKER:
            if not pending:
                block = next(waiting, None)
                if block is None:
                    return
                pending.append(block)
            running[pool.submit(run_block, pending[0])] = pending[0]
            pending.pop(0)
