"""One look for every picture: type, line widths, colours that colour-blind eyes and grey keep.

Colour is never the only carrier: lines differ by their dashes, areas by hatching, stations by
their marker. The colours are those of Okabe and Ito (2008), "Color Universal Design".
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

INK: Final = "#1b1b1b"
GREY: Final = "#5f5f5f"
PALE: Final = "#b4b4b4"
FAINT: Final = "#e2e2e2"
WASH: Final = "#f0f0ea"
BLUE: Final = "#0072b2"
SKY: Final = "#56b4e9"
VERMILION: Final = "#d55e00"
ORANGE: Final = "#e69f00"
GREEN: Final = "#009e73"
PURPLE: Final = "#a8517f"

# Lightness rises evenly in both, so that a print in grey keeps their order.
SHARE_COLOURS: Final = "cividis"
HEAT_COLOURS: Final = "inferno"

DASHED: Final = (0, (5, 2))
DOTTED: Final = (0, (1, 1.4))
DASH_DOT: Final = (0, (7, 2, 1.2, 2))

SMALL: Final = 8.0
TEXT: Final = 9.0
VERDICT: Final = 11.5

SETTINGS: Final[dict[str, Any]] = {
    "font.family": "DejaVu Sans",  # comes with matplotlib, so it is everywhere the same
    "font.size": TEXT,
    "text.color": INK,
    "axes.edgecolor": GREY,
    "axes.labelcolor": INK,
    "axes.labelsize": TEXT,
    "axes.linewidth": 0.6,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.axisbelow": True,
    "axes.grid": True,
    "grid.color": FAINT,
    "grid.linewidth": 0.6,
    "lines.linewidth": 1.3,
    "xtick.color": GREY,
    "ytick.color": GREY,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "xtick.labelsize": SMALL,
    "ytick.labelsize": SMALL,
    "legend.frameon": False,
    "legend.fontsize": SMALL,
    "hatch.linewidth": 0.5,
    "hatch.color": GREY,
    # A fixed salt for the identifiers in an SVG; texts stay texts, to be found and read aloud.
    "svg.hashsalt": "noonhold",
    "svg.fonttype": "none",
}
