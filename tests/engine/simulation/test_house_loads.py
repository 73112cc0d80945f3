"""Loads that follow the temperature around them.

IEC 62552-3:2015 measures refrigerators at 16 and at 32 degC around them. L. Harrington, L. Aye,
B. Fuller, "Impact of room temperature on energy consumption of household refrigerators", Applied
Energy 211, 2018, find the energy at 16 near half of that at 32 degC for refrigerator-freezers (0.40
to 0.55 over 111 appliances, figures from memory).
"""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.rig import Load, Thermostatic
from noonhold.simulation.controls import control_tables
from noonhold.simulation.house_loads import house_loads, thermostatic_ratio
from tests.engine.made import rig, scene

STEP_S = 900
NOON, NIGHT = 48, 0
FRIDGE = Load("fridge", 40.0, ((6.0, 22.0),), 0.9, 0.2, Thermostatic(25.0, 5.0))


def drawn(load: Load, cabin_c: float, outdoor_c: float = 0.0, row: int = NOON):
    table = control_tables(rig(loads=(Load("fan", 10.0, (), 0.5), load)), scene(), STEP_S)
    return house_loads(table, row, cabin_c, outdoor_c)


def test_at_its_rating_it_draws_its_rated_power_and_heats_by_its_shares() -> None:
    power, to_air, to_radiant = drawn(FRIDGE, 25.0)
    assert power == pytest.approx(50.0)
    assert to_air == pytest.approx(5.0 + 40.0 * 0.9 * 0.8)
    assert to_radiant == pytest.approx(40.0 * 0.9 * 0.2)
    assert drawn(FRIDGE, 25.0, row=NIGHT)[0] == 10.0


def test_by_hand_in_a_hot_cabin() -> None:
    # 35 over 20 K of difference, 60 over 45 K of lift.
    assert drawn(FRIDGE, 40.0)[0] == pytest.approx(10.0 + 40.0 * 35.0 / 20.0 * 60.0 / 45.0)
    assert drawn(FRIDGE, 5.0)[0] == drawn(FRIDGE, -20.0)[0] == 10.0


def test_the_published_ratio_of_cool_to_warm_rooms() -> None:
    # A refrigerator-freezer: a quarter to a third of its walls at -18, the rest at 4 degC.
    cool, warm = (float(thermostatic_ratio(room, -3.0, 25.0, 0.05)) for room in (16.0, 32.0))
    assert 0.40 <= cool / warm <= 0.55


def test_constant_part_limit_and_place() -> None:
    def kind(**changes: object) -> Load:
        return replace(FRIDGE, thermostatic=replace(FRIDGE.thermostatic, **changes))

    assert drawn(kind(constant_fraction=0.25), 5.0)[0] == pytest.approx(20.0)
    assert drawn(kind(most_power_w=60.0), 45.0)[0] == pytest.approx(70.0)
    assert drawn(kind(in_cabin=False), 45.0, 25.0)[0] == pytest.approx(50.0)


def test_warmer_is_never_cheaper() -> None:
    powers = [drawn(FRIDGE, float(cabin))[0] for cabin in np.arange(-10.0, 60.0, 2.5)]
    assert powers == sorted(powers)
