"""Where a study's faults stand: in the projection's document inside the study's."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from engine.errors import NoonholdError, StationNotFoundError

PROJECTION = "/projection"


@contextmanager
def inside_projection() -> Iterator[None]:
    """Set the pointers of faults raised within under the study's ``/projection``.

    Raises
    ------
    NoonholdError
        Of the kind that was raised, with the same faults; those of files keep their place.
    """
    try:
        yield
    except NoonholdError as error:
        # The catalogue knows only of its own "/station".
        station = isinstance(error, StationNotFoundError)
        path = PROJECTION + ("/weather/typical_year" if station else "")
        raise type(error)(
            replace(fault, path=path + fault.path) if fault.path[:1] in ("", "/") else fault
            for fault in error.faults
        ) from None
