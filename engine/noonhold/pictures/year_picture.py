"""The year of a place: cabin temperature by day and hour, verdicts, lowest charge, outdoor high."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import matplotlib as mpl
import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.colors import Normalize
from matplotlib.figure import Figure

from noonhold.pictures.clock_axis import MONTHS
from noonhold.pictures.picture_output import Kind, frame_with_words, picture
from noonhold.pictures.style import (
    BLUE,
    DASHED,
    GREY,
    HEAT_COLOURS,
    INK,
    PALE,
    SKY,
    SMALL,
    VERMILION,
    FloatArray,
)
from noonhold.quantities import LIVING_THERE, LONGEST_STAY_D, Horizon
from noonhold.scenario import ComfortMeasure, Scenario
from noonhold.verdict import CAUTIONS, Cause, DayVerdicts, Verdict

DAYS: Final = 365
_FIRSTS: Final = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


@dataclass(frozen=True)
class YearOfPlace:
    """One rig through one year at one place, days from 1 January to 31 December.

    Parameters
    ----------
    rig, place : str
        Names that people read.
    cabin_c : numpy.ndarray, shape (365, intervals of a day)
        Cabin air. [degC]
    outdoor_high_c : numpy.ndarray, shape (365,)
        [degC]
    verdicts : DayVerdicts
        365 days.
    scenario : Scenario
        For the limit and the cooling window.
    horizon : Horizon, optional
        What `verdicts` say of every date.
    stay_days : numpy.ndarray of int, shape (365,), optional
        Days that hold from each date of arrival on; needed where the horizon is a stay.
    """

    rig: str
    place: str
    cabin_c: FloatArray
    outdoor_high_c: FloatArray
    verdicts: DayVerdicts
    scenario: Scenario
    reserve_fraction: float
    horizon: Horizon = LIVING_THERE
    stay_days: npt.NDArray[np.int64] | None = None
    charge_on_arrival: float = 1.0

    @property
    def kinds(self) -> dict[str, npt.NDArray[np.bool_]]:
        """Return the days by what they came to, in the order in which they are drawn."""
        days = self.verdicts
        energy = np.isin(days.first_cause, (Cause.ENERGY_BALANCE, Cause.ENERGY_STORAGE))
        operation = np.isin(days.first_cause, (Cause.MEASURE, Cause.SCHEDULE))
        failed = days.needs_cooling & ~days.holds
        return {
            "no cooling needed": ~days.needs_cooling,
            "holds": days.needs_cooling & (days.verdict == int(Verdict.HOLDS)),
            "holds narrowly": days.needs_cooling & (days.verdict == int(Verdict.NARROWLY)),
            "fails, energy first": failed & energy,
            "fails, cooler first": failed & (days.first_cause == int(Cause.CAPACITY)),
            "fails, set point or schedule first": failed & operation,
        }


def verdict_of(year: YearOfPlace) -> str:
    """Return a year's verdict in a sentence."""
    count = {name: int(days.sum()) for name, days in year.kinds.items()}
    needing = DAYS - count["no cooling needed"]
    if not needing:
        return "No day of the year needs cooling."
    narrow = count["holds narrowly"]
    held = f"holds on {count['holds'] + narrow} of the {needing} dates that need cooling"
    said = f"{year.horizon.word.capitalize()}: {held}"
    if narrow:
        said += f", narrowly on {narrow} of them"
    causes = (
        ("fails, energy first", "the energy runs out first on {}"),
        ("fails, cooler first", "the cooler is too small first on {}"),
        (
            "fails, set point or schedule first",
            "set point, measure or schedule is at fault first on {}",
        ),
    )
    failing = [words.format(count[name]) for name, words in causes if count[name]]
    return f"{said}; {', '.join(failing)}." if failing else f"{said}."


def draw_year(year: YearOfPlace, said: str, kind: Kind) -> bytes:
    """Return the picture of a year.

    Parameters
    ----------
    said : str
        How days were judged.
    kind : {"png", "svg"}
        Format.

    Returns
    -------
    bytes
        Equal years give equal bytes.
    """
    title = f"{year.rig} at {year.place}: {verdict_of(year)}"
    return picture(lambda: _figure(year, said), kind, title)


def _figure(year: YearOfPlace, said: str) -> Figure:
    figure = Figure(figsize=(11.0, 8.6), layout="constrained")
    panels = figure.subplots(4, 1, sharex=True, height_ratios=(4.0, 1.25, 1.5, 1.3))
    _temperatures(figure, panels[0], year)
    _kinds(panels[1], year)
    if year.stay_days is None or year.horizon.days is None:
        _charge(panels[2], year)
    else:
        _stays(panels[2], year.stay_days, year.horizon.days)
    _outdoors(panels[3], year)
    panels[3].set_xticks(_FIRSTS[:-1], MONTHS, ha="left")
    panels[3].set_xlim(0, DAYS)
    asked = year.horizon.question("when", year.charge_on_arrival)
    below = f"{year.rig}  |  {year.place}  |  {asked}"
    rule = year.horizon.rule(year.charge_on_arrival)
    frame_with_words(figure, verdict_of(year), below, f"{said} {rule} {CAUTIONS[0]}")
    return figure


def _temperatures(figure: Figure, axes: Axes, year: YearOfPlace) -> None:
    """Draw the cabin by day and hour; lightness rises with heat, so it reads in grey."""
    cabin, comfort = year.cabin_c, year.scenario.comfort
    scale = Normalize(float(np.floor(cabin.min())), float(np.ceil(cabin.max())))
    image = axes.imshow(
        cabin.T,
        aspect="auto",
        origin="lower",
        extent=(0, DAYS, 0, 24),
        norm=scale,
        cmap=mpl.colormaps[HEAT_COLOURS],
        interpolation="nearest",
    )
    axes.grid(visible=False)
    axes.set_yticks([0, 6, 12, 18, 24], ["00:00", "06:00", "12:00", "18:00", "24:00"])
    axes.set_ylabel("hour, standard time")
    start, end = year.scenario.operation.cooling_window
    if start % 24.0 != end % 24.0:
        for hour, word in ((start, "opens"), (end, "shuts")):
            axes.axhline(hour, color="white", linestyle=DASHED, linewidth=0.9)
            axes.text(
                2.0,
                hour + 0.4,
                f"cooling window {word}",
                color="white",
                fontsize=SMALL,
                bbox={"facecolor": INK, "edgecolor": "none", "alpha": 0.55, "pad": 1.5},
            )
    bar = figure.colorbar(image, ax=axes, pad=0.01, aspect=22)
    words = "cabin air, °C" if year.horizon.living_there else "cabin air while energy lasts, °C"
    if comfort.measure in (ComfortMeasure.AIR, ComfortMeasure.OPERATIVE):
        bar.ax.axhline(comfort.limit, color="white", linewidth=2.2)
        bar.ax.axhline(comfort.limit, color=INK, linewidth=0.9)
        words += f" (line: comfort limit {comfort.limit:g} °C)"
    bar.set_label(words)


def _kinds(axes: Axes, year: YearOfPlace) -> None:
    """Fill a row of the days of each kind: the row shows the kind, not only the colour."""
    colours = (PALE, BLUE, SKY, INK, VERMILION, GREY)
    labels = []
    for row, ((name, days), colour) in enumerate(zip(year.kinds.items(), colours, strict=True)):
        first = np.flatnonzero(days)
        hatch = "////" if name == "holds narrowly" else ""
        axes.broken_barh(
            [(int(day), 1.0) for day in first], (row - 0.4, 0.8), facecolor=colour, lw=0,
            hatch=hatch, edgecolor=INK,
        )  # fmt: skip
        labels.append(f"{name}: {len(first)} d")
    axes.set_ylim(-0.7, len(labels) - 0.3)
    axes.set_yticks(range(len(labels)), labels)
    axes.grid(visible=False, axis="y")


def _charge(axes: Axes, year: YearOfPlace) -> None:
    edges = np.arange(DAYS + 1)
    charge = 100.0 * year.verdicts.lowest_charge
    axes.stairs(charge, edges, fill=True, color=SKY, alpha=0.45)
    axes.stairs(charge, edges, baseline=None, color=INK, linewidth=0.8)
    reserve = 100.0 * year.reserve_fraction
    axes.axhline(reserve, color=VERMILION, linestyle=DASHED, linewidth=0.9)
    axes.text(
        DAYS - 1.0,
        reserve + 2.0,
        f"reserve {reserve:.0f} %: here the cooler stops",
        fontsize=SMALL - 0.5,
        ha="right",
    )
    axes.set_ylim(0.0, 100.0)
    axes.set_ylabel("lowest charge, %")


def _stays(axes: Axes, days: npt.NDArray[np.int64], asked: int) -> None:
    """Draw how many days hold from each date on, beside the number asked for."""
    edges = np.arange(DAYS + 1)
    axes.stairs(days, edges, fill=True, color=SKY, alpha=0.45)
    axes.stairs(days, edges, baseline=None, color=INK, linewidth=0.8)
    axes.axhline(asked, color=VERMILION, linestyle=DASHED, linewidth=0.9)
    axes.set_ylim(0.0, LONGEST_STAY_D + 0.5)
    axes.set_yticks([0, 7, LONGEST_STAY_D], ["0", "7", f"{LONGEST_STAY_D} or more"])
    axes.set_ylabel("days that hold\nfrom arrival on")


def _outdoors(axes: Axes, year: YearOfPlace) -> None:
    edges = np.arange(DAYS + 1)
    axes.stairs(year.outdoor_high_c, edges, baseline=None, color=VERMILION, linewidth=1.0)
    axes.set_ylabel("outdoor high, °C")
