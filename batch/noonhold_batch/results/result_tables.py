"""Rows to a table with units in its headers, and the table to text, CSV, Markdown, Parquet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Literal

import pandas as pd

from noonhold_batch.batch_errors import BatchError
from noonhold_batch.results.row_selection import By, Row
from noonhold_batch.results.short_names import TERMINAL, shortened_apart, wrapped
from noonhold_batch.results.summaries import DaysSummary
from noonhold_batch.whole_file import write_whole, written_aside

Format = Literal["text", "csv", "markdown", "parquet"]
_FIRST_DAY = date(2001, 1, 1)
_GROUP = {"site": "site", "region": "region", "month": "month", "rig": ""}
# (long header for files, short header of two lines for the eye, whether the terminal shows it)
COLUMNS = (
    ("cooling_days_d", "cooling|days", True),
    ("feasible_percent", "held|%", True),
    ("longest_failing_run_d", "longest|fail, d", True),
    ("first_cooler_too_small_d", "cooler|small, d", True),
    ("first_energy_out_d", "energy|out, d", True),
    ("first_operation_d", "set point,|sched., d", False),
    ("battery_alone_kwh", "battery|kWh", True),
    ("battery_alone_helps_d", "battery|helps, d", False),
    ("arrays_alone_w", "arrays|W", True),
    ("arrays_alone_help_d", "arrays|help, d", False),
    ("cooler_kwh_per_cooling_day", "cooler|kWh/d", False),
    ("lowest_charge_percent", "lowest|charge %", False),
    ("outdoor_high_95_percent_degc", "95 %|high", True),
    ("day_of_that_high", "day of|that high", False),
    ("that_day_holds", "that day|held", True),
    ("site_years_failed", "no|verdict", True),
)
_OF_NEEDED = {
    "battery": ("battery_alone_kwh", "battery_alone_helps_d"),
    "array": ("arrays_alone_w", "arrays_alone_help_d"),
}
_COUNTS = tuple(name for name, _, _ in COLUMNS if name.endswith("_d"))
_NEEDED_LEGEND = (
    "battery, arrays: the usable energy, or the rated power of all arrays together, with which"
    " every failed day would be held that it alone can repair, the shortage of the days before"
    " included; '-': there is none"
)
_LEGEND = (
    "cooling days: the cabin without its cooler would leave the comfort limit; held: share of them"
    " that hold; longest fail: most of them in a row, in one site-year, that are not;"
    " cooler small, energy out: what failed first on those",
    _NEEDED_LEGEND,
    "95 % high: outdoor high in degC that 95 of 100 days stay at or below",
)


def _figures(summary: DaysSummary) -> list[object]:
    """Return the cells of a summary, None for what does not exist."""
    day = None
    if summary.hot_day >= 0:
        day = f"{_FIRST_DAY + timedelta(days=summary.hot_day):%d %b}"
    return [
        summary.days_needing_cooling,
        _number(100.0 * summary.share, 1),
        summary.longest_failing_run_d,
        summary.first_capacity,
        summary.first_energy,
        summary.first_operation,
        None if summary.battery is None else _number(summary.battery.size / 1000.0, 2),
        None if summary.battery is None else summary.battery.days,
        None if summary.array is None else _number(summary.array.size, 0),
        None if summary.array is None else summary.array.days,
        _number(summary.cooler_kwh_a_day, 2),
        _number(100.0 * summary.lowest_charge, 1),
        _number(summary.hot_high_c, 1),
        day,
        None if summary.hot_day_holds is None else ("no", "yes")[summary.hot_day_holds],
    ]


def _number(value: float, digits: int) -> float | None:
    return None if math.isnan(value) else round(value, digits)


def to_frame(found: Sequence[Row], by: By) -> pd.DataFrame:
    """Return rows as a frame.

    Parameters
    ----------
    found : sequence of Row
        From `noonhold_batch.results.row_selection.rows`.
    by : str
        What they were grouped by.

    Returns
    -------
    pandas.DataFrame
        Long headers with units; columns that no row fills are left off, and those of sizes that
        the result does not hold.
    """
    names = ["rig", *([_GROUP[by]] if _GROUP[by] else []), *(name for name, _, _ in COLUMNS)]
    table: list[list[object]] = []
    for row in found:
        cells = [None] * (len(COLUMNS) - 1) if row.summary is None else _figures(row.summary)
        group = [row.group] if _GROUP[by] else []
        table.append([row.rig, *group, *cells, row.failed, row.reason or None])
    frame = pd.DataFrame(table, columns=[*names, "reason"])
    for name in _COUNTS:
        frame[name] = frame[name].astype("Int64")
    summaries = [row.summary for row in found if row.summary is not None]
    unknown = {
        name
        for part, names in _OF_NEEDED.items()
        for name in names
        if any(getattr(summary, part) is None for summary in summaries)
    }
    kept = [
        name
        for name in frame.columns
        if name not in unknown
        and (
            name not in ("day_of_that_high", "that_day_holds", "reason")
            or frame[name].notna().any()
        )
    ]
    if not frame["site_years_failed"].any():
        kept.remove("site_years_failed")
    return frame[kept]


def write_table(frame: pd.DataFrame, kind: Format, out: Path | None, note: str = "") -> str:
    """Return a table as text, or write it to a file and return nothing.

    Parameters
    ----------
    frame : pandas.DataFrame
        From `to_frame`.
    kind : str
        ``text``, ``csv``, ``markdown`` or ``parquet``.
    out : pathlib.Path or None
        The file; needed for ``parquet``.
    note : str, optional
        What stands under a table of text, in place of the legend of columns that it lacks.

    Returns
    -------
    str
        Empty where a file was written.

    Raises
    ------
    BatchError
        Where Parquet is asked for without a file or without pyarrow.
    """
    if kind == "parquet":
        if out is None:
            raise BatchError.single("--out", "a Parquet table needs a file")
        try:
            with written_aside(out) as aside:
                frame.to_parquet(aside, index=False)
        except ImportError as exc:
            raise BatchError.single(
                "--format", "Parquet needs pyarrow: pip install 'noonhold[parquet]'"
            ) from exc
        return ""
    if kind == "csv":
        text = frame.to_csv(index=False, lineterminator="\n")
    else:
        text = _markdown(frame) if kind == "markdown" else _plain(frame, note)
    if out is None:
        return text
    write_whole(out, text)
    return ""


def _cell(name: str, value: object) -> str:
    """Return a cell for the eye; what does not exist is a dash."""
    if value is None or value is pd.NA or (isinstance(value, float) and math.isnan(value)):
        return "-"
    if isinstance(value, float):
        digits = 0 if name.endswith("_w") else 2 if name == "cooler_kwh_per_cooling_day" else 1
        return f"{value:.{digits}f}"
    return str(value)


def _cells(frame: pd.DataFrame) -> list[list[str]]:
    """Return every cell for the eye, by rows."""
    names = list(frame.columns)
    return [
        [_cell(name, value) for name, value in zip(names, row, strict=True)]
        for row in frame.itertuples(index=False)
    ]


def _is_text(name: str) -> bool:
    return name in ("rig", "site", "region", "month", "day_of_that_high", "reason")


def _markdown(frame: pd.DataFrame) -> str:
    """Return a Markdown table, numbers to the right."""
    short = {name: head for name, head, _ in COLUMNS}
    names = [str(name) for name in frame]
    heads = [short.get(name, name).replace("|", " ") for name in names]
    lines = [f"| {' | '.join(heads)} |"]
    lines.append(f"|{'|'.join('---' if _is_text(name) else '---:' for name in names)}|")
    for row in _cells(frame):
        cells = [text.replace("|", "\\|") for text in row]
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def _plain(frame: pd.DataFrame, note: str) -> str:
    """Return a table for the terminal: one block a rig, so that its name takes no column."""
    group = next((name for name in ("site", "region", "month") if name in frame), "rig")
    shown = [name for name, _, seen in COLUMNS if seen and name in frame]
    short = {name: head for name, head, _ in COLUMNS}
    heads = [["", group], *(short[name].split("|") for name in shown)]
    cells = _cells(frame[[group, *shown]])
    widths = [
        max(len(text) for text in (*head, *column))
        for head, column in zip(heads, zip(*cells, strict=True), strict=True)
    ]
    room = TERMINAL - sum(widths[1:]) - 2 * len(shown)
    short_names = shortened_apart([row[0] for row in cells], room)
    widths[0] = max(len(text) for text in (*heads[0], *short_names.values()))

    def line(texts: Sequence[str]) -> str:
        first, *others = texts
        placed = [short_names.get(first, first).ljust(widths[0])]
        placed += [text.rjust(width) for text, width in zip(others, widths[1:], strict=True)]
        return "  ".join(placed).rstrip()

    header = [line([head[place] for head in heads]) for place in (0, 1)]
    header.append("-" * max(len(text) for text in header))
    lines: list[str] = header[:] if group == "rig" else []
    last = None
    for place, row in enumerate(cells):
        rig = frame["rig"].iloc[place]
        if group != "rig" and rig != last:
            lines += [*([""] if last is not None else []), str(rig), *header]
            last = rig
        lines.append(line(row))
        reason = frame["reason"].iloc[place] if "reason" in frame else None
        if isinstance(reason, str):
            lines += wrapped(f"no verdict: {reason}", "    ")
    lines.append("")
    has_needed = any(name in frame for names in _OF_NEEDED.values() for name in names)
    for text in (*(each for each in _LEGEND if has_needed or each is not _NEEDED_LEGEND), note):
        lines += wrapped(text, "")
    return "\n".join(lines) + "\n"
