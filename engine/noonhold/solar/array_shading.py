r"""Shade that the rig's own raised parts throw on its fixed arrays.

A hood, a hatch or a rack is a box that stands on the array's plane beside the array. Rays from a
grid of points on the array to the sun meet it or not, which gives the lit part; the points are
counted by the strips that bypass diodes bridge, because one shaded cell takes its strip out. With
:math:`F` the shaded part of the area, :math:`n` strips of which :math:`s` are touched, the direct
light loses

.. math:: 1 - (1 - F)\left(1 - \frac{s}{n + 1}\right)

The scattered light is taken as not hindered, and the box as opaque.

References
----------
.. [1] F. Martinez-Moreno, J. Munoz, E. Lorenzo, "Experimental model to estimate shading losses on
   PV arrays", Solar Energy Materials and Solar Cells 94(12), 2298-2303, 2010.
   :doi:`10.1016/j.solmat.2010.07.029`
"""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.rig import Obstacle, SolarArray

FloatArray = npt.NDArray[np.float64]

POINTS_ALONG: Final = 12  # points on each side of the grid, in each strip along the strips' row


def martinez_loss(shaded_fraction: FloatArray, touched: FloatArray, strips: int) -> FloatArray:
    """Part of the direct light that a partly shaded array loses.

    Parameters
    ----------
    shaded_fraction : numpy.ndarray
        Shaded part of its area. [-]
    touched : numpy.ndarray
        How many of its strips any shade touches.
    strips : int
        How many strips it has.

    Returns
    -------
    numpy.ndarray
        0 to 1. [-]
    """
    return 1.0 - (1.0 - shaded_fraction) * (1.0 - touched / (strips + 1.0))


def own_shade(
    array: SolarArray, towards_sun: FloatArray, clock_hours: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Shaded part of an array's area and the part of the direct light lost to it.

    Parameters
    ----------
    array : SolarArray
        A fixed array with its size and obstacles.
    towards_sun : numpy.ndarray, shape (n, 3)
        Unit vectors to the sun in the rig's axes: right, front, up.
    clock_hours : numpy.ndarray, shape (n,)
        Hour of the clock in the middle of each interval, for obstacles that are up by the clock.
        [h]

    Returns
    -------
    shaded, lost : numpy.ndarray, shape (n,)
        0 where the sun is down. [-]
    """
    shaded, lost = np.zeros(len(towards_sun)), np.zeros(len(towards_sun))
    if not array.obstacles:
        return shaded, lost
    up = np.flatnonzero(towards_sun[:, 2] > 0.0)
    points, strip = _grid(array)
    dark = np.zeros((len(up), len(points)), dtype=bool)
    for obstacle in array.obstacles:
        standing = _standing(obstacle, clock_hours[up])
        dark[standing] |= _met(obstacle, points, towards_sun[up][standing])
    touched = sum(dark[:, strip == s].any(axis=1) for s in range(array.bypass_strips))
    shaded[up] = dark.mean(axis=1)
    lost[up] = martinez_loss(shaded[up], np.asarray(touched, dtype=np.float64), array.bypass_strips)
    return shaded, lost


def _grid(array: SolarArray) -> tuple[FloatArray, npt.NDArray[np.int64]]:
    """Points on the array's plane, its middle the origin, and the strip of each."""
    strips = array.bypass_strips

    def middles(size: float, count: int) -> FloatArray:
        return size * ((np.arange(count) + 0.5) / count - 0.5)

    # Strips lie side by side along the longer side.
    many = strips * max(1, round(POINTS_ALONG / strips))
    wide = array.width_m >= array.length_m
    across = middles(array.width_m, many if wide else POINTS_ALONG)
    along = middles(array.length_m, POINTS_ALONG if wide else many)
    right, front = (each.ravel() for each in np.meshgrid(across, along, indexing="ij"))
    along_strips, size = (right, array.width_m) if wide else (front, array.length_m)
    strip = np.floor((along_strips / size + 0.5) * strips).astype(np.int64)
    # A tilted array leans over the line through its middle, towards its azimuth.
    tilt, azimuth = np.deg2rad(array.tilt_deg), np.deg2rad(array.azimuth_from_front_deg)
    down = right * np.sin(azimuth) + front * np.cos(azimuth)
    flat = down * (np.cos(tilt) - 1.0)
    height = -down * np.sin(tilt)
    points = np.column_stack(
        [right + flat * np.sin(azimuth), front + flat * np.cos(azimuth), height]
    )
    return points, strip


def _standing(obstacle: Obstacle, hours: FloatArray) -> npt.NDArray[np.bool_]:
    """Whether an obstacle is up at these hours of the clock."""
    if not obstacle.hours:
        return np.ones(len(hours), dtype=bool)
    up = np.zeros(len(hours), dtype=bool)
    for start, end in obstacle.hours:
        inside = (hours >= start) & (hours < end)
        up |= inside if start <= end else (hours >= start) | (hours < end)
    return up


def _met(obstacle: Obstacle, points: FloatArray, towards_sun: FloatArray) -> npt.NDArray[np.bool_]:
    """Whether the ray from each point (m, 3) to each sun (n, 3) meets the box, shape (n, m)."""
    middle = np.array([obstacle.right_m, obstacle.front_m, obstacle.height_m / 2.0])
    half = np.array([obstacle.width_m, obstacle.length_m, obstacle.height_m]) / 2.0
    nearest = np.zeros((len(towards_sun), len(points)))
    farthest = np.full_like(nearest, np.inf)
    for axis in range(3):
        direction = towards_sun[:, axis][:, None]
        # A ray along a face is moved off it by a hair, so that nothing is divided by zero.
        direction = np.where(np.abs(direction) < 1e-12, 1e-12, direction)
        one = (middle[axis] - half[axis] - points[:, axis]) / direction
        other = (middle[axis] + half[axis] - points[:, axis]) / direction
        nearest = np.maximum(nearest, np.minimum(one, other))
        farthest = np.minimum(farthest, np.maximum(one, other))
    return np.asarray(farthest > nearest)
