"""``python -m batch``: environment first, then everything that imports numba."""

import os
from pathlib import Path

from engine.machine_code import keep_compiled_code_apart

if __name__ == "__main__":
    # Worker processes inherit both: one cache of machine code, one thread a process.
    keep_compiled_code_apart(Path(__file__).resolve().parents[1])
    for variable in ("NUMBA_NUM_THREADS", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(variable, "1")
    # Not at the top: numba reads these at its import.
    from batch.cli import main

    main(prog_name="python -m batch")
