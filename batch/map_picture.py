"""A map as a picture: colour and marker say the same twice, so that grey prints still read."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from batch.boundaries import Line
from batch.map_points import Look, Point, RigPoints

# cividis: made for colour-blind eyes, and its lightness rises evenly, so grey keeps the order.
_COLOURS = mpl.colormaps["cividis"]
_SHARE = Normalize(0.0, 1.0)
_MARKERS = {
    Look.ALL_HELD: "o",
    Look.ENERGY: "s",
    Look.CAPACITY: "^",
    Look.NO_NEED: "D",
    Look.NO_VERDICT: "x",
}
_LABELS = {
    Look.ALL_HELD: "every day that needs cooling holds",
    Look.ENERGY: "days fail, the energy runs out first",
    Look.CAPACITY: "days fail, the cooler is too small first",
    Look.NO_NEED: "no day needs cooling",
    Look.NO_VERDICT: "no verdict: the weather file failed",
}
_SIZE = 110.0
_LABELLED_AT_MOST = 40
_MARGIN = 0.08
_MOST_COLUMNS = 3
_PANEL_IN = 4.6
_ENTRY_IN = 3.2


@dataclass(frozen=True)
class _Frame:
    """What every panel shows, and its height over its width."""

    west: float
    east: float
    south: float
    north: float
    middle: float

    @property
    def shape(self) -> float:
        """Return height over width on paper."""
        wide = (self.east - self.west) * self.narrowing
        return min(max((self.north - self.south) / wide, 0.35), 1.6)

    @property
    def narrowing(self) -> float:
        """Return the length of a degree of longitude over one of latitude, in the middle."""
        return max(math.cos(math.radians(0.5 * (self.south + self.north))), 0.1)


def map_figure(
    maps: Sequence[RigPoints],
    titles: Sequence[str],
    said: str,
    boundaries: Sequence[Line] = (),
) -> Figure:
    """Return a figure with one map a rig, one scale and one legend for all.

    Parameters
    ----------
    maps : sequence of RigPoints
        From `batch.map_points.map_points`; at least one.
    titles : sequence of str
        One a map.
    said : str
        What was computed; stands under the maps.
    boundaries : sequence of arrays, shape (n, 2)
        Lines of longitude and latitude to draw beneath. [degree]

    Returns
    -------
    matplotlib.figure.Figure
        Drawn by Agg; no state is kept anywhere.
    """
    columns = min(len(maps), _MOST_COLUMNS)
    rows = math.ceil(len(maps) / columns)
    frame = _frame([point for each in maps for point in each.points])
    unplaced = {site for each in maps for site in each.unplaced}
    if unplaced:
        said += f" Not on the map, as their files do not tell where they stand: {len(unplaced)}."
    width = _PANEL_IN * columns + 1.8
    text = textwrap.fill(f"{said} Under a marker: the share in percent.", int(width * 15))
    shown = {point.look for each in maps for point in each.points}
    handles = [_handle(look) for look in Look if look in shown]
    beside = max(1, int(width / _ENTRY_IN))
    foot = 0.35 + 0.25 * math.ceil(len(handles) / beside) + 0.18 * (text.count("\n") + 1)
    head = rows * (_PANEL_IN * frame.shape + 0.7) + 0.6
    figure = Figure(figsize=(width, head + foot), layout="constrained")
    FigureCanvasAgg(figure)
    upper, lower = figure.subfigures(2, 1, height_ratios=(head, foot))
    axes = upper.subplots(rows, columns, squeeze=False)
    for place, (each, title) in enumerate(zip(maps, titles, strict=True)):
        _draw(axes[place // columns, place % columns], each, title, frame, boundaries)
    for spare in axes.flat[len(maps) :]:
        spare.set_axis_off()
    upper.suptitle("Where does the cabin stay cool all day, off grid?", fontsize=14)
    scale = mpl.cm.ScalarMappable(norm=_SHARE, cmap=_COLOURS)
    bar = upper.colorbar(scale, ax=axes, shrink=0.95, pad=0.02, format="{x:.0%}")
    bar.set_label("share of the days needing cooling\non which the cabin holds", fontsize=9)
    lower.legend(handles=handles, loc="upper left", ncols=beside, frameon=False, fontsize=9)
    lower.text(0.012, 0.06, text, fontsize=9, va="bottom", ha="left")
    return figure


def save(figure: Figure, out: Path) -> None:
    """Write a figure, the format by its suffix, without the time of day inside.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        To write.
    out : pathlib.Path
        ``.png`` or ``.svg``.
    """
    # A fixed salt and no date: the same figure is the same file.
    with mpl.rc_context({"svg.hashsalt": "noonhold", "svg.fonttype": "none"}):
        metadata = {"Date": None} if out.suffix.lower() == ".svg" else None
        figure.savefig(out, dpi=130, metadata=metadata)


def _frame(points: Sequence[Point]) -> _Frame:
    """Return what holds all points.

    Longitudes are turned to within half a circle of the middle, so that a region astride the
    180th meridian stays in one piece.
    """
    if not points:
        return _Frame(-180.0, 180.0, -90.0, 90.0, 0.0)
    radians = np.radians([point.longitude for point in points])
    middle = math.degrees(math.atan2(np.sin(radians).mean(), np.cos(radians).mean()))
    east = [_turned(point.longitude, middle) for point in points]
    north = [point.latitude for point in points]
    tall, wide = max(north) - min(north), max(east) - min(east)
    grow = _MARGIN * max(tall, wide, 1.0)
    return _Frame(
        west=min(east) - grow,
        east=max(east) + grow,
        south=max(min(north) - grow, -90.0),
        north=min(max(north) + grow, 90.0),
        middle=middle,
    )


def _turned(longitude: float, middle: float) -> float:
    return middle + (longitude - middle + 180.0) % 360.0 - 180.0


def _draw(
    axes: Axes,
    each: RigPoints,
    title: str,
    frame: _Frame,
    boundaries: Sequence[Line],
) -> None:
    """Draw one map."""
    axes.set_xlim(frame.west, frame.east)
    axes.set_ylim(frame.south, frame.north)
    axes.set_aspect(1.0 / frame.narrowing)  # shapes are true in the middle of the map
    axes.grid(color="0.85", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.set_title(title, fontsize=11)
    axes.xaxis.set_major_formatter(lambda value, _: _degrees((value + 180) % 360 - 180, "EW"))
    axes.yaxis.set_major_formatter(lambda value, _: _degrees(value, "NS"))
    axes.tick_params(labelsize=8)
    for line in boundaries:
        turned = np.array([_turned(float(value), frame.middle) for value in line[:, 0]])
        # A line that jumps across the map's edge is lifted off the paper there.
        turned[1:][np.abs(np.diff(turned)) > 180.0] = np.nan
        axes.plot(turned, line[:, 1], color="0.6", linewidth=0.7, zorder=1)
    for look, marker in _MARKERS.items():
        chosen = [point for point in each.points if point.look is look]
        if not chosen:
            continue
        shares = [point.summary.share if point.summary else math.nan for point in chosen]
        style: dict[str, object] = {"c": [_COLOURS(_SHARE(share)) for share in shares]}
        if look is Look.NO_NEED:
            style = {"c": "white"}
        if look is Look.NO_VERDICT:
            style = {"c": "0.35", "linewidths": 1.8}
        else:
            style |= {"edgecolors": "black", "linewidths": 0.8}
        axes.scatter(
            [_turned(point.longitude, frame.middle) for point in chosen],
            [point.latitude for point in chosen],
            s=_SIZE,
            marker=marker,
            zorder=3,
            **style,
        )
    if len(each.points) <= _LABELLED_AT_MOST:
        for point in each.points:
            if point.summary is not None and not math.isnan(point.summary.share):
                axes.annotate(
                    f"{100.0 * point.summary.share:.0f}",
                    (_turned(point.longitude, frame.middle), point.latitude),
                    xytext=(0, -13),
                    textcoords="offset points",
                    ha="center",
                    fontsize=7,
                    color="0.15",
                )


def _degrees(value: float, signs: str) -> str:
    """Return a coordinate as people write it."""
    if abs(value) < 1e-9:
        return "0°"
    return f"{abs(value):g}°{signs[0] if value > 0 else signs[1]}"


def _handle(look: Look) -> Line2D:
    """Return the legend's sample of a look."""
    colour = {Look.NO_NEED: "white", Look.ALL_HELD: _COLOURS(1.0)}.get(look, _COLOURS(0.4))
    edge = "0.35" if look is Look.NO_VERDICT else "black"
    return Line2D(
        [],
        [],
        linestyle="none",
        marker=_MARKERS[look],
        markersize=9,
        markerfacecolor=colour,
        markeredgecolor=edge,
        label=_LABELS[look],
    )
