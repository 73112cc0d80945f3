"""Print what a year and a request cost beside something known: ``python -m tests.benchmarks``."""

import tempfile
from pathlib import Path

from engine.machine_code import keep_compiled_code_apart

if __name__ == "__main__":
    keep_compiled_code_apart(Path(__file__).resolve().parents[2])
    # Only now: numba takes the name of its cache when it is imported.
    from tests.benchmarks.path_ratios import table

    with tempfile.TemporaryDirectory() as folder:
        print(table(Path(folder)))
