"""Moist air against the values that the ASHRAE Handbook prints.

All from the 2017 ASHRAE Handbook - Fundamentals (SI), chapter 1: table 1 (standard atmosphere),
table 2 (moist air at 101.325 kPa), table 3 (water at saturation) and the chapter's relations.
"""

from __future__ import annotations

from functools import partial

import pytest

from noonhold.air import moist_air
from tests.published.part import Part, between, held, name, near

SOURCE = "ASHRAE HoF 2017 ch. 1"
SEA_LEVEL_PA = 101325.0

# Table 3 is computed from the IAPWS formulation, equations 5 and 6 are Hyland and Wexler's: they
# differ by at most 0.02 % at these temperatures, and by the digits printed.
TABLE_3 = [(-20.0, 103.24), (-5.0, 401.74), (5.0, 872.6), (25.0, 3169.7), (50.0, 12351.3)]
# Table 2 is of a real gas: its vapour pressure is the ideal one times the enhancement factor, 1.004
# to 1.006 here (Hyland and Wexler 1983). Equation 21 leaves it out.
TABLE_2 = [(-5.0, 0.0024863), (5.0, 0.005425), (25.0, 0.020173), (50.0, 0.086863)]
TABLE_1 = [(0.0, 101325.0), (500.0, 95461.0), (1000.0, 89875.0), (4000.0, 61640.0)]


def enhancement(temp_c: float, printed: float) -> float:
    vapour_pa = moist_air.vapour_pressure(printed, SEA_LEVEL_PA)
    return vapour_pa / moist_air.saturation_pressure(temp_c)


def near_freezing() -> float:
    ratio = moist_air.humidity_ratio_from_rh(7.0, 0.61, 100000.0)
    return moist_air.wet_bulb(7.0, ratio, 100000.0)


PARTS = [
    *(near(SOURCE, f"table 3, {temp:g} degC", "saturation pressure Pa", pa, 3e-4 * pa,
           partial(moist_air.saturation_pressure, temp)) for temp, pa in TABLE_3),
    *(between(SOURCE, f"table 2, {temp:g} degC", "factor over the ideal gas", 1.004, 1.006,
              partial(enhancement, temp, printed)) for temp, printed in TABLE_2),
    *(near(SOURCE, f"table 1, {height:g} m", "standard pressure Pa", pa, 1.0,
           partial(moist_air.standard_pressure, height)) for height, pa in TABLE_1),
    near(SOURCE, "saturated, 25 degC", "enthalpy J/kg", 76504.0, 5e-4 * 76504.0,
         partial(moist_air.enthalpy, 25.0, 0.020173)),
    near(SOURCE, "30 degC, 0.02 kg/kg", "enthalpy J/kg", 81316.0, 0.5,
         partial(moist_air.enthalpy, 30.0, 0.02)),
    near(SOURCE, "30 degC, 0.02 kg/kg, 95461 Pa", "volume m3/kg", 0.940855, 1e-6,
         lambda: 1.0 / moist_air.dry_air_density(30.0, 0.02, 95461.0)),
    # The printed value is of a saturation pressure rounded otherwise: 0.02 %.
    near(SOURCE, "30 degC, wet bulb 25, 95461 Pa", "kg/kg", 0.0192281, 6e-6,
         partial(moist_air.humidity_ratio_from_wet_bulb, 30.0, 25.0, 95461.0)),
    # 3.9267 comes of an iteration stopped at 0.001 K.
    near(SOURCE, "7 degC, 61 %, 100 kPa", "wet bulb degC", 3.9267, 1e-3, near_freezing),
    near(SOURCE, "25 degC, 80 %", "dew point degC", 21.3094, 1e-4,
         lambda: moist_air.dew_point(0.8 * moist_air.saturation_pressure(25.0))),
]  # fmt: skip


@pytest.mark.parametrize("part", PARTS, ids=name)
def test_moist_air_is_the_handbooks(part: Part) -> None:
    held(part)


@pytest.mark.parametrize(("temp_c", "printed"), TABLE_2)
def test_saturated_humidity_ratio_lacks_only_the_enhancement_factor(
    temp_c: float, printed: float
) -> None:
    ours = moist_air.saturation_humidity_ratio(temp_c, SEA_LEVEL_PA)
    assert printed / 1.0065 < ours < printed


def test_enthalpy_of_saturated_air_with_our_own_humidity() -> None:
    # The missing enhancement factor takes 0.26 %.
    ours = moist_air.saturation_humidity_ratio(25.0, SEA_LEVEL_PA)
    assert moist_air.enthalpy(25.0, ours) == pytest.approx(76504.0, rel=3e-3)
