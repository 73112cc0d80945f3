"""Moist air against two independent programs, against itself, and at the edges."""

import itertools
import json
import math
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import PropsSI
from CoolProp.HumidAirProp import HAPropsSI
from hypothesis import assume, given
from hypothesis import strategies as st

from noonhold.air import moist_air, moist_air_arrays
from noonhold.air.saturation import log_over_ice, log_over_water
from noonhold.air.saturation_table import saturated

GRID = list(
    itertools.product(
        (-20.0, -10.0, -5.0, 0.0, 5.0, 15.0, 25.0, 35.0, 50.0),
        (0.0, 0.05, 0.3, 0.6, 0.9, 1.0),
        (60e3, 80e3, 101325.0, 105e3),
    )
)
TEMPERATURES = st.floats(-20.0, 50.0)
HUMIDITIES = st.floats(0.001, 1.0)
PRESSURES = st.floats(60e3, 105e3)

# From about -0.7 to 0 degC an unfrozen wick has a solution too: see the notes of wet_bulb.
ONLY_FROZEN_BELOW_C = -1.0


@pytest.fixture(scope="module", autouse=True)
def si_units() -> Iterator[None]:
    psychrolib.SetUnitSystem(psychrolib.SI)
    yield


# --- psychrolib: the same equations, written by others ---------------------------------------


def test_psychrolib_has_the_same_state_relations() -> None:
    # The same equations and constants, so that floating-point rounding is all that may differ,
    # but for psychrolib's floor of 1e-7 under every humidity ratio: no dry air there.
    for temp_c, rh, pressure_pa in GRID:
        ratio = moist_air.humidity_ratio_from_rh(temp_c, rh, pressure_pa)
        if rh == 0.0:
            assert ratio == 0.0
            continue
        assert ratio == pytest.approx(
            psychrolib.GetHumRatioFromRelHum(temp_c, rh, pressure_pa), rel=1e-12
        )
        assert moist_air.saturation_pressure(temp_c) == pytest.approx(
            psychrolib.GetSatVapPres(temp_c), rel=1e-12
        )
        assert moist_air.relative_humidity(temp_c, ratio, pressure_pa) == pytest.approx(
            psychrolib.GetRelHumFromHumRatio(temp_c, ratio, pressure_pa), rel=1e-12
        )
        assert moist_air.enthalpy(temp_c, ratio) == pytest.approx(
            psychrolib.GetMoistAirEnthalpy(temp_c, ratio), abs=1e-6
        )
        # psychrolib takes 1.607858 for one over 0.621945, rounded in its seventh digit.
        assert moist_air.density(temp_c, ratio, pressure_pa) == pytest.approx(
            psychrolib.GetMoistAirDensity(temp_c, ratio, pressure_pa), rel=2e-7
        )
        vapour_pa = moist_air.vapour_pressure(ratio, pressure_pa)
        # psychrolib stops its dew point iteration at 0.001 K.
        assert moist_air.dew_point(vapour_pa) == pytest.approx(
            psychrolib.GetTDewPointFromVapPres(temp_c, vapour_pa), abs=1e-3
        )


def test_psychrolib_has_the_same_wet_bulb() -> None:
    both_wicks = 0
    for temp_c, rh, pressure_pa in GRID:
        if rh == 0.0:
            continue
        ratio = moist_air.humidity_ratio_from_rh(temp_c, rh, pressure_pa)
        ours = moist_air.wet_bulb(temp_c, ratio, pressure_pa)
        theirs = psychrolib.GetTWetBulbFromHumRatio(temp_c, ratio, pressure_pa)
        if ours > 0.0 > theirs:
            # Its bisection may land on the frozen wick where both have a solution.
            assert theirs > ONLY_FROZEN_BELOW_C
            assert ours < 1.0
            both_wicks += 1
            continue
        assert ours == pytest.approx(theirs, abs=1e-3)  # its bisection stops at 0.001 K
        # 0 degC is left out: an unfrozen wick is over water here, over ice up to 0.01 degC there.
        if ours != 0.0:
            assert moist_air.humidity_ratio_from_wet_bulb(
                temp_c, ours, pressure_pa
            ) == pytest.approx(
                psychrolib.GetHumRatioFromTWetBulb(temp_c, ours, pressure_pa), rel=1e-7
            )
    assert both_wicks < 0.05 * len(GRID)


# --- CoolProp: a real gas ---------------------------------------------------------------------


def test_coolprop_differs_by_the_real_gas_only() -> None:
    # CoolProp takes virial coefficients and the enhancement factor (1.002 to 1.006 here), which
    # the ideal mixture leaves out. Largest differences measured: humidity ratio 0.63 %, volume
    # 0.094 % (cold, dense), enthalpy at the same humidity 275 J/kg of 417 kJ/kg, relative
    # humidity 0.5 % of saturation, frost and dew point 0.021 K, wet bulb 0.095 K at 48 degC.
    for temp_c, rh, pressure_pa in GRID:
        state = ("T", temp_c + 273.15, "P", pressure_pa)
        ratio = moist_air.humidity_ratio_from_rh(temp_c, rh, pressure_pa)
        assert ratio == pytest.approx(HAPropsSI("W", *state, "R", rh), rel=7e-3, abs=1e-12)
        if not 0.0 < rh < 1.0:  # its solvers need an unsaturated state with some vapour
            continue
        same = (*state, "W", ratio)
        assert 1.0 / moist_air.dry_air_density(temp_c, ratio, pressure_pa) == pytest.approx(
            HAPropsSI("V", *same), rel=1e-3
        )
        assert moist_air.enthalpy(temp_c, ratio) == pytest.approx(HAPropsSI("H", *same), abs=300.0)
        humidity = moist_air.relative_humidity(temp_c, ratio, pressure_pa)
        assert humidity == pytest.approx(HAPropsSI("R", *same), abs=0.006)
        vapour_pa = moist_air.vapour_pressure(ratio, pressure_pa)
        assert moist_air.dew_point(vapour_pa) == pytest.approx(
            HAPropsSI("D", *state, "R", rh) - 273.15, abs=0.03
        )
        ours = moist_air.wet_bulb(temp_c, ratio, pressure_pa)
        if ours < ONLY_FROZEN_BELOW_C or ours > 1.0:
            assert ours == pytest.approx(HAPropsSI("B", *same) - 273.15, abs=0.1)


@pytest.mark.parametrize("temp_c", [0.02, 10.0, 25.0, 50.0, 100.0, 180.0])
def test_saturation_over_water_is_within_a_thousandth_of_iapws_95(temp_c: float) -> None:
    iapws_pa = PropsSI("P", "T", temp_c + 273.15, "Q", 0, "Water")
    assert moist_air.saturation_pressure(temp_c) == pytest.approx(iapws_pa, rel=1e-3)


# --- traps ------------------------------------------------------------------------------------


def test_the_logarithm_is_not_log1p() -> None:
    # A slip that other programs have made in such formulas: log1p(T) for log(T), 2.2 % here.
    with_slip_pa = 3169.2 * (1.0 + 1.0 / 298.15) ** 6.5459673
    assert with_slip_pa > 3235.0
    assert moist_air.saturation_pressure(25.0) == pytest.approx(3169.2, rel=1e-4)


def test_saturation_is_over_ice_below_freezing() -> None:
    # Supercooled water has 5 % more at -5 degC: what a weather station's humidity refers to.
    supercooled = math.exp(log_over_water(268.15)[0])
    assert supercooled / moist_air.saturation_pressure(-5.0) == pytest.approx(1.05, abs=0.005)


def test_the_two_curves_meet_where_the_module_changes_over() -> None:
    ice = moist_air.saturation_pressure(math.nextafter(0.01, 0.0))
    water = moist_air.saturation_pressure(0.01)
    assert ice == pytest.approx(water, rel=1e-8)
    assert moist_air.dew_point(ice) == pytest.approx(0.01, abs=1e-6)
    assert moist_air.dew_point(water) == pytest.approx(0.01, abs=1e-6)


def test_an_unfrozen_wick_is_chosen_where_both_are_possible() -> None:
    pressure_pa = 101325.0
    ratio = moist_air.humidity_ratio_from_wet_bulb(5.0, -0.1, pressure_pa)
    ours = moist_air.wet_bulb(5.0, ratio, pressure_pa)
    assert 0.0 < ours < 1.0
    assert moist_air.humidity_ratio_from_wet_bulb(5.0, ours, pressure_pa) == pytest.approx(ratio)


def test_a_fog_has_its_dry_bulb_as_wet_bulb() -> None:
    for temp_c in (-5.0, 0.0, 20.0):
        ratio = 1.2 * moist_air.saturation_humidity_ratio(temp_c, 90e3)
        assert moist_air.wet_bulb(temp_c, ratio, 90e3) == temp_c
        assert moist_air.relative_humidity(temp_c, ratio, 90e3) > 1.0


def test_a_locked_car_in_the_desert_is_in_reach_of_the_solvers() -> None:
    ratio = moist_air.humidity_ratio_from_rh(48.0, 0.02, 101325.0)
    ours = moist_air.wet_bulb(85.0, ratio, 101325.0)
    assert moist_air.humidity_ratio_from_wet_bulb(85.0, ours, 101325.0) == pytest.approx(ratio)
    # Above the boiling point as well: the equations have a pole there, the solver has not.
    ours = moist_air.wet_bulb(120.0, 0.05, 101325.0)
    assert moist_air.humidity_ratio_from_wet_bulb(120.0, ours, 101325.0) == pytest.approx(0.05)


# --- round trips and order --------------------------------------------------------------------


@given(st.floats(-99.0, 199.0))
def test_dew_point_undoes_saturation_pressure(temp_c: float) -> None:
    assert moist_air.dew_point(moist_air.saturation_pressure(temp_c)) == pytest.approx(
        temp_c, abs=1e-6
    )


@given(TEMPERATURES, HUMIDITIES, PRESSURES)
def test_humidity_comes_back(temp_c: float, rh: float, pressure_pa: float) -> None:
    ratio = moist_air.humidity_ratio_from_rh(temp_c, rh, pressure_pa)
    assert moist_air.relative_humidity(temp_c, ratio, pressure_pa) == pytest.approx(rh, rel=1e-12)
    vapour_pa = moist_air.vapour_pressure(ratio, pressure_pa)
    assert moist_air.humidity_ratio(vapour_pa, pressure_pa) == pytest.approx(ratio, rel=1e-12)
    heat = moist_air.enthalpy(temp_c, ratio)
    assert moist_air.temperature_from_enthalpy(heat, ratio) == pytest.approx(temp_c, abs=1e-9)


@given(TEMPERATURES, HUMIDITIES, PRESSURES)
def test_wet_bulb_solves_its_equation(temp_c: float, rh: float, pressure_pa: float) -> None:
    ratio = moist_air.humidity_ratio_from_rh(temp_c, rh, pressure_pa)
    ours = moist_air.wet_bulb(temp_c, ratio, pressure_pa)
    assume(not 0.0 <= ours < 0.01)  # there saturated air is over ice and an unfrozen wick is not
    # The equation's slope is 4e-4 per kelvin or more: 4e-10 is 1e-6 K.
    again = moist_air.humidity_ratio_from_wet_bulb(temp_c, ours, pressure_pa)
    assert again == pytest.approx(ratio, rel=1e-12, abs=4e-10)


@given(TEMPERATURES, HUMIDITIES, PRESSURES)
def test_dew_point_wet_bulb_dry_bulb_stand_in_order(
    temp_c: float, rh: float, pressure_pa: float
) -> None:
    ratio = moist_air.humidity_ratio_from_rh(temp_c, rh, pressure_pa)
    dew_c = moist_air.dew_point(moist_air.vapour_pressure(ratio, pressure_pa))
    wet_c = moist_air.wet_bulb(temp_c, ratio, pressure_pa)
    assert dew_c - 1e-6 <= wet_c <= temp_c


@given(TEMPERATURES, PRESSURES)
def test_saturated_temperature_undoes_saturated_enthalpy(temp_c: float, pressure_pa: float) -> None:
    heat = moist_air.enthalpy(temp_c, moist_air.saturation_humidity_ratio(temp_c, pressure_pa))
    assert moist_air.saturated_temperature_from_enthalpy(heat, pressure_pa) == pytest.approx(
        temp_c, abs=1e-6
    )


@given(TEMPERATURES, st.floats(0.0, 0.03), PRESSURES)
def test_vapour_makes_air_lighter_and_its_mass_is_counted(
    temp_c: float, ratio: float, pressure_pa: float
) -> None:
    whole = moist_air.density(temp_c, ratio, pressure_pa)
    assert whole <= moist_air.density(temp_c, 0.0, pressure_pa)
    dry = moist_air.dry_air_density(temp_c, ratio, pressure_pa)
    assert whole == pytest.approx((1.0 + ratio) * dry, rel=1e-12)


@given(st.floats(-80.0, 50.0), st.floats(-80.0, 50.0))
def test_saturation_pressure_rises(one: float, other: float) -> None:
    assume(abs(one - other) > 1e-9)
    low, high = sorted((one, other))
    assert moist_air.saturation_pressure(low) < moist_air.saturation_pressure(high)


# --- edges, arrays, plain Python --------------------------------------------------------------


@pytest.mark.parametrize(
    "value",
    [
        moist_air.saturation_pressure(-100.1),
        moist_air.saturation_pressure(200.1),
        moist_air.humidity_ratio(-1.0, 1e5),
        moist_air.humidity_ratio(1e5, 1e5),
        moist_air.vapour_pressure(-1e-6, 1e5),
        moist_air.saturation_humidity_ratio(101.0, 1e5),
        moist_air.humidity_ratio_from_rh(20.0, -0.1, 1e5),
        moist_air.dew_point(0.0),
        moist_air.dew_point(1e-4),
        moist_air.dew_point(1.9e6),
        moist_air.wet_bulb(20.0, -1e-6, 1e5),
        moist_air.humidity_ratio_from_wet_bulb(20.0, 20.1, 1e5),
        moist_air.humidity_ratio_from_wet_bulb(40.0, 0.0, 1e5),
        moist_air.saturated_temperature_from_enthalpy(-2e5, 1e5),
        moist_air.saturated_temperature_from_enthalpy(math.inf, 1e5),
        moist_air.saturated_temperature_from_enthalpy(5e4, 0.0),
        moist_air.dry_air_density(-273.15, 0.0, 1e5),
        moist_air.standard_pressure(11001.0),
    ],
)
def test_outside_the_domain_is_nan(value: float) -> None:
    assert math.isnan(value)


FUNCTIONS = {
    "density": (25.0, 0.01, 9e4),
    "dew_point": (1500.0,),
    "dry_air_density": (25.0, 0.01, 9e4),
    "enthalpy": (25.0, 0.01),
    "humidity_ratio": (1500.0, 9e4),
    "humidity_ratio_from_rh": (25.0, 0.5, 9e4),
    "humidity_ratio_from_wet_bulb": (25.0, 15.0, 9e4),
    "relative_humidity": (25.0, 0.01, 9e4),
    "saturated_temperature_from_enthalpy": (5e4, 9e4),
    "saturation_humidity_ratio": (25.0, 9e4),
    "saturation_pressure": (25.0,),
    "specific_heat": (0.01,),
    "standard_pressure": (1500.0,),
    "temperature_from_enthalpy": (5e4, 0.01),
    "vapour_pressure": (0.01, 9e4),
    "wet_bulb": (25.0, 0.01, 9e4),
}


ARRAY_FORMS = [name for name in FUNCTIONS if hasattr(moist_air_arrays, f"{name}_array")]


def test_every_public_function_is_listed_here() -> None:
    assert sorted(FUNCTIONS) == sorted(moist_air.__all__)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_nan_in_any_argument_gives_nan(name: str) -> None:
    scalar = getattr(moist_air, name)
    for place in range(len(FUNCTIONS[name])):
        arguments = list(FUNCTIONS[name])
        arguments[place] = math.nan
        assert math.isnan(scalar(*arguments))


@pytest.mark.parametrize("name", ARRAY_FORMS)
def test_arrays_are_the_scalars_of_their_elements(name: str) -> None:
    scalar, array = getattr(moist_air, name), getattr(moist_air_arrays, f"{name}_array")
    first, *rest = FUNCTIONS[name]
    column = np.array([[first], [1.01 * first], [math.nan]])
    row = np.ones((1, 2))
    result = array(column * row, *rest)
    assert result.shape == (3, 2)
    assert result.dtype == np.float64
    expected = [scalar(first, *rest), scalar(1.01 * first, *rest), math.nan]
    np.testing.assert_array_equal(result, np.array(expected)[:, None] * row)
    assert array([first], *rest).shape == (1,)
    assert array(first, *rest) == scalar(first, *rest)


def test_plain_python_gives_the_same_numbers(checkout: Path) -> None:
    program = (
        "import json, sys; from noonhold.air import moist_air, moist_air_arrays as arrays\n"
        "cases = json.load(sys.stdin)\n"
        "print(json.dumps({n: [getattr(moist_air, n)(*a),"
        " float(getattr(arrays, n + '_array', getattr(moist_air, n))(*a))]"
        " for n, a in cases.items()}))"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", program],
        input=json.dumps(FUNCTIONS),
        capture_output=True,
        text=True,
        cwd=checkout,
        env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
        check=True,
    )
    for name, (scalar, element) in json.loads(done.stdout).items():
        # Order of operations is the same without fastmath; a last digit may be the compiler's.
        assert scalar == pytest.approx(getattr(moist_air, name)(*FUNCTIONS[name]), rel=1e-12)
        assert element == scalar


@given(st.floats(-100.0, 200.0), st.booleans())
def test_the_table_of_saturation_is_the_equation(temp_c: float, ice: bool) -> None:
    # Cubics over a quarter of a kelvin: h^4 / 384 times a fourth derivative of 2e-5 to 1e-4 of it.
    logarithm, slope = (log_over_ice if ice else log_over_water)(temp_c + 273.15)
    exact = math.exp(logarithm)
    pressure, rise = saturated(temp_c, ice)
    assert pressure == pytest.approx(exact, rel=1e-9)
    assert rise == pytest.approx(slope * exact, rel=1e-6)
