"""The one command ``noonhold``: its subcommands come from the packages that are installed.

A package offers commands by an entry point of the group ``noonhold.commands`` that names a table
of :class:`LazyCommand`, as Flask's extensions offer theirs. A table imports nothing heavy, so that
``noonhold --help`` does not wait for the model; a command is imported when it is run.
"""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Iterable
from dataclasses import dataclass
from importlib import import_module
from importlib.metadata import entry_points, version
from pathlib import Path
from typing import Final

import click

from noonhold import samples
from noonhold.errors import NoonholdError
from noonhold.exit_codes import ExitCode, exit_code_text

TRACEBACK: Final = "NOONHOLD_TRACEBACK"
GROUP: Final = "noonhold.commands"
_THREADS: Final = ("NUMBA_NUM_THREADS", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS")


@dataclass(frozen=True)
class LazyCommand:
    """A command that is not imported before it is run.

    Parameters
    ----------
    name : str
        As it is typed.
    target : str
        ``package.module:attribute`` of the click command.
    short_help : str
        Its line in the list of commands.
    """

    name: str
    target: str
    short_help: str

    def load(self) -> click.Command:
        """Import the command and give it the line of the table, for completion by a shell."""
        module, _, attribute = self.target.partition(":")
        command: click.Command = getattr(import_module(module), attribute)
        command.short_help = self.short_help
        return command


class LazyGroup(click.Group):
    """A group of commands that are imported one at a time.

    Parameters
    ----------
    table : iterable of LazyCommand
        In the order of the help.
    """

    def __init__(self, table: Iterable[LazyCommand], **settings: object) -> None:
        super().__init__(**settings)  # type: ignore[arg-type]  # click's own settings, passed on
        self.table = {each.name: each for each in table}

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of the table."""
        return list(self.table)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import one command, or return None where there is no such name."""
        found = self.table.get(cmd_name)
        return None if found is None else found.load()

    def invoke(self, ctx: click.Context) -> object:
        """Run a command; every error ends it with one line and a code of the table."""
        try:
            return super().invoke(ctx)
        except (click.exceptions.Exit, click.UsageError):
            raise
        except click.ClickException as exc:
            exc.show()
            code = ExitCode.BAD_INPUT  # click has 1, which is drift here
        except (Exception, KeyboardInterrupt) as exc:
            code = told_end(exc)
        sys.exit(code)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands from the table, without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(each.name, each.short_help) for each in self.table.values()])


@click.command("samples")
@click.option(
    "--to",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    help="Copy them into rigs and weather under this folder; otherwise their names are listed.",
)
def samples_command(folder: Path | None) -> None:
    """Copy the sample rigs and weather into a folder."""
    if folder is None:
        for name in (*samples.rigs(), *samples.stations()):
            click.echo(name)
        return
    try:
        rigs, stations = samples.copy_samples(folder)
    except (NoonholdError, OSError) as error:
        click.echo(str(error), err=True)
        raise SystemExit(2) from None
    click.echo(f"{folder}: {rigs} rigs, {stations} stations")


OWN: Final = (
    LazyCommand(
        "samples",
        "noonhold.command_line:samples_command",
        "Copy the sample rigs and weather into a folder.",
    ),
    LazyCommand(
        "log",
        "noonhold.log_command:log",
        "Read a logger's CSV file into the log of a calibration.",
    ),
)


def told_end(exc: BaseException) -> ExitCode:
    """Tell on standard error what ended a command, and return its exit code.

    Parameters
    ----------
    exc : BaseException
        What the command raised.

    Returns
    -------
    ExitCode
        Never that of drift. The traceback is printed for an internal failure alone, and only where
        the environment variable ``NOONHOLD_TRACEBACK`` asks for it.
    """
    if isinstance(exc, NoonholdError):
        for line in str(exc).splitlines():
            click.echo(f"error: {line}", err=True)
        return ExitCode.BAD_INPUT
    if isinstance(exc, KeyboardInterrupt | click.Abort):
        click.echo("stopped by SIGINT", err=True)
        return ExitCode.INTERRUPTED
    if isinstance(exc, BrokenPipeError):
        # What is left in the buffer has nowhere to go; the interpreter would complain at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ExitCode.PIPE_CLOSED
    if isinstance(exc, OSError):
        where = f"{exc.filename}: " if exc.filename else ""
        click.echo(f"error: {where}{exc.strerror or exc}", err=True)
        return ExitCode.CANNOT_WRITE
    click.echo(f"internal failure: {type(exc).__name__}: {exc}", err=True)
    if os.environ.get(TRACEBACK):
        click.echo("".join(traceback.format_exception(exc)), err=True, nl=False)
    else:
        click.echo(f"{TRACEBACK}=1 shows where; please report it", err=True)
    return ExitCode.INTERNAL


def installed_commands() -> list[LazyCommand]:
    """Return the commands of every installed package that offers some.

    Returns
    -------
    list of LazyCommand
        Package by package in the order of their names, each in its own order; the library's own
        come last.
    """
    found: list[LazyCommand] = []
    for each in sorted(entry_points(group=GROUP), key=lambda entry: entry.name, reverse=True):
        found += each.load()
    return [*found, *OWN]


_EPILOG: Final = (
    f"Exit codes: {exit_code_text()}\n\n"
    'Completion by the shell: eval "$(_NOONHOLD_COMPLETE=bash_source noonhold)", in zsh'
    " zsh_source; in fish, _NOONHOLD_COMPLETE=fish_source noonhold | source."
)


def command_group() -> click.Group:
    """Return the command ``noonhold`` with all that is installed."""
    group = LazyGroup(
        installed_commands(),
        name="noonhold",
        help="Does an off-grid cabin stay cool all day on its battery and solar?",
        epilog=_EPILOG,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    return click.version_option(version("noonhold"), prog_name="noonhold")(group)


def main() -> None:
    """Run the command line."""
    # Worker processes inherit it: one process a core, one thread a process.
    for variable in _THREADS:
        os.environ.setdefault(variable, "1")
    command_group()(prog_name="noonhold")
