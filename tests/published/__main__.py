"""Write and print REPORT.md from the engine as it stands: ``python -m tests.published``."""

from tests.published.report import REPORT, report

if __name__ == "__main__":
    REPORT.write_text(report(), encoding="utf-8")
    print(REPORT.read_text(encoding="utf-8"))
