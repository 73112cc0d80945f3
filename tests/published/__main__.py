"""Write and print REPORT.md from the engine as it stands: ``python -m tests.published``."""

from pathlib import Path

from engine.machine_code import keep_compiled_code_apart

if __name__ == "__main__":
    keep_compiled_code_apart(Path(__file__).resolve().parents[2])
    # Only now: numba takes the name of its cache when it is imported.
    from tests.published.report import REPORT, report

    REPORT.write_text(report(), encoding="utf-8")
    print(REPORT.read_text(encoding="utf-8"))
