"""A sweep from plan to result: begin or go on, run what is missing, say how it ended."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Literal

import numpy as np
import zarr

from noonhold.errors import Fault
from noonhold.verdict import CAUTIONS
from noonhold.weather.plausibility import NOTES_SEPARATOR, doubts
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.sweep import result_store as store
from noonhold_batch.sweep.chunk_integrity import (
    chunk_faults,
    refuse_damaged_axes,
    remove_damaged,
)
from noonhold_batch.sweep.executor import Runner
from noonhold_batch.sweep.result_variables import BY_BLOCK
from noonhold_batch.sweep.run_status import Status
from noonhold_batch.sweep.site_block import BlockResult
from noonhold_batch.sweep.sweep_plan import Plan
from noonhold_batch.sweep.sweep_versions import DISTRIBUTION, model_digest, release, versions
from noonhold_batch.sweep.worker_usage import Usage

IfChanged = Literal["refuse", "recompute"]
Watch = Callable[[int, int, Iterable[BlockResult]], Iterable[BlockResult]]


@dataclass(frozen=True)
class Outcome:
    """How a sweep ended.

    Parameters
    ----------
    computed, kept : int
        Blocks that were run now, and that were there.
    failed : tuple of (str, str, str)
        Site, rig and reason of every run without verdicts.
    runs : int
        Runs in all: rigs times sites.
    computed_runs : int
        Of them, run now.
    usage : tuple of Usage
        Of every block that was run now.
    doubted : tuple of (str, str)
        Site and doubt of weather that may be wrong.
    """

    computed: int
    kept: int
    failed: tuple[tuple[str, str, str], ...]
    runs: int
    computed_runs: int
    usage: tuple[Usage, ...]
    doubted: tuple[tuple[str, str], ...]


def result_attributes(plan: Plan, command: str) -> dict[str, Any]:
    """Return the attributes of a result: what was computed, from what, by what.

    Parameters
    ----------
    command : str
        For the history.

    Returns
    -------
    dict
        CF-1.11 global attributes and our own; structures as JSON text.

    Notes
    -----
    The time in ``history`` is that of ``SOURCE_DATE_EPOCH`` where it is set, which makes two runs
    of a sweep equal to the byte (reproducible-builds.org).
    """
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    now = datetime.fromtimestamp(int(epoch), UTC) if epoch else datetime.now(UTC)
    documents = {case.name: case.document["rig"] for case in plan.cases}
    scenarios = {
        case.name: {key: part for key, part in case.document.items() if key != "rig"}
        for case in plan.cases
    }
    assumptions = {case.name: list(case.assumptions) for case in plan.cases}
    return {
        "Conventions": "CF-1.11",
        "title": "Off-grid cooling of small cabins, verdicts by rig, site and day",
        "institution": "unknown: whoever ran the command in history",
        "source": f"{DISTRIBUTION} {release()}, a cabin and battery model over typical years",
        "history": f"{now:%Y-%m-%dT%H:%M:%SZ}: {command}",
        "references": "README.md of the project",
        "comment": " ".join(CAUTIONS),
        "weather_change": plan.warming.text if plan.warming else "none",
        "step_s": plan.step_s,
        "rig_documents": json.dumps(documents, sort_keys=True),
        "scenarios": json.dumps(scenarios, sort_keys=True),
        "assumptions": json.dumps(assumptions, sort_keys=True, ensure_ascii=False),
        "input_hashes": json.dumps(plan.hashes(), sort_keys=True),
        "versions": json.dumps(versions(), sort_keys=True),
    }


def sweep(
    plan: Plan,
    out: Path,
    runner: Runner,
    command: str,
    if_changed: IfChanged = "refuse",
    watch: Watch | None = None,
    retry_failed: bool = False,
) -> Outcome:
    """Run a sweep, or what is missing of it.

    Parameters
    ----------
    plan : Plan
        What to run.
    out : pathlib.Path
        The result; where it is there, the sweep goes on.
    runner : callable
        Runs blocks; see `noonhold_batch.sweep.executor`.
    command : str
        For the history.
    if_changed : str
        What to do where rigs, weather, options or versions are not those the result was begun
        with: ``refuse``, or ``recompute`` what they touch.
    watch : callable, optional
        Wraps the results on their way, given blocks done and blocks in all: a progress bar.
    retry_failed : bool, optional
        Compute every block again that has a run without verdicts. Those whose file could not be
        read are computed again in any case.

    Returns
    -------
    Outcome
        What was done, and every run that has no verdicts.

    Raises
    ------
    BatchError
        Where the result is of something else and ``if_changed`` refuses.
    """
    if out.exists():
        _drop_damaged(out, plan)
        _check_changes(out, plan, command, if_changed)
    else:
        store.create(out, plan, result_attributes(plan, command))
    group = store.open_group(out)
    store.sweep_leftovers(out)
    done = store.blocks_done(group, plan)
    done -= store.blocks_to_retry(group, plan, every=retry_failed)
    missing = [index for index in range(plan.block_count) if index not in done]
    runs_now, usage = 0, []
    # Closed however this ends, so that the workers end with it and not some time later.
    with closing(runner(plan.block(index) for index in missing)) as running:
        results: Iterable[BlockResult] = running
        if watch is not None:
            results = watch(len(done), plan.block_count, results)
        for result in results:
            _check_worker(plan, result)
            store.write_block(group, out, result)
            runs_now += result.arrays["status"].size
            usage.append(result.usage)
    store.finish(group, out)
    failed, runs = _failed(group)
    doubted = _doubted(group)
    return Outcome(len(missing), len(done), failed, runs, runs_now, tuple(usage), doubted)


def _drop_damaged(out: Path, plan: Plan) -> None:
    """Forget blocks with chunks that are missing or damaged: they are computed again."""
    group = store.open_group(out)
    faults = chunk_faults(out)
    refuse_damaged_axes(out, faults)
    if blocks := remove_damaged(faults):
        store.forget_blocks(group, plan, {block for block in blocks if block < plan.block_count})


def _check_worker(plan: Plan, result: BlockResult) -> None:
    """Refuse a block of other physics or other weather than was planned."""
    if result.model != model_digest():
        raise BatchError.single(
            "workers", "a worker has another version of the model than this process", result.model
        )
    planned = [site.sha256 for site in plan.block(result.index).sites]
    for site, (wanted, used) in enumerate(zip(planned, result.weather_sha256, strict=True)):
        if used and used != wanted:
            name = plan.block(result.index).sites[site].site_id
            raise BatchError.single("workers", f"a worker read another file for {name}", used)


def _doubted(group: zarr.Group) -> tuple[tuple[str, str], ...]:
    """Read from the result which weather was doubted, and why."""
    sites = np.asarray(store.column(group, "site")[:])
    notes = np.asarray(store.column(group, "weather_notes")[:])
    return tuple(
        (str(site), doubt)
        for site, text in zip(sites, notes, strict=True)
        for doubt in doubts(str(text).split(NOTES_SEPARATOR))
    )


def _failed(group: zarr.Group) -> tuple[tuple[tuple[str, str, str], ...], int]:
    """Read from the result which runs have no verdicts, and how many runs there are."""
    status, reason = (
        np.asarray(store.column(group, "status")[:]),
        np.asarray(store.column(group, "reason")[:]),
    )
    rigs, sites = (
        np.asarray(store.column(group, "rig")[:]),
        np.asarray(store.column(group, "site")[:]),
    )
    failed = tuple(
        (str(sites[s]), str(rigs[r]), str(reason[r, s]))
        for s, r in np.argwhere(np.not_equal(status.T, int(Status.OK)))
    )
    return failed, status.size


def _check_changes(out: Path, plan: Plan, command: str, if_changed: IfChanged) -> None:
    """Compare a result with the plan; forget what no longer holds, or refuse."""
    group = store.open_group(out)
    before = store.json_attribute(group, "input_hashes")
    made_by = store.json_attribute(group, "versions")
    now_by = versions()
    changed = _differences(before, plan.hashes())
    changed += [f"version of {name}" for name in _differences(made_by, now_by)]
    if any(variable.name not in group for variable in BY_BLOCK):
        changed.append("set of variables")  # of a version with the same model
    weather: set[int] = set()
    if not any(name == "list of sites" for name in changed):
        hashes = np.asarray(store.column(group, "weather_sha256")[:])
        weather = {i for i, site in enumerate(plan.sites) if site.sha256 != hashes[i]}
    names = [f"weather of {plan.sites[i].site_id}" for i in sorted(weather)]
    if not changed and not names:
        return
    if if_changed == "refuse":
        hint = "--if-changed recompute runs again what they touch; or take another --out"
        raise BatchError(
            [
                Fault(str(out), f"was begun with another {name}", hint=hint)
                for name in changed + names
            ]
        )
    if changed:
        aside = out.with_name(f".{out.name}.old")
        out.rename(aside)
        store.create(out, plan, result_attributes(plan, command))
        store.remove(aside)
        return
    store.forget_blocks(group, plan, {i // plan.block_size for i in weather})
    for i in weather:
        store.column(group, "weather_sha256")[i] = plan.sites[i].sha256
    group.update_attributes(result_attributes(plan, command) | {store.STATE: "running"})


def _differences(before: dict[str, Any], now: dict[str, Any]) -> list[str]:
    """Return the names whose values differ, or that only one side has."""
    return sorted(name for name in before | now if before.get(name) != now.get(name))
