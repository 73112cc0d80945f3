"""Figures and tables of the validation page, from the report of published checks.

``tests/published/REPORT.md`` is written by the checks themselves and held current by a test, so a
build of the manual takes seconds and shows what was computed.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final, NamedTuple

from matplotlib.figure import Figure

ROOT: Final = Path(__file__).resolve().parents[2]
REPORT: Final = ROOT / "tests" / "published" / "REPORT.md"
_RANGE: Final = re.compile(r"^(-?[\d.e+-]+) to (-?[\d.e+-]+)")
_WITHIN: Final = re.compile(r"^(-?[\d.e+-]+) ± ([\d.e+-]+)")
INSIDE, OUTSIDE, THEIRS = "#1b6ca8", "#c1440e", "#c8ccd0"


class Row(NamedTuple):
    """A figure of the report: by whom, of what, theirs, ours."""

    source: str
    case: str
    quantity: str
    low: float
    high: float
    ours: float
    inside: bool


def tables(heading: str) -> list[list[list[str]]]:
    """Return the tables under a heading of the report, as cells, without their first two rows."""
    text = REPORT.read_text(encoding="utf-8")
    part = text.split(f"\n## {heading}", 1)[1].split("\n## ", 1)[0]
    found: list[list[list[str]]] = []
    before = ""
    for line in part.splitlines():
        if line.startswith("|"):
            if not before.startswith("|"):
                found.append([])
            found[-1].append([cell.strip() for cell in line.strip("|").split("|")])
        before = line
    return [table[2:] for table in found]


def _limits(published: str) -> tuple[float, float] | None:
    if found := _RANGE.match(published):
        return float(found[1]), float(found[2])
    if found := _WITHIN.match(published):
        middle, within = float(found[1]), float(found[2])
        return middle - within, middle + within
    return None


def envelope() -> list[Row]:
    """Return the rows of the building envelope."""
    rows = []
    for case, quantity, published, ours, place, *_ in tables("Building envelope")[0]:
        low, high = _limits(published) or (0.0, 0.0)
        rows.append(Row("", case, quantity, low, high, float(ours), place == "inside"))
    return rows


def parts() -> list[Row]:
    """Return the rows of everything smaller than a building that has a range."""
    rows = []
    for source, case, quantity, published, ours, place in tables("Parts")[0]:
        low, high = _limits(published) or (float("nan"), float("nan"))
        rows.append(Row(source, case, quantity, low, high, float(ours), place == "inside"))
    return rows


def draw_envelope(rows: Sequence[Row], folder: Path) -> list[tuple[str, str]]:
    """Draw a picture a quantity, and return title and file name of each."""
    by_quantity: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        by_quantity[row.quantity if row.case != "weather" else "sun on and through glass"].append(
            row
        )
    drawn = []
    for quantity, found in by_quantity.items():
        figure = Figure(figsize=(8.0, 3.2), layout="constrained")
        axes = figure.subplots()
        if quantity.startswith("sun"):
            # Of different size: each beside the mean of its own range.
            names = [row.quantity for row in found]
            scales = [2.0 / (row.low + row.high) for row in found]
        else:
            names, scales = [row.case for row in found], [1.0] * len(found)
        at = range(len(found))
        low = [row.low * scale for row, scale in zip(found, scales, strict=True)]
        tall = [(row.high - row.low) * s for row, s in zip(found, scales, strict=True)]
        axes.bar(at, tall, bottom=low, width=0.7, color=THEIRS, label="range of the programs")
        for inside, colour, mark, word in (
            (True, INSIDE, "o", "ours"), (False, OUTSIDE, "D", "ours, outside"),
        ):  # fmt: skip
            where = [i for i in at if found[i].inside is inside]
            values = [found[i].ours * scales[i] for i in where]
            axes.plot(where, values, mark, color=colour, markersize=4, label=word)
        axes.set_xticks(list(at), names, rotation=90, fontsize=7)
        axes.set_ylabel("over the middle of the range" if quantity.startswith("sun") else quantity)
        axes.legend(fontsize=7)
        name = "envelope_" + re.sub(r"\W+", "_", quantity).strip("_") + ".svg"
        figure.savefig(folder / name, metadata={"Date": None})
        drawn.append((quantity, name))
    return drawn


def draw_apart(folder: Path) -> str:
    """Draw how far mechanical cooling lies from the analytical solutions, and return the name."""
    rows = [row for row in tables("Mechanical cooling")[0] if row[4].endswith("%")]
    quantities = list(dict.fromkeys(row[1] for row in rows))
    cases = list(dict.fromkeys(row[0] for row in rows))
    figure = Figure(figsize=(8.0, 3.2), layout="constrained")
    axes = figure.subplots()
    for number, quantity in enumerate(quantities):
        found = [(cases.index(r[0]), float(r[4].rstrip(" %"))) for r in rows if r[1] == quantity]
        axes.plot(*zip(*found, strict=True), "osD^v"[number % 5], markersize=4, label=quantity)
    axes.axhline(0.0, color="black", linewidth=0.6)
    axes.set_xticks(range(len(cases)), cases, rotation=90, fontsize=7)
    axes.set_ylabel("% from the mean of two solutions")
    axes.legend(fontsize=7, ncols=2)
    figure.savefig(folder / "mechanical_cooling.svg", metadata={"Date": None})
    return "mechanical_cooling.svg"


def sensitivities() -> list[Row]:
    """Return the rows of differences between two cases."""
    rows = []
    for cases, effect, quantity, _, published, ours, place in tables("Sensitivities")[0]:
        low, high = _limits(published) or (0.0, 0.0)
        rows.append(Row(effect, cases, quantity, low, high, float(ours), place == "inside"))
    return rows


def draw_within(rows: Sequence[Row], folder: Path, name: str) -> str:
    """Draw where ours lies within each published range, by source, and return the name."""
    ranged = [row for row in rows if row.high > row.low]
    sources = list(dict.fromkeys(row.source for row in ranged))
    figure = Figure(figsize=(8.0, 0.24 * len(sources) + 0.8), layout="constrained")
    axes = figure.subplots()
    axes.axvspan(0.0, 1.0, color=THEIRS)
    for row in ranged:
        where = (row.ours - row.low) / (row.high - row.low)
        shown = min(max(where, -0.6), 1.6)
        colour, mark = (INSIDE, "o") if row.inside else (OUTSIDE, "D")
        axes.plot(shown, sources.index(row.source), mark, color=colour, markersize=4, alpha=0.7)
    axes.set_yticks(range(len(sources)), sources, fontsize=7)
    axes.set_xticks([0.0, 1.0], ["lower end", "upper end"])
    axes.set_xlim(-0.7, 1.7)
    axes.invert_yaxis()
    figure.savefig(folder / name, metadata={"Date": None})
    return name


def _by_source(rows: Sequence[Row]) -> list[str]:
    lines = ["| source | figures | inside |", "|---|---|---|"]
    for source in dict.fromkeys(row.source for row in rows):
        found = [row for row in rows if row.source == source]
        lines.append(f"| {source} | {len(found)} | {sum(row.inside for row in found)} |")
    return lines


def write_validation(folder: Path) -> None:
    """Write the figures, and the page's generated part that shows them."""
    folder.mkdir(parents=True, exist_ok=True)
    shell, small = envelope(), parts()
    inside = sum(row.inside for row in shell)
    lines = [
        "### Building envelope", "",
        f"ANSI/ASHRAE Standard 140-2020, {len(shell)} figures of "
        f"{len({row.case for row in shell if row.case != 'weather'})} cases: {inside} lie inside "
        "the range of the six reference programs (grey). The ranges are example results, no "
        "acceptance criteria.", "",
    ]  # fmt: skip
    for quantity, name in draw_envelope(shell, folder):
        lines += [
            f"```{{figure}} /generated/{name}",
            f"{quantity[0].upper()}{quantity[1:]}.",
            "```",
            "",
        ]
    effects = sensitivities()
    lines += [
        "### What a change does", "",
        "Differences between two of those cases: what a window, a shade or a colour does. "
        f"{sum(row.inside for row in effects)} of {len(effects)} lie inside the range of the "
        "programs' differences.", "",
        f"```{{figure}} /generated/{draw_within(effects, folder, 'sensitivities.svg')}",
        "Within the range of the programs' differences, by effect.", "```", "",
        "### Mechanical cooling", "",
        "Standard 140, CE100 to CE200: a cooler in a steady room, beside the two analytical "
        "solutions.", "",
        f"```{{figure}} /generated/{draw_apart(folder)}", "Apart, in per cent.", "```", "",
        "### Parts", "",
        "Everything smaller than a building: where ours lies between the ends of what is "
        "published, or of a tolerance about an exact value.", "",
        f"```{{figure}} /generated/{draw_within(small, folder, 'parts.svg')}",
        "Within the published range of each figure.", "```", "", *_by_source(small), "",
    ]  # fmt: skip
    (folder / "validation_figures.md").write_text("\n".join(lines), encoding="utf-8")


def setup(app: Any) -> dict[str, bool]:
    """Register with Sphinx."""
    app.connect("builder-inited", lambda _: write_validation(ROOT / "docs" / "generated"))
    return {"parallel_read_safe": True}
