"""A result opened for reading: an xarray Dataset over (rig, site, day)."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

from noonhold.weather.plausibility import NOTES_SEPARATOR, doubts
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.sweep.chunk_integrity import (
    ChunkFault,
    chunk_faults,
    refuse_damaged_axes,
    without_blocks,
)
from noonhold_batch.sweep.result_variables import SITE_TEXTS
from noonhold_batch.sweep.run_status import Status
from noonhold_batch.sweep.sweep_versions import DISTRIBUTION, release

NEEDED = ("verdict", "needs_cooling", "first_cause")
_STRINGS = ("rig", "site", "reason", *(variable.name for variable in SITE_TEXTS))


def open_result(path: Path) -> xr.Dataset:
    """Open the result of a sweep.

    Parameters
    ----------
    path : pathlib.Path
        A Zarr folder of `sweep`, complete or not, or the NetCDF file of `export`.

    Returns
    -------
    xarray.Dataset
        Lazy; ``rig`` and ``site`` are names. A block with a chunk that is missing or damaged
        reads as not computed, and its reason says so.

    Raises
    ------
    BatchError
        Where there is none.
    """
    if not path.exists():
        raise BatchError.single(str(path), "there is no such result")
    if path.is_dir() and not (path / "zarr.json").is_file():
        raise BatchError.single(str(path), "is a folder, but no result of a sweep")
    faults: list[ChunkFault] = []
    try:
        if path.is_dir():
            faults = chunk_faults(path)
            refuse_damaged_axes(path, faults)
            store = without_blocks(path, faults) if faults else path
            found = xr.open_zarr(store, consolidated=_is_consolidated(path), chunks=None)
        else:
            found = xr.open_dataset(path, engine="h5netcdf")
    except (OSError, ValueError, KeyError) as exc:
        kind = "a result of a sweep" if path.is_dir() else "a file of `export` or `baseline`"
        raise BatchError.single(str(path), f"cannot be opened as {kind}: {exc}") from exc
    if {"rig_id", "site_id"} <= set(found.variables):  # as `export` names them
        axes = {axis: (axis, found[f"{axis}_id"].to_numpy()) for axis in ("rig", "site")}
        found = found.drop_vars(["rig_id", "site_id"]).assign_coords(axes)
    needed = {"rig", "site", "day", "status", *NEEDED}
    if missing := sorted(needed - set(found.variables)):
        raise BatchError.single(str(path), f"is no result of a sweep: lacks {', '.join(missing)}")
    names = {
        name: (found[name].dims, found[name].to_numpy().astype(object))
        for name in _STRINGS
        if name in found
    }
    if faults:
        _tell_damaged(names, found["status"].encoding["chunks"][1], faults)
    axes = {name: names.pop(name) for name in ("rig", "site")}
    named: xr.Dataset = found.assign_coords(axes).assign(names)
    named.encoding["source"] = str(path)
    return named


def _tell_damaged(
    names: dict[str, tuple[Any, Any]], block_size: int, faults: list[ChunkFault]
) -> None:
    """Give the sites of damaged blocks the reason why they have no verdicts."""
    for fault in faults:
        if fault.block is None:  # refused before
            continue
        sites = slice(fault.block * block_size, (fault.block + 1) * block_size)
        names["reason"][1][:, sites] = (
            f"not computed: {fault.variable} is {fault.reason} on disk; the sweep's command"
            " computes it again"
        )


def _is_consolidated(path: Path) -> bool:
    """Tell whether a Zarr group carries its cases' metadata: only complete ones do."""
    return b'"consolidated_metadata"' in (path / "zarr.json").read_bytes()


def written_by(result: xr.Dataset) -> str:
    """Return in words which version wrote a result.

    Parameters
    ----------
    result : xarray.Dataset
        From `open_result`.

    Returns
    -------
    str
        The release and the first digits of the model's hash, which distinguishes two states of one
        release; that it is not known where the result does not say.
    """
    made_by = json.loads(str(result.attrs.get("versions", "{}")))
    if DISTRIBUTION not in made_by:
        return "a version that it does not name"
    model = str(made_by.get("model", ""))[:8]
    return f"{DISTRIBUTION} {made_by[DISTRIBUTION]}" + (f" (model {model})" if model else "")


_RECOMPUTE = "an older result gets the rest by its sweep's command with --if-changed recompute"


def require(
    result: xr.Dataset,
    names: Iterable[str],
    use: str,
    instead: str = "a baseline holds only what `compare` looks at",
) -> None:
    """Refuse a result that lacks variables: one of another version, or a baseline.

    Parameters
    ----------
    result : xarray.Dataset
        From `open_result`.
    names : iterable of str
        Variables without which nothing can be said.
    use : str
        What they are needed for, in words.
    instead : str, optional
        What can be done or known without them, in words.

    Raises
    ------
    BatchError
        Naming what is missing, which version wrote the result, and what to do.
    """
    missing = [name for name in names if name not in result.variables]
    if missing:
        raise BatchError.single(
            str(result.encoding.get("source", "the result")),
            f"lacks {', '.join(missing)}, which {use} needs; it was written by"
            f" {written_by(result)}, this is {DISTRIBUTION} {release()}",
            hint=f"{instead}; {_RECOMPUTE}",
        )


def choose_rig(result: xr.Dataset, rig: str | None) -> str:
    """Return the rig that is meant.

    Parameters
    ----------
    result : xarray.Dataset
        From `open_result`.
    rig : str or None
        Its name; None where there is only one.

    Returns
    -------
    str
        A name on the ``rig`` axis.

    Raises
    ------
    BatchError
        Where there is no such rig, or none is named and there are several.
    """
    rigs = [str(name) for name in result["rig"].to_numpy()]
    if rig is None and len(rigs) == 1:
        return rigs[0]
    if rig in rigs:
        return str(rig)
    raise BatchError.single("--rig", f"must be one of: {', '.join(rigs)}", rig)


def computed(result: xr.Dataset) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Return which runs have verdicts, shape (rig, site).

    Parameters
    ----------
    result : xarray.Dataset
        From `open_result`.
    """
    return np.asarray(result["status"].transpose("rig", "site") == int(Status.OK))


def doubted_sites(result: xr.Dataset) -> list[tuple[str, str]]:
    """Return the sites whose weather may be wrong, and why.

    Parameters
    ----------
    result : xarray.Dataset
        From `open_result`; a baseline does not know its weather's notes.

    Returns
    -------
    list of (str, str)
        Site and doubt.
    """
    if "weather_notes" not in result:
        return []
    pairs = zip(result["site"].to_numpy(), result["weather_notes"].to_numpy(), strict=True)
    return [
        (str(site), doubt)
        for site, text in pairs
        for doubt in doubts(str(text).split(NOTES_SEPARATOR))
    ]
