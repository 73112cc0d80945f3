import io
from dataclasses import replace

import matplotlib.image
import numpy as np
import pytest

from noonhold.pictures.year_picture import DAYS, YearOfPlace, draw_year, verdict_of
from noonhold.quantities import Cause, Verdict
from noonhold.scenario import Comfort, ComfortMeasure, Operation, Place, Scenario, Start
from noonhold.verdict import DayVerdicts
from tests.engine.pictures.svg import words


@pytest.fixture
def year() -> YearOfPlace:
    """Return a year made by hand: cool to day 100, 200 that hold, 50 that fail, 15 too warm."""
    days = np.arange(DAYS)
    needs = days >= 100
    cause = np.select(
        [days >= 350, days >= 300], [Cause.CAPACITY, Cause.ENERGY_BALANCE], Cause.NONE
    )
    zero = np.zeros(DAYS)
    names = DayVerdicts.__dataclass_fields__
    verdicts = DayVerdicts(
        **{
            **dict.fromkeys(names, zero),
            "date": np.datetime64("2001-01-01") + days,
            "judged": np.ones(DAYS, dtype=bool),
            "verdict": np.where(cause == Cause.NONE, int(Verdict.HOLDS), int(Verdict.FAILS)),
            "needs_cooling": needs,
            "first_cause": cause.astype(np.int64),
            "lowest_charge": np.linspace(0.9, 0.05, DAYS),
        }
    )
    hours = np.linspace(15.0, 35.0, DAYS)[:, np.newaxis] + np.linspace(0.0, 8.0, 24)
    scenario = Scenario(
        place=Place(40.0, -3.0, 600.0),
        operation=Operation(23.0, cooling_window=(8.0, 20.0)),
        comfort=Comfort(ComfortMeasure.OPERATIVE, 26.0),
        start=Start(0.9),
    )
    return YearOfPlace("Box", "Hill, 600 m", hours, hours.max(axis=1), verdicts, scenario, 0.1)


def test_the_verdict_counts_each_day_once(year: YearOfPlace) -> None:
    counts = {name: int(days.sum()) for name, days in year.kinds.items()}
    assert list(counts.values()) == [100, 200, 50, 15, 0]
    assert verdict_of(year) == (
        "Holds on 200 of the 265 days that need cooling; the energy runs out first on 50 of them,"
        " the cooler is too small first on 15."
    )


def test_a_year_without_need_or_without_failure_says_so(year: YearOfPlace) -> None:
    days = year.verdicts
    none = replace(days, needs_cooling=np.zeros(DAYS, dtype=bool))
    assert verdict_of(replace(year, verdicts=none)) == "No day of the year needs cooling."
    held = replace(days, verdict=np.full(DAYS, int(Verdict.HOLDS)))
    assert verdict_of(replace(year, verdicts=held)) == (
        "Holds on 265 of the 265 days that need cooling."
    )


def test_what_the_picture_says(year: YearOfPlace) -> None:
    svg = draw_year(year, "How it was judged.", "svg")
    told = " ".join(words(svg))
    for text in (
        "Holds on 200 of the 265 days",
        "Hill, 600 m",
        "cabin air, °C (line: comfort limit 26 °C)",
        "cooling window opens",
        "energy ran out first: 50 d",
        "reserve 10 %",
        "How it was judged.",
        "can kill people",
    ):
        assert text in told, text
    assert svg == draw_year(year, "How it was judged.", "svg")


def test_a_hotter_hour_is_lighter(year: YearOfPlace) -> None:
    data = draw_year(year, "Rule.", "png")
    grey = matplotlib.image.imread(io.BytesIO(data))[..., :3] @ np.array([0.299, 0.587, 0.114])
    row = grey[int(0.3 * len(grey)), int(0.2 * grey.shape[1]) : int(0.9 * grey.shape[1])]
    assert np.median(row[:50]) + 0.1 < np.median(row[-50:])
