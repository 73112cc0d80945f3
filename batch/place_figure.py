"""The annual story of a place: cabin temperature by day and hour, the charge, the failed days."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

import matplotlib as mpl
import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import Normalize
from matplotlib.figure import Figure

from batch.block import DAYS
from batch.selection import MONTHS
from engine.scenario import Comfort
from engine.verdict import Cause, DayVerdicts

_FIRSTS = [
    int((np.datetime64(f"2001-{month:02d}-01") - np.datetime64("2001-01-01")).astype(int))
    for month in range(1, 13)
]
_FAILED = {Cause.CAPACITY: ("^", "cooler too small first"), Cause.ENERGY: ("s", "energy ran out")}


@dataclass(frozen=True)
class YearOfPlace:
    """One rig through one year at one place.

    Parameters
    ----------
    cabin_c : numpy.ndarray, shape (365, hours)
        Cabin air by day of the year and interval of the day. [degC]
    outdoor_high_c : numpy.ndarray, shape (365,)
        [degC]
    verdicts : DayVerdicts
        In the order of the year.
    comfort : Comfort
        For the limit.
    """

    cabin_c: npt.NDArray[np.float64]
    outdoor_high_c: npt.NDArray[np.float64]
    verdicts: DayVerdicts
    comfort: Comfort


def to_frame(year: YearOfPlace) -> pd.DataFrame:
    """Return what the figure shows by day, as a table.

    Parameters
    ----------
    year : YearOfPlace
        The year.

    Returns
    -------
    pandas.DataFrame
        365 rows; units in the headers, causes in words.
    """
    days = year.verdicts
    dates = np.datetime64("2001-01-01") + np.arange(DAYS)
    return pd.DataFrame(
        {
            "day": [str(date)[5:] for date in dates],
            "outdoor_high_degc": year.outdoor_high_c.round(2),
            "cabin_high_degc": year.cabin_c.max(axis=1).round(2),
            "needs_cooling": days.needs_cooling,
            "feasible": days.feasible,
            "first_cause": [Cause(int(cause)).name.lower() for cause in days.cause],
            "comfortable_share": days.comfortable_share.round(4),
            "lowest_charge": days.lowest_charge.round(4),
            "cooler_wh": days.cooler_wh.round(1),
            "solar_wh": days.solar_wh.round(1),
            "spilled_wh": days.spilled_wh.round(1),
        }
    )


def place_figure(year: YearOfPlace, title: str, said: str) -> Figure:
    """Return the figure of a year.

    Parameters
    ----------
    year : YearOfPlace
        The year.
    title, said : str
        Rig and place; what was computed.

    Returns
    -------
    matplotlib.figure.Figure
        Drawn by Agg.
    """
    figure = Figure(figsize=(11.0, 7.4), layout="constrained")
    FigureCanvasAgg(figure)
    upper, middle, lower = figure.subplots(
        3, 1, sharex=True, height_ratios=(4.0, 2.0, 0.8), squeeze=True
    )
    _temperatures(figure, upper, year)
    _charge(middle, year)
    _days(lower, year)
    lower.set_xticks(_FIRSTS, MONTHS, ha="left")
    lower.set_xlim(0, DAYS)
    figure.suptitle(title, fontsize=13)
    figure.supxlabel(textwrap.fill(said, 150), fontsize=8.5, x=0.01, ha="left")
    return figure


def _temperatures(figure: Figure, axes: Axes, year: YearOfPlace) -> None:
    """Draw the cabin by day and hour; lightness rises with heat, so it reads in grey."""
    scale = Normalize(float(np.floor(year.cabin_c.min())), float(np.ceil(year.cabin_c.max())))
    image = axes.imshow(
        year.cabin_c.T,
        aspect="auto",
        origin="lower",
        extent=(0, DAYS, 0, 24),
        norm=scale,
        cmap=mpl.colormaps["inferno"],
        interpolation="nearest",
    )
    axes.set_yticks([0, 6, 12, 18, 24])
    axes.set_ylabel("hour, standard time")
    bar = figure.colorbar(image, ax=axes, pad=0.01)
    bar.set_label("cabin air, °C")


def _charge(axes: Axes, year: YearOfPlace) -> None:
    """Draw the lowest charge by day, and the outdoor high beside it."""
    middle = np.arange(DAYS) + 0.5
    charge = 100.0 * year.verdicts.lowest_charge
    axes.fill_between(middle, charge, step="mid", color="0.75", linewidth=0)
    axes.step(middle, charge, where="mid", color="0.25", linewidth=0.8)
    axes.set_ylim(0, 104)
    axes.set_ylabel("lowest charge, %")
    heat = axes.twinx()
    heat.plot(middle, year.outdoor_high_c, color="#b3541e", linewidth=0.9)
    heat.set_ylabel("outdoor high, °C", color="#b3541e")


def _days(axes: Axes, year: YearOfPlace) -> None:
    """Mark the days that need cooling, and those that fail by their first cause."""
    days = year.verdicts
    middle = np.arange(DAYS) + 0.5
    held = days.needs_cooling & days.feasible
    axes.set_ylim(-0.6, 2.6)
    labels = ["held"]
    axes.scatter(middle[held], np.full(held.sum(), 0.0), marker="o", s=9, color="#3b6ea5")
    for row, (cause, (marker, label)) in enumerate(_FAILED.items(), start=1):
        failed = days.needs_cooling & ~days.feasible & (days.cause == int(cause))
        axes.scatter(middle[failed], np.full(failed.sum(), row), marker=marker, s=9, color="black")
        labels.append(label)
    axes.set_yticks([0, 1, 2], labels, fontsize=8)
    axes.grid(axis="x", color="0.85", linewidth=0.6)
