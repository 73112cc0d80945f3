"""Comfort indices against an independent program, their order, and their edges."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pythermalcomfort.models import heat_index_rothfusz, pmv_ppd_iso

from noonhold.air import comfort

INDOORS = {
    "temp_air_c": st.floats(10.0, 30.0),
    "mean_radiant_c": st.floats(10.0, 40.0),
    "air_speed_m_s": st.floats(0.0, 1.0),
    "rh_fraction": st.floats(0.0, 1.0),
    "metabolic_met": st.floats(0.8, 4.0),
    "clothing_clo": st.floats(0.0, 2.0),
}
NEUTRAL = (24.0, 24.0, 0.1, 0.5, 1.2, 0.5)

# Annex D stops its iteration at 0.015 K of clothing temperature, so that a vote has steps.
ITERATION_VOTE = 0.02


def celsius(temp_f: float) -> float:
    return (temp_f - 32.0) / 1.8


# --- pythermalcomfort -------------------------------------------------------------------------


def test_pythermalcomfort_has_the_same_pmv_and_ppd() -> None:
    # The same method; the largest difference on this grid, 0.0083, comes of the standard's loose
    # stop, which the two iterations reach from different sides.
    air, radiant = (12.0, 20.0, 27.0, 30.0), (12.0, 22.0, 40.0)
    speed, rh = (0.05, 0.3, 1.0), (0.2, 0.5, 0.9)
    grid = np.array(
        list(itertools.product(air, radiant, speed, rh, (0.9, 1.2, 2.5), (0.0, 0.5, 1.5)))
    ).T
    ours = np.vectorize(comfort.pmv)(*grid)
    theirs = pmv_ppd_iso(
        *(grid[0], grid[1], grid[2], 100.0 * grid[3], grid[4], grid[5]),
        model="7730-2005",
        limit_inputs=False,
        round_output=False,
    )
    np.testing.assert_allclose(ours, theirs.pmv, rtol=0.0, atol=0.01)
    np.testing.assert_allclose(
        np.vectorize(comfort.ppd)(theirs.pmv), theirs.ppd, rtol=0.0, atol=1e-9
    )


def test_pythermalcomfort_has_the_same_regression() -> None:
    # It has the regression alone, its coefficients turned to degC and rounded: 1e-5 K. So only
    # where the NWS procedure takes the regression and adjusts nothing.
    temp_c, rh = np.meshgrid(np.arange(27.5, 45.0, 0.5), np.arange(0.14, 0.86, 0.02))
    theirs = heat_index_rothfusz(tdb=temp_c, rh=100.0 * rh, round_output=False)
    ours = np.vectorize(comfort.heat_index_c)(temp_c, rh)
    np.testing.assert_allclose(ours, theirs.hi, rtol=0.0, atol=2e-5)


# --- heat index -------------------------------------------------------------------------------


def test_below_80_fahrenheit_the_simple_formula_is_averaged_with_the_temperature() -> None:
    # By hand, 70 degF and 50 %: 0.5 (70 + 61 + 2.4 + 4.7) = 69.05, with 70 averaged 69.525.
    assert comfort.heat_index_c(celsius(70.0), 0.5) == pytest.approx(celsius(69.525), abs=1e-9)


def test_dry_heat_is_adjusted_down() -> None:
    # By hand, 95 degF and 5 %: (13 - 5) / 4 * sqrt(17 / 17) = 2 degF off the regression.
    regression = heat_index_rothfusz(tdb=35.0, rh=5.0, round_output=False).hi
    adjusted = comfort.heat_index_c(35.0, 0.05)
    assert adjusted == pytest.approx(float(regression) - 2.0 / 1.8, abs=1e-4)


def test_humid_warmth_is_adjusted_up() -> None:
    # By hand, 82 degF and 95 %: (95 - 85) / 10 * (87 - 82) / 5 = 1 degF on the regression.
    regression = heat_index_rothfusz(tdb=celsius(82.0), rh=95.0, round_output=False).hi
    adjusted = comfort.heat_index_c(celsius(82.0), 0.95)
    assert adjusted == pytest.approx(float(regression) + 1.0 / 1.8, abs=1e-4)


def test_neither_adjustment_reaches_beyond_its_temperatures() -> None:
    for temp_f, rh in ((113.0, 0.05), (88.0, 0.95)):
        temp_c = celsius(temp_f)
        regression = heat_index_rothfusz(tdb=temp_c, rh=100.0 * rh, round_output=False).hi
        assert comfort.heat_index_c(temp_c, rh) == pytest.approx(float(regression), abs=1e-4)


# Humidity from 40 %, as the chart has it: below, the regression itself turns round.
@given(st.floats(27.5, 43.0), st.floats(0.4, 0.85), st.floats(0.01, 3.0), st.floats(0.001, 0.2))
def test_heat_index_rises_with_temperature_and_humidity(
    temp_c: float, rh: float, warmer: float, more: float
) -> None:
    here = comfort.heat_index_c(temp_c, rh)
    assert comfort.heat_index_c(temp_c + warmer, rh) > here
    # The limit may be a rounding away, over which the polynomial's last digits do not rise.
    assert comfort.heat_index_c(temp_c, min(rh + more, 0.85)) >= here - 1e-9


@given(st.floats(-40.0, 60.0), st.floats(0.0, 1.0))
def test_category_never_falls_as_the_index_rises(index_c: float, share: float) -> None:
    low, high = index_c, index_c + 20.0 * share
    assert comfort.heat_index_category(low) <= comfort.heat_index_category(high)


# --- PMV, PPD, operative temperature ----------------------------------------------------------


@given(st.fixed_dictionaries(INDOORS), st.floats(0.1, 5.0))
def test_a_warmer_room_is_felt_warmer(room: dict[str, float], warmer: float) -> None:
    here = comfort.pmv(**room)
    for name in ("temp_air_c", "mean_radiant_c"):
        changed = room | {name: room[name] + warmer}
        assert comfort.pmv(**changed) >= here - ITERATION_VOTE


@given(st.fixed_dictionaries(INDOORS), st.floats(0.0, 1.0))
def test_humid_air_is_felt_warmer(room: dict[str, float], rh: float) -> None:
    low, high = sorted((room["rh_fraction"], rh))
    drier, damper = room | {"rh_fraction": low}, room | {"rh_fraction": high}
    # Humidity does not enter the iteration: no allowance but for rounding.
    assert comfort.pmv(**drier) <= comfort.pmv(**damper) + 1e-12


@given(st.fixed_dictionaries(INDOORS), st.floats(0.0, 1.0))
def test_a_faster_draught_is_felt_cooler(room: dict[str, float], speed: float) -> None:
    # True while clothing is warmer than the air: with no radiant heat to speak of.
    room["mean_radiant_c"] = room["temp_air_c"]
    low, high = sorted((room["air_speed_m_s"], speed))
    still, draught = room | {"air_speed_m_s": low}, room | {"air_speed_m_s": high}
    assert comfort.pmv(**draught) <= comfort.pmv(**still) + ITERATION_VOTE


@given(st.floats(-60.0, 80.0), st.floats(-60.0, 120.0), st.floats(0.0, 15.0), st.floats(0.0, 4.0))
def test_a_vote_comes_out_far_beyond_the_standards_range(
    temp_air_c: float, mean_radiant_c: float, air_speed_m_s: float, clothing_clo: float
) -> None:
    # The iteration is bounded, and within these it settles, so that a hot cabin has a number.
    conditions = (temp_air_c, mean_radiant_c, air_speed_m_s, 0.3, 1.2, clothing_clo)
    assert math.isfinite(comfort.pmv(*conditions))


@given(st.floats(-3.0, 3.0))
def test_ppd_is_even_and_never_below_five(vote: float) -> None:
    assert comfort.ppd(vote) == comfort.ppd(-vote)
    assert 5.0 <= comfort.ppd(vote) <= 100.0


@pytest.mark.parametrize(
    ("place", "outside"),
    [(0, 9.9), (0, 30.1), (1, 40.1), (2, 1.01), (3, 0.95), (4, 0.79), (4, 4.1), (5, 2.1)],
)
def test_outside_the_standards_range_a_vote_says_so(place: int, outside: float) -> None:
    assert comfort.pmv_applies(*NEUTRAL)
    conditions = list(NEUTRAL)
    conditions[place] = outside
    assert math.isfinite(comfort.pmv(*conditions))
    # 0.95 of humidity is beyond 2700 Pa at 24 degC, and so on.
    assert not comfort.pmv_applies(*conditions)


def test_a_vote_beyond_two_is_outside_the_range_too() -> None:
    conditions = (30.0, 40.0, 0.1, 0.5, 2.0, 1.0)
    assert comfort.pmv(*conditions) > 2.0
    assert not comfort.pmv_applies(*conditions)


def test_operative_temperature_is_the_mean() -> None:
    assert comfort.operative_temperature(22.0, 26.0) == 24.0


# --- edges ----------------------------------------------------------------------------

FUNCTIONS = {
    "operative_temperature": (22.0, 26.0),
    "heat_index_c": (33.0, 0.6),
    "pmv": NEUTRAL,
    "ppd": (0.5,),
}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_nan_in_any_argument_gives_nan(name: str) -> None:
    for place in range(len(FUNCTIONS[name])):
        arguments = list(FUNCTIONS[name])
        arguments[place] = math.nan
        assert math.isnan(getattr(comfort, name)(*arguments))


def test_arguments_without_meaning_give_nan() -> None:
    assert math.isnan(comfort.heat_index_c(30.0, 1.01))
    assert math.isnan(comfort.heat_index_c(30.0, -0.01))
    assert math.isnan(comfort.heat_index_c(math.inf, 0.5))
    for place, value in ((2, -0.1), (3, 1.01), (4, 0.0), (5, -0.1), (0, 150.0)):
        conditions = list(NEUTRAL)
        conditions[place] = value
        assert math.isnan(comfort.pmv(*conditions))


def test_nan_has_no_category_and_no_range() -> None:
    assert comfort.heat_index_category(math.nan) == -1
    assert not comfort.pmv_applies(math.nan, *NEUTRAL[1:])
