"""The commands of ``python -m service``."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import Any

import click

from engine.errors import NoonholdError
from service.app import create_app
from service.committed import differences, write
from service.readiness import make_ready
from service.request_log import log_to_stderr
from service.server import listen, serve
from service.settings import CHECKOUT, SettingsError, from_environment


@click.group(invoke_without_command=True)
@click.pass_context
def main(context: click.Context) -> None:
    """Start the service. Settings come from NOONHOLD_... variables; see service/README.md."""
    if context.invoked_subcommand is None:
        _start()


def _start() -> None:
    """Compile, check, listen, until a signal comes."""
    began = time.monotonic()
    try:
        settings = from_environment()
        app = create_app(settings)
    except (SettingsError, NoonholdError) as error:
        click.echo(str(error), err=True)
        sys.exit(2)
    held = app.extensions["noonhold"]
    _tell(
        f"{len(held.catalogue.stations)} stations, {len(held.rigs)} rigs."
        " Compiling the model: a minute at the first start, seconds later..."
    )
    for each in held.catalogue.rejected:
        _tell(f"left out: {each.reason}")
    make_ready(held)
    log_to_stderr()
    try:
        server = listen(app, settings)
    except OSError as error:
        click.echo(
            f"cannot listen on {settings.host} port {settings.port}: {error.strerror};"
            " NOONHOLD_PORT sets another port, 0 any that is free",
            err=True,
        )
        sys.exit(2)
    with serve(server, settings) as address:
        _tell(f"Ready after {time.monotonic() - began:.0f} s: {address}  (docs: {address}/docs)")
    _tell("Stopped.")


def _tell(text: str) -> None:
    click.echo(text)
    sys.stdout.flush()


@main.command("openapi")
@click.option("--check", is_flag=True, help="Compare only; exit code 1 where something differs.")
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=CHECKOUT / "openapi",
    help="Where the description and the examples are committed.",
)
def openapi(check: bool, folder: Path) -> None:
    """Write the API description and the examples' answers anew."""
    app: Any = create_app(from_environment({}))
    if not check:
        write(app, folder)
        click.echo(f"written: {folder}")
        return
    found = differences(app, folder)
    for each in found:
        click.echo(each, err=True)
    sys.exit(1 if found else 0)
