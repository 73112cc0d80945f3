"""A map: colour and marker say the same twice, so that grey prints still read."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from typing import Final, TypeAlias

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from noonhold.pictures.map_frame import Frame, frame_of
from noonhold.pictures.map_layer import dense_triangles
from noonhold.pictures.map_stations import Look, RigMap, Station
from noonhold.pictures.picture_output import Kind, foot_lines, frame_with_words, head_lines, picture
from noonhold.pictures.style import GREY, INK, SHARE_COLOURS, SMALL, TEXT, FloatArray
from noonhold.verdict import CAUTIONS

Rgb: TypeAlias = tuple[float, float, float]

_SHARE: Final = Normalize(0.0, 1.0)
_BANDS: Final = np.linspace(0.0, 1.0, 11)
_INSIDE: Final = 1e-9  # a band ends below its upper edge, and 100 % is in the last
_PALENESS: Final = 0.55
_MARKERS: Final = {
    Look.HOLDS: "o",
    Look.NARROWLY: "o",  # with a ring inside
    Look.ENERGY: "s",
    Look.CAPACITY: "^",
    Look.OPERATION: "v",
    Look.NO_NEED: "D",
    Look.NO_VERDICT: "x",
}
_RING: Final = 0.25  # of a marker's area
_LARGEST, _SMALLEST = 95.0, 9.0  # areas of a marker, in points
_LABELLED_AT_MOST: Final = 40
_MOST_COLUMNS: Final = 3
_PANEL_IN: Final = 5.6
_ENTRY_IN: Final = 3.7
_DOTS_PER_INCH: Final = 110


def draw_map(
    maps: Sequence[RigMap],
    question: str,
    said: str,
    kind: Kind,
    boundaries: Sequence[FloatArray] = (),
    reach_km: float = 0.0,
) -> bytes:
    """Return a picture with one map a rig, one scale and one legend for all.

    Parameters
    ----------
    question : str
        That the maps answer.
    said : str
        What was computed; stands under the maps.
    kind : {"png", "svg"}
        Format.
    boundaries : sequence of arrays, shape (n, 2), optional
        Lines of longitude and latitude to draw beneath. [degree]
    reach_km : float, optional
        Colour between stations that stand within this distance of each other
        (`noonhold.pictures.map_layer.dense_triangles`); 0 for none. [km]

    Returns
    -------
    bytes
        Equal maps give equal bytes.
    """
    title = f"{question} " + " ".join(f"{each.title}, {each.summary}." for each in maps)
    return picture(
        lambda: _figure(maps, question, said, boundaries, reach_km), kind, title, _DOTS_PER_INCH
    )


def _figure(
    maps: Sequence[RigMap],
    question: str,
    said: str,
    boundaries: Sequence[FloatArray],
    reach_km: float,
) -> Figure:
    columns = min(len(maps), _MOST_COLUMNS)
    rows = math.ceil(len(maps) / columns)
    frame = frame_of([station for each in maps for station in each.stations])
    width = _PANEL_IN * columns + 1.3
    several = len(maps) > 1
    verdict = question if several else f"{maps[0].title}, {maps[0].summary}"
    below = "Each map: one rig, the same stations and rule" if several else question
    layered = reach_km > 0.0 and any(dense_triangles(m.stations, frame, reach_km) for m in maps)
    handles = _handles(maps, boundaries, reach_km if layered else 0.0)
    beside = max(1, int(width / _ENTRY_IN))
    legend = 0.2 * math.ceil(len(handles) / beside) + 0.1
    numbered = any(len(each.stations) <= _LABELLED_AT_MOST for each in maps)
    first = "Under a marker: percent that hold (in brackets: narrowly). " if numbered else ""
    text = f"{first}{said} {CAUTIONS[0]}"
    words = foot_lines(text, width)[1]
    drawing = rows * (_PANEL_IN * frame.shape + (0.75 if several else 0.35))
    height = head_lines(verdict, below, width)[2] + drawing + legend + words
    figure = Figure(figsize=(width, height), layout="constrained")
    axes = figure.subplots(rows, columns, squeeze=False)
    for place, each in enumerate(maps):
        panel = axes[place // columns, place % columns]
        _draw(panel, each.stations, frame, boundaries, reach_km)
        if several:
            panel.set_title(f"{each.title}\n{textwrap.fill(each.summary, 60)}", fontsize=TEXT)
    for spare in axes.flat[len(maps) :]:
        spare.set_axis_off()
    scale = ScalarMappable(norm=_SHARE, cmap=mpl.colormaps[SHARE_COLOURS])
    bar = figure.colorbar(scale, ax=axes, shrink=0.9, pad=0.015, aspect=28, format="{x:.0%}")
    bar.set_label("of the dates that need cooling, the part that holds", fontsize=SMALL)
    bar.outline.set_linewidth(0.4)
    if handles:
        labels = [(each[0] if isinstance(each, tuple) else each).get_label() for each in handles]
        figure.legend(
            handles=handles,
            labels=labels,
            loc="upper left",
            bbox_to_anchor=(0.0, (legend + words) / height),
            ncols=beside,
            borderaxespad=0.3,
        ).set_in_layout(False)
    frame_with_words(figure, verdict, below, text, legend)
    return figure


def _draw(
    axes: Axes,
    stations: Sequence[Station],
    frame: Frame,
    boundaries: Sequence[FloatArray],
    reach_km: float,
) -> None:
    """Draw one map."""
    axes.set_xlim(frame.west, frame.east)
    axes.set_ylim(frame.south, frame.north)
    axes.set_aspect(1.0 / frame.narrowing)  # shapes are true in the middle of the map
    axes.xaxis.set_major_formatter(lambda value, _: _degrees((value + 180) % 360 - 180, "EW"))
    axes.yaxis.set_major_formatter(lambda value, _: _degrees(value, "NS"))
    axes.locator_params(nbins=7)
    axes.spines[["top", "right"]].set_visible(True)
    layer = dense_triangles(stations, frame, reach_km) if reach_km > 0.0 else None
    if layer is not None:
        pale = [_pale(share) for share in 0.5 * (_BANDS[1:] + _BANDS[:-1])]
        triangles, shares = layer
        shares = np.minimum(shares, 1.0 - _INSIDE)
        # Edges in the bands' own colours close the hairlines between them.
        bands = axes.tricontourf(triangles, shares, levels=_BANDS, colors=pale, zorder=1)
        bands.set_edgecolor("face")
        bands.set_linewidth(0.4)
    for line in boundaries:
        turned = frame.turned(line[:, 0])
        # A line that jumps across the map's edge is lifted off the paper there.
        turned[1:][np.abs(np.diff(turned)) > 180.0] = np.nan
        axes.plot(turned, line[:, 1], color=GREY, linewidth=0.7, zorder=2)
    size = min(max(_LARGEST * _LABELLED_AT_MOST / max(len(stations), 1), _SMALLEST), _LARGEST)
    for look in Look:
        _mark(axes, [each for each in stations if each.look is look], look, frame, size)
    if len(stations) <= _LABELLED_AT_MOST:
        _number(axes, [each for each in stations if np.isfinite(each.share)], frame)


def _mark(axes: Axes, stations: Sequence[Station], look: Look, frame: Frame, size: float) -> None:
    if not stations:
        return
    east = frame.turned(np.array([each.longitude for each in stations]))
    north = [each.latitude for each in stations]
    line = 0.8 * (size / _LARGEST) ** 0.25
    if look is Look.NO_VERDICT:
        axes.scatter(east, north, s=size, marker="x", c=GREY, linewidths=line * 2.0, zorder=3)
        return
    colours = [_colour(each) for each in stations]
    marked = {"marker": _MARKERS[look], "edgecolors": INK, "linewidths": line, "zorder": 3}
    axes.scatter(east, north, s=size, c=colours, **marked)
    if look is Look.NARROWLY:
        axes.scatter(east, north, s=_RING * size, c="white", **marked)


def _shade(share: float) -> Rgb:
    red, green, blue, _ = mpl.colormaps[SHARE_COLOURS](_SHARE(share))
    return float(red), float(green), float(blue)


def _pale(share: float) -> Rgb:
    """Return a share's colour thinned with white, so that the stations stand out."""
    red, green, blue = (_PALENESS + (1.0 - _PALENESS) * part for part in _shade(share))
    return red, green, blue


def _colour(station: Station) -> Rgb:
    return (1.0, 1.0, 1.0) if station.look is Look.NO_NEED else _shade(station.share)


def _number(axes: Axes, stations: Sequence[Station], frame: Frame) -> None:
    for each in stations:
        axes.annotate(
            each.numbers,
            (float(frame.turned(np.array(each.longitude))), each.latitude),
            xytext=(0, -7),
            textcoords="offset points",
            ha="center",
            va="top",
            fontsize=SMALL - 0.5,
            zorder=4,
        )


def _degrees(value: float, signs: str) -> str:
    """Return a coordinate as people write it."""
    if abs(value) < 1e-9:
        return "0°"
    return f"{abs(value):g}°{signs[0] if value > 0 else signs[1]}"


def _sample(look: Look, fill: Rgb | str, size: float) -> Line2D:
    """Return a marker of the legend."""
    edge = GREY if look is Look.NO_VERDICT else INK
    return Line2D(
        [],
        [],
        linestyle="none",
        marker=_MARKERS[look],
        markersize=size,
        markerfacecolor=fill,
        markeredgecolor=edge,
        label=str(look),
    )


def _handles(
    maps: Sequence[RigMap], boundaries: Sequence[FloatArray], reach_km: float
) -> list[Line2D | Patch | tuple[Line2D, Line2D]]:
    """Return the legend's samples, only of what is shown."""
    shown = {station.look for each in maps for station in each.stations}
    fills = {Look.NO_NEED: (1.0, 1.0, 1.0), Look.HOLDS: _shade(1.0), Look.NARROWLY: _shade(1.0)}
    found: list[Line2D | Patch | tuple[Line2D, Line2D]] = []
    for look in Look:
        if look not in shown:
            continue
        sample = _sample(look, fills.get(look, _shade(0.4)), 8.0)
        found.append((sample, _sample(look, "white", 4.0)) if look is Look.NARROWLY else sample)
    if reach_km > 0.0:
        said = f"between three stations within {reach_km:g} km: by position, not height"
        found.append(Patch(color=_pale(0.6), linewidth=0, label=said))
    if boundaries:
        found.append(Line2D([], [], color=GREY, linewidth=0.7, label="boundaries as given"))
    return found
