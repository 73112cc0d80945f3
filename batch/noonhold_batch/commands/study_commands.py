"""``size`` and ``warm-up``: a study at every site of a folder, as a table."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from functools import partial
from pathlib import Path

import click
import pandas as pd

from noonhold.exit_codes import ExitCode
from noonhold.studies.sizing.sizing_terms import Range, Target
from noonhold.studies.sizing.trials import Confidence
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.commands.command_common import (
    FILE,
    FOLDER,
    OUT_FILE,
    tells_faults,
)
from noonhold_batch.commands.stopping import ends_on_signals
from noonhold_batch.site_studies.study_sites import (
    Cells,
    SizeOrder,
    at_every_site,
    size_at,
    warm_up_at,
)
from noonhold_batch.site_studies.study_table import columns, study_text
from noonhold_batch.sweep.sweep_cases import DEFAULT_SCENARIO, load_cases
from noonhold_batch.whole_file import write_whole

_STEPS = {"battery": 250.0, "array": 50.0, "cooler": 0.05}
_rigs = click.option("--rig", "rigs", type=FILE, multiple=True, required=True, help="A rig.")
_weather = click.option("--weather", type=FOLDER, required=True, help="Folder of typical years.")
_scenario = click.option(
    "--scenario",
    type=FILE,
    default=DEFAULT_SCENARIO,
    show_default="batch/noonhold_batch/sweep/default_scenario.json",
)
_workers = click.option(
    "--workers",
    type=click.IntRange(1, 1024),
    default=None,
    help="Local processes; 1 runs in this one.  [default: the number of cores]",
)
_out = click.option("--out", type=OUT_FILE, default=None, help="A CSV, in place of the terminal.")


@click.command()
@_rigs
@_weather
@_scenario
@click.option(
    "--what", type=click.Choice(list(_STEPS)), default="battery", show_default=True,
    help="What may be made larger or smaller.",
)  # fmt: skip
@click.option("--least", type=float, required=True, help="Smallest size: Wh, W, or a factor.")
@click.option("--most", type=float, required=True, help="Largest size.")
@click.option("--step", type=float, default=None, help="[default: 250 Wh, 50 W, 0.05]")
@click.option(
    "--required-fraction", type=click.FloatRange(0, 1), default=0.9, show_default=True,
    help="Of the days that need cooling.",
)  # fmt: skip
@click.option(
    "--confidence", type=click.Choice([str(each) for each in Confidence]),
    default=str(Confidence.ADVERSE), show_default=True,
    help="Whether a day counts that holds as stated, or also when it is somewhat worse.",
)  # fmt: skip
@_workers
@_out
@tells_faults
@ends_on_signals("nothing is kept")
def size(
    rigs: tuple[Path, ...],
    weather: Path,
    scenario: Path,
    what: str,
    least: float,
    most: float,
    step: float | None,
    required_fraction: float,
    confidence: str,
    workers: int | None,
    out: Path | None,
) -> None:
    """Find the size that holds the asked share of a year's days, at every site.

    Every size reported was run through the whole year. A rig that no size of the range makes
    good is reported with its cause: energy or cooler.
    """
    given = _STEPS[what] if step is None else step
    if not 0.0 < least < most or not 0.0 < given <= most - least:
        raise BatchError.single(
            "--least, --most, --step", "must rise, with a step between", (least, most, given)
        )
    sizes = Range(least, most, given)
    order = SizeOrder(Target(what), sizes, required_fraction, Confidence(confidence))
    cases = load_cases(rigs, scenario, [])
    _tell(at_every_site(weather, cases, partial(size_at, order=order), _processes(workers)), out)


@click.command("warm-up")
@_rigs
@_weather
@_scenario
@click.option(
    "--threshold", "thresholds", type=float, multiple=True, default=(30.0, 35.0, 40.0),
    show_default=True, help="Temperature of the cabin air in degC; may be given several times.",
)  # fmt: skip
@_workers
@_out
@tells_faults
@ends_on_signals("nothing is kept")
def warm_up(
    rigs: tuple[Path, ...],
    weather: Path,
    scenario: Path,
    thresholds: tuple[float, ...],
    workers: int | None,
    out: Path | None,
) -> None:
    """Tell how soon a cabin is hot after its cooler stops at the worst moment, at every site.

    On the hottest day of each site; the fewest minutes of window covers open and drawn, nobody and
    one person inside. A warning and no allowance.
    """
    rising = tuple(sorted(set(thresholds)))
    cases = load_cases(rigs, scenario, [])
    study = partial(warm_up_at, thresholds_c=rising)
    _tell(at_every_site(weather, cases, study, _processes(workers)), out)


def _processes(workers: int | None) -> int:
    return workers or os.cpu_count() or 1


def _tell(rows: Iterable[Cells], out: Path | None) -> None:
    """Print the rows, or write them; leave with 3 where some have no answer."""
    found = list(rows)
    if out is None:
        click.echo(study_text(found), nl=False)
    else:
        frame = pd.DataFrame(found, columns=columns(found))
        write_whole(out, frame.to_csv(index=False, lineterminator="\n"))
        click.echo(str(out))
    if any("reason" in row for row in found):
        sys.exit(ExitCode.PARTIAL)
