"""ANSI/ASHRAE Standard 140-2020, envelope cases, through ordinary documents.

The published ranges are the spread of six programs: example results, no acceptance criteria. What
falls outside is listed with how far and why; everything else must lie inside.
"""

import numpy as np
import pytest

from noonhold.simulation import channels as ch
from tests.published.standard_140 import (
    difference,
    figures,
    hours_of_extremes,
    prepared,
    sun_figures,
    year,
)
from tests.published.standard_140_days import DAYS
from tests.published.standard_140_outside import DIFFERENCES_OUTSIDE, OUTSIDE, Known
from tests.published.standard_140_ranges import FEBRUARY, FREE_FLOAT, LOADS, PUBLISHED, SUN, Range
from tests.published.standard_140_sensitivities import SENSITIVITIES

ROUNDING = 6e-4  # of the published figures, in their own units
QUANTITIES = [
    (case, quantity, published)
    for case, ranges in PUBLISHED.items()
    for quantity, published in zip(FREE_FLOAT if "FF" in case else LOADS, ranges, strict=True)
]


def beyond(value: float, published: Range) -> float:
    """Return how far a value lies outside a range: negative below, positive above, 0 inside."""
    if value < published.low - ROUNDING:
        return value - published.low
    return max(value - published.high, 0.0) if value > published.high + ROUNDING else 0.0


DIFFERENCES = [
    (sensitivity.case, sensitivity.less, quantity, published)
    for sensitivity in SENSITIVITIES
    for quantity, published in sensitivity.ranges.items()
]


def held(value: float, published: Range, known: Known | None, within: float) -> None:
    distance = beyond(value, published)
    if known is None:
        assert distance == 0.0, f"{value:.4g} is outside {published}"
    else:
        assert value == pytest.approx(known.value, abs=within)
        assert distance != 0.0, "it is inside now: take it off the list"


@pytest.mark.parametrize(("case", "quantity", "published"), QUANTITIES)
def test_case_lies_among_the_reference_programs(case: str, quantity: str, published: Range) -> None:
    known = OUTSIDE.get((case, quantity))
    within = 0.005 * abs(known.value) if known else 0.0
    held(figures(case)[quantity], published, known, within)


@pytest.mark.parametrize(("case", "less", "quantity", "published"), DIFFERENCES)
def test_case_differs_from_another_as_among_the_reference_programs(
    case: str, less: str, quantity: str, published: Range
) -> None:
    # Known values may move by a thousandth of the case itself: the difference is a small part.
    known = DIFFERENCES_OUTSIDE.get((f"{case}-{less}", quantity))
    within = 0.001 * figures(case)[quantity]
    held(difference(case, less, quantity), published, known, within)


@pytest.mark.parametrize("quantity", list(SUN))
def test_sun_and_sky_lie_among_the_reference_programs(quantity: str) -> None:
    known = OUTSIDE.get(("weather", quantity))
    within = 0.005 * abs(known.value) if known else 0.0
    held(sun_figures()[quantity], SUN[quantity], known, within)


@pytest.mark.parametrize("case", list(DAYS))
def test_peaks_and_extremes_are_on_days_that_the_programs_have(case: str) -> None:
    found = hours_of_extremes(case)
    order = FREE_FLOAT if case.endswith("FF") else LOADS[2:]
    for quantity, days in zip(order, DAYS[case], strict=False):
        assert (quantity in found) == (days != "")  # nothing heats 650 and 950
        if days:
            assert found[quantity].partition(",")[0] in days.split(", "), (found[quantity], days)


def test_free_float_follows_a_clear_cold_day() -> None:
    # 1 February, mean of six programs by hour; the day swings by 50 K.
    ours = year("600FF")[31 * 24 : 32 * 24, ch.CABIN]
    assert np.abs(ours - FEBRUARY).max() < 4.5
    assert abs(float((ours - FEBRUARY).mean())) < 1.2


def test_night_fan_and_setback_change_what_they_should() -> None:
    assert figures("650")["heating MWh"] == 0.0
    assert figures("640")["heating MWh"] < 0.65 * figures("600")["heating MWh"]
    assert figures("650")["sensible cooling MWh"] < figures("600")["sensible cooling MWh"]


def test_heat_ledger_closes_over_the_year() -> None:
    for case in ("600", "900"):
        record = year(case)
        heat = record[:, ch.HEATING] - record[:, ch.SENSIBLE] + record[:, ch.SOLAR_GAIN]
        heat += record[:, ch.ENVELOPE] + record[:, ch.AIR_EXCHANGE] + record[:, ch.GAINS]
        left = heat - record[:, ch.STORED_HEAT_CHANGE]
        assert np.abs(left).max() < 1e-6 * np.abs(record[:, ch.SENSIBLE]).max()


def test_light_that_the_floor_keeps() -> None:
    # The standard's own interior solar distribution for case 600 (from memory): floor 0.642,
    # ceiling 0.168, east and west 0.038, north 0.053, south 0.026, window 0.035.
    network = prepared("600").network
    shares = dict(
        zip(("n", "e", "s", "w", "roof", "floor"), network.beam_fraction[0], strict=False)
    )
    assert shares["floor"] == pytest.approx(0.642, abs=0.01)
    assert shares["roof"] == pytest.approx(0.168, abs=0.02)
    assert network.beam_kept[0] == pytest.approx(1.0 - 0.035, abs=0.01)
