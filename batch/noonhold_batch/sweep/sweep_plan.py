"""What a sweep will do: sites in a fixed order, cut into blocks; and what would make it another."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass
from pathlib import Path

from noonhold.weather.catalogue import SUFFIXES, station_id, weather_paths
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.sweep.sweep_cases import Case, fingerprint
from noonhold_batch.sweep.warmer import Warming

_MOST_IN_A_BLOCK = 25
_BLOCKS_WANTED = 40
_READ_BYTES = 1 << 20


@dataclass(frozen=True)
class SiteFile:
    """One weather file of a sweep.

    Parameters
    ----------
    site_id : str
        The file's name without its suffixes.
    path : pathlib.Path
        The file, or a folder that is named like one, which its run will find.
    sha256 : str
        Of its bytes as they lie on disk; empty where it cannot be read.
    """

    site_id: str
    path: Path
    sha256: str


@dataclass(frozen=True)
class Block:
    """Some sites in a row, and all that is run at each: one task, one chunk.

    Parameters
    ----------
    index : int
        Number of the block.
    first : int
        Place of its first site in the result.
    warming : Warming or None
        Change of the weather.
    step_s : int
        Step of the time loop. [s]
    """

    index: int
    first: int
    sites: tuple[SiteFile, ...]
    cases: tuple[Case, ...]
    warming: Warming | None
    step_s: int


@dataclass(frozen=True)
class Plan:
    """A sweep before it runs.

    Parameters
    ----------
    cases : tuple of Case
        Rigs and variants.
    sites : tuple of SiteFile
        By name.
    block_size : int
        Sites a block; the last has what is left.
    warming : Warming or None
        Change of the weather.
    step_s : int
        Step of the time loop. [s]
    """

    cases: tuple[Case, ...]
    sites: tuple[SiteFile, ...]
    block_size: int
    warming: Warming | None
    step_s: int

    @property
    def block_count(self) -> int:
        """Return the number of blocks."""
        return math.ceil(len(self.sites) / self.block_size)

    def block(self, index: int) -> Block:
        """Return one block.

        Parameters
        ----------
        index : int
            From 0.

        Returns
        -------
        Block
            Small: names, hashes and documents, no weather.
        """
        first = index * self.block_size
        sites = self.sites[first : first + self.block_size]
        return Block(index, first, sites, self.cases, self.warming, self.step_s)

    def hashes(self) -> dict[str, str]:
        """Return what makes this sweep this sweep, but for weather and versions.

        Returns
        -------
        dict of str to str
            Part to hash, named so that a difference can be reported.
        """
        found = {f"rig {case.name}": case.fingerprint for case in self.cases}
        found["list of sites"] = fingerprint([site.site_id for site in self.sites])
        found["options"] = fingerprint(
            [self.block_size, self.step_s, self.warming and self.warming.text]
        )
        return found


def default_block_size(sites: int) -> int:
    """Return the number of sites a block, from the number of sites alone.

    Parameters
    ----------
    sites : int
        Sites of the sweep.

    Returns
    -------
    int
        So that there are some 40 blocks to share out, and never more than 25 sites in one: what
        is lost by a kill, and what a worker holds, stays small.
    """
    return max(1, min(_MOST_IN_A_BLOCK, math.ceil(sites / _BLOCKS_WANTED)))


def find_sites(folder: Path) -> tuple[SiteFile, ...]:
    """Return the weather files of a folder, unread but for their hash.

    Parameters
    ----------
    folder : pathlib.Path
        Everything in it and its subfolders that is named like weather counts, so that what is no
        weather ends with a reason instead of being passed over.

    Returns
    -------
    tuple of SiteFile
        By name. A second file of the same station keeps its whole name and folder.

    Raises
    ------
    BatchError
        Where there is no such folder, or nothing in it.
    """
    if not folder.is_dir():
        raise BatchError.single(str(folder), "there is no such folder of weather files")
    found: dict[str, SiteFile] = {}
    for path in weather_paths(folder):
        name = station_id(path)
        if name in found:
            name = path.relative_to(folder).as_posix()
        found[name] = SiteFile(name, path, file_hash(path))
    if not found:
        suffixes = ", ".join(SUFFIXES)
        raise BatchError.single(
            str(folder), f"no weather files ({suffixes}, plain, .gz or .zip) in it"
        )
    return tuple(found[name] for name in sorted(found))


def file_hash(path: Path) -> str:
    """Return the SHA-256 of a file, empty where it cannot be read.

    Returns
    -------
    str
        Hexadecimal.
    """
    digest = hashlib.sha256()
    if not path.is_file():  # a pipe would keep the reader waiting
        return ""
    try:
        with path.open("rb") as stream:
            while part := stream.read(_READ_BYTES):
                digest.update(part)
    except OSError:
        return ""
    return digest.hexdigest()
