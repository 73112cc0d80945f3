"""REPORT.md says what the engine says today."""

import re

import pytest

from tests.published.report import REPORT, report

NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?")


def test_report_is_current() -> None:
    # Figures within rounding of what is printed: another machine may round a last digit elsewhere.
    stored, fresh = REPORT.read_text(encoding="utf-8").splitlines(), report().splitlines()
    assert len(stored) == len(fresh)
    for old, new in zip(stored, fresh, strict=True):
        assert NUMBER.sub("#", old) == NUMBER.sub("#", new)
        numbers = [[float(n) for n in NUMBER.findall(line)] for line in (old, new)]
        assert numbers[0] == pytest.approx(numbers[1], rel=1e-3, abs=0.11)
