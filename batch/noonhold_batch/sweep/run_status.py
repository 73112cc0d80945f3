"""How the run of one rig at one site ended."""

from __future__ import annotations

from enum import IntEnum

from noonhold.errors import (
    NumericalError,
    WeatherError,
    WeatherFormatError,
    WeatherGapError,
    WeatherReadError,
)


class Status(IntEnum):
    """One number a rig and site; only ``OK`` has verdicts, everything else has a reason."""

    NOT_COMPUTED = -1
    OK = 0
    UNREADABLE = 1  # the file is not what its name or header says
    GAPS = 2  # a needed column is missing for too long
    NO_WHOLE_YEAR = 3  # readable, but not a year of whole days
    NUMERICAL = 4  # the solution left the physical range
    UNEXPECTED = 5  # an error nobody foresaw: worth a report
    UNREACHABLE = 6  # the file could not be read, or changed meanwhile: tried again next time


def status_of(error: Exception) -> Status:
    """Return the status that an error stands for.

    Parameters
    ----------
    error : Exception
        From reading a file or running a rig.

    Returns
    -------
    Status
        ``UNEXPECTED`` for anything outside the project's own tree of errors.
    """
    if isinstance(error, WeatherGapError):
        return Status.GAPS
    if isinstance(error, WeatherReadError | OSError):
        return Status.UNREACHABLE
    if isinstance(error, WeatherFormatError | WeatherError):
        return Status.UNREADABLE
    if isinstance(error, NumericalError):
        return Status.NUMERICAL
    return Status.UNEXPECTED


def reason_of(error: Exception) -> str:
    """Return an error as one line that can stand alone.

    Returns
    -------
    str
        The project's own errors in their words, others with their type in front.
    """
    text = " | ".join(str(error).splitlines()) or "no message"
    if status_of(error) is Status.UNEXPECTED:
        return f"{type(error).__name__}: {text}"
    return text
