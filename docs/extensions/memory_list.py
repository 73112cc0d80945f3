"""The list of values that stand from memory, as the sources say it themselves."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, Final

ROOT: Final = Path(__file__).resolve().parents[2]
_WORDS: Final = re.compile(r"from memory|\(memory\)|_MEMORY\b")


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("|", "/").replace("#", " ")).strip(" \"'(),")


def _python(folder: Path) -> list[tuple[str, str]]:
    rows = []
    for path in sorted(folder.rglob("*.py")):
        lines = path.read_text(encoding="utf-8").splitlines()
        for number, line in enumerate(lines):
            if (
                _WORDS.search(line)
                and 'Final = "from memory' not in line
                and "weather_cache" not in path.name
            ):
                before = lines[number - 1] if number and len(line.strip()) < 70 else ""
                where = f"`{path.relative_to(ROOT)}`, line {number + 1}"
                rows.append((where, _plain(f"{before} {line}")))
    return rows


def _rigs() -> list[tuple[str, str]]:
    rows = []
    for path in sorted((ROOT / "sample_rigs").glob("*.json")):
        notes = json.loads(path.read_text(encoding="utf-8")).get("notes", {})
        rows += [
            (f"`{path.relative_to(ROOT)}` `{pointer}`", _plain(note))
            for pointer, note in notes.items()
            if "from memory" in note
        ]
    return rows


def write_list(path: Path) -> None:
    """Write the page's generated part."""
    parts = (
        ("In the model", [*_python(ROOT / "engine"), *_python(ROOT / "batch")]),
        ("In the sample rigs", _rigs()),
        ("In the checks", _python(ROOT / "tests")),
    )
    lines: list[str] = []
    for title, rows in parts:
        lines += [f"## {title}", "", "| where | what stands there |", "|---|---|"]
        lines += [f"| {where} | {text} |" for where, text in rows] + [""]
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join(lines), encoding="utf-8")


def setup(app: Any) -> dict[str, bool]:
    """Register with Sphinx."""
    app.connect("builder-inited", lambda _: write_list(ROOT / "docs/generated/from_memory.md"))
    return {"parallel_read_safe": True}
