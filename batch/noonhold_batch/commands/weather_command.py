"""``weather check``: files checked against the rules of plausible weather."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from noonhold.errors import WeatherError
from noonhold.exit_codes import ExitCode
from noonhold.weather.catalogue import weather_paths
from noonhold.weather.plausibility import flags_of
from noonhold.weather.weather_files import read_weather
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.commands.command_common import tells_faults


@click.group()
def weather() -> None:
    """Look at weather files."""


@weather.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(exists=True, path_type=Path))
@tells_faults
def check(files: tuple[Path, ...]) -> None:
    """Check FILES, or all files of folders, against the rules of plausible weather.

    Every flag names its rule and source: a note is worth knowing, a doubt says that verdicts may
    be wrong, refused is what cannot be read. Exits with 3 where a file is doubted or refused.
    """
    paths = [
        found for path in files for found in (weather_paths(path) if path.is_dir() else [path])
    ]
    if not paths:
        raise BatchError.single("FILES", "no weather files in the folders named")
    doubted = 0
    for path in paths:
        try:
            flags = flags_of(read_weather(path))
        except WeatherError as exc:
            doubted += 1
            for fault in exc.faults:
                click.echo(f"{path}: refused: {fault}")
            continue
        doubted += any(flag.level == "doubt" for flag in flags)
        for flag in flags:
            click.echo(f"{path}: {flag.level}: {flag.rule}: {flag.message} [{flag.source}]")
        if not flags:
            click.echo(f"{path}: good")
    if len(paths) > 1:
        click.echo(f"{len(paths)} files, {doubted} doubted or refused")
    if doubted:
        sys.exit(ExitCode.PARTIAL)
