"""What the commands share: exit codes, and errors told instead of traced."""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from engine.errors import NoonholdError

EXIT_OK = 0
EXIT_DRIFT = 1
EXIT_BAD_INPUT = 2
EXIT_PARTIAL = 3

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
FOLDER = click.Path(exists=True, file_okay=False, path_type=Path)
ANY_PATH = click.Path(path_type=Path)


def tells_faults(command: Callable[..., None]) -> Callable[..., None]:
    """Return a command that prints every fault on a line and leaves with 2.

    Parameters
    ----------
    command : callable
        A click callback.

    Returns
    -------
    callable
        The same with errors of the project's own tree caught.
    """

    @functools.wraps(command)
    def told(*args: Any, **kwargs: Any) -> None:
        try:
            command(*args, **kwargs)
        except NoonholdError as exc:
            for fault in exc.faults:
                click.echo(f"error: {fault}", err=True)
            sys.exit(EXIT_BAD_INPUT)

    return told
