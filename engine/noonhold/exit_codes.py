"""What the command ``noonhold`` leaves with: one table for code, help and manual.

Codes from 64 to 78 are those of BSD's ``sysexits.h``; 128 and more are how shells report a signal.
1 says that a comparison found a difference and nothing else, so that a nightly job can distinguish
drift from a command that failed.
"""

from __future__ import annotations

from enum import IntEnum


class ExitCode(IntEnum):
    """Exit codes of every command."""

    OK = 0
    DRIFT = 1
    BAD_INPUT = 2
    PARTIAL = 3
    DAMAGED = 65
    INTERNAL = 70
    CANNOT_WRITE = 74
    INTERRUPTED = 130
    PIPE_CLOSED = 141
    TERMINATED = 143


MEANINGS: dict[ExitCode, str] = {
    ExitCode.OK: "success",
    ExitCode.DRIFT: "a comparison found drift",
    ExitCode.BAD_INPUT: "bad input or options",
    ExitCode.PARTIAL: "partial, some runs have no verdict or some files are doubtful",
    ExitCode.DAMAGED: "a stored result is damaged",
    ExitCode.INTERNAL: "internal failure, worth a report",
    ExitCode.CANNOT_WRITE: "output cannot be written or a disk cannot be read",
    ExitCode.INTERRUPTED: "stopped by SIGINT",
    ExitCode.PIPE_CLOSED: "the reader of the output went away",
    ExitCode.TERMINATED: "stopped by SIGTERM",
}


def exit_code_text() -> str:
    """Return the table as one sentence for a help text."""
    return "; ".join(f"{int(code)} {meaning}" for code, meaning in MEANINGS.items()) + "."
