"""Rows of studies at sites as a table for the terminal; `result_tables` has that of sweeps."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from noonhold.verdict import CAUTIONS
from noonhold_batch.results.short_names import TERMINAL, shortened_apart, wrapped

_KEYS = ("rig", "site")
_WORDS = ("said", "reason")
_UNITS = {"degc": "degC", "wh": "Wh", "w": "W"}
_INDENT = "    "


def study_text(rows: Sequence[Mapping[str, object]]) -> str:
    """Return rows as a block a rig, within `short_names.TERMINAL` columns for usual names.

    Parameters
    ----------
    rows : sequence of mapping
        Of `noonhold_batch.site_studies.study_sites.at_every_site`.

    Returns
    -------
    str
        A site without an answer has its reason beneath; the cautions stand at the end.
    """
    names = [name for name in columns(rows) if name not in (*_KEYS, *_WORDS)]
    heads = [_two_lines(name) for name in names]
    cells = [[_cell(name, row.get(name)) for name in names] for row in rows]
    widths = [
        max(map(len, (*head, *column)))
        for head, column in zip(heads, zip(*cells, strict=True), strict=True)
    ]
    room = TERMINAL - sum(widths) - 2 * len(widths)
    sites = shortened_apart((str(row["site"]) for row in rows), room)
    width = max(map(len, ("site", *sites.values())), default=0)

    def line(site: str, texts: Iterable[str]) -> str:
        placed = map(str.rjust, texts, widths)
        return "  ".join([site.ljust(width), *placed]).rstrip()

    header = [line("", [upper for upper, _ in heads]), line("site", [low for _, low in heads])]
    header.append("-" * max(map(len, header)))
    lines: list[str] = []
    rig = None
    order = {name: place for place, name in enumerate(dict.fromkeys(row["rig"] for row in rows))}
    for row, texts in sorted(zip(rows, cells, strict=True), key=lambda pair: order[pair[0]["rig"]]):
        if row["rig"] != rig:
            rig = row["rig"]
            lines += [*([""] if lines else []), str(rig), *header]
        lines.append(line(sites[str(row["site"])], texts))
        if row.get("reason") is not None:
            lines += wrapped(f"no answer: {row['reason']}", _INDENT)
    lines.append("")
    for caution in CAUTIONS:
        lines += wrapped(caution, "")
    return "\n".join(lines) + "\n"


def columns(rows: Iterable[Mapping[str, object]]) -> list[str]:
    """Return the names of all columns, in the order met, words last.

    Parameters
    ----------
    rows : iterable of mapping
        Of `study_sites.at_every_site`; a site without an answer lacks most of them.
    """
    met = dict.fromkeys(name for row in rows for name in row)
    return [*(name for name in met if name not in _WORDS), *(n for n in _WORDS if n in met)]


def _two_lines(name: str) -> tuple[str, str]:
    """Return a long header on two lines, as narrow as its words allow."""
    words = [_UNITS.get(word, word) for word in name.split("_")]
    ways = [(" ".join(words[:cut]), " ".join(words[cut:])) for cut in range(len(words))]
    return min(ways, key=lambda way: max(map(len, way)))


def _cell(name: str, value: object) -> str:
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return "-"
    if name == "outcome":
        return str(value).replace("_", " ")
    return f"{value:g}" if isinstance(value, float) else str(value)
