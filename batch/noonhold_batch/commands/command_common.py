"""What the commands share: kinds of options, and error messages instead of tracebacks."""

from __future__ import annotations

import functools
import os
import shlex
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource

from noonhold.errors import NoonholdError
from noonhold.exit_codes import ExitCode
from noonhold.quantities import LONGEST_STAY_D, Horizon
from noonhold_batch.batch_errors import BatchError

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
FOLDER = click.Path(exists=True, file_okay=False, path_type=Path)
ANY_PATH = click.Path(path_type=Path)


class OutFile(click.Path):
    """A file to write, whose folder exists: checked before anything is computed for it."""

    def __init__(self) -> None:
        super().__init__(dir_okay=False, path_type=Path)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the path, or fail with what is wrong with it."""
        path = Path(os.fsdecode(super().convert(value, param, ctx)))
        if not path.parent.is_dir():
            self.fail(f"there is no folder {str(path.parent)!r}", param, ctx)
        return path


OUT_FILE = OutFile()


def command_line() -> str:
    """Return the running command as it can be given again, for a result's history.

    Returns
    -------
    str
        With every option that was given, in the order of the command's help.
    """
    context = click.get_current_context()
    words = ["noonhold", str(context.info_name)]
    for parameter in context.command.params:
        name = str(parameter.name)
        if context.get_parameter_source(name) is not ParameterSource.COMMANDLINE:
            continue
        value = context.params[name]
        for each in value if isinstance(value, tuple) else (value,):
            option = parameter.opts[0] if isinstance(parameter, click.Option) else None
            flag = isinstance(parameter, click.Option) and parameter.is_flag
            words += [word for word in (option, None if flag else shlex.quote(str(each))) if word]
    return " ".join(words)


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
    def wrapped(*args: Any, **kwargs: Any) -> None:
        try:
            command(*args, **kwargs)
        except NoonholdError as exc:
            for fault in exc.faults:
                click.echo(f"error: {fault}", err=True)
            sys.exit(ExitCode.BAD_INPUT)

    return wrapped


def asks_horizon(command: Callable[..., None]) -> Callable[..., None]:
    """Return a command with the options that say which question is answered.

    The command gets one argument of them, ``horizon``. First day is the default: it is what a
    customer asks, who arrives with a charged battery, and it needs no date of the battery's past.
    """

    @click.option(
        "--days",
        type=click.IntRange(1, LONGEST_STAY_D),
        default=None,
        help="Arriving with a full battery (or the scenario's stated charge): does the rig hold so"
        " many days in a row?  [default: 1, the first day]",
    )
    @click.option(
        "--living-there",
        is_flag=True,
        help="Ask instead whether each day holds with the charge carried on through the year.",
    )
    @functools.wraps(command)
    def with_horizon(*arguments: Any, days: int | None, living_there: bool, **options: Any) -> None:
        if days is not None and living_there:
            raise BatchError.single("--days, --living-there", "are two questions; ask one")
        command(*arguments, horizon=Horizon(None if living_there else days or 1), **options)

    return with_horizon
