"""What a sizing says in words, and that more is found out to be worse where it was."""

from dataclasses import replace

import pytest

from noonhold.studies.sizing.sizes import Size
from noonhold.studies.sizing.sizing_terms import FrontierPoint, Outcome, SizingAnswer, Target
from noonhold.studies.sizing.sizing_words import sentence_of, worse_when_larger
from noonhold.studies.sizing.trials import Confidence, Margin, Trial


def trial(
    battery_wh: float, held: int, array_w: float | None = 400.0, factor: float = 1.0
) -> Trial:
    return Trial(
        size=Size(battery_wh, array_w, factor), days_needing_cooling=14, holding_days=held,
        narrow_days=0, counting_days=held, feasible_fraction=held / 14, failed_by_capacity=0,
        failed_by_energy=14 - held, failed_by_operation=0, daily_balance_wh=-350.0,
        lowest_charge=0.1, hours_at_reserve=2.0, cooler_wh=1e4, solar_wh=2e4, curtailed_wh=0.0,
        unmet_wh=0.0, peak_comfort=28.0,
    )  # fmt: skip


GIVEN = trial(2000.0, 5)
ANSWER = SizingAnswer(
    target=Target.BATTERY, outcome=Outcome.FOUND, rig=None, found=trial(4000.0, 13),
    next_smaller=trial(3750.0, 12), frontier=(), given=GIVEN, best=None, unlimited=None,
    cooler_factor_needed=None, worth=(), larger_is_worse=(), tried=(GIVEN,),
    confidence=Confidence.NOMINAL, required_feasible_fraction=0.9, runs=9, place="Hill, 600 m",
    notes=(),
)  # fmt: skip


def test_a_larger_size_that_holds_less_is_found_among_its_likes() -> None:
    small, middle, large = trial(1000.0, 9), trial(2000.0, 10), trial(3000.0, 8)
    other_array = trial(4000.0, 2, array_w=200.0)
    assert worse_when_larger([large, small, other_array, middle]) == ((middle, large),)
    more_sun = trial(2000.0, 7, array_w=500.0)
    assert worse_when_larger([middle, more_sun]) == ((middle, more_sun),)
    assert worse_when_larger([small, middle]) == ()


def test_an_array_that_is_not_there_makes_no_line() -> None:
    one, two = trial(1000.0, 9, array_w=None), trial(2000.0, 8, array_w=None)
    assert worse_when_larger([one, two]) == ((one, two),)


def test_what_was_found_is_said_with_its_days() -> None:
    assert sentence_of(ANSWER) == (
        "A battery of 4000 Wh is enough: 13 of the 14 days that need cooling hold, day after day."
    )
    found = trial(2000.0, 13, array_w=600.0)
    bigger = replace(ANSWER, found=found, next_smaller=trial(2000.0, 12, array_w=550.0))
    assert sentence_of(bigger).startswith("An array of 600 W is enough")
    points = (FrontierPoint(200.0, None), FrontierPoint(400.0, trial(5000.0, 13)))
    frontier = replace(ANSWER, found=None, next_smaller=None, frontier=points)
    assert sentence_of(frontier).startswith("1 of the 2 arrays has a battery that is enough")
    assert "5000 Wh, with 400 W" in sentence_of(frontier)


def test_margins_are_said_with_their_hours_and_a_worse_day_where_it_was_asked_for() -> None:
    margins = {
        "energy_margin_wh": Margin(312.4, "2025-01-17", 6.0),
        "comfort_margin_k": Margin(0.84, "2025-01-19", 14.5),
        "cooling_margin_w": Margin(240.0, "2025-01-19", 11.0),
    }
    every = replace(trial(4000.0, 14), **margins)
    adverse = replace(ANSWER, found=every, confidence=Confidence.ADVERSE)
    assert sentence_of(adverse) == (
        "A battery of 4000 Wh is enough: all 14 days that need cooling hold, day after day and"
        " also when a day is somewhat worse. At the least: the battery 312 Wh above its reserve"
        " (2025-01-17, 06:00), the comfort limit 0.8 K away (2025-01-19, 14:30) and 240 W of"
        " cooling to spare (2025-01-19, 11:00)."
    )


def test_one_day_is_no_plural() -> None:
    one = replace(trial(4000.0, 1), days_needing_cooling=1)
    assert "is enough: the day holds, day after day." in sentence_of(replace(ANSWER, found=one))


def test_that_a_larger_battery_holds_fewer_days_is_said_and_why() -> None:
    pair = (trial(2000.0, 10), trial(3000.0, 9))
    told = sentence_of(replace(ANSWER, larger_is_worse=(pair,)))
    assert (
        "with a battery of 2000 Wh 10 of the 14 days that need cooling hold, with a battery of"
        " 3000 Wh 9 of the 14" in told
    )
    assert "reserve is a share of the battery" in told
    sun = (trial(2000.0, 10), trial(2000.0, 9, array_w=500.0))
    assert "reserve" not in sentence_of(replace(ANSWER, larger_is_worse=(sun,)))


@pytest.mark.parametrize(
    ("outcome", "factor", "words"),
    [
        (Outcome.NO_DAY_NEEDS_COOLING, None, "No day needs cooling"),
        (Outcome.COOLER_TOO_SMALL, 1.5, "too small: even with unlimited energy 11 of the 14"),
        (Outcome.COOLER_TOO_SMALL, 1.5, "a cooler 1.5 times as large would be enough"),
        (Outcome.COOLER_TOO_SMALL, None, "Nor would a cooler four times as large"),
        (
            Outcome.NOT_ENOUGH_ENERGY,
            None,
            "too little energy with any size of the range: at best 8 of the 14",
        ),
        (Outcome.NOT_ENOUGH_ENERGY, None, "takes 350 Wh more than it gives: a battery alone"),
        (Outcome.NO_COOLER_DOES_IT, None, "No cooler of the range is enough: at best 8 of the 14"),
    ],
)
def test_where_nothing_does_it_the_answer_says_what_is_at_fault(
    outcome: Outcome, factor: float | None, words: str
) -> None:
    none = replace(
        ANSWER, outcome=outcome, found=None, next_smaller=None, best=trial(9000.0, 8),
        unlimited=trial(1e9, 11), cooler_factor_needed=factor,
    )  # fmt: skip
    assert words in sentence_of(none)
