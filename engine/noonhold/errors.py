"""Everything that can go wrong with an input, as one tree.

::

    NoonholdError
    ├── DocumentError        a JSON document breaks one or more rules; carries every fault
    ├── WeatherError         a weather file or table cannot be used
    │   ├── WeatherFormatError    the file is not what its name or header says
    │   │   └── WeatherReadError      there is no such file, or the disk does not give it
    │   ├── WeatherGapError       a needed column is missing over too long a stretch
    │   └── StationNotFoundError  no station stands near enough, or has that name
    └── NumericalError       the solution left the physical range: a bug or an absurd rig

Each error is a list of :class:`Fault`; each fault names the place in the document or file, the
value that was found there, and the bound it broke, so that one reading mends them all.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final, Self

# One reading cannot mend more, and a document of a million faults must not fill the memory.
MOST_FAULTS: Final = 100


@dataclass(frozen=True)
class Fault:
    """One broken rule.

    Parameters
    ----------
    path : str
        JSON pointer (RFC 6901) into the document, or ``file: column`` for a weather file.
    message : str
        What is wrong, in a sentence that can stand alone.
    value : object, optional
        What was found there, as given.
    bound : str, optional
        The rule in short, for example ``0 <= value <= 1``.
    hint : str, optional
        A likely cause, for example a unit mix-up.
    """

    path: str
    message: str
    value: object = None
    bound: str | None = None
    hint: str | None = None

    def __str__(self) -> str:
        """Return path, message, bound and hint on one line."""
        text = f"{self.path or '/'}: {self.message}"
        if self.bound is not None:
            text += f" (allowed: {self.bound})"
        if self.hint is not None:
            text += f"; {self.hint}"
        return text


def prefix_pointers(faults: Iterable[Fault], prefix: str) -> list[Fault]:
    """Return faults at their place in a larger document.

    Parameters
    ----------
    faults : iterable of Fault
        Those whose path is a JSON pointer are moved; the path of a file stays as it is.
    prefix : str
        JSON pointer of the smaller document within the larger one.

    Examples
    --------
    >>> prefix_pointers([Fault("/rig/name", "required field is missing")], "/projection")[0].path
    '/projection/rig/name'
    """
    return [
        replace(fault, path=prefix + fault.path) if fault.path[:1] in ("", "/") else fault
        for fault in faults
    ]


class NoonholdError(Exception):
    """Base class: one or more faults, reported together.

    Parameters
    ----------
    faults : iterable of Fault
        Every fault that was found; at least one. The first :data:`MOST_FAULTS` are kept.
    omitted : int, optional
        How many more were counted and not kept before.
    """

    def __init__(self, faults: Iterable[Fault], omitted: int = 0) -> None:
        found = tuple(faults)
        if not found:
            raise ValueError("an error needs at least one fault")
        self.faults = found[:MOST_FAULTS]
        self.omitted = omitted + len(found) - len(self.faults)
        lines = [str(fault) for fault in self.faults]
        super().__init__("\n".join(lines + [f"and {self.omitted} more"] * (self.omitted > 0)))

    @classmethod
    def single(
        cls,
        path: str,
        message: str,
        value: object = None,
        bound: str | None = None,
        hint: str | None = None,
    ) -> Self:
        """Return an error of this class with one fault."""
        return cls([Fault(path, message, value, bound, hint)])

    def __reduce__(self) -> tuple[type[NoonholdError], tuple[tuple[Fault, ...], int]]:
        """Pickle by the faults, so that a worker process can hand the error over whole."""
        return (type(self), (self.faults, self.omitted))


class DocumentError(NoonholdError):
    """A JSON document breaks one or more rules of its schema or of the rig's logic."""


class WeatherError(NoonholdError):
    """A weather file or table cannot be used."""


class WeatherFormatError(WeatherError):
    """The file is not what its name or header says it is."""


class WeatherReadError(WeatherFormatError):
    """The file cannot be read at all: a cause that may pass, unlike what is in a file."""


class WeatherGapError(WeatherError):
    """A needed column is missing over a stretch too long to interpolate."""


class StationNotFoundError(WeatherError):
    """No station of the catalogue has that name, or stands near enough."""


class NumericalError(NoonholdError):
    """The solution left the physical range."""
