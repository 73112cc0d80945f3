"""``baseline`` and ``compare``: the nightly regression."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from noonhold.exit_codes import ExitCode
from noonhold_batch.commands.command_common import ANY_PATH, OUT_FILE, tells_faults
from noonhold_batch.results.drift import STEPS, TOLERANCES, parse_tolerances, table_text
from noonhold_batch.results.drift import compare as compare_results
from noonhold_batch.results.junit import junit_xml
from noonhold_batch.results.netcdf import write_netcdf
from noonhold_batch.results.result import open_result, require
from noonhold_batch.whole_file import write_whole


@click.command()
@click.argument("result", type=ANY_PATH)
@click.option("--out", type=OUT_FILE, required=True, help="The baseline, BASELINE.nc.")
@tells_faults
def baseline(result: Path, out: Path) -> None:
    """Store what `compare` looks at, and nothing else, as a compact NetCDF file."""
    opened = open_result(result)
    kept = [*TOLERANCES, "reason", "region"]
    require(opened, kept, "a baseline")
    for documents in ("rig_documents", "scenarios", "assumptions"):
        opened.attrs.pop(documents, None)  # their hashes stay
    steps = {name: tolerance / STEPS for name, tolerance in TOLERANCES.items() if tolerance}
    write_netcdf(opened, out, kept, steps)
    click.echo(f"{out}: {out.stat().st_size / 1000:.0f} kB")


@click.command()
@click.argument("before", metavar="BASELINE", type=ANY_PATH)
@click.argument("result", type=ANY_PATH)
@click.option("--tolerance", "tolerances", multiple=True, help="VARIABLE=NUMBER, in its unit.")
@click.option("--junit", type=OUT_FILE, default=None, help="Write JUnit XML here.")
@click.option("--all", "every", is_flag=True, help="Show what did not drift, too.")
@tells_faults
def compare(
    before: Path, result: Path, tolerances: tuple[str, ...], junit: Path | None, every: bool
) -> None:
    """Tell what drifted from a baseline, where and by how much; leave with 1 if anything did."""
    allowed = parse_tolerances(tolerances)
    found = compare_results(open_result(before), open_result(result), allowed)
    if junit is not None:
        write_whole(junit, junit_xml(found))
    click.echo(table_text(found, every), nl=False)
    if found.drifted:
        sys.exit(ExitCode.DRIFT)
