"""``perturb``: many weather files out of a few, for trying a sweep's scale."""

from __future__ import annotations

from pathlib import Path

import click
from tqdm import tqdm

from noonhold_batch.batch_errors import BatchError
from noonhold_batch.commands.command_common import ANY_PATH, FOLDER, tells_faults
from noonhold_batch.sweep.perturbed import write_perturbed


@click.command()
@click.option(
    "--weather",
    "folders",
    type=FOLDER,
    multiple=True,
    required=True,
    help="Folder of EPW files (.epw, .epw.gz); may be repeated.",
)
@click.option("--out", type=ANY_PATH, required=True, help="Folder for the new files.")
@click.option(
    "--count", type=click.IntRange(1, 1_000_000), default=1000, show_default=True, help="Files."
)
@click.option(
    "--kelvin",
    type=click.FloatRange(0.0, 20.0),
    default=2.0,
    show_default=True,
    help="Shifts lie evenly between minus and plus this much.",
)
@click.option("--seed", type=int, default=0, show_default=True, help="Of the random shifts.")
@tells_faults
def perturb(folders: tuple[Path, ...], out: Path, count: int, kelvin: float, seed: int) -> None:
    """Make many weather files out of a few, each some kelvin warmer or colder.

    They are for trying a sweep at scale: no climate, and about 0.3 MB each.
    """
    sources = sorted(path for folder in folders for path in folder.glob("*.epw*"))
    if not sources:
        raise BatchError.single("--weather", "has no EPW files")
    written = write_perturbed(sources, out, count, kelvin, seed)
    number = sum(1 for _ in tqdm(written, total=count, unit="file", disable=None))
    click.echo(f"{out}: {number} files out of {len(sources)}")
