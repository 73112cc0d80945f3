"""Moist air against the values that the ASHRAE Handbook prints.

All from the 2017 ASHRAE Handbook - Fundamentals (SI), chapter 1: table 1 (standard atmosphere),
table 2 (moist air at 101.325 kPa), table 3 (water at saturation) and the chapter's relations.
"""

import pytest

from engine import moist_air

SEA_LEVEL_PA = 101325.0


@pytest.mark.parametrize(
    ("temp_c", "printed_pa"),
    [(-20.0, 103.24), (-5.0, 401.74), (5.0, 872.6), (25.0, 3169.7), (50.0, 12351.3)],  # table 3
)
def test_saturation_pressure_is_that_of_table_3(temp_c: float, printed_pa: float) -> None:
    # Table 3 is computed from the IAPWS formulation, equations 5 and 6 are Hyland and Wexler's:
    # they differ by at most 0.02 % at these temperatures, and by the digits printed.
    assert moist_air.saturation_pressure(temp_c) == pytest.approx(printed_pa, rel=3e-4)


@pytest.mark.parametrize(
    ("temp_c", "printed"),
    [(-5.0, 0.0024863), (5.0, 0.005425), (25.0, 0.020173), (50.0, 0.086863)],  # table 2
)
def test_saturated_humidity_ratio_lacks_only_the_enhancement_factor(
    temp_c: float, printed: float
) -> None:
    # Table 2 is of a real gas: its vapour pressure is the ideal one times the enhancement
    # factor, 1.004 to 1.006 here (Hyland and Wexler 1983). Equation 21 leaves it out.
    printed_vapour_pa = moist_air.vapour_pressure(printed, SEA_LEVEL_PA)
    factor = printed_vapour_pa / moist_air.saturation_pressure(temp_c)
    assert 1.004 < factor < 1.006
    ours = moist_air.saturation_humidity_ratio(temp_c, SEA_LEVEL_PA)
    assert printed / 1.0065 < ours < printed


def test_enthalpy_of_saturated_air_of_table_2() -> None:
    # With the table's own humidity ratio the rest agrees to 0.05 %; with equation 21's the
    # missing enhancement factor takes 0.26 %.
    assert moist_air.enthalpy(25.0, 0.020173) == pytest.approx(76504.0, rel=5e-4)
    ours = moist_air.saturation_humidity_ratio(25.0, SEA_LEVEL_PA)
    assert moist_air.enthalpy(25.0, ours) == pytest.approx(76504.0, rel=3e-3)


def test_enthalpy_and_volume_by_equations_30_and_26() -> None:
    assert moist_air.enthalpy(30.0, 0.02) == pytest.approx(81316.0, abs=0.5)
    # Printed for 95461 Pa, the standard atmosphere at 500 m.
    assert 1.0 / moist_air.dry_air_density(30.0, 0.02, 95461.0) == pytest.approx(0.940855, abs=1e-6)


def test_humidity_ratio_from_wet_bulb_by_equation_33() -> None:
    # Worked with psychrometer readings 30 and 25 degC at 95461 Pa. The printed value is of a
    # saturation pressure rounded otherwise: 0.02 %.
    ours = moist_air.humidity_ratio_from_wet_bulb(30.0, 25.0, 95461.0)
    assert ours == pytest.approx(0.0192281, rel=3e-4)


def test_wet_bulb_of_air_near_freezing() -> None:
    ratio = moist_air.humidity_ratio_from_rh(7.0, 0.61, 100000.0)
    # 3.9267 comes of an iteration stopped at 0.001 K.
    assert moist_air.wet_bulb(7.0, ratio, 100000.0) == pytest.approx(3.9267, abs=1e-3)


def test_dew_point_of_25_degrees_and_80_percent() -> None:
    vapour_pa = 0.8 * moist_air.saturation_pressure(25.0)
    assert moist_air.dew_point(vapour_pa) == pytest.approx(21.3094, abs=1e-4)


@pytest.mark.parametrize(
    ("elevation_m", "printed_pa"),
    [(0.0, 101325.0), (500.0, 95461.0), (1000.0, 89875.0), (4000.0, 61640.0)],  # table 1
)
def test_standard_pressure_is_that_of_table_1(elevation_m: float, printed_pa: float) -> None:
    assert moist_air.standard_pressure(elevation_m) == pytest.approx(printed_pa, abs=1.0)
