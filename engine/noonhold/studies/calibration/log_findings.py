"""The names of what can be wrong with a field log, and what its rig leads to expect of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.errors import Fault
from noonhold.studies.calibration.field_log import TEMPERATURES

Rows = npt.NDArray[np.int64]

_MOST_ROWS: Final = 5  # stretches of rows named in a message; the rest are counted


class LogFault(StrEnum):
    """The names under which a log's faults are reported, and may be accepted."""

    MISSING_CHANNEL = "missing_channel"
    TIME_ORDER = "time_order"
    DUPLICATE_TIMES = "duplicate_times"
    LENGTH = "length"
    OUT_OF_BOUNDS = "out_of_bounds"
    UNIT_MIX_UP = "unit_mix_up"
    STUCK_SENSOR = "stuck_sensor"
    CLOCK_SHIFT = "clock_shift"


@dataclass(frozen=True)
class Finding:
    """Something that stands against a log.

    Parameters
    ----------
    column : str
        Of the log, or ``times``.
    message : str
        What is wrong, with its rows.
    rows : tuple of int
        The rows, from 0 as they stand in the document; all of them.
    hint : str or None
        The likely cause.
    """

    kind: LogFault
    column: str
    message: str
    rows: tuple[int, ...] = ()
    hint: str | None = None

    def fault(self) -> Fault:
        """Return it as a fault of the request's document."""
        place = "times" if self.column == "times" else f"columns/{_document_name(self.column)}"
        path = f"/log/{place}" + (f"/{self.rows[0]}" if self.rows else "")
        return Fault(path, f"{self.kind}: {self.message}", list(self.rows[:50]), None, self.hint)


def _document_name(column: str) -> str:
    """Return a column's name as documents have it: temperatures there state their unit apart."""
    return column.removesuffix("_c") if column in TEMPERATURES else column


def rows_text(rows: Iterable[int]) -> str:
    """Return rows as a message lists them.

    Examples
    --------
    >>> rows_text([3, 4, 5, 9])
    'rows 3 to 5, 9'
    >>> rows_text([7])
    'row 7'
    """
    listed = sorted(set(rows))
    runs: list[list[int]] = []
    for row in listed:
        if runs and row == runs[-1][1] + 1:
            runs[-1][1] = row
        else:
            runs.append([row, row])
    shown = [f"{a}" if a == b else f"{a} to {b}" for a, b in runs[:_MOST_ROWS]]
    more = f" and {len(runs) - _MOST_ROWS} more stretches" if len(runs) > _MOST_ROWS else ""
    return ("row " if len(listed) == 1 else "rows ") + ", ".join(shown) + more


@dataclass(frozen=True)
class Expected:
    """What the rig's description leads to expect of its log.

    Parameters
    ----------
    battery_wh : float
        Usable energy. [Wh]
    set_points_c : tuple of float
        Set points of the cooler; empty without one. [degC]
    array_limit_w : float
        What the charge controllers let through at most; inf without. [W]
    rated_w : mapping of str to float
        By column of the log, what its instrument should often show. [W]
    """

    battery_wh: float
    set_points_c: tuple[float, ...] = ()
    array_limit_w: float = float("inf")
    rated_w: Mapping[str, float] = field(default_factory=dict)


def finding_at(
    kind: LogFault, column: str, message: str, rows: Rows, hint: str | None = None
) -> Finding:
    """Return a finding with its rows as plain numbers.

    Parameters
    ----------
    kind, column, message, hint
        See `Finding`.
    """
    return Finding(kind, column, message, tuple(int(row) for row in rows), hint)
