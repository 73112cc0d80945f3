"""ANSI/ASHRAE Standard 140, cases CE100 to CE200: a fixed-speed air conditioner in steady state.

Origin: J. Neymark, R. Judkoff, "HVAC BESTEST", NREL/TP-550-30152 (2002). Values are the two
independent quasi-analytical solutions of the standard's Annex B16.5.1; COP is net load over all
electricity. The zone is solved here by bisection on its humidity, in the way the solutions are
defined: everything constant for 672 h, latent gain equal to what the coil takes out.

The unit moves 0.425 m3/s of standard air (1.204 kg/m3, 20 degC dry at sea level). Our fan moves a
volume of the air that enters, so its actual flow is the one of equal dry mass at the rating point.
"""

import math
from typing import NamedTuple

import numpy as np
import pytest

from noonhold.air.moist_air import dry_air_density, humidity_ratio_from_wet_bulb
from noonhold.cooling.cooler import CoolerStep, CoolerTables, cooler_tables, meet_load
from noonhold.cooling.performance_map import bestest_ratios
from noonhold.rig import Cooler, PerformanceMap, RatingPoint, Stage

HOURS = 672.0
PRESSURE_PA = 101700.0
ZONE_UA_W_K = 1.716
GROSS_W = 8181.0
FAN_W = 230.0
STANDARD_AIR_KG_M3 = 1.204


class Case(NamedTuple):
    name: str
    sensible_gain_w: float
    latent_gain_w: float
    set_point_c: float
    outdoor_c: float
    electricity_kwh: tuple[float, float]
    cop: tuple[float, float]
    coil_total_kwh: float
    coil_sensible_kwh: float
    coil_latent_kwh: float
    fan_kwh: float
    humidity_ratio: tuple[float, float]


CASES = [
    Case("CE100", 5400, 0, 22.2, 46.1, (1530.5, 1530.8), (2.389, 2.390), 3800.4, 3800.4, 0.0,
         144.1, (0.00743, 0.00734)),
    Case("CE110", 5400, 0, 22.2, 29.4, (1076.2, 1077.2), (3.379, 3.380), 3765.2, 3765.2, 0.0,
         128.1, (0.00652, 0.00640)),
    Case("CE140", 270, 0, 22.2, 29.4, (69.0, 68.5), (2.750, 2.770), 198.0, 198.0, 0.0,
         8.2, (0.00652, 0.00640)),
    Case("CE150", 5400, 1100, 22.2, 29.4, (1206.5, 1206.5), (3.627, 3.630), 4517.5, 3778.3, 739.2,
         141.2, (0.00823, 0.00820)),
    Case("CE165", 5400, 1100, 23.3, 40.6, (1497.8, 1499.7), (2.929, 2.930), 4537.0, 3797.8, 739.2,
         149.1, (0.00927, 0.00920)),
    Case("CE180", 2100, 4400, 22.2, 29.4, (1082.7, 1082.3), (4.042, 4.040), 4495.3, 1537.8, 2957.5,
         118.8, (0.01619, 0.01623)),
    Case("CE200", 6120, 1817, 26.7, 35.0, (1475.8, 1477.4), (3.621, 3.620), 5497.8, 4276.7, 1221.1,
         154.5, (0.01113, 0.01109)),
]  # fmt: skip


def standard_unit() -> CoolerTables:
    """The unit of the cases; its bi-quadratics given point by point in a fine table."""
    rating = RatingPoint(35.0, 26.7, 19.4, PRESSURE_PA)
    moist = humidity_ratio_from_wet_bulb(26.7, 19.4, PRESSURE_PA)
    airflow_m3_s = 0.425 * STANDARD_AIR_KG_M3 / dry_air_density(26.7, moist, PRESSURE_PA)
    outdoor_c = np.linspace(27.0, 49.0, 23)
    wet_bulb_c = np.linspace(12.0, 24.0, 49)
    ratios = np.array([[bestest_ratios(o, w) for w in wet_bulb_c] for o in outdoor_c])
    net_w = GROSS_W - FAN_W
    cooler = Cooler(
        stages=(Stage("on", cooling_w=net_w, power_w=GROSS_W / 4.161 + FAN_W),),
        airflow_m3_h=airflow_m3_s * 3600.0,
        sensible_heat_ratio=(0.7774 * GROSS_W - FAN_W) / net_w,
        fan_power_w=FAN_W,
        rating=rating,
        performance_map=PerformanceMap(
            outdoor_c=tuple(outdoor_c.tolist()),
            wet_bulb_c=tuple(wet_bulb_c.tolist()),
            capacity_ratio=tuple(map(tuple, ratios[:, :, 0].tolist())),
            power_ratio=tuple(map(tuple, ratios[:, :, 1].tolist())),
        ),
        degradation_coefficient=0.229,
    )
    return cooler_tables(cooler)


def zone_in_balance(unit: CoolerTables, case: Case) -> tuple[CoolerStep, float]:
    """Cooler's step and zone humidity ratio at which the coil takes out just the latent gain."""
    needed_w = case.sensible_gain_w + ZONE_UA_W_K * (case.outdoor_c - case.set_point_c)

    def run(humidity_ratio: float) -> CoolerStep:
        return meet_load(
            unit, 0, 0, needed_w, case.outdoor_c, case.set_point_c, humidity_ratio, PRESSURE_PA,
            math.inf,
        )  # fmt: skip

    dry, moist = 0.003, 0.0168
    for _ in range(60):
        middle = (dry + moist) / 2.0
        if run(middle).latent_w > case.latent_gain_w:
            moist = middle
        else:
            dry = middle
    return run(dry), dry


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_steady_state_of_standard_140(case: Case) -> None:
    step, humidity_ratio = zone_in_balance(standard_unit(), case)
    kwh = HOURS / 1000.0
    sensible_kwh = (step.net_sensible_w + step.fan_power_w) * kwh
    latent_kwh = step.latent_w * kwh
    load_kwh = (step.net_sensible_w + step.latent_w) * kwh
    electricity_kwh = step.power_w * kwh
    low, high = sorted(case.electricity_kwh)
    assert 0.99 * low <= electricity_kwh <= 1.01 * high
    low, high = sorted(case.cop)
    assert 0.99 * low <= load_kwh / electricity_kwh <= 1.01 * high
    assert sensible_kwh + latent_kwh == pytest.approx(case.coil_total_kwh, rel=0.01)
    assert sensible_kwh == pytest.approx(case.coil_sensible_kwh, rel=0.01)
    assert latent_kwh == pytest.approx(case.coil_latent_kwh, rel=0.01, abs=0.035)
    assert step.fan_power_w * kwh == pytest.approx(case.fan_kwh, rel=0.01)
    # In the dry cases this is where the coil just became dry; a zone can end anywhere below.
    low, high = sorted(case.humidity_ratio)
    assert 0.98 * low <= humidity_ratio <= 1.02 * high
