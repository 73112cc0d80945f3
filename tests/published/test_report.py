"""REPORT.md says what the engine says today."""

import re

import numpy as np

from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from tests.published.report import REPORT, STEPS_S, report, van
from tests.published.standard_140 import figures
from tests.published.standard_140_ranges import FREE_FLOAT, LOADS

NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e[-+]\d+)?")


def last_digit(number: str) -> float:
    """Return what one step of a printed number's last digit is worth."""
    digits, _, power = number.partition("e")
    return float(10.0 ** (int(power or 0) - len(digits.partition(".")[2])))


def test_report_is_current() -> None:
    # Another machine may round a last digit elsewhere; apart from that every figure stands.
    stored, fresh = REPORT.read_text(encoding="utf-8").splitlines(), report().splitlines()
    assert len(stored) == len(fresh)
    for old, new in zip(stored, fresh, strict=True):
        assert NUMBER.sub("#", old) == NUMBER.sub("#", new)
        for was, now in zip(NUMBER.findall(old), NUMBER.findall(new), strict=True):
            assert abs(float(was) - float(now)) <= 1.01 * max(last_digit(was), last_digit(now)), new


def test_the_default_step_is_as_good_as_the_report_says() -> None:
    fine = STEPS_S[-1]
    assert DEFAULT_STEP_S == 300
    for case in ("600", "900"):
        ours, finest = figures(case, DEFAULT_STEP_S), figures(case, fine)
        for quantity in LOADS:
            assert abs(ours[quantity] / finest[quantity] - 1.0) < 0.002, (case, quantity)
    ours, finest = figures("600FF", DEFAULT_STEP_S), figures("600FF", fine)
    for quantity in FREE_FLOAT:
        assert abs(ours[quantity] - finest[quantity]) < 0.12, quantity
    days, finest_days = van("ample", DEFAULT_STEP_S)[0], van("ample", fine)[0]
    assert np.abs(days / finest_days - 1.0).max() < 0.001
