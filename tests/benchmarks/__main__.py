"""Print what a year and a request cost beside something known: ``python -m tests.benchmarks``."""

import tempfile
from pathlib import Path

from tests.benchmarks.path_ratios import table

if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        print(table(Path(folder)))
