"""What a sweep gets done in a second: ``python -m tests.benchmarks sweep``.

Two processes over a hundred files made out of the one of the tests, with all twins and the needed
sizes, as the command runs it; by the clock, so the machine should have nothing else to do.
"""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterator
from pathlib import Path

from noonhold.command_line import command_group
from tests.benchmarks.path_ratios import LAS_VEGAS, RIG

SITES = 100
PROCESSES = 2


def command(*words: str) -> str:
    """Return what a command prints."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        command_group()(words, prog_name="noonhold", standalone_mode=False)
    return out.getvalue()


def table(folder: Path) -> Iterator[str]:
    """Return the command's own last lines: site-years a second, and how busy the workers were."""
    files, result = folder / "files", folder / "result.zarr"
    command(
        "perturb", "--weather", str(LAS_VEGAS.parent), "--out", str(files), "--count", str(SITES)
    )
    said = command(
        "sweep", "--rig", str(RIG), "--weather", str(files), "--out", str(result),
        "--workers", str(PROCESSES), "--quiet",
    )  # fmt: skip
    yield from said.strip().splitlines()[-2:]
