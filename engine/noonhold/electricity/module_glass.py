"""Reflection of sunlight at the front glass of photovoltaic modules."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.envelope.glazing import GLASS_INDEX
from noonhold.numerics.array_types import FloatArray

_MODULE_DEPTH: Final = 4.0 * 0.002  # extinction 4 /m, 2 mm: De Soto et al.

# half of the dome before a module: sines of elevation, and level cosines to its side, (40, 60)
_RISES, _RISE_WEIGHTS = np.polynomial.legendre.leggauss(40)
_RISE = 0.5 * (_RISES + 1.0)
_AROUND = np.cos((np.arange(60) + 0.5) * (np.pi / 60.0))
_SIDEWAYS = np.sqrt(1.0 - _RISE * _RISE)[:, None] * _AROUND


def array_angular_factor(cos_incidence: npt.ArrayLike) -> FloatArray:
    """Return the share of beam that passes a module's front glass, over that at normal.

    Parameters
    ----------
    cos_incidence : array_like, any shape
        Cosine of the angle of incidence, 0 to 1. [-]

    Returns
    -------
    numpy.ndarray, shape of ``cos_incidence``
        1 at normal, 0 at grazing incidence. [-]

    Notes
    -----
    Fresnel and Bouguer for a glass of index 1.526, extinction 4 /m, 2 mm: the same figures as
    :func:`pvlib.iam.physical`, which goes by angles and takes some ten times as long.

    References
    ----------
    W. De Soto, S. A. Klein, W. A. Beckman, Solar Energy 80 (2006) 78-88,
    doi:10.1016/j.solener.2005.06.010.
    """
    cosine = np.clip(np.asarray(cos_incidence, dtype=float), 0.0, 1.0)
    refracted = np.sqrt(1.0 - (1.0 - cosine * cosine) / GLASS_INDEX**2)
    r_s = (cosine - GLASS_INDEX * refracted) / (cosine + GLASS_INDEX * refracted)
    r_p = (refracted - GLASS_INDEX * cosine) / (refracted + GLASS_INDEX * cosine)
    normal = (1.0 - ((GLASS_INDEX - 1.0) / (GLASS_INDEX + 1.0)) ** 2) * np.exp(-_MODULE_DEPTH)
    passed = (1.0 - 0.5 * (r_s * r_s + r_p * r_p)) * np.exp(-_MODULE_DEPTH / refracted)
    return np.asarray(np.maximum(passed / normal, 0.0))


def array_diffuse_factors(tilt_deg: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Return a module's angular factors for sky and ground light by tilt.

    Parameters
    ----------
    tilt_deg : array_like, any shape
        0 facing up, 90 upright. Few different values in a large array are no waste. [degree]

    Returns
    -------
    sky, ground : numpy.ndarray, shape of ``tilt_deg``
        Means of :func:`array_angular_factor` over the part of the sky or ground that the plane
        sees, weighted by the cosine; 0 where it sees none. [-]

    Notes
    -----
    ``F = integral of f(cos) cos dOmega / integral of cos dOmega`` over the directions in front of
    the plane and above (sky) or below (ground) the horizon. The grid is even in azimuth and
    Gaussian in the sine of elevation; :func:`pvlib.iam.marion_diffuse` does the same on a finer
    grid and agrees to 0.001 for all but planes within a few degrees of level, whose sliver of
    ground it meets with few points.

    References
    ----------
    B. Marion, Solar Energy 147 (2017) 344-348, doi:10.1016/j.solener.2017.03.027.
    """
    tilt = np.asarray(tilt_deg, dtype=float)
    if tilt.ndim == 2 and len(tilt) > 1 and (tilt == tilt[0]).all():
        # Arrays that nobody turns: one row stands for all.
        of_sky, of_ground = array_diffuse_factors(tilt[0])
        return np.broadcast_to(of_sky, tilt.shape), np.broadcast_to(of_ground, tilt.shape)
    tilts, place = np.unique(tilt, return_inverse=True)
    beta = np.radians(tilts)[:, None, None]
    sideways = np.sin(beta) * _SIDEWAYS
    upward = np.cos(beta) * _RISE[:, None]
    means = []
    for cosine in (sideways + upward, sideways - upward):
        seen = np.maximum(cosine, 0.0) * _RISE_WEIGHTS[:, None]
        view = seen.sum(axis=(1, 2))
        caught = (array_angular_factor(cosine) * seen).sum(axis=(1, 2))
        mean = np.divide(caught, view, out=np.zeros_like(view), where=view > 1e-9)
        means.append(mean[place].reshape(tilt.shape))
    return means[0], means[1]
