"""Coefficients at a face by their definition; the time loop has their cubes and blends those."""

from numba import njit

from noonhold.envelope.convection import (
    LEAST_INSIDE,
    cube_root,
    natural_cubed,
    natural_factor_cubed,
)


@njit
def natural_convection(delta_k: float, cos_facing: float, buoyancy: float) -> float:
    """Return the coefficient of natural convection at a face of any tilt. [W/m2K]"""
    factor = natural_factor_cubed(cos_facing, delta_k > 0.0)
    return cube_root(natural_cubed(delta_k, factor, factor, buoyancy))


@njit
def inside_convection(
    delta_k: float, cos_inward: float, buoyancy: float, forced_w_m2k: float
) -> float:
    """Return the coefficient of an inner face, natural and forced blended by their cubes.

    S. W. Churchill, AIChE Journal 23(1), 1977, doi:10.1002/aic.690230103. [W/m2K]
    """
    factor = natural_factor_cubed(cos_inward, delta_k > 0.0)
    natural = natural_cubed(delta_k, factor, factor, buoyancy)
    return max(cube_root(natural + forced_w_m2k**3), LEAST_INSIDE)
