"""Rows to a table with units in its headers, and the table to text, CSV, Markdown, Parquet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Literal

import pandas as pd

from batch.errors import BatchError
from batch.selection import By, Row
from batch.summaries import DaysSummary

Format = Literal["text", "csv", "markdown", "parquet"]
_FIRST_DAY = date(2001, 1, 1)
_GROUP = {"site": "site", "region": "region", "month": "month", "rig": ""}
# (long header for files, short header of two lines for the eye)
COLUMNS = (
    ("cooling_days_d", "cooling|days"),
    ("feasible_share_percent", "feasible|%"),
    ("longest_failing_run_d", "longest|fail, d"),
    ("first_cooler_too_small_d", "too small|d"),
    ("first_energy_out_d", "no energy|d"),
    ("cooler_kwh_per_cooling_day", "cooler|kWh/d"),
    ("lowest_charge_percent", "lowest|charge %"),
    ("outdoor_high_95_percent_degc", "95 % high|degC"),
    ("day_of_that_high", "on"),
    ("that_day_feasible", "holds"),
    ("site_years_failed", "failed|runs"),
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
        _number(summary.cooler_kwh_a_day, 2),
        _number(100.0 * summary.lowest_charge, 1),
        _number(summary.hot_high_c, 1),
        day,
        None if summary.hot_day_feasible is None else ("no", "yes")[summary.hot_day_feasible],
    ]


def _number(value: float, digits: int) -> float | None:
    return None if math.isnan(value) else round(value, digits)


def to_frame(found: Sequence[Row], by: By) -> pd.DataFrame:
    """Return rows as a frame.

    Parameters
    ----------
    found : sequence of Row
        From `batch.selection.rows`.
    by : str
        What they were grouped by.

    Returns
    -------
    pandas.DataFrame
        Long headers with units; columns that no row fills are left off.
    """
    names = ["rig", *([_GROUP[by]] if _GROUP[by] else []), *(name for name, _ in COLUMNS)]
    table: list[list[object]] = []
    for row in found:
        cells = [None] * (len(COLUMNS) - 1) if row.summary is None else _figures(row.summary)
        group = [row.group] if _GROUP[by] else []
        table.append([row.rig, *group, *cells, row.failed, row.reason or None])
    frame = pd.DataFrame(table, columns=[*names, "reason"])
    for name in ("cooling_days_d", "longest_failing_run_d"):
        frame[name] = frame[name].astype("Int64")
    for name in ("first_cooler_too_small_d", "first_energy_out_d"):
        frame[name] = frame[name].astype("Int64")
    kept = [
        name
        for name in frame.columns
        if name not in ("day_of_that_high", "that_day_feasible", "reason")
        or frame[name].notna().any()
    ]
    if not frame["site_years_failed"].any():
        kept.remove("site_years_failed")
    return frame[kept]


def write_table(frame: pd.DataFrame, kind: Format, out: Path | None) -> str:
    """Return a table as text, or write it to a file and return nothing.

    Parameters
    ----------
    frame : pandas.DataFrame
        From `to_frame`.
    kind : str
        ``text``, ``csv``, ``markdown`` or ``parquet``.
    out : pathlib.Path or None
        The file; needed for ``parquet``.

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
            frame.to_parquet(out, index=False)
        except ImportError as exc:
            raise BatchError.single(
                "--format", "Parquet needs pyarrow: pip install pyarrow"
            ) from exc
        return ""
    if kind == "csv":
        text = frame.to_csv(index=False, lineterminator="\n")
    else:
        text = _markdown(frame) if kind == "markdown" else _plain(frame)
    if out is None:
        return text
    out.write_text(text, encoding="utf-8")
    return ""


def _cell(name: str, value: object) -> str:
    """Return a cell for the eye; what does not exist is a dash."""
    if value is None or value is pd.NA or (isinstance(value, float) and math.isnan(value)):
        return "-"
    if isinstance(value, float):
        return f"{value:.2f}" if "kwh" in name else f"{value:.1f}"
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
    short = dict(COLUMNS)
    heads = [short.get(name, name).replace("|", ", " if "," not in name else " ") for name in frame]
    lines = [f"| {' | '.join(heads)} |"]
    lines.append(f"|{'|'.join('---' if _is_text(name) else '---:' for name in frame)}|")
    for row in _cells(frame):
        cells = [text.replace("|", "\\|") for text in row]
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def _plain(frame: pd.DataFrame) -> str:
    """Return a table for the terminal: one block a rig, so that its name takes no column."""
    short = dict(COLUMNS)
    names = [name for name in frame.columns if name not in ("rig", "reason")]
    heads = [short.get(name, name).split("|") for name in names]
    by_rig = "site" not in names and "region" not in names and "month" not in names
    if by_rig:
        names, heads = ["rig", *names], [["rig"], *heads]
    heads = [["", *head] if len(head) == 1 else head for head in heads]
    cells = _cells(frame[names])
    widths = [
        max(len(text) for text in (*head, *column))
        for head, column in zip(heads, zip(*cells, strict=True), strict=True)
    ]

    def line(texts: Sequence[str]) -> str:
        placed = [
            text.ljust(width) if _is_text(name) else text.rjust(width)
            for name, text, width in zip(names, texts, widths, strict=True)
        ]
        return "  ".join(placed).rstrip()

    header = [line([head[0] for head in heads]), line([head[1] for head in heads])]
    header.append("-" * max(len(text) for text in header))
    lines: list[str] = [] if not by_rig else header[:]
    last = None
    for place, row in enumerate(cells):
        rig = frame["rig"].iloc[place]
        if not by_rig and rig != last:
            lines += [*([""] if last is not None else []), str(rig), *header]
            last = rig
        lines.append(line(row))
        reason = frame["reason"].iloc[place] if "reason" in frame else None
        if isinstance(reason, str):
            lines.append(f"    no verdict: {reason}")
    return "\n".join(lines) + "\n"
