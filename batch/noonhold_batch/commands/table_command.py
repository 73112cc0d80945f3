"""``table``: a result summed up by site, region, month or rig."""

from __future__ import annotations

from pathlib import Path
from typing import cast

import click

from noonhold.quantities import Horizon
from noonhold_batch.commands.command_common import (
    ANY_PATH,
    FILE,
    OUT_FILE,
    asks_horizon,
    tells_faults,
)
from noonhold_batch.maps.boundaries import regions_of
from noonhold_batch.results.result import doubted_sites, open_result
from noonhold_batch.results.result_tables import Format, to_frame, write_table
from noonhold_batch.results.row_selection import By, rows, told_absent
from noonhold_batch.results.wording import table_title


@click.command()
@click.argument("result", type=ANY_PATH)
@click.option(
    "--by",
    type=click.Choice(["site", "region", "month", "rig"]),
    default="site",
    show_default=True,
    help="What a row is.",
)
@click.option(
    "--format",
    "kind",
    type=click.Choice(["text", "csv", "markdown", "parquet"]),
    default="text",
    show_default=True,
)
@click.option("--out", type=OUT_FILE, default=None, help="A file, in place of the terminal.")
@click.option(
    "--regions",
    type=FILE,
    default=None,
    help="GeoJSON polygons with names, in place of the regions that the files' headers name.",
)
@asks_horizon
@tells_faults
def table(
    result: Path, by: str, kind: str, out: Path | None, regions: Path | None, horizon: Horizon
) -> None:
    """Sum a result up: how many of the dates that need cooling hold, and what fails first.

    A date needs cooling when the cabin without its cooler leaves the comfort limit.
    """
    opened = open_result(result)
    named = regions_of(opened, regions) if regions is not None else None
    found = rows(opened, cast(By, by), horizon, named)
    note = told_absent(opened, horizon)
    title = table_title(opened, cast(By, by), horizon)
    frame = to_frame(found, cast(By, by), horizon)
    click.echo(write_table(frame, cast(Format, kind), out, horizon, title, note), nl=False)
    if note and (kind != "text" or out is not None):
        click.echo(note, err=True)
    for site, doubt in doubted_sites(opened):
        click.echo(f"doubtful weather: {site}: {doubt}", err=True)
