"""The result on disk: a Zarr v3 group whose chunks along ``site`` are the blocks of the sweep.

Each chunk is one file, written aside and renamed, and the status of a block is written last. So
a block whose status is there is whole, whenever the process was killed, and there is no second
place that keeps count.
"""

from __future__ import annotations

import errno
import json
import shutil
import warnings
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import numpy as np
import zarr
from zarr.codecs import Crc32cCodec, ZstdCodec
from zarr.errors import ZarrUserWarning

from noonhold.studies.year.stay_sizes import LENGTHS_D
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.sweep.result_variables import BY_BLOCK, Variable, axis_sizes
from noonhold_batch.sweep.run_status import Status
from noonhold_batch.sweep.site_block import BlockResult
from noonhold_batch.sweep.site_year import DAYS
from noonhold_batch.sweep.sweep_plan import Plan

RIG = Variable("rig", ("rig",), "string", "rig, and variant after a plus sign")
SITE = Variable("site", ("site",), "string", "name of the weather file without its suffixes")
SHA256 = Variable("weather_sha256", ("site",), "string", "SHA-256 of the weather file on disk")
DAY_ATTRIBUTES: Final[dict[str, Any]] = {
    "long_name": "day of the typical year, in each station's standard time",
    "standard_name": "time",
    "axis": "T",
    "units": "days since 2001-01-01",
    "calendar": "standard",
    "units_metadata": "leap_seconds: none",
}
STAY_ATTRIBUTES: Final[dict[str, Any]] = {
    "long_name": "length of a stay, the date of arrival being its first day",
    "units": "d",
}
STATE = "sweep_state"


# The checksum is taken last, over what lies on disk. A chunk of nothing but fill values is written
# too: one that is missing is then a loss and no answer.
_CODECS: Final = (ZstdCodec(level=0), Crc32cCodec())
_WRITE_ALL: Final = {"array.write_empty_chunks": True}


def create(out: Path, plan: Plan, attributes: Mapping[str, Any]) -> None:
    """Make an empty result, whole or not at all.

    Parameters
    ----------
    out : pathlib.Path
        Must not exist.
    plan : Plan
        Its cases and sites give the axes.

    Raises
    ------
    BatchError
        Where the place cannot be written to.
    """
    aside = out.with_name(f".{out.name}.new")
    try:
        if aside.exists():
            shutil.rmtree(aside)
        aside.parent.mkdir(parents=True, exist_ok=True)
        group = zarr.create_group(aside, attributes={**attributes, STATE: "running"})
        _axes(group, plan)
        shape = axis_sizes(len(plan.cases), len(plan.sites))
        chunk = {**shape, "site": plan.block_size}
        measure = plan.cases[0].scenario.comfort.measure
        for variable in BY_BLOCK:
            sizes = tuple(shape[dim] for dim in variable.dims)
            group.create_array(
                variable.name,
                shape=sizes,
                chunks=tuple(min(chunk[dim], shape[dim]) for dim in variable.dims),
                dtype="string" if variable.dtype == "string" else variable.dtype,
                fill_value=variable.fill_value,
                dimension_names=variable.dims,
                attributes=variable.attributes(measure),
                compressors=_CODECS,
            )
        aside.rename(out)
    except OSError as exc:
        raise BatchError.single(str(out), f"cannot be written: {exc.strerror}") from exc


def _axes(group: zarr.Group, plan: Plan) -> None:
    """Write what is known before anything has run."""
    columns = (
        (RIG, [case.name for case in plan.cases]),
        (SITE, [site.site_id for site in plan.sites]),
        (SHA256, [site.sha256 for site in plan.sites]),
    )
    for variable, texts in columns:
        array = group.create_array(
            variable.name,
            shape=(len(texts),),
            chunks=(len(texts),),
            dtype="string",
            fill_value="",
            dimension_names=variable.dims,
            attributes={"long_name": variable.description},
            compressors=_CODECS,
        )
        array[:] = np.array(texts, dtype=object)
    numbers = (
        ("day", np.arange(DAYS, dtype=np.int32), DAY_ATTRIBUTES),
        ("stay", np.array(LENGTHS_D, dtype=np.int32), STAY_ATTRIBUTES),
    )
    for name, values, attributes in numbers:
        array = group.create_array(
            name,
            shape=values.shape,
            chunks=values.shape,
            dtype="int32",
            fill_value=-1,
            dimension_names=(name,),
            attributes=attributes,
            compressors=_CODECS,
        )
        array[:] = values


def open_group(out: Path) -> zarr.Group:
    """Return the group of a result for writing.

    Parameters
    ----------
    out : pathlib.Path
        From `create`.

    Raises
    ------
    BatchError
        Where there is something else.
    """
    try:
        group = zarr.open_group(out, mode="r+", use_consolidated=False)
    except (OSError, ValueError) as exc:
        raise BatchError.single(str(out), "is there and is no result of a sweep") from exc
    if STATE not in group.attrs:
        raise BatchError.single(str(out), "is a Zarr group, but no result of a sweep")
    return group


def column(group: zarr.Group, name: str) -> zarr.Array[Any]:
    """Return a variable of a result.

    Parameters
    ----------
    group : zarr.Group
        From `open_group`.
    name : str
        Of the variable.

    Raises
    ------
    KeyError
        Where the result has no variable of that name.
    """
    found = group[name]
    if not isinstance(found, zarr.Array):
        raise KeyError(name)
    return found


def write_block(group: zarr.Group, out: Path, result: BlockResult) -> None:
    """Write one block, its status last.

    Parameters
    ----------
    group : zarr.Group
        From `open_group`.
    out : pathlib.Path
        Where it lies.
    result : BlockResult
        Of `noonhold_batch.sweep.site_block.run_block`.

    Raises
    ------
    FileNotFoundError
        Where the result was removed in the meantime: a store would begin half of it again.
    """
    if not (out / "zarr.json").is_file():
        raise FileNotFoundError(
            errno.ENOENT, "the result was removed while the sweep ran", str(out)
        )
    with zarr.config.set(_WRITE_ALL):
        for variable in BY_BLOCK:
            values = result.arrays[variable.name]
            axis = variable.dims.index("site")
            count = values.shape[axis]
            where: list[slice] = [slice(None)] * values.ndim
            where[axis] = slice(result.first, result.first + count)
            column(group, variable.name)[tuple(where)] = values


def blocks_done(group: zarr.Group, plan: Plan) -> set[int]:
    """Return the blocks that are whole.

    Parameters
    ----------
    group : zarr.Group
        From `open_group`.
    plan : Plan
        That the result was made for.

    Returns
    -------
    set of int
        Numbers of blocks.
    """
    status = np.asarray(column(group, "status")[:])
    there = (status != int(Status.NOT_COMPUTED)).all(axis=0)
    numbers = np.arange(len(plan.sites)) // plan.block_size
    missing = set(numbers[~there].tolist())
    return set(range(plan.block_count)) - missing


def blocks_to_retry(group: zarr.Group, plan: Plan, every: bool) -> set[int]:
    """Return the computed blocks that are worth another try.

    Parameters
    ----------
    group : zarr.Group
        From `open_group`.
    plan : Plan
        That the result was made for.
    every : bool
        True for all blocks with a run without verdicts, False for those whose file could not be
        read: a cause that may have passed.

    Returns
    -------
    set of int
        Numbers of blocks.
    """
    status = np.asarray(column(group, "status")[:])
    failed = (status != int(Status.OK)) if every else (status == int(Status.UNREACHABLE))
    return set((np.flatnonzero(failed.any(axis=0)) // plan.block_size).tolist())


def forget_blocks(group: zarr.Group, plan: Plan, blocks: set[int]) -> None:
    """Mark blocks as not computed.

    Parameters
    ----------
    group : zarr.Group
        From `open_group`.
    plan : Plan
        That the result was made for.
    blocks : set of int
        Numbers of blocks.
    """
    for index in sorted(blocks):
        block = plan.block(index)
        last = block.first + len(block.sites)
        column(group, "status")[:, block.first : last] = int(Status.NOT_COMPUTED)


def remove(folder: Path) -> None:
    """Remove a result that was moved aside.

    Parameters
    ----------
    folder : pathlib.Path
        Of `create`.
    """
    shutil.rmtree(folder)


def sweep_leftovers(out: Path) -> None:
    """Remove the half-written files of a run that was killed.

    Parameters
    ----------
    out : pathlib.Path
        A result that nobody writes to.
    """
    for path in out.rglob("*.partial"):
        path.unlink(missing_ok=True)


def finish(group: zarr.Group, out: Path) -> None:
    """Mark a result as complete and gather its metadata, so that it opens in one read.

    Parameters
    ----------
    group : zarr.Group
        From `open_group`, every block written.
    out : pathlib.Path
        Where it lies.
    """
    group.update_attributes({STATE: "complete"})
    with warnings.catch_warnings():
        # Consolidated metadata is xarray's default and not yet in the text of the format.
        warnings.simplefilter("ignore", ZarrUserWarning)
        zarr.consolidate_metadata(out)
    _sort_members(out / "zarr.json")


def _sort_members(path: Path) -> None:
    """Put the gathered metadata in order, which else is that of the folder's listing."""
    metadata = json.loads(path.read_text(encoding="utf-8"))
    members = metadata["consolidated_metadata"]["metadata"]
    metadata["consolidated_metadata"]["metadata"] = dict(sorted(members.items()))
    aside = path.with_name("zarr.json.partial")
    aside.write_text(json.dumps(metadata, indent=2, allow_nan=False), encoding="utf-8")
    aside.replace(path)


def json_attribute(group: zarr.Group, name: str) -> dict[str, Any]:
    """Return an attribute that holds a JSON object.

    Parameters
    ----------
    group : zarr.Group
        From `open_group`.
    name : str
        Of the attribute.

    Returns
    -------
    dict
        Empty where there is none.
    """
    found: dict[str, Any] = json.loads(str(group.attrs.get(name, "{}")))
    return found
