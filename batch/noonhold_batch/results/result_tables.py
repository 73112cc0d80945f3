"""Rows to a table with units in its headers, and the table to text, CSV, Markdown, Parquet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Literal

import pandas as pd

from noonhold.quantities import Cause, Horizon
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.results.row_selection import By, Row
from noonhold_batch.results.seasons import month_words
from noonhold_batch.results.short_names import TERMINAL, shortened_apart, wrapped
from noonhold_batch.results.summaries import DaysSummary
from noonhold_batch.whole_file import write_whole, written_aside

Format = Literal["text", "csv", "markdown", "parquet"]
_FIRST_DAY = date(2001, 1, 1)
_GROUP = {"site": "site", "region": "region", "month": "month", "rig": ""}
_KIND_WORDS = {
    Cause.NONE: None,
    Cause.ENERGY_BALANCE: "energy",
    Cause.ENERGY_STORAGE: "energy",
    Cause.CAPACITY: "cooler",
    Cause.MEASURE: "setting",
    Cause.SCHEDULE: "setting",
}
_ALL = ("site", "region", "month", "rig")
_MANY = ("month", "rig")
# (long header for files, short header of two lines for the eye, tables of the terminal with it)
COLUMNS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("site_years", "|sites", ("month",)),
    ("cooling_dates_d", "cooling|dates", _ALL),
    ("holds_d", "holds|d", ()),
    ("narrowly_d", "narrowly|d", ()),
    ("fails_d", "fails|d", ()),
    ("holds_percent", "holds|%", _ALL),
    ("narrowly_percent", "narrowly|%", _ALL),
    ("fails_percent", "fails|%", _ALL),
    ("feasible_percent", "feasible|%", ()),
    ("longest_failing_run_d", "longest|fail, d", ()),
    ("mostly_by", "mostly|by", _ALL),
    ("first_energy_out_d", "energy|out, d", ()),
    ("first_cooler_too_small_d", "cooler|small, d", ()),
    ("first_operation_d", "set point,|sched., d", ()),
    ("battery_alone_kwh", "battery|kWh", _ALL),
    ("battery_alone_helps_d", "battery|helps, d", ()),
    ("arrays_alone_w", "arrays|W", _ALL),
    ("arrays_alone_help_d", "arrays|help, d", ()),
    ("best_months", "best|months", ("site", "region")),
    ("living_there_unserved_kwh", "unserved|kWh", _ALL),
    ("living_there_unserved_h", "unserved|h", _MANY),
    ("living_there_unserved_d", "unserved|d", ()),
    ("living_there_cooler_kwh_per_cooling_day", "cooler|kWh/d", ()),
    ("living_there_lowest_charge_percent", "lowest|charge %", ()),
    ("outdoor_high_95_percent_degc", "95 %|high", ()),
    ("day_of_that_high", "day of|that high", ()),
    ("that_day_holds", "that day|holds", ()),
    ("site_years_failed", "no|verdict", _ALL),
)
_OF_NEEDED = {
    "battery": ("battery_alone_kwh", "battery_alone_helps_d"),
    "array": ("arrays_alone_w", "arrays_alone_help_d"),
}
_COUNTS = tuple(name for name, _, _ in COLUMNS if name.endswith("_d") or name == "site_years")
_TEXTS = ("rig", "asked", "site", "region", "month", "best_months", "mostly_by", "reason")
_WHERE_KNOWN = ("day_of_that_high", "that_day_holds", "best_months", "reason")


def _legend(horizon: Horizon, names: Sequence[str]) -> list[str]:
    """Return what the heads of the columns shown leave out."""
    dates = "dates" if horizon.living_there else "dates of arrival"
    notes = [
        f"cooling dates: {dates} on which the cabin without its cooler leaves the comfort limit;"
        " holds, narrowly, fails: parts of them (narrowly: it holds, and fails on a somewhat worse"
        " day); mostly by: what most often fails first (setting: set point, measure or schedule)",
    ]
    if "battery_alone_kwh" in names:
        notes.append(
            f"battery, arrays: for a stay of {_length(horizon)}, the usable energy, or the rated"
            " power of all arrays together, with which every date holds that it alone can mend;"
            " '-': there is none"
        )
    if "best_months" in names:
        notes.append("best months: no date in them fails, whether it needs cooling or not")
    if "living_there_unserved_kwh" in names:
        notes.append(
            "unserved: what house loads ask for and do not get, living there, all days and sites"
            " of the row"
        )
    return notes


def _length(horizon: Horizon) -> str:
    return "one day" if horizon.days == 1 else horizon.word


def _figures(row: Row, summary: DaysSummary) -> list[object]:
    """Return the cells of a summary, None for what does not exist."""
    day = None
    if summary.hot_day >= 0:
        day = f"{_FIRST_DAY + timedelta(days=summary.hot_day):%d %b}"
    held = summary.holding_days - summary.narrow_days
    needing = summary.days_needing_cooling
    best = None
    if len(row.hemispheres) == 1:
        best = month_words(summary.best_months, row.hemispheres[0])
    return [
        summary.runs,
        needing,
        held,
        summary.narrow_days,
        summary.failing_days,
        *(_percent(part, needing) for part in (held, summary.narrow_days, summary.failing_days)),
        _number(100.0 * summary.share, 1),
        summary.longest_failing_run_d,
        _KIND_WORDS[summary.first_cause],
        summary.first_energy,
        summary.first_capacity,
        summary.first_operation,
        None if summary.battery is None else _number(summary.battery.size / 1000.0, 2),
        None if summary.battery is None else summary.battery.days,
        None if summary.array is None else _number(summary.array.size, 0),
        None if summary.array is None else summary.array.days,
        best,
        _number(summary.unmet_kwh, 2),
        None if summary.unmet_h is None else _number(summary.unmet_h, 1),
        summary.unmet_days,
        _number(summary.cooler_kwh_a_day, 2),
        _number(100.0 * summary.lowest_charge, 1),
        _number(summary.hot_high_c, 1),
        day,
        None if summary.hot_day_holds is None else ("no", "yes")[summary.hot_day_holds],
    ]


def _number(value: float, digits: int) -> float | None:
    return None if math.isnan(value) else round(value, digits)


def _percent(part: int, whole: int) -> float | None:
    return round(100.0 * part / whole, 1) if whole else None


def to_frame(found: Sequence[Row], by: By, horizon: Horizon) -> pd.DataFrame:
    """Return rows as a frame.

    Parameters
    ----------
    found : sequence of Row
        From `noonhold_batch.results.row_selection.rows`.
    by : str
        What they were grouped by.
    horizon : Horizon
        What was asked of every date; stands in the column ``asked`` and in the frame's attributes.

    Returns
    -------
    pandas.DataFrame
        Long headers with units; columns that no row fills are left off, and those of sizes that
        the result does not hold.
    """
    group = [_GROUP[by]] if _GROUP[by] else []
    names = ["rig", "asked", *group, *(name for name, _, _ in COLUMNS)]
    table: list[list[object]] = []
    for row in found:
        cells = [None] * (len(COLUMNS) - 1) if row.summary is None else _figures(row, row.summary)
        here = [row.group] if group else []
        table.append([row.rig, horizon.word, *here, *cells, row.failed, row.reason or None])
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
    if any(summary.unmet_h is None for summary in summaries):
        unknown.add("living_there_unserved_h")
    kept = [
        name
        for name in frame.columns
        if name not in unknown and (name not in _WHERE_KNOWN or frame[name].notna().any())
    ]
    if not frame["site_years_failed"].any():
        kept.remove("site_years_failed")
    if by == "site":
        kept.remove("site_years")
    frame = frame[kept]
    frame.attrs["asked"] = horizon.word
    return frame


def write_table(
    frame: pd.DataFrame,
    kind: Format,
    out: Path | None,
    horizon: Horizon,
    title: str,
    note: str = "",
) -> str:
    """Return a table as text, or write it to a file and return nothing.

    Parameters
    ----------
    frame : pandas.DataFrame
        From `to_frame`.
    kind : str
        ``text``, ``csv``, ``markdown`` or ``parquet``.
    out : pathlib.Path or None
        The file; needed for ``parquet``.
    horizon : Horizon
        What was asked of every date.
    title : str
        The question, above a table for the eye.
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
        text = _plain(frame, horizon, title, note)
        if kind == "markdown":
            text = f"**{title}**\n\n{_markdown(frame)}"
    if out is None:
        return text
    write_whole(out, text)
    return ""


def _cell(name: str, value: object) -> str:
    """Return a cell for the eye; what does not exist is a dash."""
    if value is None or value is pd.NA or (isinstance(value, float) and math.isnan(value)):
        return "-"
    if isinstance(value, float):
        digits = 0 if name.endswith(("_w", "_h")) else 2 if name.endswith("_per_cooling_day") else 1
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
    return name in (*_TEXTS, "day_of_that_high")


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


def _plain(frame: pd.DataFrame, horizon: Horizon, title: str, note: str) -> str:
    """Return a table for the terminal: one block a rig, so that its name takes no column."""
    group = next((name for name in ("site", "region", "month") if name in frame), "rig")
    shown = [name for name, _, seen in COLUMNS if group in seen and name in frame]
    if "best_months" in shown:  # of words: the last
        shown.append(shown.pop(shown.index("best_months")))
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
        placed += [
            text.ljust(width) if name == "best_months" else text.rjust(width)
            for name, text, width in zip(shown, others, widths[1:], strict=True)
        ]
        return "  ".join(placed).rstrip()

    header = [line([head[place] for head in heads]) for place in (0, 1)]
    header.append("-" * max(len(text) for text in header))
    lines = [*wrapped(title, ""), ""]
    lines += header if group == "rig" else []
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
    for text in (*_legend(horizon, shown), note):
        lines += wrapped(text, "")
    return "\n".join(lines) + "\n"
