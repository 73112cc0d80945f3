"""Surface coefficients: the cube root of the time loop, and the films made of it."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.envelope.convection import (
    LEAST_INSIDE,
    buoyancy_cubed,
    cube_root,
    natural_cubed,
    natural_factor_cubed,
    outer_convection,
    stirred_convection,
    wind_at_height,
)
from noonhold.scenario import Terrain
from tests.surface_films import inside_convection, natural_convection


@given(st.floats(1e-12, 1e12))
def test_the_root_is_that_of_the_library(value: float) -> None:
    # Two steps of Halley's method from a first guess within 4 %: an error of about 7e-15.
    assert cube_root(value) == pytest.approx(math.cbrt(value), rel=1e-14)


def test_a_face_as_warm_as_the_air_has_next_to_no_root() -> None:
    assert cube_root(0.0) == pytest.approx(1e-10)
    assert math.isnan(cube_root(math.nan))


@given(st.floats(-60.0, 60.0), st.floats(-1.0, 1.0))
def test_natural_convection_is_the_root_of_its_cube(delta_k: float, cos_facing: float) -> None:
    natural = natural_convection(delta_k, cos_facing, 1.0)
    sides = [natural_factor_cubed(cos_facing, warmer) for warmer in (True, False)]
    cubed = natural_cubed(delta_k, *sides, 1.0)
    assert natural**3 == pytest.approx(cubed, rel=1e-13, abs=1e-28)


def test_walton_s_wall_floor_and_ceiling() -> None:
    """Upright 1.310 dT^(1/3): 9.482 / 7.238 and 1.810 / 1.382, NBSIR 83-2655 (1983)."""
    assert natural_convection(8.0, 0.0, 1.0) == pytest.approx(2.0 * 1.810 / 1.382, rel=1e-12)
    assert natural_convection(8.0, 1.0, 1.0) == pytest.approx(2.0 * 9.482 / 6.238, rel=1e-12)
    assert natural_convection(8.0, -1.0, 1.0) == pytest.approx(2.0 * 1.810 / 2.382, rel=1e-12)
    # Where air rises and where it is held, the formulas meet upright, to their last digit.
    rising, held = natural_convection(1.0, 1e-12, 1.0), natural_convection(1.0, -1e-12, 1.0)
    assert (round(rising, 3), round(held, 3)) == (1.310, 1.310)


@pytest.mark.parametrize(("pressure_pa", "ratio"), [(101325.0, 1.0), (83400.0, 0.878)])
def test_thin_air_rises_less(pressure_pa: float, ratio: float) -> None:
    """Nu ~ Ra^(1/3), and Ra holds the square of density: h ~ p^(2/3), 0.878 at 834 hPa."""
    here = natural_convection(8.0, 0.0, buoyancy_cubed(pressure_pa))
    assert here / natural_convection(8.0, 0.0, 1.0) == pytest.approx(ratio, abs=5e-4)


def test_still_and_stirred_air() -> None:
    assert inside_convection(0.0, 0.0, 1.0, 0.0) == LEAST_INSIDE
    # Churchill (1977): cubes add.
    natural = inside_convection(5.0, 0.0, 1.0, 0.0)
    assert inside_convection(5.0, 0.0, 1.0, 3.0) == pytest.approx((natural**3 + 27.0) ** (1 / 3))


def test_stirred_air_by_face_within_the_range_it_was_measured_in() -> None:
    floor_wall_ceiling = np.array([1.0, 0.0, -1.0])
    volume = 10.0

    def at(changes: float) -> list[float]:
        return stirred_convection(changes * volume / 3600.0, volume, floor_wall_ceiling).tolist()

    # The fits at 47 air changes by hand: 47^0.98 = 43.52, 47^0.604 = 10.23, 47^0.503 = 6.935.
    assert at(47.0) == pytest.approx(
        [3.873 + 0.082 * 43.52, 1.208 + 1.012 * 10.23, 2.234 + 4.099 * 6.935], rel=1e-3
    )
    assert at(500.0) == at(100.0)
    assert at(0.0) == at(0.5) == [0.0, 0.0, 0.0]
    assert at(1.75) == pytest.approx([0.5 * h for h in at(3.0)])


def test_roughness_multiplies_what_the_wind_adds() -> None:
    """h = h_n + R_f (sqrt(h_n^2 + h_f^2) - h_n), by a triangle of 3, 4 and 5."""
    assert outer_convection(3.0, 16.0, 1.0) == pytest.approx(5.0)
    assert outer_convection(3.0, 16.0, 2.17) == pytest.approx(3.0 + 2.17 * 2.0)


@pytest.mark.parametrize(
    ("terrain", "ratio"), [(Terrain.SUBURBAN, 0.50305), (Terrain.URBAN, 0.26365)]
)
def test_the_wind_at_two_metres(terrain: Terrain, ratio: float) -> None:
    """27^0.14 (2/370)^0.22 and 27^0.14 (2/460)^0.33 (ASHRAE 2017, ch. 24, eq. 4, table 1)."""
    assert wind_at_height(np.array([10.0]), 2.0, terrain)[0] == pytest.approx(10 * ratio, abs=1e-3)
