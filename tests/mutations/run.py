"""Apply each change in a copy of the tree and see whether a test notices."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final, NamedTuple

from tests.mutations.changes import Mutation

LIBRARY: Final = Path("engine", "noonhold")
_COPIED: Final = ("engine", "service", "batch", "tests", "sample_rigs", "sample_weather", "openapi")
_LEFT_OUT: Final = shutil.ignore_patterns(
    "__pycache__", "*.nb[ic]", "node_modules", ".*cache", "*.egg-info"
)
_PATIENCE_S: Final = 900

# What stands for a room, quickest first. The other rooms' tests are not asked: whoever changes a
# room runs its own.
TESTS: Final = {
    "air": ("tests/engine/air", "tests/published/test_moist_air.py",
            "tests/published/test_comfort.py"),
    "solar": ("tests/engine/solar", "tests/published/test_sun.py",
              "tests/published/test_modelchain.py"),
    "envelope": ("tests/published/test_driving_films.py", "tests/published/test_leakage.py",
                 "tests/engine/envelope"),
    "cooling": ("tests/engine/cooling", "tests/published/test_mechanical_cooling.py",
                "tests/published/test_coolers_in_heat.py"),
    "electricity": ("tests/engine/electricity", "tests/published/test_arrays.py"),
    "simulation": ("tests/engine/simulation", "tests/published/test_driving_films.py",
                   "tests/engine/envelope/test_cabin_moisture.py",
                   "tests/engine/envelope/test_cabin_step.py::"
                   "test_a_roof_radiates_to_the_sky_above_the_horizon_alone",
                   "tests/published/test_leakage.py",
                   "tests/properties/test_ledgers.py::test_the_rig_that_uses_everything"),
    "weather": ("tests/engine/weather",),
}  # fmt: skip
# numba's own vectorized functions cannot be interpreted, and days of a cabin are quicker compiled,
# the compiling counted; the rest is quicker interpreted.
COMPILED: Final = ("air", "envelope", "simulation")
# They start a process of their own that compares with compiled code, and say nothing of physics.
_NOT_ASKED: Final = "not plain_python and not interpreted"


class Outcome(NamedTuple):
    """What became of a change; ``killed_by`` is empty for a survivor."""

    mutation: Mutation
    killed_by: str
    seconds: float


def copy_tree(checkout: Path, folder: Path) -> Path:
    """Copy what the tests read into an empty folder."""
    for name in _COPIED:
        shutil.copytree(checkout / name, folder / name, ignore=_LEFT_OUT)
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", "CHANGELOG.md"):
        shutil.copy(checkout / name, folder / name)
    return folder


def first_failure(tree: Path, room: str) -> str:
    """Run a room's tests in a tree; return the first that fails, or nothing where all pass."""
    cache = tree / ".numba_cache"
    shutil.rmtree(cache, ignore_errors=True)
    python_path = os.pathsep.join(str(tree / name) for name in ("engine", "service", "batch"))
    environment = {
        **os.environ,
        "PYTHONPATH": python_path,
        "PYTHONDONTWRITEBYTECODE": "1",
        "NUMBA_CACHE_DIR": str(cache),
        "NUMBA_DISABLE_JIT": "0" if room in COMPILED else "1",
        "HYPOTHESIS_PROFILE": "no_shrinking",
    }
    command = [sys.executable, "-m", "pytest", "-x", "-q", "--tb=line", "-rfE", "-k", _NOT_ASKED]
    command += ["-p", "no:cacheprovider", *TESTS[room]]
    done = subprocess.run(
        command, cwd=tree, env=environment, capture_output=True, text=True, timeout=_PATIENCE_S
    )
    if done.returncode == 0:
        return ""
    failed = re.search(r"^(?:FAILED|ERROR) (\S+)", done.stdout, re.MULTILINE)
    if failed is None:
        raise RuntimeError(f"pytest ended without a verdict:\n{done.stdout[-2000:]}{done.stderr}")
    return failed.group(1)


def mutate(tree: Path, mutation: Mutation) -> str:
    """Put the change into the tree and return the text that stood there."""
    path = tree / LIBRARY / mutation.path
    text = path.read_text(encoding="utf-8")
    if text.count(mutation.old) != 1:
        raise ValueError(
            f"{mutation.path}: {mutation.old!r} stands {text.count(mutation.old)} times"
        )
    path.write_text(text.replace(mutation.old, mutation.new), encoding="utf-8")
    return text


def outcomes(tree: Path, mutations: Iterable[Mutation]) -> Iterator[Outcome]:
    """Yield what becomes of each change, one after the other in one tree."""
    for mutation in mutations:
        began = time.monotonic()
        original = mutate(tree, mutation)
        try:
            killed_by = first_failure(tree, mutation.room)
        finally:
            (tree / LIBRARY / mutation.path).write_text(original, encoding="utf-8")
        yield Outcome(mutation, killed_by, time.monotonic() - began)
