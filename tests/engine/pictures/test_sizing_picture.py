"""The picture of a sizing says what its answer does, and marks by shape what it marks by colour."""

from dataclasses import replace

import pytest

from noonhold.pictures.sizing_picture import draw_sizing
from noonhold.studies.sizing.sizes import Size
from noonhold.studies.sizing.sizing_terms import FrontierPoint, Outcome, SizingAnswer, Target
from noonhold.studies.sizing.sizing_view import sizing_view
from noonhold.studies.sizing.trials import Confidence, Trial
from tests.engine.pictures.svg import words


def trial(battery_wh: float, array_w: float, held: int) -> Trial:
    return Trial(
        size=Size(battery_wh, array_w), days_needing_cooling=10, holding_days=held, narrow_days=0,
        counting_days=held, feasible_fraction=held / 10, failed_by_capacity=0,
        failed_by_energy=10 - held, failed_by_operation=0, daily_balance_wh=100.0,
        lowest_charge=0.2, hours_at_reserve=0.0, cooler_wh=1e4, solar_wh=2e4, curtailed_wh=0.0,
        unmet_wh=0.0, peak_comfort=26.0,
    )  # fmt: skip


TRIED = (trial(2000.0, 400.0, 5), trial(4000.0, 400.0, 9), trial(3000.0, 400.0, 7))
SINGLE = SizingAnswer(
    target=Target.BATTERY, outcome=Outcome.FOUND, rig=None, found=TRIED[1], next_smaller=TRIED[2],
    frontier=(), given=TRIED[0], best=None, unlimited=None, cooler_factor_needed=None, worth=(),
    larger_is_worse=(), tried=TRIED, confidence=Confidence.ADVERSE,
    required_feasible_fraction=0.9, runs=4, place="Hill, 600 m", notes=(),
)  # fmt: skip
FRONTIER = replace(
    SINGLE, target=Target.BATTERY_AND_ARRAY, found=None, next_smaller=None,
    frontier=(FrontierPoint(200.0, None), FrontierPoint(400.0, TRIED[1])),
)  # fmt: skip


@pytest.mark.parametrize("answer", [SINGLE, FRONTIER], ids=["battery", "frontier"])
def test_the_picture_says_the_answer_and_how_days_counted(answer: SizingAnswer) -> None:
    svg = draw_sizing(sizing_view("Box", answer), "svg")
    told = " ".join(words(svg))
    for text in (
        "4000 Wh",
        "Hill, 600 m",
        "also when somewhat worse",
        "90 % of the days",
        "the rig as given",
        "Heat in a closed vehicle",
    ):
        assert text in told, text
    assert svg == draw_sizing(sizing_view("Box", answer), "svg")


def test_a_frontier_shows_which_arrays_no_battery_is_enough_for() -> None:
    told = " ".join(words(draw_sizing(sizing_view("Box", FRONTIER), "svg")))
    assert "smallest battery that is enough" in told
    assert "no battery of the range is enough" in told
    none = replace(FRONTIER, frontier=(FrontierPoint(400.0, TRIED[1]),))
    assert "no battery of the range" not in " ".join(
        words(draw_sizing(sizing_view("Box", none), "svg"))
    )


def test_a_single_size_shows_every_size_that_was_run() -> None:
    told = " ".join(words(draw_sizing(sizing_view("Box", SINGLE), "svg")))
    assert "usable energy of the battery, Wh" in told
    assert "not enough, or a load goes unserved" in told
    cooler = replace(SINGLE, target=Target.COOLER)
    told = " ".join(words(draw_sizing(sizing_view("Box", cooler), "svg")))
    assert "cooler, times the given one" in told


def test_a_png_is_one() -> None:
    assert draw_sizing(sizing_view("Box", FRONTIER), "png").startswith(b"\x89PNG")
