import io
from dataclasses import replace

import matplotlib.image
import numpy as np
import pytest

from noonhold.pictures.year_picture import DAYS, YearOfPlace, draw_year, verdict_of
from noonhold.quantities import Cause, Horizon, Verdict
from noonhold.scenario import Comfort, ComfortMeasure, Operation, Place, Scenario, Start
from noonhold.verdict import DayVerdicts
from tests.engine.pictures.svg import words


@pytest.fixture
def year() -> YearOfPlace:
    """Return a year made by hand: cool to day 100, 200 days held (30 narrowly), 50 and 15 not."""
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
            "verdict": np.select(
                [cause != Cause.NONE, days >= 270],
                [int(Verdict.FAILS), int(Verdict.NARROWLY)],
                int(Verdict.HOLDS),
            ),
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
    assert list(counts.values()) == [100, 170, 30, 50, 15, 0]
    assert verdict_of(year) == (
        "Living there: holds on 200 of the 265 dates that need cooling, narrowly on 30 of them; the"
        " energy runs out first on 50, the cooler is too small first on 15."
    )


def test_a_year_without_need_or_without_failure_says_so(year: YearOfPlace) -> None:
    days = year.verdicts
    none = replace(days, needs_cooling=np.zeros(DAYS, dtype=bool))
    assert verdict_of(replace(year, verdicts=none)) == "No day of the year needs cooling."
    held = replace(days, verdict=np.full(DAYS, int(Verdict.HOLDS)))
    assert verdict_of(replace(year, verdicts=held)) == (
        "Living there: holds on 265 of the 265 dates that need cooling."
    )


def test_what_the_picture_says(year: YearOfPlace) -> None:
    svg = draw_year(year, "How it was judged.", "svg")
    told = " ".join(words(svg))
    for text in (
        "Living there: holds on 200 of the 265 dates",
        "When does the rig hold, living there?",
        "Hill, 600 m",
        "cabin air, °C (line: comfort limit 26 °C)",
        "cooling window opens",
        "holds: 170 d",
        "holds narrowly: 30 d",
        "fails, energy first: 50 d",
        "reserve 10 %",
        "How it was judged.",
        "can kill people",
    ):
        assert text in told, text
    assert svg == draw_year(year, "How it was judged.", "svg")


def test_a_stay_shows_its_days_in_place_of_the_charge(year: YearOfPlace) -> None:
    stay = np.minimum(np.arange(DAYS) // 20, 14)
    asked = replace(year, horizon=Horizon(3), stay_days=stay, charge_on_arrival=0.8)
    told = " ".join(words(draw_year(asked, "Rule.", "svg")))
    for text in (
        "3 days: holds on 200",
        "When do three days in a row hold, arriving with a battery at 80 %?",
        "14 or more",
        "cabin air while energy lasts",
    ):
        assert text in told, text
    assert "reserve 10 %" not in told


def test_what_holds_narrowly_is_hatched(year: YearOfPlace) -> None:
    """Without colour: the same picture with the narrow days held differs in grey."""
    held = np.where(year.verdicts.verdict == Verdict.NARROWLY, Verdict.HOLDS, year.verdicts.verdict)
    plain = replace(year, verdicts=replace(year.verdicts, verdict=held))
    svg = draw_year(year, "Rule.", "svg")
    assert b"url(#h" in svg and b"url(#h" not in draw_year(plain, "Rule.", "svg")


def test_a_hotter_hour_is_lighter(year: YearOfPlace) -> None:
    data = draw_year(year, "Rule.", "png")
    grey = matplotlib.image.imread(io.BytesIO(data))[..., :3] @ np.array([0.299, 0.587, 0.114])
    row = grey[int(0.3 * len(grey)), int(0.2 * grey.shape[1]) : int(0.9 * grey.shape[1])]
    assert np.median(row[:50]) + 0.1 < np.median(row[-50:])
