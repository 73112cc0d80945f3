"""Bytes of a weather file to text: gzip and zip undone, and a reason for every unreadable file."""

from __future__ import annotations

import codecs
import contextlib
import gzip
import stat
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd

from noonhold.errors import WeatherFormatError, WeatherReadError

GZIP_MAGIC = b"\x1f\x8b"
ZIP_MAGIC = b"PK\x03\x04"
# A year of minutes as text is some 40 MB; what is more is no weather or a trap.
MOST_BYTES = 64_000_000
_GZIP_BITS = 31  # zlib's word for gzip around the largest window
UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")
UTF8_MARK = b"\xef\xbb\xbf"


def format_error(path: Path, reason: str, value: object = None) -> WeatherFormatError:
    """Return the error for a file that is not what it should be.

    Parameters
    ----------
    path : pathlib.Path
        The file; only its name enters the message.
    reason : str
        What is wrong, in a sentence that can stand alone.
    value : object, optional
        What was found.

    Returns
    -------
    WeatherFormatError
        With one fault.
    """
    return WeatherFormatError.single(path.name, reason, value)


def _opened(path: Path, limit: int | None) -> bytes:
    """Return the bytes inside, gzip or zip undone, at most ``limit`` of them."""
    facts = path.stat()
    if not stat.S_ISREG(facts.st_mode):
        # A pipe or a device would keep the reader waiting, or never end.
        kind = "folder" if stat.S_ISDIR(facts.st_mode) else "pipe, socket or device"
        raise format_error(path, f"this is a {kind}, not a file")
    if facts.st_size > MOST_BYTES:
        raise _too_large(path)
    with path.open("rb") as stream:
        mark = stream.read(len(ZIP_MAGIC))
        zipped = mark.startswith(GZIP_MAGIC)
        if not zipped and path.suffix.lower() == ".gz":
            raise format_error(path, "the name says gzip, but the content is not gzip")
        most = MOST_BYTES + 1 if limit is None else limit
        if mark == ZIP_MAGIC:
            content = _only_member(path, most)
        elif not zipped:
            # Path.read_bytes knows the size beforehand; a stream would grow its buffer.
            content = path.read_bytes() if limit is None else mark + stream.read(limit - len(mark))
        else:
            content = _unzipped(path.read_bytes(), most)
    if limit is None and len(content) > MOST_BYTES:
        raise _too_large(path)
    return content


def _too_large(path: Path) -> WeatherFormatError:
    bound = f"at most {MOST_BYTES // 1_000_000} MB"
    return format_error(path, f"the file holds more than a year of weather can: {bound}")


def _unzipped(packed: bytes, most: int) -> bytes:
    """Return the beginning of what gzip holds, its members one after the other."""
    parts, size = [], 0
    while packed and size < most:
        unpacking = zlib.decompressobj(wbits=_GZIP_BITS)
        part = unpacking.decompress(packed, most - size)
        parts.append(part)
        size += len(part)
        if not unpacking.eof:
            if size < most:
                raise EOFError("it ends before its end marker")
            break
        packed = unpacking.unused_data.lstrip(b"\0")
    return b"".join(parts)


def _only_member(path: Path, most: int) -> bytes:
    """Return the beginning of the one file that a zip archive holds."""
    try:
        with zipfile.ZipFile(path) as archive:
            members = [each for each in archive.infolist() if not each.is_dir()]
            if len(members) != 1:
                reason = f"the zip archive holds {len(members)} files, one is needed"
                raise format_error(path, reason, len(members))
            with archive.open(members[0]) as inner:
                return inner.read(most)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError) as exc:
        raise format_error(path, f"the zip archive cannot be read: {exc}") from exc


def read_bytes(path: Path, limit: int | None = None) -> bytes:
    """Return a text file's bytes, gzip or zip undone.

    Parameters
    ----------
    path : pathlib.Path
        A file; gzip, and a zip archive of one file, are known by their first bytes.
    limit : int, optional
        Stop after so many bytes of content.

    Returns
    -------
    bytes
        Without a UTF-8 byte order mark.

    Raises
    ------
    WeatherFormatError
        Where there is no regular file or one above ``MOST_BYTES``, the archive is broken or holds
        several files, or the content is empty or no text.
    """
    try:
        content = _opened(path, limit)
    except FileNotFoundError as exc:
        raise WeatherReadError.single(path.name, "there is no such file") from exc
    except IsADirectoryError as exc:
        raise format_error(path, "this is a folder, not a file") from exc
    except (EOFError, zlib.error, gzip.BadGzipFile) as exc:
        raise format_error(path, f"the gzip is damaged or cut short: {exc}") from exc
    except OSError as exc:
        reason = f"the file cannot be read: {exc.strerror}"
        raise WeatherReadError.single(path.name, reason) from exc
    if content.startswith(UTF16_MARKS):
        raise format_error(path, "the text is UTF-16; save it as UTF-8")
    if b"\x00" in content:
        raise format_error(path, "the content is binary, not text")
    if not content or content.isspace():
        raise format_error(path, "the file is empty")
    return content.removeprefix(UTF8_MARK)


def decoded(content: bytes) -> str:
    """Return the text of UTF-8 bytes, or of Latin-1 where they are no UTF-8.

    Parameters
    ----------
    content : bytes
        Text. Old weather files carry place names in Latin-1; their figures are ASCII either way.

    Returns
    -------
    str
        The text.
    """
    try:
        # The incremental decoder lets a beginning end within a character.
        return codecs.getincrementaldecoder("utf-8")().decode(content)
    except UnicodeDecodeError:
        return content.decode("latin-1")


@contextlib.contextmanager
def mixed_columns_quiet() -> Iterator[None]:
    """Keep pandas from warning of a column of mixed types, which the readers report as an error."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", pd.errors.DtypeWarning)
        yield


def field_counts(content: bytes) -> npt.NDArray[np.int64]:
    """Return the number of comma-separated fields of every line, quotes not regarded.

    Returns
    -------
    numpy.ndarray of int, shape (lines,)
        Fields a line, 1 for a line without a comma; such lines at the end are left out.
    """
    # A year of rows is 1.6 MB: numpy takes a quarter of the time that splitting lines takes, and
    # every copy of the text costs as much again in fresh memory.
    text = np.frombuffer(content, dtype=np.uint8)
    marks = np.flatnonzero((text == ord(",")) | (text == ord("\n")))
    line_ends = np.append(np.flatnonzero(text[marks] == ord("\n")), len(marks))
    counts: npt.NDArray[np.int64] = np.diff(line_ends, prepend=-1)
    return counts[: int(np.max(np.flatnonzero(counts > 1), initial=-1)) + 1]


def first_lines(content: bytes, count: int) -> list[bytes]:
    """Return a text's first lines without copying the rest.

    Parameters
    ----------
    count : int
        Lines wanted; fewer are returned where there are fewer.

    Returns
    -------
    list of bytes
        Without their line ends.
    """
    end = -1
    for _ in range(count):
        end = content.find(b"\n", end + 1)
        if end < 0:
            return content.split(b"\n")
    return content[:end].split(b"\n")
