"""The curtains at an awning's ends: their shadows on the wall and the sky that they hide."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from noonhold.rig import Awning, Extent
from noonhold.solar.overlap import mean_overlap

FloatArray = npt.NDArray[np.float64]

_LEAST_SLIDE = 1e-12  # [m]; the sun stands in the curtains' plane and they throw no shadow
_QUADRATURE_ORDER = 24


def has_curtains(awning: Awning) -> bool:
    """Tell whether an awning has a curtain at one of its ends.

    Parameters
    ----------
    awning : Awning
        With or without curtains.
    """
    return max(awning.left_curtain_drop_m, awning.right_curtain_drop_m) > 0.0


def curtain_shadows(
    fall_m: FloatArray, slide_m: FloatArray, extent: Extent, awning: Awning
) -> tuple[FloatArray, FloatArray]:
    """Return the shares of a rectangle on the wall in the shadows of an awning's curtains.

    Parameters
    ----------
    fall_m, slide_m : numpy.ndarray, shape (n,)
        How far down, and how far to the left, the sun throws the shadow of a point as far out as
        the cloth's outer edge. [m]
    extent : Extent
        The rectangle.
    awning : Awning
        With a curtain at one end or both. [m]

    Returns
    -------
    single : numpy.ndarray, shape (n,)
        Share under the left curtain plus share under the right one. [-]
    double : numpy.ndarray, shape (n,)
        Share that the sun reaches only through two cloths: the curtain on the far side from the
        sun, and the level cloth or the other curtain behind it. [-]

    Notes
    -----
    Seen so that shadows slide to the right, a curtain's upright line at distance ``u depth`` out
    throws its shadow ``u slide`` to the right of the curtain and ``u fall`` lower. Its overlap
    with the rectangle is a trapezoid function of ``u``, so the area is exact, as the cloth's is.

    The curtain on the sun's side and the level cloth share an edge, and so do their shadows; they
    overlap nowhere. The far curtain's shadow overlaps them, in two parts that are shadows of
    curtains again: of its upper part, down to ``length fall / slide``, in the cloth's shadow, which
    ends at ``height - fall``; and of what hangs lower, no further out than
    ``depth (1 - length / slide)``, in the other curtain's.
    """
    mirrored = slide_m > 0.0
    slide = np.maximum(np.abs(slide_m), _LEAST_SLIDE)
    offset = np.where(mirrored, -extent.offset_m, extent.offset_m)
    drops = awning.left_curtain_drop_m, awning.right_curtain_drop_m
    near, far = (np.where(mirrored, *pair) for pair in (drops[::-1], drops))
    width, height = extent.width_m, extent.height_m
    near_at = 0.5 * (width - awning.length_m) - offset  # right of the rectangle's left edge
    far_at = near_at + awning.length_m
    top = awning.height_m - extent.bottom_m  # above the rectangle's lower edge

    single = _shadow_area(near_at, top, near, slide, fall_m, width, height)
    single += _shadow_area(far_at, top, far, slide, fall_m, width, height)

    passed = awning.length_m * fall_m / slide  # what a ray rises between the two curtains
    raised = np.clip(top - fall_m, 0.0, height)  # the rectangle down to the cloth's shadow line
    double = _shadow_area(
        far_at, top - raised, np.minimum(far, passed), slide, fall_m, width, height - raised
    )
    reach = np.maximum(slide - awning.length_m, 0.0)
    lower = np.clip(far - passed, 0.0, near)
    double += _shadow_area(
        far_at, top - passed, lower, reach, fall_m * reach / slide, width, height
    )
    return single / (width * height), double / (width * height)


def _shadow_area(
    at_m: FloatArray,
    top_m: npt.ArrayLike,
    drop_m: FloatArray,
    slide_m: FloatArray,
    fall_m: FloatArray,
    width_m: float,
    height_m: npt.ArrayLike,
) -> FloatArray:
    """Return the area of a curtain's shadow within a rectangle.

    ``at_m`` and ``top_m`` are the place of the curtain's upper corner at the wall, from the
    rectangle's lower left one.
    """
    slide = np.maximum(slide_m, _LEAST_SLIDE)
    first = np.clip(-at_m / slide, 0.0, 1.0)
    last = np.clip((width_m - at_m) / slide, 0.0, 1.0)
    start = np.subtract(top_m, 0.5 * np.add(drop_m, height_m)) - first * fall_m
    common = mean_overlap(start, -(last - first) * fall_m, height_m, drop_m)
    return slide * (last - first) * common


def curtain_sky(extent: Extent, awning: Awning) -> tuple[float, float]:
    """Return the shares of isotropic sky light that come to a rectangle through curtains.

    Parameters
    ----------
    extent : Extent
        The rectangle on the wall, its upper edge not over the awning's height counted.
    awning : Awning
        With a curtain at one end or both. [m]

    Returns
    -------
    single : float
        Share through the left curtain plus share through the right one. [-]
    double : float
        Share through two cloths: a curtain seen from outside, and the level cloth or the other
        curtain behind it. [-]

    Notes
    -----
    An upright rectangle perpendicular to the wall that starts at the wall ``c`` beside an element,
    reaches ``a`` out and from the element's height ``b`` up takes
    ``(atan(b / c) - c / r atan(b / r)) / (2 pi)`` of its view, ``r = sqrt(a^2 + c^2)``: the formula
    of the level cloth, turned. What hangs below the element hides no sky. The mean over the
    rectangle is closed. Between the curtains no direction passes two cloths. From outside the
    ends, ``c`` beside a curtain, those do that pass it at heights ``h`` with
    ``E c / (c + length) < h < E``, ``E`` the awning's height over the element, and go on through
    the level cloth, and those lower and within ``a c / (c + length)`` of the wall, on through the
    other curtain. Their view is closed too; its mean is a Gauss-Legendre quadrature (``double``
    within 2e-4 for 2500 random awnings and rectangles).

    References
    ----------
    J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, element to rectangle
    in a perpendicular plane (from memory; the formula is derived in :mod:`noonhold.solar.shading`).
    """
    lowest = awning.height_m - extent.bottom_m  # the awning's height over the rectangle's foot
    least = max(lowest - extent.height_m, 0.0)
    if lowest <= least:
        return 0.0, 0.0
    single = double = 0.0
    drops = awning.left_curtain_drop_m, awning.right_curtain_drop_m
    for (other, drop), offset in ((drops, extent.offset_m), (drops[::-1], -extent.offset_m)):
        # ``drop`` is that of the curtain at the right end, once as it is and once in a mirror
        start = offset - 0.5 * extent.width_m - 0.5 * awning.length_m
        end = start + extent.width_m
        single += _view(start, end, least, lowest, awning.depth_m)
        single -= _view(start, end, max(least - drop, 0.0), max(lowest - drop, 0.0), awning.depth_m)
        if end > 0.0 and drop > 0.0:
            double += _view_through_two(max(start, 0.0), end, least, lowest, drop, other, awning)
    share = 2.0 / (extent.width_m * extent.height_m)  # the sky is half of an element's view
    return share * single, share * double


def _view(start_m: float, end_m: float, least_m: float, most_m: float, depth_m: float) -> float:
    """Return the integral of the view of a curtain over a rectangle on the wall.

    The rectangle lies from ``start_m`` to ``end_m`` beside the curtain's plane and from ``least_m``
    to ``most_m`` below its upper edge; the curtain hangs down without end.
    """
    total = 0.0
    for side, sign in ((end_m, 1.0), (start_m, -1.0)):
        away = math.hypot(side, depth_m)
        view = 0.0
        for drop, part in ((most_m, 1.0), (least_m, -1.0)):
            view += part * (_arctan_area(drop, abs(side)) - _arctan_area(drop, 0.0))
            view -= part * (_arctan_area(drop, away) - _arctan_area(drop, depth_m))
        total += sign * math.copysign(view, side)
    return total / (2.0 * math.pi)


def _arctan_area(b: float, s: float) -> float:
    """Return a function whose mixed second derivative is ``atan(b / s)``."""
    square = b * b + s * s
    if square == 0.0:
        return 0.0
    return b * s * math.atan2(b, s) + 0.25 * (b * b - s * s) * math.log(square)


def _view_through_two(
    start_m: float,
    end_m: float,
    least_m: float,
    most_m: float,
    drop_m: float,
    other_drop_m: float,
    awning: Awning,
) -> float:
    """Return the integral of the view through a curtain and a cloth behind it.

    Over a rectangle as for :func:`_view`, all of it outside the awning's end; ``drop_m`` is that
    of the curtain at this end.
    """
    nodes, weights = np.polynomial.legendre.leggauss(_QUADRATURE_ORDER)
    # squared nodes crowd the points close to the curtain and under the cloth
    root = 0.5 * (nodes + 1.0)
    beside = (start_m + (end_m - start_m) * root**2)[:, None]
    under = (least_m + (most_m - least_m) * root**2)[None, :]
    nearness = beside / (beside + awning.length_m)
    lower_edge = np.maximum(under - drop_m, 0.0)
    border = under * nearness  # over it the cloth stands behind the curtain, under it the other

    slope = under / np.hypot(under, awning.depth_m)
    low = np.maximum(lower_edge, border)
    view = np.arctan2(under, beside) - np.arctan2(low, beside)
    view -= slope * (np.arctan2(under, slope * beside) - np.arctan2(low, slope * beside))

    low = np.minimum(np.maximum(lower_edge, (under - other_drop_m) * nearness), border)
    away = np.hypot(beside, awning.depth_m * nearness)
    view += np.arctan2(border, beside) - np.arctan2(low, beside)
    view -= beside / away * (np.arctan2(border, away) - np.arctan2(low, away))

    ring = weights * root
    area = (end_m - start_m) * (most_m - least_m)
    return float(ring @ view @ ring) * area / (2.0 * math.pi)
