"""Every page of "Use" runs from its top to its end and prints what stands on it."""

from pathlib import Path

import pytest

from tests.manual.page_blocks import blocks, pairs
from tests.manual.page_run import differences

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGES = sorted((DOCS / "use").glob("*.md"))
AGAIN = "python -m tests.manual writes what is printed now"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_the_page_prints_what_stands_on_it(page: Path, tmp_path: Path) -> None:
    found = differences(page, tmp_path)
    told = "".join(f"\non the page:\n{shown.text}printed:\n{said}" for shown, said in found)
    assert not found, f"{page.name}: {AGAIN}{told}"


def test_a_page_s_blocks_are_told_apart(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text(
        "```{code-block} json\n:caption: a.json\n{}\n```\n\n```bash\ncat a.json\n```\n\n"
        "```text\n{}\n```\n\nwords\n\n```text\nonly shown\n```\n\n```python\n1 + 1\n```\n"
        "```text\n3\n```\n\n```{code-block} yaml\na: 1\n```\n"
    )
    run = [(block.language, shown and shown.text) for block, shown in pairs(page)]
    assert run == [("json", None), ("bash", "{}\n"), ("python", "3\n")]
    assert blocks(page)[-1].language == "shown"
    folder = tmp_path / "folder"
    folder.mkdir()
    ((shown, said),) = differences(page, folder)
    assert (shown.text, said) == ("3\n", "2\n")
