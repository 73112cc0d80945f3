"""The commands ``noonhold serve`` and ``noonhold openapi``."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import Any

import click

from noonhold.errors import NoonholdError
from noonhold_service.description.golden_files import differences, write
from noonhold_service.http.request_log import log_to_stderr
from noonhold_service.process.app import create_app, reload_app
from noonhold_service.process.readiness import make_ready
from noonhold_service.process.server import listen, serving
from noonhold_service.settings import SettingsError, from_environment


@click.command()
def serve() -> None:
    """Start the service on loopback. Settings come from NOONHOLD_... variables; see the manual."""
    began = time.monotonic()
    try:
        settings = from_environment()
        app = create_app(settings)
    except (SettingsError, NoonholdError) as error:
        click.echo(str(error), err=True)
        sys.exit(2)
    state = app.extensions["noonhold"]
    _tell(
        f"{len(state.catalogue.stations)} stations, {len(state.rigs)} rigs."
        " Compiling the model: a minute at the first start, seconds later..."
    )
    for each in state.catalogue.rejected:
        _tell(f"left out: {each.reason}")
    make_ready(state)
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
    with serving(server, settings, lambda: reload_app(app)) as address:
        _tell(f"Ready after {time.monotonic() - began:.0f} s: {address}  (docs: {address}/docs)")
    _tell("Stopped.")


def _tell(text: str) -> None:
    click.echo(text)
    sys.stdout.flush()


@click.command("openapi")
@click.option("--check", is_flag=True, help="Compare only; exit code 1 where something differs.")
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("openapi"),
    help="Where the description and the examples are committed.",
)
def openapi(check: bool, folder: Path) -> None:
    """Regenerate the API description and the examples' answers."""
    app: Any = create_app(from_environment({}))
    if not check:
        write(app, folder)
        click.echo(f"written: {folder}")
        return
    found = differences(app, folder)
    for each in found:
        click.echo(each, err=True)
    sys.exit(1 if found else 0)
