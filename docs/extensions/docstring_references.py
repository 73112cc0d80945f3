"""References of docstrings, for Sphinx: a function may cite an entry of its module's list.

An entry under "References" (``.. [1] ...``) is a docutils citation. A function whose sources
stand once at the top of its module would then cite a target that its own docstring does not hold,
and the module's list would be a row of targets that nobody cites. So ``[1]_`` becomes the plain
text [1], and the entries become a list, a few lines below what cites them.
"""

from __future__ import annotations

import re
from typing import Any, Final

_ENTRY: Final = re.compile(r"^(\s*)\.\. \[(\w+)\] ")
_CITED: Final = re.compile(r"\[(\w+)\]_")


def plain_references(
    app: Any, what: str, name: str, subject: Any, options: Any, lines: list[str]
) -> None:
    """Rewrite the lines of one docstring in place (event ``autodoc-process-docstring``)."""
    for number, line in enumerate(lines):
        # Two blanks: the text begins in the column of an entry's, as its next lines do.
        lines[number] = _CITED.sub(r"[\1]", _ENTRY.sub(r"\1-  [\2] ", line))


def setup(app: Any) -> dict[str, bool]:
    """Register with Sphinx, before napoleon, which listens with the usual priority."""
    app.setup_extension("sphinx.ext.autodoc")
    app.connect("autodoc-process-docstring", plain_references, priority=400)
    return {"parallel_read_safe": True}
