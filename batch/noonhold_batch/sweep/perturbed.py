"""Many weather files out of a few, each a little warmer or colder: for trying a sweep's scale."""

from __future__ import annotations

import gzip
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from noonhold.weather.catalogue import station_id
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.whole_file import write_whole

# EPW, EnergyPlus Auxiliary Programs: dry bulb and dew point are the 7th and 8th field of a row.
_HEADER_LINES = 8
_DRY_BULB, _DEW_POINT = 6, 7
_MISSING = 99.9
_QUICK = 1  # of gzip: files for trying, not for keeping


def write_perturbed(
    sources: Sequence[Path], out: Path, count: int, kelvin: float, seed: int
) -> Iterator[Path]:
    """Write EPW files whose temperatures are shifted, each by an amount of its own.

    Parameters
    ----------
    sources : sequence of pathlib.Path
        EPW files, gzip or not; they are gone through again and again.
    out : pathlib.Path
        Folder for the new files.
    count : int
        Files to write.
    kelvin : float
        Shifts lie evenly spread between minus and plus this much. [K]
    seed : int
        Of the random numbers; the same seed gives the same bytes.

    Yields
    ------
    pathlib.Path
        ``<station>_<number>.epw.gz``, as each is written.

    Raises
    ------
    BatchError
        Where a source is no EPW file.

    Notes
    -----
    Dry bulb and dew point move alike, so that the air stays about as near to saturation; relative
    humidity, sun, wind and pressure are left as they are. What comes out is for measuring speed
    and for trying things at scale: it is no climate.
    """
    out.mkdir(parents=True, exist_ok=True)
    shifts = np.random.default_rng(seed).uniform(-kelvin, kelvin, count)
    width = len(str(count - 1))
    for place, source in enumerate(sources):
        numbers = range(place, count, len(sources))
        if not numbers:
            return
        lines = _lines(source)
        for number in numbers:
            path = out / f"{station_id(source)}_{number:0{width}d}.epw.gz"
            text = "\n".join(_shifted(lines, float(shifts[number]))) + "\n"
            write_whole(path, gzip.compress(text.encode("latin-1"), _QUICK, mtime=0))
            yield path


def _lines(path: Path) -> list[str]:
    """Return the lines of an EPW file, a byte a character."""
    try:
        content = path.read_bytes()
        if path.suffix == ".gz":
            content = gzip.decompress(content)
    except (OSError, EOFError) as exc:
        raise BatchError.single(str(path), f"cannot be read: {exc}") from exc
    lines = content.decode("latin-1").splitlines()
    if not lines or not lines[0].startswith("LOCATION,"):
        raise BatchError.single(str(path), "is no EPW file: it does not begin with LOCATION")
    return lines


def _shifted(lines: list[str], shift: float) -> Iterator[str]:
    """Yield the lines with dry bulb and dew point shifted by some kelvin."""
    yield from lines[:_HEADER_LINES]
    for line in lines[_HEADER_LINES:]:
        fields = line.split(",", _DEW_POINT + 1)
        for place in (_DRY_BULB, _DEW_POINT):
            value = float(fields[place])
            if value != _MISSING:
                fields[place] = f"{value + shift:.2f}"
        yield ",".join(fields)
