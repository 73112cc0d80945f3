"""``sweep``: every rig at every site, day by day through the year."""

from __future__ import annotations

import math
import os
import sys
import time
from collections.abc import Iterable
from pathlib import Path
from typing import Any, cast

import click
from tqdm import tqdm

from noonhold.exit_codes import ExitCode
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold_batch.commands.command_common import (
    ANY_PATH,
    FILE,
    FOLDER,
    command_line,
    tells_faults,
)
from noonhold_batch.commands.stopping import ends_on_signals
from noonhold_batch.sweep.dask_runner import DaskCluster
from noonhold_batch.sweep.executor import LocalProcesses, Runner, run_here
from noonhold_batch.sweep.run_sweep import IfChanged, Outcome
from noonhold_batch.sweep.run_sweep import sweep as run_sweep
from noonhold_batch.sweep.site_block import BlockResult
from noonhold_batch.sweep.sweep_cases import DEFAULT_SCENARIO, load_cases
from noonhold_batch.sweep.sweep_plan import Plan, default_block_size, find_sites
from noonhold_batch.sweep.warmer import MOST_KELVIN, Humidity, Warming

_SHOWN_FAILURES = 40


class KelvinShift(click.FloatRange):
    """A number of kelvin within the bounds; click's own range lets nan through."""

    def __init__(self) -> None:
        super().__init__(-MOST_KELVIN, MOST_KELVIN)

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Return the number, or fail with what is wrong with it."""
        number = float(super().convert(value, param, ctx))
        if math.isnan(number):
            self.fail("nan is no number of kelvin", param, ctx)
        return number


@click.command()
@click.option("--rig", "rigs", type=FILE, multiple=True, required=True, help="A rig document.")
@click.option("--weather", type=FOLDER, required=True, help="Folder of typical-year files.")
@click.option("--out", type=ANY_PATH, required=True, help="The result, a Zarr folder.")
@click.option(
    "--scenario",
    type=FILE,
    default=DEFAULT_SCENARIO,
    show_default="batch/noonhold_batch/sweep/default_scenario.json",
    help="JSON of operation, comfort, start and place (without coordinates).",
)
@click.option(
    "--variant",
    "variants",
    type=FILE,
    multiple=True,
    help="JSON merge patch on {rig, operation, comfort, start, place}, applied to every rig.",
)
@click.option(
    "--warmer",
    type=KelvinShift(),
    default=0.0,
    help=f"Kelvin added to every temperature, {-MOST_KELVIN:g} to {MOST_KELVIN:g}.",
)
@click.option(
    "--humidity",
    type=click.Choice(["relative", "absolute"]),
    default="absolute",
    show_default=True,
    help="Which humidity stays when --warmer is given.",
)
@click.option(
    "--workers",
    type=click.IntRange(1, 1024),
    default=None,
    help="Local processes; 1 runs in this one.  [default: the number of cores]",
)
@click.option("--scheduler", default=None, help="Address of a dask scheduler, tcp://host:port.")
@click.option(
    "--cluster",
    type=click.Choice(["local"]),
    default=None,
    help="Start a dask cluster of --workers processes on loopback.",
)
@click.option(
    "--block-size", type=click.IntRange(1, 10_000), default=None, help="Sites a task and a chunk."
)
@click.option(
    "--if-changed",
    type=click.Choice(["refuse", "recompute"]),
    default="refuse",
    show_default=True,
    help="Where --out was begun with other rigs, weather, options or versions.",
)
@click.option(
    "--retry-failed",
    is_flag=True,
    help="Compute blocks again that have runs without verdicts; those whose file could not be read"
    " are in any case.",
)
@click.option("--quiet", is_flag=True, help="No progress bar.")
@tells_faults
@ends_on_signals("what is done is kept; the same command goes on from there")
def sweep(
    rigs: tuple[Path, ...],
    weather: Path,
    out: Path,
    scenario: Path,
    variants: tuple[Path, ...],
    warmer: float,
    humidity: str,
    workers: int | None,
    scheduler: str | None,
    cluster: str | None,
    block_size: int | None,
    if_changed: str,
    retry_failed: bool,
    quiet: bool,
) -> None:
    """Run every rig at every site of a folder and store the verdicts by day.

    A sweep that was stopped goes on where it was when the same command is given again; SIGINT
    (Ctrl-C) and SIGTERM stop it, and its workers with it, within seconds. A file
    that cannot be used is in the result with its reason; the command then leaves with 3.
    """
    cases = load_cases(rigs, scenario, variants)
    sites = find_sites(weather)
    warming = Warming(warmer, cast(Humidity, humidity)) if warmer else None
    size = block_size or default_block_size(len(sites))
    plan = Plan(cases, sites, size, warming, DEFAULT_STEP_S)
    processes = min(workers or os.cpu_count() or 1, plan.block_count)
    runner: Runner
    if scheduler is not None or cluster is not None:
        runner = DaskCluster(scheduler, processes)
    else:
        runner = run_here if processes == 1 else LocalProcesses(processes)
    begun = time.monotonic()

    def watch(done: int, blocks: int, results: Iterable[BlockResult]) -> Iterable[BlockResult]:
        hidden = True if quiet else None  # None: only where a person looks on
        return tqdm(results, total=blocks, initial=done, unit="block", disable=hidden)

    outcome = run_sweep(
        plan, out, runner, command_line(), cast(IfChanged, if_changed), watch, retry_failed
    )
    _report(outcome, len(cases), len(sites), time.monotonic() - begun, out)
    if outcome.failed:
        sys.exit(ExitCode.PARTIAL)


def _report(outcome: Outcome, rigs: int, sites: int, seconds: float, out: Path) -> None:
    """Say what was done, and what could not be."""
    click.echo(
        f"{rigs} rigs x {sites} sites: {outcome.runs - len(outcome.failed)} of {outcome.runs}"
        f" site-years have verdicts; {outcome.computed} blocks run, {outcome.kept} kept; {out}"
    )
    if outcome.usage:
        workers = len({each.worker for each in outcome.usage})
        share = sum(each.cpu_s for each in outcome.usage) / seconds / workers
        peak_mb = max(each.peak_mb for each in outcome.usage)
        click.echo(
            f"{seconds:.1f} s, {outcome.computed_runs / seconds:.2f} site-years a second; workers:"
            f" {workers}, computing {100.0 * share:.0f} % of the time, {peak_mb:.0f} MB at most"
        )
    for site, doubt in outcome.doubted[:_SHOWN_FAILURES]:
        click.echo(f"doubtful weather: {site}: {doubt}", err=True)
    by_site: dict[tuple[str, str], list[str]] = {}
    for site, rig, reason in outcome.failed:
        by_site.setdefault((site, reason), []).append(rig)
    for (site, reason), of_rigs in list(by_site.items())[:_SHOWN_FAILURES]:
        which = "" if len(of_rigs) == rigs else f" ({', '.join(of_rigs)})"
        click.echo(f"no verdict: {site}{which}: {reason}", err=True)
    if len(by_site) > _SHOWN_FAILURES:
        click.echo(f"... and {len(by_site) - _SHOWN_FAILURES} more; see `table`", err=True)
