"""What a worker has used: so that a sweep can say whether its processors were busy."""

from __future__ import annotations

import os
import platform
import sys
import time
from dataclasses import dataclass

if sys.platform != "win32":
    import resource


@dataclass(frozen=True)
class Usage:
    """What a block took of the process that ran it.

    Parameters
    ----------
    worker : str
        Machine and process.
    cpu_s : float
        Processor time of the block. [s]
    peak_mb : float
        Most memory the process ever used; NaN where the system does not say. [MB]
    """

    worker: str
    cpu_s: float
    peak_mb: float


def usage_since(begun_cpu_s: float) -> Usage:
    """Return what this process has used.

    Parameters
    ----------
    begun_cpu_s : float
        ``time.process_time()`` when the block began. [s]
    """
    peak = float("nan")
    if sys.platform != "win32":
        # Linux counts kibibytes, macOS bytes (getrusage(2) of each).
        unit = 1.0 if sys.platform == "darwin" else 1024.0
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 1e6
    return Usage(f"{platform.node()}:{os.getpid()}", time.process_time() - begun_cpu_s, peak)
