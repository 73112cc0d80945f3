"""Where a study's faults stand: in the projection's document inside the study's."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from noonhold.errors import Fault, NoonholdError, StationNotFoundError, prefix_pointers

PROJECTION = "/projection"


def faults_of_projection(path: str, error: NoonholdError) -> list[Fault]:
    """Return an error's faults at their place in a study's document.

    Parameters
    ----------
    path : str
        JSON pointer of the projection's document within the study's.
    error : NoonholdError
        What a part of a projection raised.
    """
    if isinstance(error, StationNotFoundError):
        path += "/weather/typical_year"  # the catalogue knows only of its own "/station"
    return prefix_pointers(error.faults, path)


@contextmanager
def inside_projection(kind: type[NoonholdError] = NoonholdError) -> Iterator[None]:
    """Set the pointers of faults raised within under the study's ``/projection``.

    Parameters
    ----------
    kind : type of NoonholdError, optional
        Only errors of this kind are set there; others know their place.

    Raises
    ------
    NoonholdError
        Of the kind that was raised, with the same faults.
    """
    try:
        yield
    except kind as error:
        raise type(error)(faults_of_projection(PROJECTION, error)) from None
