"""Every link from one committed page to another file leads somewhere."""

import re
import subprocess
from pathlib import Path

_LINK = re.compile(r"\]\(<?([^)\s>]+)>?\)")
_FENCED = re.compile(r"^```.*?^```$", re.DOTALL | re.MULTILINE)
# Written when the manual is built.
_GENERATED = ("docs/api/", "docs/reference/http", "docs/reference/published_cases")


def test_every_local_link_leads_to_a_file(checkout: Path) -> None:
    listed = subprocess.run(
        ["git", "ls-files", "*.md"],  # noqa: S607 - the git of the checkout
        cwd=checkout, text=True, capture_output=True, check=False,
    )  # fmt: skip
    pages = listed.stdout.split() or [str(p.relative_to(checkout)) for p in checkout.glob("*.md")]
    broken = []
    for page in pages:
        text = _FENCED.sub("", (checkout / page).read_text(encoding="utf-8"))
        for target in _LINK.findall(text):
            if re.match(r"[a-z]+:|#", target):
                continue
            path = ((checkout / page).parent / target.split("#")[0]).resolve()
            name = str(path.relative_to(checkout))
            exists = path.exists() or path.with_suffix(".md").exists()
            if not exists and not name.startswith(_GENERATED):
                broken.append(f"{page}: {target}")
    assert not broken
