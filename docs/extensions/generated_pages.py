"""Pages of the manual that are written from the code when it is built.

The API reference is a page a module; the HTTP reference comes from the committed API description,
the quantities from their table, the validation page from the report of published checks.
"""

from __future__ import annotations

import json
import pkgutil
from pathlib import Path
from typing import Any

import noonhold

HERE = Path(__file__).resolve().parents[1]
ROOT = HERE.parent


def modules() -> list[str]:
    """Return the importable modules of the library, sorted."""
    found = [each.name for each in pkgutil.walk_packages(noonhold.__path__, "noonhold.")]
    return sorted(name for name in found if not name.endswith("__main__"))


def write_api(folder: Path) -> None:
    """Write a page a room of the library."""
    rooms: dict[str, list[str]] = {}
    for name in modules():
        parts = name.split(".")
        is_top = len(parts) == 2 and not (ROOT / "engine" / "noonhold" / parts[1]).is_dir()
        rooms.setdefault("top" if is_top else parts[1], []).append(name)
    folder.mkdir(exist_ok=True)
    for room, names in rooms.items():
        title = "noonhold" if room == "top" else f"noonhold.{room}"
        lines = [title, "=" * len(title), ""]
        for name in names:
            lines += [name, "-" * len(name), "", f".. automodule:: {name}", "   :members:", ""]
        (folder / f"{room}.rst").write_text("\n".join(lines), encoding="utf-8")
    index = ["Library", "=======", "", ".. toctree::", ""]
    index += [f"   {room}" for room in sorted(rooms)]
    (folder / "index.rst").write_text("\n".join(index) + "\n", encoding="utf-8")


def _fields(schema: dict[str, Any]) -> list[str]:
    rows = ["| field | unit | bounds | meaning |", "|---|---|---|---|"]
    for name, shape in schema.get("properties", {}).items():
        low, high = shape.get("minimum", ""), shape.get("maximum", "")
        bounds = f"{low} to {high}" if low != "" or high != "" else ""
        text = str(shape.get("description", "")).replace("|", "\\|").replace("\n", " ")
        rows.append(f"| `{name}` | {shape.get('x-unit', '')} | {bounds} | {text} |")
    return rows


def write_http(path: Path) -> None:
    """Write every address and every document of the API description."""
    spec = json.loads((ROOT / "openapi" / "openapi.json").read_text(encoding="utf-8"))
    lines = ["# HTTP", "", "Generated from `openapi/openapi.json`.", "", "## Addresses", ""]
    lines += ["| address | what it does |", "|---|---|"]
    for address, methods in spec["paths"].items():
        for method, operation in methods.items():
            if method in ("get", "post", "delete", "put"):
                lines.append(f"| `{method.upper()} {address}` | {operation.get('summary', '')} |")
    lines += ["", "## Documents", ""]
    for name, schema in sorted(spec["components"]["schemas"].items()):
        if schema.get("properties"):
            meaning = str(schema.get("description", "")).strip()
            lines += [f"### {name}", "", meaning, "", *_fields(schema), ""]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def write_validation(path: Path) -> None:
    """Write the report of published checks as a page."""
    report = ROOT / "tests" / "published" / "REPORT.md"
    path.write_text(report.read_text(encoding="utf-8"), encoding="utf-8")


def write_all(app: Any) -> None:
    """Write every generated page before Sphinx looks for sources."""
    write_api(HERE / "api")
    write_http(HERE / "reference" / "http.md")
    write_validation(HERE / "reference" / "published_cases.md")


def setup(app: Any) -> dict[str, bool]:
    """Register with Sphinx."""
    app.connect("builder-inited", write_all)
    return {"parallel_read_safe": True}
