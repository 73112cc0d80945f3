"""A published figure beside ours: one row of the report and one test."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple


class Part(NamedTuple):
    """A published value or range, and how our figure is got.

    ``published`` is how the source is quoted, ``low`` and ``high`` are what counts as inside. A
    test lets a figure lie outside by ``beyond`` where its file says why.
    """

    source: str
    case: str
    quantity: str
    published: str
    low: float
    high: float
    ours: Callable[[], float]
    beyond: float = 0.0

    def __repr__(self) -> str:
        """Name the row in a test's output."""
        return f"{self.case}, {self.quantity}"

    def place(self, value: float) -> str:
        """Tell where a value lies."""
        if self.low <= value <= self.high:
            return "inside"
        edge = self.low if value < self.low else self.high
        return f"**outside** by {value - edge:+.2g}"


def near(
    source: str,
    case: str,
    quantity: str,
    value: float,
    within: float,
    ours: Callable[[], float],
    beyond: float = 0.0,
) -> Part:
    """Return the row of a value with an absolute tolerance."""
    said = f"{value:.10g} ± {within:.2g}"
    return Part(source, case, quantity, said, value - within, value + within, ours, beyond)


def between(
    source: str,
    case: str,
    quantity: str,
    low: float,
    high: float,
    ours: Callable[[], float],
    beyond: float = 0.0,
) -> Part:
    """Return the row of a range."""
    said = f"{low:.10g} to {high:.10g}"
    return Part(source, case, quantity, said, low, high, ours, beyond)


def name(part: Part) -> str:
    """Return a row's name as a test's."""
    return repr(part)


def held(part: Part) -> None:
    """Assert that our figure lies inside, or outside by no more than is said."""
    value = part.ours()
    low, high = part.low - part.beyond, part.high + part.beyond
    assert low <= value <= high, f"{part}: {value:.8g}, published {part.published}"
