"""What a condenser breathes of its own exhaust."""

from dataclasses import replace

import pytest

from noonhold.cooling.condenser import RECIRCULATION, heat_capacity_rate, rise_per_watt
from noonhold.cooling.cooler import map_clamped, steady_stage
from noonhold.cooling.cooler_tables import cooler_tables
from noonhold.rig import CondenserInstallation, Cooler, Stage

COOLER = Cooler((Stage("low", 900.0, 280.0), Stage("high", 1800.0, 700.0)), 400.0, 0.75, 30.0)
AIR = (38.0, 26.0, 0.009, 101325.0)


def tables(installation: CondenserInstallation | None, **more: object):
    return cooler_tables(replace(COOLER, condenser_installation=installation, **more))


def test_the_mixing_balance() -> None:
    # 0.25 of the exhaust comes round, 2500 W into 208 W/K: 1/3 x 12 K.
    rate = heat_capacity_rate(2500.0, None)
    assert 2500.0 * rise_per_watt(0.25, 6.0, rate, 0.0, 101325.0) == pytest.approx(4.0)
    # Half of it in a wind of 6 m/s: 0.125 / 0.875 x 12 K.
    assert 2500.0 * rise_per_watt(0.25, 6.0, rate, 6.0, 101325.0) == pytest.approx(12.0 / 7.0)
    # A fan moves a volume: in air of 0.7 of the pressure the rise is 1 / 0.7.
    thin = rise_per_watt(0.25, 6.0, rate, 0.0, 0.7 * 101325.0)
    assert 2500.0 * thin == pytest.approx(4.0 / 0.7)
    assert heat_capacity_rate(1.0, 3600.0) == pytest.approx(1152.9, rel=1e-3)
    assert rise_per_watt(0.0, 1.0, 1.0, 0.0, 101325.0) == 0.0


def test_closer_installations_cost_more() -> None:
    powers = [steady_stage(tables(kind), 1, *AIR)[2] for kind in (None, *RECIRCULATION)]
    assert powers == sorted(powers)
    assert len(set(powers)) == 5


def test_the_rise_is_that_of_the_heat_rejected() -> None:
    kind = CondenserInstallation.ENCLOSED
    found = steady_stage(tables(kind), 1, *AIR)
    _, _, power = found
    # Solve the same balance by iteration with a fixed rise.
    rise = 0.0
    for _ in range(50):
        fixed = steady_stage(cooler_tables(replace(COOLER, condenser_air_rise_k=rise)), 1, *AIR)
        rejected = fixed[0] + fixed[1] + 30.0 + fixed[2] - 30.0
        rise = 0.45 / 0.55 * rejected / ((1800.0 + 700.0) / 12.0)
    assert power == pytest.approx(fixed[2], rel=2e-3)
    assert found[0] == pytest.approx(fixed[0], rel=2e-3)


def test_wind_and_a_low_stage_lower_it() -> None:
    kind = CondenserInstallation.ROOF_SHROUD
    shrouded = tables(kind)
    assert steady_stage(shrouded, 1, *AIR, 5.0)[2] < steady_stage(shrouded, 1, *AIR, 0.0)[2]
    calm = [steady_stage(t, s, *AIR)[2] for s in (0, 1) for t in (shrouded, tables(None))]
    assert calm[0] / calm[1] - 1.0 < 0.6 * (calm[2] / calm[3] - 1.0)
    more_air = tables(kind, condenser_airflow_m3_h=2000.0)
    assert steady_stage(more_air, 1, *AIR)[2] < steady_stage(shrouded, 1, *AIR)[2]
    assert map_clamped(tables(CondenserInstallation.ENCLOSED), 1, 47.0, *AIR[1:])
    assert not map_clamped(tables(None), 1, 47.0, *AIR[1:])
