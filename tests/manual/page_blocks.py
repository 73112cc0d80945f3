"""The fenced blocks of a page, and which of them are run.

On a page of the manual

- ``bash`` is run by bash, in a folder of the page's own that is empty at its top;
- ``python`` is run in one namespace for the whole page, its last expression is shown;
- a block with a ``:caption:`` is the file of that name, and is written into the folder;
- ``text`` or ``json`` that follows one that was run is what it must print; three dots stand for
  anything.

Everything else is only shown.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

_FENCE = re.compile(r"^(?P<ticks>`{3,})(?P<word>\{[\w-]+\} *\w*|\w*) *$")
_CAPTION = re.compile(r"^:caption: *(\S+) *$")


@dataclass(frozen=True)
class Block:
    """One fenced block: its language, its text and the lines of the page that hold the text."""

    language: str
    text: str
    first: int
    last: int
    caption: str | None = None
    follows: bool = False

    @property
    def is_run(self) -> bool:
        """Whether it is a command or a cell."""
        return self.caption is None and self.language in ("bash", "python")

    @property
    def is_file(self) -> bool:
        """Whether it is a file that later blocks use."""
        return self.caption is not None

    @property
    def may_be_output(self) -> bool:
        """Whether it may be what the block before it prints."""
        return self.caption is None and self.language in ("text", "json")


def blocks(page: Path) -> list[Block]:
    """Return a page's blocks in their order."""
    found: list[Block] = []
    lines = page.read_text(encoding="utf-8").splitlines()
    number, plain_since = 0, False
    while number < len(lines):
        fence = _FENCE.match(lines[number])
        if not fence:
            plain_since = plain_since or bool(lines[number].strip())
            number += 1
            continue
        end = next(n for n in range(number + 1, len(lines)) if lines[n].rstrip() == fence["ticks"])
        first, caption = number + 1, None
        while fence["word"].startswith("{") and lines[first].startswith(":"):
            caption = match[1] if (match := _CAPTION.match(lines[first])) else caption
            first += 1
        language = re.sub(r"^\{[\w-]+\} *", "", fence["word"])
        if fence["word"].startswith("{") and caption is None:
            language = "shown"
        text = "\n".join(lines[first:end]) + "\n"
        found.append(Block(language, text, first, end, caption, not plain_since))
        number, plain_since = end + 1, False
    return found


def pairs(page: Path) -> list[tuple[Block, Block | None]]:
    """Return every block that is run or written, with the block of its output where it has one."""
    found = blocks(page)
    result = []
    for block, after in zip(found, [*found[1:], None], strict=True):
        if block.is_run or block.is_file:
            shown = after if block.is_run and after and after.follows else None
            result.append((block, shown if shown and shown.may_be_output else None))
    return result
