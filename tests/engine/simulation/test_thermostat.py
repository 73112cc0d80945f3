"""What the thermostat asks of cooler and heater, within what the bus gives."""

import math

import pytest

from noonhold.cooling.cooler import thin_air
from noonhold.cooling.cooler_tables import cooler_tables
from noonhold.simulation.controls import FAN_ONLY, NO_STAGE
from noonhold.simulation.thermostat import cool, heat
from tests.engine.made import COOLER

TABLES = cooler_tables(COOLER)
AIR = (35.0, 26.0, 0.009, 101325.0)
THIN = thin_air(TABLES, AIR[-1])


def test_the_cooler_rests_without_a_stage_or_power() -> None:
    assert cool(TABLES, THIN, NO_STAGE, NO_STAGE, 500.0, *AIR, 1e9, 0.0) == (0.0,) * 7
    assert cool(TABLES, THIN, 0, 1, 500.0, *AIR, 0.0, 0.0) == (0.0,) * 7


def test_it_takes_what_is_needed_and_no_more() -> None:
    step = cool(TABLES, THIN, 0, 1, 500.0, *AIR, 1e9, 0.0)
    assert step.net_sensible_w == pytest.approx(500.0)
    assert cool(TABLES, THIN, 0, 0, 5000.0, *AIR, 1e9, 0.0).net_sensible_w < 1000.0
    assert cool(TABLES, THIN, 0, 1, -5.0, *AIR, 1e9, 0.0).net_sensible_w == 0.0


def test_the_fan_alone_warms_the_air() -> None:
    step = cool(TABLES, THIN, FAN_ONLY, FAN_ONLY, 500.0, *AIR, 1e9, 0.0)
    assert (step.net_sensible_w, step.power_w, step.duty) == (-30.0, 30.0, 0.0)


def test_the_bus_bounds_the_cooler() -> None:
    assert cool(TABLES, THIN, 0, 1, 5000.0, *AIR, 100.0, 0.0).bus_power_w == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("needed", "largest", "power", "allowance", "answer"),
    [
        (400.0, 1000.0, 100.0, 500.0, (400.0, 40.0)),
        (4000.0, 1000.0, 100.0, 500.0, (1000.0, 100.0)),
        (1000.0, 1000.0, 100.0, 25.0, (250.0, 25.0)),
        (1000.0, 1000.0, 100.0, -5.0, (0.0, 0.0)),
        (1000.0, 1000.0, 0.0, 0.0, (1000.0, 0.0)),  # burns fuel: no power, no limit
        (-3.0, 1000.0, 100.0, 500.0, (0.0, 0.0)),
        (math.nan, 1000.0, 100.0, 500.0, (0.0, 0.0)),
        (400.0, 0.0, 0.0, 500.0, (0.0, 0.0)),
    ],
)
def test_heating(
    needed: float, largest: float, power: float, allowance: float, answer: tuple[float, float]
) -> None:
    assert heat(needed, largest, power, allowance) == pytest.approx(answer)
