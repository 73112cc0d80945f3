"""What a request is expected to cost, in seconds, before anything of it is computed.

The figures are of one core of an ordinary server with nothing else to do, measured by ``python -m
tests.benchmarks studies``. They decide which lane a request waits in, what is refused because
it can never be finished in time, and when to ask again; no answer depends on them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from noonhold.rig import Rig
from noonhold.simulation.simulation_case import DEFAULT_STEP_S

RUN_S: Final = 0.2e-3  # of one run of the time loop, however short
RUN_DAY_S: Final = 0.09e-3  # of a day of it, for a rig of _USUAL_PARTS
BYTE_S: Final = 0.4e-6  # of reading a byte of a document
_USUAL_PARTS: Final = 30
_FIXED_PARTS: Final = 10  # what does not depend on the rig


@dataclass(frozen=True)
class Work:
    """What a request makes the model compute.

    Parameters
    ----------
    runs : int
        Runs of the time loop.
    run_days : int
        Days of all of them together. [d]
    setup_s : float
        What is done around them: sunlight, tables, fits, the answer. [s]
    """

    runs: int
    run_days: int
    setup_s: float = 0.0

    def __add__(self, other: Work) -> Work:
        """Return both."""
        return Work(
            self.runs + other.runs,
            self.run_days + other.run_days,
            self.setup_s + other.setup_s,
        )


def parts_of(rig: Rig) -> int:
    """Return how many things the time loop goes through in every step of a rig."""
    shell = rig.shell
    layers = sum(max(len(panel.layers), 1) for panel in shell.panels)
    return layers + 2 * len(shell.windows) + 2 * len(rig.arrays)


def seconds_of(work: Work, rig: Rig, step_s: int = DEFAULT_STEP_S) -> float:
    """Return what a computation is expected to take.

    Parameters
    ----------
    rig : Rig
        What runs.
    step_s : int, optional
        Step of the time loop. [s]

    Returns
    -------
    float
        [s]
    """
    size = (_FIXED_PARTS + parts_of(rig)) / (_FIXED_PARTS + _USUAL_PARTS)
    steps = work.run_days * DEFAULT_STEP_S / step_s
    return work.setup_s + work.runs * RUN_S + steps * RUN_DAY_S * size


def seconds_to_read(document: Any, size_bytes: int) -> float:
    """Return what reading a document is expected to take.

    Parameters
    ----------
    document : object
        As the JSON parser gave it.
    size_bytes : int
        Of its text. [bytes]

    Returns
    -------
    float
        Every variant of a comparison is the whole base once more. [s]
    """
    variants = document.get("variants") if isinstance(document, Mapping) else None
    copies = 1 + (len(variants) if isinstance(variants, list) else 0)
    return size_bytes * copies * BYTE_S
