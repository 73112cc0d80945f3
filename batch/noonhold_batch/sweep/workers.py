"""A pool of worker processes that never outlives the work it was started for."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing.connection import Connection


@contextmanager
def worker_pool(workers: int) -> Iterator[ProcessPoolExecutor]:
    """Give a pool of fresh (spawned) processes, and end them however the block is left.

    Parameters
    ----------
    workers : int
        Number of processes, started as they are needed.

    Yields
    ------
    concurrent.futures.ProcessPoolExecutor
        Where the block ends, what was handed out is still finished. Where it is left by an
        exception, the workers end at once, whatever they are at.

    Notes
    -----
    A worker that waits for work holds both ends of the pool's queue, so it never learns from it
    that the process which fed it has gone. Here each has a pipe whose other end that process alone
    holds: the system closes it when the process ends in any way, SIGKILL included, and a thread of
    the worker waits for that.
    """
    context = multiprocessing.get_context("spawn")
    theirs, ours = context.Pipe(duplex=False)
    with theirs, ours:
        pool = ProcessPoolExecutor(
            workers, mp_context=context, initializer=_end_with, initargs=(theirs,)
        )
        try:
            yield pool
        except BaseException:
            ours.close()
            pool.shutdown(cancel_futures=True)
            raise
        pool.shutdown()


def _end_with(pipe: Connection) -> None:
    """Let this worker end as soon as the other end of a pipe is closed."""
    # Ctrl-C reaches every process of a terminal: who started the workers decides, and says so once.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_wait_and_end, args=(pipe,), daemon=True).start()


def _wait_and_end(pipe: Connection) -> None:
    # Nothing is ever sent: poll returns when the other end is closed.
    pipe.poll(None)
    os._exit(1)  # sys.exit would end this thread alone
