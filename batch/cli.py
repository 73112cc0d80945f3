"""The command line of the batch: a group, and nothing of its own."""

from __future__ import annotations

import click

from batch.commands.compare import baseline, compare
from batch.commands.export import export
from batch.commands.map import draw_map
from batch.commands.perturb import perturb
from batch.commands.place import place
from batch.commands.site_studies import size, warm_up
from batch.commands.sweep import sweep
from batch.commands.table import table

_EPILOG = (
    "Exit codes: 0 all is well; 1 compare found drift; 2 bad input; 3 partial, some runs of a"
    " sweep have no verdict; 130 and 143 stopped by SIGINT or SIGTERM."
)


@click.group(epilog=_EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
def main() -> None:
    """Where does a rig hold its cabin cool without a hookup? Sweeps over typical years."""


for command in (
    *(sweep, table, draw_map, place, size, warm_up),
    *(export, baseline, compare, perturb),
):
    main.add_command(command)
