"""Write what the manual's pages print into them: ``python -m tests.manual [PAGE.md ...]``."""

import sys
import tempfile
from pathlib import Path

from tests.manual.page_run import renew
from tests.manual.test_pages import PAGES

if __name__ == "__main__":
    for page in [Path(name).resolve() for name in sys.argv[1:]] or PAGES:
        with tempfile.TemporaryDirectory() as folder:
            print(f"{page.name}: {renew(page, Path(folder))} outputs changed")
