"""A projection as a picture: temperatures above, charge and power below, the verdict as title."""

from __future__ import annotations

import io
import textwrap
from datetime import datetime, timedelta
from threading import Lock
from typing import Any, Final

import matplotlib
from matplotlib.axes import Axes
from matplotlib.dates import AutoDateLocator, ConciseDateFormatter
from matplotlib.figure import Figure

FORMATS: Final = {"image/svg+xml": "svg", "image/png": "png"}
_INCHES: Final = (9.0, 6.2)
_DOTS_PER_INCH: Final = 100
# matplotlib's settings and font tables are shared: one picture at a time.
_ONE_AT_A_TIME: Final = Lock()
_TEMPERATURES: Final = (
    ("outdoor_temperature_c", "outdoors", "tab:gray", "-"),
    ("uncooled_cabin_temperature_c", "cabin, cooler off", "tab:orange", "--"),
    ("cabin_temperature_c", "cabin air", "tab:blue", "-"),
    ("operative_temperature_c", "cabin, operative", "tab:red", "-"),
)
_POWERS: Final = (
    ("solar_power_w", "solar", "goldenrod"),
    ("cooler_power_w", "cooler", "tab:blue"),
    ("alternator_power_w", "alternator", "tab:brown"),
    ("shore_power_w", "shore power", "tab:purple"),
)


def draw(document: dict[str, Any], media_type: str) -> bytes:
    """Return the picture of an answer.

    Parameters
    ----------
    document : dict
        From :func:`service.answers.projection_document`.
    media_type : str
        A key of ``FORMATS``.

    Returns
    -------
    bytes
        Equal answers give equal bytes.
    """
    kind = FORMATS[media_type]
    target = io.BytesIO()
    # The salt makes the identifiers in an SVG the same each time; texts stay texts.
    metadata = {"Date": None} if kind == "svg" else {"Software": None}
    with (
        _ONE_AT_A_TIME,
        matplotlib.rc_context({"svg.hashsalt": "noonhold", "svg.fonttype": "none"}),
    ):
        _figure(document).savefig(target, format=kind, metadata=metadata)
    return target.getvalue()


def _figure(document: dict[str, Any]) -> Figure:
    hours, summary = document["hours"], document["summary"]
    # The clock's own face: the axis shows what a person there reads.
    starts = [datetime.fromisoformat(each).replace(tzinfo=None) for each in hours["time"]]
    # Temperatures and the charge are instants at the intervals' ends, powers means from the starts.
    ends = [each + timedelta(seconds=document["clock"]["interval_s"]) for each in starts]
    figure = Figure(figsize=_INCHES, dpi=_DOTS_PER_INCH, layout="constrained")
    above, below = figure.subplots(2, 1, sharex=True, height_ratios=(3, 2))
    _temperatures(above, ends, hours, summary)
    _electricity(below, starts, ends, hours)
    locator = AutoDateLocator()  # type: ignore[no-untyped-call] # unannotated in matplotlib
    below.xaxis.set_major_locator(locator)
    formatter = ConciseDateFormatter(locator)  # type: ignore[no-untyped-call] # as above
    below.xaxis.set_major_formatter(formatter)
    below.set_xlabel(f"{document['clock']['name']}\n{textwrap.fill(document['cautions'][0], 110)}")
    title = f"{document['rig']}: {summary['sentence']}"
    figure.suptitle(textwrap.fill(title, 100), fontsize=10)
    return figure


def _temperatures(
    axes: Axes, times: list[datetime], hours: dict[str, Any], summary: dict[str, Any]
) -> None:
    for name, label, colour, style in _TEMPERATURES:
        axes.plot(times, hours[name], label=label, color=colour, linestyle=style)  # type: ignore[arg-type] # matplotlib takes dates
    if summary["comfort_measure"] in ("operative", "air"):
        axes.axhline(summary["comfort_limit"], color="black", linewidth=0.8, label="limit")
    axes.set_ylabel("temperature [°C]")
    axes.grid(alpha=0.3)
    axes.legend(loc="upper left", fontsize=8, ncols=3)


def _electricity(
    axes: Axes, starts: list[datetime], ends: list[datetime], hours: dict[str, Any]
) -> None:
    for name, label, colour in _POWERS:
        if name in ("alternator_power_w", "shore_power_w") and not any(hours[name]):
            continue
        axes.step(starts, hours[name], where="post", label=label, color=colour)  # type: ignore[arg-type] # matplotlib takes dates
    axes.set_ylabel("power [W]")
    axes.set_ylim(bottom=0.0)
    axes.grid(alpha=0.3)
    axes.legend(loc="upper left", fontsize=8)
    charge = axes.twinx()
    share = [100.0 * each for each in hours["state_of_charge"]]
    charge.plot(ends, share, color="tab:green")  # type: ignore[arg-type] # matplotlib takes dates
    charge.set_ylabel("charge [%]", color="tab:green")
    charge.set_ylim(0.0, 100.0)
