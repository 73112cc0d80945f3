"""``verify``: a stored result checked against the checksums of its chunks."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from noonhold.exit_codes import ExitCode
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.commands.command_common import ANY_PATH, tells_faults
from noonhold_batch.sweep.chunk_integrity import chunk_faults, has_checksums

_SHOWN = 40


@click.command()
@click.argument("result", type=ANY_PATH)
@tells_faults
def verify(result: Path) -> None:
    """Hold every chunk of a result against its checksum.

    Leaves with 65 where one is missing or damaged. A block with such a chunk counts as not computed
    wherever the result is read, and the sweep's own command computes it again.
    """
    if not (result / "zarr.json").is_file():
        raise BatchError.single(str(result), "is no Zarr folder of a sweep")
    if not has_checksums(result):
        raise BatchError.single(str(result), "was written by a version without checksums")
    faults = chunk_faults(result)
    for fault in faults[:_SHOWN]:
        click.echo(str(fault))
    if len(faults) > _SHOWN:
        click.echo(f"... and {len(faults) - _SHOWN} more")
    if faults:
        blocks = {fault.block for fault in faults}
        click.echo(f"{len(faults)} chunks of {len(blocks)} blocks are damaged or missing", err=True)
        sys.exit(ExitCode.DAMAGED)
    click.echo(f"{result}: every chunk is whole")
