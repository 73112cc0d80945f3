"""What stands between the sky and the rig by geometry: a side awning and the far horizon."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from noonhold.numerics.array_types import FloatArray
from noonhold.rig import Awning, Extent
from noonhold.solar.awning_curtains import curtain_shadows, curtain_sky, has_curtains
from noonhold.solar.overlap import mean_overlap
from noonhold.solar.sun import SolarGeometry

_GRAZING = 1e-9  # below this cosine the sun lies in the wall's plane and its beam carries nothing
_QUADRATURE_ORDER = 16
_HORIZON_SAMPLES = 3600


def horizon_mask(geometry: SolarGeometry, horizon: tuple[tuple[float, float], ...]) -> FloatArray:
    """Return where the sun stands over the far horizon.

    Parameters
    ----------
    geometry : SolarGeometry
        The sun over n intervals.
    horizon : tuple of (azimuth, elevation)
        Compass azimuth and elevation of the skyline, in any order; linear between and across
        north. Empty for a level horizon. [degree]

    Returns
    -------
    numpy.ndarray, shape (n,)
        1 where the sun's centre is over the skyline, else 0.

    Notes
    -----
    In the hour in which the sun passes the skyline it is judged at the one moment of the
    interval's geometry.
    """
    if not horizon:
        return np.ones_like(geometry.zenith_deg)
    skyline = _skyline_deg(geometry.azimuth_deg, horizon)
    return np.where(90.0 - geometry.zenith_deg > skyline, 1.0, 0.0)


def horizon_sky_fraction(horizon: tuple[tuple[float, float], ...]) -> float:
    """Return the share of isotropic sky light that a level plane keeps under a far horizon.

    Parameters
    ----------
    horizon : tuple of (azimuth, elevation)
        As for :func:`horizon_mask`. [degree]

    Returns
    -------
    float
        1 for a level horizon. [-]

    Notes
    -----
    ``mean over azimuth of cos^2(elevation)``: of the sky's ``integral of 2 sin(e) cos(e) de`` the
    part from the skyline up remains. What the skyline itself reflects or radiates is left out.
    """
    if not horizon:
        return 1.0
    around = (np.arange(_HORIZON_SAMPLES) + 0.5) * (360.0 / _HORIZON_SAMPLES)
    skyline = np.maximum(_skyline_deg(around, horizon), 0.0)
    return float(np.mean(np.cos(np.radians(skyline)) ** 2))


def awning_sunlit_fraction(
    geometry: SolarGeometry, wall_azimuth_deg: float, extent: Extent, awning: Awning
) -> FloatArray:
    """Return the share of the beam on an upright rectangle that an awning leaves it.

    Parameters
    ----------
    geometry : SolarGeometry
        The sun over n intervals.
    wall_azimuth_deg : float
        Compass direction the wall looks to, that of the awning's side. [degree]
    extent : Extent
        The rectangle on the wall.
    awning : Awning
        Hung level along the wall, centred, with or without curtains at its ends. [m]

    Returns
    -------
    numpy.ndarray, shape (n,)
        Sunlit share of the area plus what the cloths let through to the rest; 1 where no sun
        reaches the wall. [-]

    Notes
    -----
    With the sun's direction ``(s_x, s_y, s_z)`` to the right along the wall, out of it and up, the
    awning's line at distance ``u depth`` throws a shadow at height ``height - u depth s_z / s_y``
    (``s_z / s_y`` is the tangent of the profile angle), moved sideways by ``-u depth s_x / s_y``.
    Its overlap with the rectangle is a trapezoid function of that shift, whose integral over ``u``
    has a closed form: the area is exact. So are those of the curtains' shadows
    (`awning_curtains.curtain_shadows`). Of the sun on its way through ``k`` cloths
    ``transmittance^k`` comes to the wall.

    References
    ----------
    ASHRAE Handbook Fundamentals, chapter Fenestration, shading by horizontal projections: profile
    angle (from memory).
    """
    elevation = np.radians(90.0 - geometry.zenith_deg)
    turn = np.radians(geometry.azimuth_deg - wall_azimuth_deg)
    right = -np.cos(elevation) * np.sin(turn)
    out = np.cos(elevation) * np.cos(turn)
    up = np.sin(elevation)
    reached = (geometry.sunlit_fraction > 0.0) & (out > _GRAZING) & (up > 0.0)
    sunlit = np.ones_like(elevation)
    if np.any(reached):
        out, up, right = out[reached], up[reached], right[reached]
        fall, slide = awning.depth_m * up / out, awning.depth_m * right / out
        stopped = 1.0 - awning.solar_transmittance
        kept = 1.0 - _shaded_fraction(fall, slide, extent, awning) * stopped
        if has_curtains(awning):
            single, double = curtain_shadows(fall, slide, extent, awning)
            kept = np.clip(kept - single * stopped + double * stopped**2, 0.0, 1.0)
        sunlit[reached] = kept
    return sunlit


def awning_sky_fraction(extent: Extent, awning: Awning) -> float:
    """Return the share of isotropic sky light on an upright rectangle that an awning leaves it.

    Parameters
    ----------
    extent : Extent
        The rectangle on the wall.
    awning : Awning
        Hung level along the wall, centred, with or without curtains at its ends. [m]

    Returns
    -------
    float
        1 without any awning; what the cloths let through is counted. [-]

    Notes
    -----
    An upright element sees the sky with the view factor 1/2. A level rectangle that starts at the
    wall ``c`` above the element, reaches ``a`` out and ``b`` to one side takes
    ``(atan(b / c) - c / r atan(b / r)) / (2 pi)`` of its view, ``r = sqrt(a^2 + c^2)``: the
    integral of ``cos cos / (pi d^2)``. Its mean over the rectangle is closed along the wall and a
    Gauss-Legendre quadrature over height. Light that the cloth's underside and the curtains' inner
    sides throw onto the wall is left out. For the curtains see
    :func:`noonhold.solar.awning_curtains.curtain_sky`.

    References
    ----------
    J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, element to rectangle
    in a perpendicular plane (from memory; the formula is derived above).
    """
    top = min(extent.bottom_m + extent.height_m, awning.height_m)
    below = top - extent.bottom_m
    if below <= 0.0:
        return 1.0
    nodes, weights = np.polynomial.legendre.leggauss(_QUADRATURE_ORDER)
    # squared nodes crowd the points under the cloth, where the view factor changes fastest
    share = (0.5 * (nodes + 1.0)) ** 2
    drop = awning.height_m - top + below * share
    reach = np.hypot(awning.depth_m, drop)
    view = np.zeros_like(drop)
    for shift in (-extent.offset_m, extent.offset_m):  # to the right of an element, to the left
        near = 0.5 * awning.length_m + shift - 0.5 * extent.width_m
        far = near + extent.width_m
        view += _arctan_integral(far, drop) - _arctan_integral(near, drop)
        view -= drop / reach * (_arctan_integral(far, reach) - _arctan_integral(near, reach))
    mean_view = float(weights @ (np.sqrt(share) * view)) / (2.0 * np.pi * extent.width_m)
    blocked = 2.0 * mean_view * below / extent.height_m
    stopped = 1.0 - awning.solar_transmittance
    kept = 1.0 - blocked * stopped
    if has_curtains(awning):
        single, double = curtain_sky(extent, awning)
        kept = max(kept - single * stopped + double * stopped**2, 0.0)
    return kept


def _arctan_integral(side_m: float, distance_m: FloatArray) -> FloatArray:
    """Return the integral of ``atan(s / distance)`` over ``s`` up to ``side_m``."""
    log = np.log(side_m**2 + distance_m**2)
    return np.asarray(side_m * np.arctan2(side_m, distance_m) - 0.5 * distance_m * log)


def _skyline_deg(
    azimuth_deg: npt.ArrayLike, horizon: tuple[tuple[float, float], ...]
) -> FloatArray:
    """Return the skyline's elevation at azimuths, linear between its points and across north."""
    points = np.asarray(horizon, dtype=float)
    skyline = np.interp(np.asarray(azimuth_deg), points[:, 0], points[:, 1], period=360.0)
    return np.asarray(skyline)


def _shaded_fraction(
    fall_m: FloatArray, slide_m: FloatArray, extent: Extent, awning: Awning
) -> FloatArray:
    """Return the share of the rectangle in the shadow.

    ``fall_m`` is how far below the awning its outer edge's shadow lies, ``slide_m`` how far to the
    left; both for the whole depth.
    """
    lower = awning.height_m - extent.bottom_m - extent.height_m
    first = np.clip(lower / fall_m, 0.0, 1.0)
    last = np.clip((lower + extent.height_m) / fall_m, 0.0, 1.0)
    start = -first * slide_m - extent.offset_m
    travel = -(last - first) * slide_m
    area = fall_m * (last - first) * mean_overlap(start, travel, extent.width_m, awning.length_m)
    return np.asarray(np.clip(area / (extent.width_m * extent.height_m), 0.0, 1.0))
