"""The shares between stations, only where stations stand close enough to say something."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.tri import Triangulation

from noonhold.pictures.map_frame import Frame
from noonhold.pictures.map_stations import Station
from noonhold.pictures.style import FloatArray

_EARTH_KM = 6371.0
_LEAST_HEIGHT = 0.02  # of a triangle over its longest side: flatter ones lie along a row


def distance_km(a: FloatArray, b: FloatArray) -> FloatArray:
    """Return the distance along the earth between places.

    Parameters
    ----------
    a, b : numpy.ndarray, shape (n, 2)
        Longitude, latitude. [degree]

    Returns
    -------
    numpy.ndarray, shape (n,)
        [km]

    Notes
    -----
    Haversine formula on a sphere of 6371 km, within 0.6 % of the ellipsoid.

    Examples
    --------
    >>> distance_km(np.array([[0.0, 0.0]]), np.array([[0.0, 90.0]])).round()
    array([10008.])
    """
    (east_a, north_a), (east_b, north_b) = np.radians(a).T, np.radians(b).T
    half = np.sin(0.5 * (north_b - north_a)) ** 2
    half = half + np.cos(north_a) * np.cos(north_b) * np.sin(0.5 * (east_b - east_a)) ** 2
    result: FloatArray = 2.0 * _EARTH_KM * np.arcsin(np.sqrt(np.clip(half, 0.0, 1.0)))
    return result


def dense_triangles(
    stations: Sequence[Station], frame: Frame, reach_km: float
) -> tuple[Triangulation, FloatArray] | None:
    """Return the triangles between neighbouring stations that may be coloured.

    Parameters
    ----------
    stations : sequence of Station
        Those without a share take part too: nothing is drawn across them.
    reach_km : float
        Greatest distance between two corners of a triangle. [km]

    Returns
    -------
    (matplotlib.tri.Triangulation, numpy.ndarray of shape (n,)) or None
        Delaunay triangles, all others masked, and the share at each corner; None where no
        triangle is left.

    Notes
    -----
    A place is coloured when it lies within a triangle of three neighbouring stations that all have
    a share and stand within reach of each other; its share is linear between the three. So no
    value is carried outwards, none passes those measured, and height plays no part.
    """
    places = np.array([(each.longitude, each.latitude) for each in stations]).reshape(-1, 2)
    places, rows = np.unique(places, axis=0, return_index=True)
    shares = np.array([stations[row].share for row in rows])
    flat = np.column_stack([frame.turned(places[:, 0]) * frame.narrowing, places[:, 1]])
    if len(flat) < 3 or np.linalg.matrix_rank(flat - flat.mean(axis=0), tol=1e-6) < 2:
        return None
    triangles = Triangulation(flat[:, 0], flat[:, 1]).triangles
    sides = np.stack(
        [distance_km(places[triangles[:, k]], places[triangles[:, k - 1]]) for k in range(3)]
    )
    corners = flat[triangles]
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = 0.5 * np.abs(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
    longest_degrees = sides.max(axis=0) / (math.pi * _EARTH_KM / 180.0)
    flatness = 2.0 * area / np.maximum(longest_degrees, 1e-12) ** 2
    known = np.isfinite(shares)[triangles].all(axis=1)
    good = known & (sides.max(axis=0) <= reach_km) & (flatness > _LEAST_HEIGHT)
    if not good.any():
        return None
    found = Triangulation(frame.turned(places[:, 0]), places[:, 1], triangles, mask=~good)
    return found, np.where(np.isfinite(shares), shares, 0.0)
