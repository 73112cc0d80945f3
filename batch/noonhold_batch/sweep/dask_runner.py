"""Blocks on a dask cluster: one task a block, a bounded number of them known to the scheduler."""

from __future__ import annotations

from collections.abc import Generator, Iterable, Iterator
from contextlib import suppress
from importlib.util import find_spec

from noonhold_batch.batch_errors import BatchError
from noonhold_batch.sweep.site_block import BlockResult, run_block
from noonhold_batch.sweep.sweep_plan import Block

with suppress(ImportError):  # the extra `distributed` may not be installed
    import distributed

_WAITING_PER_WORKER = 3


class DaskCluster:
    """Runs blocks through a dask scheduler; workers see the weather at the same paths.

    Parameters
    ----------
    scheduler : str or None
        Address of a running scheduler, ``tcp://host:port``; None starts a cluster of processes
        on this machine, on loopback.
    workers : int
        Worker processes of a cluster that is started here.

    Raises
    ------
    BatchError
        Where dask.distributed is not installed.
    """

    def __init__(self, scheduler: str | None, workers: int) -> None:
        if find_spec("distributed") is None:
            why = "needs dask.distributed: pip install 'noonhold[distributed]'"
            raise BatchError.single("--scheduler", why, scheduler)
        self.scheduler = scheduler
        self.workers = workers

    def __call__(self, blocks: Iterable[Block]) -> Generator[BlockResult, None, None]:
        """Run all blocks.

        Parameters
        ----------
        blocks : iterable of Block
            Handed over as workers become free, so that the graph stays small.

        Yields
        ------
        BlockResult
            As they are ready. A block whose worker dies is run again by the scheduler.

        Raises
        ------
        BatchError
            Where the scheduler does not answer, or a block kills every worker it meets.
        """
        if self.scheduler is not None:
            try:
                client = distributed.Client(self.scheduler, timeout=20)
            except (OSError, ValueError) as exc:  # no answer, no address
                raise BatchError.single("--scheduler", str(exc), self.scheduler) from exc
            with client:
                yield from _run(client, blocks)
            return
        with (
            distributed.LocalCluster(
                n_workers=self.workers,
                threads_per_worker=1,
                processes=True,
                host="127.0.0.1",
                dashboard_address=None,
            ) as cluster,
            distributed.Client(cluster) as client,
        ):
            yield from _run(client, blocks)


def _run(client: distributed.Client, blocks: Iterable[Block]) -> Iterator[BlockResult]:
    """Feed the scheduler and yield what comes back."""
    waiting = iter(blocks)
    futures = distributed.as_completed()
    _fill(client, waiting, futures)
    for future in futures:
        try:
            result = future.result()
        except Exception as exc:  # dask's own: KilledWorker, lost connections
            raise BatchError.single("scheduler", f"{type(exc).__name__}: {exc}") from exc
        future.release()
        _fill(client, waiting, futures)
        yield result


def _fill(
    client: distributed.Client, waiting: Iterator[Block], futures: distributed.as_completed
) -> None:
    """Hand blocks over for the workers that are there now: some may have come, or gone."""
    workers = max(1, len(client.scheduler_info(n_workers=-1)["workers"]))
    while futures.count() < _WAITING_PER_WORKER * workers:
        block = next(waiting, None)
        if block is None:
            return
        futures.add(client.submit(run_block, block, pure=False))
