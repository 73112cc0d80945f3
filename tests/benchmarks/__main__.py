"""Print what things cost beside something known: ``python -m tests.benchmarks``.

All tables, or those named: ``path`` (a site-year and a request, part by part), ``studies``,
``starts``, ``sweep``.
"""

import sys
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path

from tests.benchmarks import path_ratios, start_times, study_ratios, sweep_rate

TABLES: dict[str, Callable[[Path], Iterable[str]]] = {
    "path": lambda folder: path_ratios.table(folder).splitlines(),
    "studies": lambda folder: study_ratios.table(),
    "starts": lambda folder: start_times.table(),
    "sweep": sweep_rate.table,
}

if __name__ == "__main__":
    for name in sys.argv[1:] or TABLES:
        with tempfile.TemporaryDirectory() as folder:
            for line in TABLES[name](Path(folder)):
                print(line, flush=True)
        print()
