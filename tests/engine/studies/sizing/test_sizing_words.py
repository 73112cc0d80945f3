"""What a sizing says in words, and that more is found out to be worse where it was."""

from dataclasses import replace

import pytest

from noonhold.studies.sizing.sizes import Size
from noonhold.studies.sizing.sizing_terms import FrontierPoint, Outcome, SizingAnswer
from noonhold.studies.sizing.sizing_words import sentence_of, worse_when_larger
from noonhold.studies.sizing.trials import Trial


def trial(
    battery_wh: float, held: int, array_w: float | None = 400.0, factor: float = 1.0
) -> Trial:
    return Trial(
        Size(battery_wh, array_w, factor), 14, held, held / 14, 0, 14 - held, 0, 0.1, 2.0, 1e4,
        2e4, 0.0, 0.0, 28.0,
    )  # fmt: skip


GIVEN = trial(2000.0, 5)
ANSWER = SizingAnswer(
    outcome=Outcome.FOUND, rig=None, found=trial(4000.0, 13), next_smaller=trial(3750.0, 12),
    frontier=(), given=GIVEN, best=None, unlimited=None, cooler_factor_needed=None, worth=(),
    larger_is_worse=(), runs=9, notes=(),
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
        "A battery of 4000 Wh does it: it holds 13 of 14 days that need cooling."
    )
    found = trial(2000.0, 13, array_w=600.0)
    bigger = replace(ANSWER, found=found, next_smaller=trial(2000.0, 12, array_w=550.0))
    assert sentence_of(bigger).startswith("An array of 600 W does it")
    points = (FrontierPoint(200.0, None), FrontierPoint(400.0, trial(5000.0, 13)))
    frontier = replace(ANSWER, found=None, next_smaller=None, frontier=points)
    assert sentence_of(frontier).startswith("1 of 2 arrays have a battery that does it")
    assert "5000 Wh, with 400 W" in sentence_of(frontier)


def test_that_a_larger_battery_holds_fewer_days_is_said_and_why() -> None:
    pair = (trial(2000.0, 10), trial(3000.0, 9))
    told = sentence_of(replace(ANSWER, larger_is_worse=(pair,)))
    assert "a battery of 2000 Wh holds 10 days and a battery of 3000 Wh 9" in told
    assert "reserve is a share of the battery" in told
    sun = (trial(2000.0, 10), trial(2000.0, 9, array_w=500.0))
    assert "reserve" not in sentence_of(replace(ANSWER, larger_is_worse=(sun,)))


@pytest.mark.parametrize(
    ("outcome", "factor", "words"),
    [
        (Outcome.NO_DAY_NEEDS_COOLING, None, "No day needs cooling"),
        (Outcome.COOLER_TOO_SMALL, 1.5, "It is the cooler: even unlimited energy holds only 11"),
        (Outcome.COOLER_TOO_SMALL, 1.5, "a cooler 1.5 times as large would do it"),
        (Outcome.COOLER_TOO_SMALL, None, "Nor would a cooler four times as large"),
        (Outcome.NOT_ENOUGH_ENERGY, None, "It is the energy: the sizes allowed hold 8 of 14"),
        (Outcome.NO_COOLER_DOES_IT, None, "No cooler of the range does it: at best it holds 8"),
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
