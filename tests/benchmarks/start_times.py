"""What a start costs: ``python -m tests.benchmarks starts``.

Processor time of a process of its own, and what the clock says: the list of commands, and a
projection of a day with nothing compiled yet, then with all of it.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator

from tests.benchmarks.path_ratios import CHECKOUT

PROJECTION = (
    "import noonhold as nh;nh.project('flatbed_cabin', 'basin_desert_kelpanoor', date='01-15')"
)
HELP = "import sys; sys.argv[1:] = ['--help']; from noonhold.command_line import main; main()"


def child_s(code: str, cache: str) -> tuple[float, float]:
    """Return processor time and time by the clock of a Python that runs some code. [s]."""
    began, before = time.monotonic(), resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        cwd=CHECKOUT,
        env={**os.environ, "NUMBA_CACHE_DIR": cache},
        stdout=subprocess.DEVNULL,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return spent, time.monotonic() - began


def table() -> Iterator[str]:
    """Return the lines of the table as they are measured, the least of three starts."""
    yield f"{'start':48} {'processor, s':>12} {'clock, s':>9}"
    with tempfile.TemporaryDirectory() as cache:
        for name, code, times in (
            ("a projection, nothing compiled", PROJECTION, 1),
            ("a projection, all compiled", PROJECTION, 3),
            ("noonhold --help", HELP, 3),
        ):
            spent, clock = min(child_s(code, cache) for _ in range(times))
            yield f"{name:48} {spent:12.2f} {clock:9.2f}"
