"""Chunks on disk checked against their checksums: what is missing or damaged was never computed."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import ceil
from pathlib import Path
from typing import Any

import google_crc32c
import numpy as np
import zarr
from zarr.core.buffer import default_buffer_prototype
from zarr.storage import MemoryStore

from noonhold_batch.batch_errors import BatchError
from noonhold_batch.sweep.result_variables import BY_BLOCK
from noonhold_batch.sweep.run_status import Status

_CHECKSUM = "crc32c"
_CHECKSUM_BYTES = 4


@dataclass(frozen=True)
class ChunkFault:
    """A chunk that cannot be trusted.

    Parameters
    ----------
    block : int or None
        Block of the sweep; None for a chunk of an axis, without which nothing can be said.
    reason : str
        ``missing`` or ``damaged``.
    """

    variable: str
    block: int | None
    path: Path
    reason: str

    def __str__(self) -> str:
        """Return the file and what is wrong with it."""
        return f"{self.variable} {self.reason}: {self.path}"


def has_checksums(out: Path) -> bool:
    """Return whether a result's chunks carry checksums: those of older versions do not."""
    status = out / "status" / "zarr.json"
    return status.is_file() and _metadata(status)["codecs"][-1]["name"] == _CHECKSUM


def _metadata(path: Path) -> dict[str, Any]:
    try:
        found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as exc:
        raise BatchError.single(str(path), f"metadata of the result is damaged: {exc}") from exc
    return found


def chunk_faults(out: Path) -> list[ChunkFault]:
    """Return every chunk of the computed blocks that is missing or damaged.

    Parameters
    ----------
    out : pathlib.Path
        A result of a sweep, complete or not. One without checksums has no faults that could be
        known.

    Returns
    -------
    list of ChunkFault
        A block counts as computed where its status is there and says so; a status that is damaged
        is a fault of its own.

    Notes
    -----
    Every chunk ends in its CRC-32C (RFC 3720, section 12.1), the codec ``crc32c`` of Zarr v3.
    """
    if not has_checksums(out):
        return []
    found = [
        fault
        for name in ("rig", "site", "weather_sha256", "day", "stay")
        if (out / name).is_dir() or name != "stay"  # older results have no stays
        for fault in _faults(out, name)
    ]
    found = [ChunkFault(each.variable, None, each.path, each.reason) for each in found]
    status = {fault.block: fault for fault in _faults(out, "status") if fault.reason == "damaged"}
    found += status.values()
    computed = _computed_blocks(out, set(status))
    for variable in BY_BLOCK:
        if variable.name != "status" and (out / variable.name).is_dir():
            found += [each for each in _faults(out, variable.name) if each.block in computed]
    return found


def _faults(out: Path, name: str) -> Iterator[ChunkFault]:
    """Yield the chunks of a variable that are missing or damaged."""
    metadata = _metadata(out / name / "zarr.json")
    chunks = metadata["chunk_grid"]["configuration"]["chunk_shape"]
    counts = [ceil(size / chunk) for size, chunk in zip(metadata["shape"], chunks, strict=True)]
    dims = metadata["dimension_names"]
    for place in product(*(range(count) for count in counts)):
        path = out.joinpath(name, "c", *map(str, place))
        reason = _chunk_fault(path)
        if reason:
            block = place[dims.index("site")] if "site" in dims else None
            yield ChunkFault(name, block, path, reason)


def _chunk_fault(path: Path) -> str:
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        return "missing"
    except OSError:
        return "damaged"
    stored = content[-_CHECKSUM_BYTES:]
    value = google_crc32c.value(content[:-_CHECKSUM_BYTES])
    whole = len(content) > _CHECKSUM_BYTES and stored == value.to_bytes(_CHECKSUM_BYTES, "little")
    return "" if whole else "damaged"


def _computed_blocks(out: Path, damaged: set[int | None]) -> set[int]:
    """Return the blocks whose status says that something was computed."""
    array = zarr.open_array(out / "status", mode="r")
    size = array.chunks[1]
    found = set()
    for block in range(ceil(array.shape[1] / size)):
        if block in damaged:
            continue
        status = np.asarray(array[:, block * size : (block + 1) * size])
        if (status != int(Status.NOT_COMPUTED)).any():
            found.add(block)
    return found


def refuse_damaged_axes(out: Path, faults: list[ChunkFault]) -> None:
    """Refuse a result that cannot say which rig, site or day a figure belongs to.

    Raises
    ------
    BatchError
        Naming the files.
    """
    if axes := [fault for fault in faults if fault.block is None]:
        said = "; ".join(map(str, axes))
        raise BatchError.single(str(out), f"the result's axes are damaged: {said}")


def without_blocks(out: Path, faults: list[ChunkFault]) -> MemoryStore:
    """Return a copy of a result in memory that lacks what cannot be trusted.

    Parameters
    ----------
    faults : list of ChunkFault
        From `chunk_faults`.

    Returns
    -------
    zarr.storage.MemoryStore
        The status of every block with a fault is left out, so that it reads as not computed.
    """
    left_out = {fault.path for fault in faults}
    left_out |= {out / "status" / "c" / "0" / str(fault.block) for fault in faults}
    buffer = default_buffer_prototype().buffer
    return MemoryStore(
        {
            path.relative_to(out).as_posix(): buffer.from_bytes(path.read_bytes())
            for path in out.rglob("*")
            if path.is_file() and path not in left_out
        }
    )


def remove_damaged(faults: list[ChunkFault]) -> set[int]:
    """Remove damaged chunks, so that their blocks can be written again.

    Returns
    -------
    set of int
        The blocks that must be computed again.
    """
    for fault in faults:
        fault.path.unlink(missing_ok=True)
    return {fault.block for fault in faults if fault.block is not None}
