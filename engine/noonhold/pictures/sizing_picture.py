"""A sizing: the frontier of battery against array, or the share of days by the size of one part."""

from __future__ import annotations

from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from noonhold.pictures.picture_output import Kind, frame_with_words, picture
from noonhold.pictures.style import BLUE, DASHED, GREY, INK, SMALL, VERMILION
from noonhold.verdict import CAUTIONS


@dataclass(frozen=True)
class SizingView:
    """What is drawn of a sizing.

    Parameters
    ----------
    rig, place : str
        Names that people read.
    sentence, rule : str
        What was found, and how days counted.
    across, up : str
        Labels of the axes.
    enough, not_enough : tuple of (float, float)
        Points across and up: on a frontier the smallest battery [Wh] to each array [W], and for an
        array that no battery is enough for the largest that was tried; for one part the share of
        days that count [%] at each size.
    given : tuple of (float, float) or None
        The rig as given.
    is_frontier : bool
        Whether batteries stand against arrays.
    required_percent : float or None
        Share of days asked for, where shares are drawn.
    found : float or None
        The size found, where shares are drawn.
    """

    rig: str
    place: str
    sentence: str
    rule: str
    across: str
    up: str
    enough: tuple[tuple[float, float], ...]
    not_enough: tuple[tuple[float, float], ...]
    given: tuple[float, float] | None
    is_frontier: bool
    required_percent: float | None = None
    found: float | None = None


def draw_sizing(view: SizingView, kind: Kind) -> bytes:
    """Return the picture of a sizing.

    Parameters
    ----------
    kind : {"png", "svg"}
        Format.

    Returns
    -------
    bytes
        Equal sizings give equal bytes.
    """
    title = f"{view.rig} at {view.place}: {view.sentence}"
    return picture(lambda: _figure(view), kind, title)


def _figure(view: SizingView) -> Figure:
    figure = Figure(figsize=(9.0, 6.2), layout="constrained")
    axes = figure.subplots()
    if view.is_frontier:
        _frontier(axes, view)
    else:
        _shares(axes, view)
    if view.given is not None:
        axes.plot(
            *([each] for each in view.given), color=INK, marker="D", markerfacecolor="none",
            markersize=9.0, linestyle="none", label="the rig as given",
        )  # fmt: skip
    axes.set_xlabel(view.across)
    axes.set_ylabel(view.up)
    axes.legend(loc="best")
    below = f"{view.rig}  |  {view.place}"
    frame_with_words(figure, view.sentence, below, f"{view.rule} {CAUTIONS[0]}")
    return figure


def _frontier(axes: Axes, view: SizingView) -> None:
    """Draw the smallest battery to every array; what lies above the line is enough."""
    points = (*view.enough, *view.not_enough, *(() if view.given is None else (view.given,)))
    top = max(battery_wh for _, battery_wh in points)
    if view.enough:
        arrays, batteries = zip(*view.enough, strict=True)
        axes.plot(
            arrays, batteries, color=BLUE, marker="o", label="smallest battery that is enough"
        )
        axes.fill_between(
            arrays, batteries, 1.08 * top, facecolor="none", edgecolor=BLUE, hatch="//", alpha=0.4,
            linewidth=0.0, label="enough",
        )  # fmt: skip
        for array_w, battery_wh in view.enough:
            axes.annotate(
                f"{battery_wh:g}", (array_w, battery_wh), (4, 5), textcoords="offset points",
                fontsize=SMALL,
            )  # fmt: skip
    if view.not_enough:
        arrays, batteries = zip(*view.not_enough, strict=True)
        axes.plot(
            arrays, batteries, color=VERMILION, marker="x", linestyle="none",
            label="no battery of the range is enough",
        )  # fmt: skip
    axes.set_ylim(0.0, 1.1 * top)


def _shares(axes: Axes, view: SizingView) -> None:
    """Draw the share of days that counts at every size that was run."""
    for points, marker, colour, words in (
        (view.enough, "o", BLUE, "enough"),
        (view.not_enough, "x", VERMILION, "not enough, or a load goes unserved"),
    ):
        axes.plot(
            [across for across, _ in points], [up for _, up in points], color=colour,
            marker=marker, linestyle="none", label=words,
        )  # fmt: skip
    if view.required_percent is not None:
        axes.axhline(
            view.required_percent, color=GREY, linestyle=DASHED, linewidth=0.9, label="asked for"
        )
    if view.found is not None:
        axes.axvline(view.found, color=INK, linewidth=0.9)
        axes.annotate(f" {view.found:g}", (view.found, 4.0), fontsize=SMALL, color=INK)
    axes.set_ylim(-3.0, 106.0)
