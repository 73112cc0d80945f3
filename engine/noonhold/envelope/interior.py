"""Inside the cabin: how long wave and sunlight spread over the inner faces."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt
from numba import njit

FloatArray = npt.NDArray[np.float64]

_LARGEST_VIEW: Final = 10.0  # keeps a face larger than all others together finite
_ITERATIONS: Final = 200


def view_weights(area_m2: FloatArray) -> FloatArray:
    r"""Return how strongly each inner face is seen by the others, per area.

    Parameters
    ----------
    area_m2 : numpy.ndarray, shape (p,)
        Areas of the inner faces. [m2]

    Returns
    -------
    numpy.ndarray, shape (p,)
        At least 1, more for a face that is large among the others.

    Notes
    -----
    .. math:: F_i = \frac{1}{1 - A_i F_i / \sum_j A_j F_j}

    References
    ----------
    .. [1] J. A. Carroll, "An 'MRT method' of computing radiant energy exchange in rooms",
       Proc. 2nd Systems Simulation and Economic Analysis Conference, San Diego, 1980.
    """
    return _settled_views(np.asarray(area_m2, dtype=np.float64))


@njit(cache=True, nogil=True)
def _settled_views(area_m2: FloatArray) -> FloatArray:
    """Repeat the equation, half of each step, until it does not move."""
    view = np.ones_like(area_m2)
    for _ in range(_ITERATIONS):
        total = (area_m2 * view).sum()
        for p in range(len(view)):
            seen = max(1.0 - area_m2[p] * view[p] / total, 1.0 / _LARGEST_VIEW)
            view[p] = 0.5 * (view[p] + 1.0 / seen)
    return view


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

    .. math:: \frac{1}{(1 - ε_i)/ε_i + 1/F_i}

    with the weights of :func:`view_weights`.
    """
    result: FloatArray = 1.0 / ((1.0 - emittance) / emittance + 1.0 / view_weights(area_m2))
    return result


def scattered_fractions(
    area_m2: FloatArray, absorptance: FloatArray, leaving: FloatArray
) -> FloatArray:
    """Share out light that comes from everywhere, as in an integrating sphere.

    Parameters
    ----------
    area_m2 : numpy.ndarray, shape (p,)
        Areas of the inner faces. [m2]
    absorptance, leaving : numpy.ndarray, shape (p,)
        Share of the light on each face that it absorbs, and that leaves through it.

    Returns
    -------
    numpy.ndarray, shape (p,)
        Share of the light that each face absorbs in the end; the rest leaves.
    """
    total = float((area_m2 * (absorptance + leaving)).sum())
    return area_m2 * absorptance / total if total > 0.0 else np.zeros_like(area_m2)


def absorbed_fractions(
    landings: tuple[FloatArray, ...],
    area_m2: FloatArray,
    absorptance: FloatArray,
    leaving: FloatArray,
) -> FloatArray:
    """Share out light that is followed over its first landings and then comes from everywhere.

    Parameters
    ----------
    landings : tuple of numpy.ndarray, shape (p,)
        Where the light falls first, where what is thrown back from there falls, and so on; each
        adds up to 1.
    area_m2, absorptance, leaving : numpy.ndarray, shape (p,)
        See :func:`scattered_fractions`.

    Returns
    -------
    numpy.ndarray, shape (p,)
        Share of the light that each face absorbs in the end; the rest leaves.
    """
    light = 1.0
    absorbed = np.zeros_like(area_m2)
    for first_incidence in landings:
        absorbed = absorbed + light * first_incidence * absorptance
        light *= float((first_incidence * (1.0 - absorptance - leaving)).sum())
    return absorbed + light * scattered_fractions(area_m2, absorptance, leaving)


def first_incidence(weight: FloatArray, where: npt.NDArray[np.bool_]) -> FloatArray:
    """Return the share of light that falls on each of some faces, on all where there are none.

    Parameters
    ----------
    weight : numpy.ndarray, shape (p,)
        How much of it a face catches.
    where : numpy.ndarray of bool, shape (p,)
        The faces that it can reach.

    Returns
    -------
    numpy.ndarray, shape (p,)
        Adds up to 1.
    """
    caught = np.where(where, weight, 0.0) if where.any() else weight
    result: FloatArray = caught / caught.sum()
    return result
