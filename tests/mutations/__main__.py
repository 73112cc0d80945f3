"""Change the physics line by line and print which test notices: ``python -m tests.mutations``.

``python -m tests.mutations simulation weather`` asks these rooms alone, and a word of a meaning
those changes. Exit code 1 where a change survives.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.mutations.changes import MUTATIONS
from tests.mutations.run import copy_tree, first_failure, outcomes


def main(words: list[str]) -> int:
    """Run the changes that the words name, all without any."""
    chosen = [m for m in MUTATIONS if not words or m.room in words]
    chosen += [m for m in MUTATIONS if m not in chosen and any(w in m.meaning for w in words)]
    with tempfile.TemporaryDirectory() as folder:
        tree = copy_tree(Path(__file__).resolve().parents[2], Path(folder))
        for room in dict.fromkeys(mutation.room for mutation in chosen):
            failed = first_failure(tree, room)
            if failed:
                print(f"{room}: {failed} fails on the unchanged tree", file=sys.stderr)
                return 2
        survivors = 0
        for outcome in outcomes(tree, chosen):
            survivors += not outcome.killed_by
            verdict = "killed" if outcome.killed_by else "SURVIVED"
            mutation = outcome.mutation
            print(
                f"{verdict:9}{mutation.path:32}{mutation.meaning:62}{outcome.seconds:6.0f} s  "
                f"{outcome.killed_by}",
                flush=True,
            )
    print(f"{len(chosen)} changes, {survivors} survived")
    return 1 if survivors else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
