"""The command ``noonhold log``: a logger's CSV file as the log of a calibration's request."""

from __future__ import annotations

import json
from pathlib import Path

import click

from noonhold.documents.logger_csv import NAMES, csv_text, read_logger_csv
from noonhold.errors import DocumentError


@click.command("log")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--timezone", help="IANA zone of the logger's clock, where times have no offset.")
@click.option(
    "--column",
    "columns",
    multiple=True,
    metavar="HEADER=NAME",
    help=f"What a column is: time, {', '.join(NAMES)}. Usual names are known.",
)
@click.option("--unit", "temperature_unit", type=click.Choice(["degC", "degF"]))
@click.option("--time-format", help="As strptime has it, such as %d/%m/%Y %H:%M.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the log there; otherwise to standard output.",
)
def log(
    file: Path,
    timezone: str | None,
    columns: tuple[str, ...],
    temperature_unit: str | None,
    time_format: str | None,
    out: Path | None,
) -> None:
    """Read a logger's CSV FILE into the "log" of a calibration's request.

    Comma, semicolon or tab, decimal comma, local times, percent and kilowatts are taken as they
    are; what cannot be read is said by line and column.
    """
    mapped = {}
    for each in columns:
        header, equals, name = each.rpartition("=")
        if not equals:
            raise DocumentError.single("--column", f"{each!r} is not HEADER=NAME")
        mapped[header] = name
    logged = read_logger_csv(
        csv_text(file),
        timezone=timezone,
        columns=mapped,
        temperature_unit=temperature_unit,
        time_format=time_format,
        pointer=str(file),
    )
    text = json.dumps(logged.document, ensure_ascii=False)
    if out is None:
        click.echo(text)
    else:
        out.write_text(text + "\n", encoding="utf-8")
    for note in (f"{len(logged.document['times'])} rows", *logged.notes):
        click.echo(note, err=True)
