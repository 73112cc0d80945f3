"""A figure as the bytes of a PNG or an SVG, the same bytes each time."""

from __future__ import annotations

import io
import textwrap
import threading
from collections.abc import Callable
from typing import Any, Final, Literal, cast

import matplotlib as mpl
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine
from matplotlib.transforms import Bbox

from noonhold.pictures.style import GREY, SETTINGS, SMALL, TEXT, VERDICT

Kind = Literal["png", "svg"]
KINDS: Final[dict[str, Kind]] = {"image/svg+xml": "svg", "image/png": "png"}
# matplotlib's settings and font tables are shared by all threads: one picture at a time.
_ONE_AT_A_TIME: Final = threading.Lock()


def picture(draw: Callable[[], Figure], kind: Kind, title: str, dots_per_inch: int = 100) -> bytes:
    """Return a drawn figure as a file.

    Parameters
    ----------
    draw : callable
        Makes the figure; called under the common style.
    kind : {"png", "svg"}
        Format.
    title : str
        What the picture says, kept in the file for those who cannot see it.
    dots_per_inch : int, optional
        Of a PNG.

    Returns
    -------
    bytes
        Neither a date nor a version is inside: the same figure is the same file.
    """
    target = io.BytesIO()
    metadata: dict[str, Any] = {"Title": title}
    metadata |= {"Date": None, "Creator": None} if kind == "svg" else {"Software": None}
    with _ONE_AT_A_TIME, mpl.rc_context(cast(Any, SETTINGS)):
        figure = draw()
        FigureCanvasAgg(figure)
        _settle(figure)
        figure.savefig(target, format=kind, dpi=dots_per_inch, metadata=metadata)
    data = target.getvalue()
    if kind == "png":
        return data
    # With the title that matplotlib writes, a reader of the page aloud takes it as one picture.
    return data.replace(b' version="1.1">', b' version="1.1" role="img">', 1)


def _settle(figure: Figure) -> None:
    """Fix what the layout found.

    Its solver goes through its constraints in an order that differs between runs, and so do the
    last digits of what it finds; rounded, they name the same clips in an SVG each time.
    """
    figure.draw_without_rendering()
    figure.set_layout_engine("none")
    for axes in figure.axes:
        bounds = axes.get_position(original=True).bounds
        axes.set_position(Bbox.from_bounds(*(round(each, 6) for each in bounds)))


def head_lines(verdict: str, below: str, width: float) -> tuple[str, str, float]:
    """Return the verdict and the line below it wrapped to a figure, and the room they take.

    Parameters
    ----------
    verdict, below : str
        What was found; which rig, where, when.
    width : float
        Of the figure. [inch]

    Returns
    -------
    tuple of str, str, float
        Both with line breaks; height. [inch]
    """
    # Common practice, no source: a letter is a little over half as wide as its type is tall.
    bold = textwrap.fill(verdict, int((width - 0.3) * 72.0 / (0.63 * VERDICT)))
    plain = textwrap.fill(below, int((width - 0.3) * 72.0 / (0.58 * TEXT)))
    lines = 1.3 * (VERDICT * (bold.count("\n") + 1) + TEXT * (plain.count("\n") + 1))
    return bold, plain, (lines + 12.0) / 72.0


def foot_lines(said: str, width: float) -> tuple[str, float]:
    """Return a figure's last words wrapped to it, and the room they take; see `head_lines`."""
    text = textwrap.fill(said, int((width - 0.3) * 72.0 / (0.55 * SMALL)))
    return text, (1.3 * SMALL * (text.count("\n") + 1) + 8.0) / 72.0


def frame_with_words(
    figure: Figure, verdict: str, below: str, said: str, legend: float = 0.0
) -> None:
    """Write the verdict above a figure's drawing and what was computed beneath, and make room.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        In the constrained layout, which keeps the drawing off the words.
    verdict, below, said : str
        What was found; which rig, where, when; how it was judged.
    legend : float, optional
        Further room beneath the drawing. [inch]
    """
    width, height = figure.get_size_inches()
    bold, plain, head = head_lines(verdict, below, float(width))
    text, foot = foot_lines(said, float(width))
    left, step = 0.12 / width, 1.0 / (72.0 * height)
    top = 1.0 - 7.0 * step
    figure.text(left, top, bold, fontsize=VERDICT, fontweight="bold", va="top")
    under = top - 1.3 * VERDICT * (bold.count("\n") + 1) * step
    figure.text(left, under, plain, color=GREY, va="top")
    figure.text(left, 5.0 * step, text, fontsize=SMALL, va="bottom")
    engine = figure.get_layout_engine()
    if not isinstance(engine, ConstrainedLayoutEngine):
        raise RuntimeError("words need a figure in the constrained layout")
    foot += legend
    room = (0.0, foot / height, 1.0, 1.0 - (head + foot) / height)
    engine.set(rect=room)
