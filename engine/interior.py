"""Inside the cabin: how long wave and sunlight spread over the inner faces."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

_LARGEST_VIEW: Final = 10.0  # keeps a face larger than all others together finite
_ITERATIONS: Final = 200


def radiant_star_factors(area_m2: FloatArray, emittance: FloatArray) -> FloatArray:
    r"""Return each face's exchange factor with the mean radiant node.

    Parameters
    ----------
    area_m2 : numpy.ndarray, shape (p,)
        Areas of the inner faces. [m2]
    emittance : numpy.ndarray, shape (p,)
        Long-wave emittance of the inner faces.

    Returns
    -------
    numpy.ndarray, shape (p,)
        Factor that multiplies ``4 σ T³`` to give the radiative coefficient of the face.

    Notes
    -----
    Mean radiant temperature network: every face talks to one node through

    .. math:: \frac{1}{(1 - ε_i)/ε_i + 1/F_i}, \quad
              F_i = \frac{1}{1 - A_i F_i / \sum_j A_j F_j}

    References
    ----------
    .. [1] J. A. Carroll, "An 'MRT method' of computing radiant energy exchange in rooms",
       Proc. 2nd Systems Simulation and Economic Analysis Conference, San Diego, 1980.
    """
    view = np.ones_like(area_m2)
    for _ in range(_ITERATIONS):
        weight = area_m2 * view
        share = weight / weight.sum()
        fresh = 1.0 / np.maximum(1.0 - share, 1.0 / _LARGEST_VIEW)
        view = 0.5 * (view + fresh)
    result: FloatArray = 1.0 / ((1.0 - emittance) / emittance + 1.0 / view)
    return result


def solar_shares(
    area_m2: FloatArray,
    absorptance: FloatArray,
    is_floor: npt.NDArray[np.bool_],
    window_escape_m2: float,
    contents_fraction: float,
) -> tuple[FloatArray, float, FloatArray, float]:
    """Share transmitted sunlight out between the inner faces and the contents.

    Parameters
    ----------
    area_m2, absorptance : numpy.ndarray, shape (p,)
        Areas [m2] and solar absorptances of the inner faces; windows with absorptance 0.
    is_floor : numpy.ndarray of bool, shape (p,)
        Which faces the beam falls on first.
    window_escape_m2 : float
        Sum over the windows of area times the diffuse transmittance by which scattered light
        leaves again. [m2]
    contents_fraction : float
        Share of all entering sunlight that the contents take.

    Returns
    -------
    beam_share : numpy.ndarray, shape (p,)
        Share of the transmitted beam that each face absorbs.
    beam_contents : float
        Share of the transmitted beam that the contents absorb.
    diffuse_share : numpy.ndarray, shape (p,)
        Share of the transmitted diffuse light that each face absorbs.
    diffuse_contents : float
        Share of the transmitted diffuse light that the contents absorb.

    Notes
    -----
    Scattered light is shared as in an integrating sphere, by area times absorptance, and what
    finds a window leaves. The beam meets the floor first; what the floor does not absorb is
    scattered. The shares add up to one less what leaves.
    """
    sink = area_m2 * absorptance
    total = float(sink.sum()) + window_escape_m2
    scattered = sink / total if total > 0.0 else np.zeros_like(sink)
    free = 1.0 - contents_fraction
    diffuse_share = free * scattered
    floor_area = float(area_m2[is_floor].sum())
    if floor_area == 0.0:
        return diffuse_share.copy(), contents_fraction, diffuse_share, contents_fraction
    landed = np.where(is_floor, area_m2 / floor_area, 0.0)
    first = landed * absorptance
    beam_share = free * (first + (1.0 - float(first.sum())) * scattered)
    return beam_share, contents_fraction, diffuse_share, contents_fraction
