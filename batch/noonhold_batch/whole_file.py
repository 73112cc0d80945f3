"""A file that is there whole or not at all: written aside and renamed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def written_aside(out: Path) -> Iterator[Path]:
    """Give a path to write to, which takes the place of ``out`` when the block ends well.

    Parameters
    ----------
    out : pathlib.Path
        The file; what stands there is left alone where writing fails.

    Yields
    ------
    pathlib.Path
        In the same folder, with the same suffix. Removed where the block raises.
    """
    aside = out.with_name(f".{out.stem}.partial{out.suffix}")
    try:
        yield aside
        aside.replace(out)
    except BaseException:
        aside.unlink(missing_ok=True)
        raise


def write_whole(out: Path, content: str | bytes) -> None:
    """Write a file whole or not at all.

    Parameters
    ----------
    content : str or bytes
        Text goes as UTF-8, its line ends as they are.
    """
    with written_aside(out) as aside:
        aside.write_bytes(content.encode() if isinstance(content, str) else content)
