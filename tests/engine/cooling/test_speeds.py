"""Variable speed: how efficient at part load, how far down, and what cycles below."""

import math
from dataclasses import replace

import pytest

from noonhold.cooling.cooler import fan_only, meet_load, steady_stage
from noonhold.cooling.cooler_tables import cooler_tables
from noonhold.cooling.performance_map import default_map
from noonhold.cooling.speeds import efficiency_ratio, running_stages
from noonhold.errors import DocumentError
from noonhold.rig import Cooler, Ducts, Modulation, RatingPoint, SpeedPoint, Stage

FULL = Stage("full", 2000.0, 700.0)
COOLER = Cooler((FULL,), 400.0, 0.75, 30.0, variable_speed=True, modulation=Modulation())
# On the map of its class, so that part load alone makes the difference.
FIXED = replace(
    COOLER, variable_speed=False, modulation=None, performance_map=default_map(RatingPoint(), True)
)
RATED = (35.0, 27.0, 0.01110, 101325.0)
# The ten speeds as published: capacity over the rated one, efficiency over that at full speed.
LABORATORY = {
    0.4: 1.901, 0.4889: 1.859, 0.5778: 1.746, 0.6667: 1.609, 0.7556: 1.474, 0.8444: 1.353,
    0.9333: 1.247, 1.0222: 1.156, 1.1111: 1.079, 1.2: 1.0,
}  # fmt: skip


def power(cooler: Cooler, share: float) -> float:
    tables = cooler_tables(cooler)
    last = len(tables.gross_capacity_w) - 1
    full = steady_stage(tables, last, *RATED)[0]
    return meet_load(tables, 0, last, share * full, *RATED, math.inf).power_w


@pytest.mark.parametrize(("capacity", "published"), LABORATORY.items())
def test_the_default_follows_the_laboratory(capacity: float, published: float) -> None:
    assert efficiency_ratio(COOLER, capacity / 1.2) == pytest.approx(published, rel=0.01)


def test_half_load_costs_less_than_half_where_a_fixed_speed_cycles() -> None:
    full = power(COOLER, 1.0)
    assert full == pytest.approx(power(FIXED, 1.0))
    # PLF of the cycling stage: 1 - 0.25 x 0.5 = 0.875.
    assert power(FIXED, 0.5) == pytest.approx(0.5 * full / 0.875, rel=1e-6)
    assert power(COOLER, 0.5) == pytest.approx(0.5 * full / 1.68, rel=0.03)


def test_below_its_least_speed_it_cycles_at_that_speed() -> None:
    least = power(COOLER, 1.0 / 3.0)
    assert power(COOLER, 1.0 / 6.0) > 0.5 * least
    deeper = replace(COOLER, modulation=Modulation(0.2))
    assert power(deeper, 1.0 / 6.0) < power(COOLER, 1.0 / 6.0)


def test_the_users_points_rule() -> None:
    points = (SpeedPoint(0.5, 1.3),)
    mine = replace(COOLER, modulation=Modulation(0.25, points))
    assert efficiency_ratio(mine, 0.5) == 1.3
    assert efficiency_ratio(mine, 0.3) == 1.3
    assert efficiency_ratio(mine, 0.75) == pytest.approx(1.15)
    assert power(mine, 0.5) > power(COOLER, 0.5)


def test_several_stages_are_points_and_the_laboratory_goes_on_below() -> None:
    low = Stage("low", 1000.0, 280.0)
    two = replace(COOLER, stages=(low, FULL))
    own = (1000.0 / 280.0) / (2000.0 / 700.0)
    assert efficiency_ratio(two, 0.5) == pytest.approx(own)
    below = efficiency_ratio(COOLER, 0.4) / efficiency_ratio(COOLER, 0.5)
    assert efficiency_ratio(two, 0.4) == pytest.approx(own * below)
    stages, places = running_stages(two)
    assert [stages[place] for place in places] == [low, FULL]
    assert stages[0].cooling_w == pytest.approx(2000.0 / 3.0)
    assert [s.cooling_w for s in stages] == sorted(s.cooling_w for s in stages)


def test_a_variable_speed_cooler_of_one_stage_modulates_unasked() -> None:
    bare = replace(COOLER, modulation=None)
    assert running_stages(bare) == running_stages(COOLER)
    assert running_stages(FIXED) == ((FULL,), (0,))


def test_a_least_speed_below_the_fans_draw_is_a_fault() -> None:
    with pytest.raises(DocumentError) as caught:
        cooler_tables(replace(COOLER, modulation=Modulation(0.05)))
    assert caught.value.faults[0].path == "/rig/cooler/modulation/least_fraction"


def test_standby_is_drawn_while_the_compressor_rests() -> None:
    tables = cooler_tables(replace(FIXED, standby_power_w=5.0))
    none = cooler_tables(FIXED)
    assert meet_load(tables, 0, 0, 0.0, *RATED, math.inf).power_w == 5.0
    assert fan_only(tables).power_w == 35.0
    part, plain = (meet_load(t, 0, 0, 600.0, *RATED, math.inf) for t in (tables, none))
    assert part.power_w - plain.power_w == pytest.approx(5.0 * (1.0 - plain.duty))


def test_ducts_lose_their_part_of_the_gross_cooling() -> None:
    tables = cooler_tables(replace(FIXED, ducts=Ducts(0.2, 0.25)))
    ducted, whole = (steady_stage(t, 0, *RATED) for t in (tables, cooler_tables(FIXED)))
    assert ducted[0] + 30.0 == pytest.approx(0.85 * (whole[0] + 30.0))
    assert ducted[1] == pytest.approx(0.85 * whole[1])
    assert ducted[2] == whole[2]
