"""``export``: a result as one NetCDF file."""

from __future__ import annotations

from pathlib import Path

import click

from noonhold_batch.commands.command_common import ANY_PATH, OUT_FILE, tells_faults
from noonhold_batch.results.netcdf import write_netcdf
from noonhold_batch.results.result import open_result


@click.command()
@click.argument("result", type=ANY_PATH)
@click.option("--out", type=OUT_FILE, required=True, help="The file, RESULT.nc.")
@tells_faults
def export(result: Path, out: Path) -> None:
    """Write a result as one NetCDF-4 file under CF-1.11."""
    write_netcdf(open_result(result), out)
    click.echo(str(out))
