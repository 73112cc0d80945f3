"""A projection as a picture: temperatures, charge, power over the hours, the verdict on top."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from noonhold.pictures.clock_axis import day_name, label_axis, passed, windows
from noonhold.pictures.picture_output import Kind, frame_with_words, picture
from noonhold.pictures.style import (
    BLUE,
    DASH_DOT,
    DASHED,
    DOTTED,
    GREEN,
    GREY,
    INK,
    ORANGE,
    PURPLE,
    SKY,
    SMALL,
    VERMILION,
    WASH,
    FloatArray,
)
from noonhold.projection_result import ProjectionResult
from noonhold.scenario import ComfortMeasure
from noonhold.simulation import channels as ch
from noonhold.verdict import CAUTIONS

WIDTH: Final = 9.0
HEIGHT: Final = 7.6
# A mean vote is no temperature and gets no line among them.
_IN_DEGREES: Final = {
    ComfortMeasure.OPERATIVE: "felt: mean of air and surfaces",
    ComfortMeasure.HEAT_INDEX: "felt: heat index",
}


@dataclass(frozen=True)
class _Axis:
    """Where the values of an interval stand: hours passed at its start, middle and end."""

    edges: FloatArray

    @property
    def middles(self) -> FloatArray:
        """Return where a mean stands."""
        result: FloatArray = 0.5 * (self.edges[:-1] + self.edges[1:])
        return result


def draw_day(found: ProjectionResult, verdict: str, kind: Kind) -> bytes:
    """Return the picture of a projection, one day or many.

    Parameters
    ----------
    found : noonhold.projection_result.ProjectionResult
        What was projected.
    verdict : str
        One sentence; stands on top.
    kind : {"png", "svg"}
        Format.

    Returns
    -------
    bytes
        Equal answers give equal bytes.
    """
    # A number and its unit stay on one line.
    words = verdict.replace(" degC", "\N{NO-BREAK SPACE}°C").replace(" %", "\N{NO-BREAK SPACE}%")
    return picture(lambda: _figure(found, words), kind, f"{found.projection.rig.name}: {words}")


def _figure(found: ProjectionResult, verdict: str) -> Figure:
    projection = found.projection
    interval_s = projection.weather.interval_s
    axis = _Axis(passed(projection.clock, interval_s))
    figure = Figure(figsize=(WIDTH, HEIGHT), layout="constrained")
    upper, middle, lower = figure.subplots(3, 1, sharex=True, height_ratios=(3.2, 1.5, 1.9))
    _temperatures(upper, axis, found)
    _charge(middle, axis, found)
    _power(lower, axis, projection.record)
    label_axis(lower, projection.clock, interval_s)
    legal = projection.scenario.place.timezone is not None
    whose = "legal time of the place" if legal else "standard time of the weather"
    lower.set_xlabel(f"clock: {projection.clock.name}, {whose}")
    figure.align_ylabels()
    frame_with_words(figure, verdict, _where_and_when(found), CAUTIONS[0])
    return figure


def _where_and_when(found: ProjectionResult) -> str:
    projection = found.projection
    starts = projection.clock.starts
    if found.near is None:
        place = projection.scenario.place
        where = f"{abs(place.latitude):g}°{'S' if place.latitude < 0 else 'N'}"
        where += f" {abs(place.longitude):g}°{'W' if place.longitude < 0 else 'E'}"
    else:
        where = f"typical year of {found.near.station.site.name}"
    first, last = day_name(starts[0]), day_name(starts[-1])
    when = first if first == last else f"{first} to {last}"
    return f"{projection.rig.name}  |  {where}  |  {when}"


def _legend(axes: Axes, columns: int) -> None:
    """Put the legend above the drawing, where it covers nothing."""
    axes.legend(
        loc="lower left",
        bbox_to_anchor=(-0.01, 1.0),
        ncols=columns,
        borderaxespad=0.2,
        handlelength=2.6,
        columnspacing=1.6,
    )


def _temperatures(axes: Axes, axis: _Axis, found: ProjectionResult) -> None:
    projection = found.projection
    record, comfort = projection.record, projection.scenario.comfort
    window = projection.scenario.operation.cooling_window
    spans = windows(projection.clock, projection.weather.interval_s, window)
    if spans and spans != [(0.0, float(axis.edges[-1]))]:
        for start, end in spans:
            axes.axvspan(start, end, color=WASH, linewidth=0, zorder=0)
        axes.axvspan(0.0, 0.0, color=WASH, label="cooling window, in which the day is judged")
    at = axis.middles
    uncooled = projection.uncooled[:, ch.CABIN]
    axes.plot(at, uncooled, color=VERMILION, linestyle=DASHED, label="cabin without its cooler")
    axes.plot(at, record[:, ch.OUTDOOR], color=GREY, linestyle=DOTTED, label="outdoors")
    air = "cabin air (judged)" if comfort.measure is ComfortMeasure.AIR else "cabin air"
    axes.plot(at, record[:, ch.CABIN], color=BLUE, linewidth=1.8, label=air)
    if comfort.measure in _IN_DEGREES:
        name = _IN_DEGREES[comfort.measure]
        felt = record[:, ch.COMFORT]
        axes.plot(at, felt, color=PURPLE, linestyle=DASH_DOT, label=f"{name} (judged)")
    if comfort.measure is not ComfortMeasure.PMV:
        axes.axhline(
            comfort.limit, color=INK, linewidth=0.8, label=f"comfort limit {comfort.limit:g} °C"
        )
    axes.set_ylabel("temperature, °C")
    _legend(axes, 3)


def _charge(axes: Axes, axis: _Axis, found: ProjectionResult) -> None:
    projection = found.projection
    battery = projection.rig.battery
    scale = 100.0 / battery.usable_energy_wh
    begin = 100.0 * projection.charge_at_start
    charge = np.append(begin, projection.record[:, ch.STORED] * scale)
    at = axis.edges
    axes.fill_between(at, charge, color=SKY, alpha=0.35, linewidth=0)
    axes.plot(at, charge, color=INK, linewidth=1.2)
    axes.axhline(100.0 * battery.reserve_fraction, color=VERMILION, linestyle=DASHED, linewidth=0.9)
    axes.annotate(
        f"reserve: here the cooler stops, {100.0 * battery.reserve_fraction:.0f} %",
        (0.006, 100.0 * battery.reserve_fraction),
        xycoords=("axes fraction", "data"),
        xytext=(0, 2.5),
        textcoords="offset points",
        fontsize=SMALL - 0.5,
    )
    axes.set_ylim(0.0, 100.0)
    axes.set_yticks([0, 25, 50, 75, 100])
    axes.set_ylabel("charge, %")


def _power(axes: Axes, axis: _Axis, record: FloatArray) -> None:
    """Draw means as steps: what the sun gave is an area, what was drawn are lines."""
    edges, solar = axis.edges, record[:, ch.SOLAR]
    used = record[:, ch.SOLAR_USED]
    axes.stairs(used, edges, fill=True, color=ORANGE, alpha=0.45, label="solar, used")
    if (record[:, ch.CURTAILED] > 0.5).any():
        axes.stairs(
            solar,
            edges,
            baseline=used,
            fill=True,
            facecolor="none",
            edgecolor=ORANGE,
            hatch="/////",
            linewidth=0,
            label="solar, could not be used",
        )
    others = record[:, ch.LOAD_POWER] + record[:, ch.STANDING_POWER] + record[:, ch.HEATER_POWER]
    lines = (
        ("alternator", record[:, ch.ALTERNATOR], GREEN, DASH_DOT),
        ("shore power", record[:, ch.SHORE], PURPLE, DASHED),
        ("cooler", record[:, ch.COOLER_POWER], BLUE, "-"),
        ("everything else", others, GREY, DOTTED),
    )
    for name, values, colour, style in lines:
        if name in ("alternator", "shore power") and not values.any():
            continue
        axes.stairs(
            values, edges, baseline=None, color=colour, linestyle=style, linewidth=1.4, label=name
        )
    axes.set_ylim(bottom=0.0)
    axes.set_ylabel("power, W")
    _legend(axes, 6)
