"""A year of hourly instants turned into interval means and ends of intervals."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from noonhold.solar.interval_sun import IntervalSun
from noonhold.weather.radiation import LOWEST_COSINE
from noonhold.weather.weather_table import FloatArray

_HELD = 2  # instants over which the clearness of a low sun is taken from the nearest higher sun


def values_at(instants: FloatArray, place: FloatArray) -> FloatArray:
    """Interpolate a cyclic series linearly.

    Parameters
    ----------
    instants : numpy.ndarray, shape (n,)
        The series; its last value joins the first.
    place : numpy.ndarray
        Where, in units of the series' step from its first value; any real number.

    Returns
    -------
    numpy.ndarray, shape of ``place``
        Values there; exact on the instants.
    """
    below = np.floor(place).astype(np.int64)
    part = place - below
    count = len(instants)
    near: FloatArray = instants[below % count] * (1.0 - part)
    # Zero weight must not carry a NaN from the next instant over.
    return np.where(part > 0.0, near + instants[(below + 1) % count] * part, near)


def means_of_instants(instants: FloatArray, first: float, parts: int) -> FloatArray:
    """Return means over intervals of a series known at instants.

    Parameters
    ----------
    instants : numpy.ndarray, shape (n,)
        A cyclic series.
    first : float
        Start of the first interval, in steps from the first instant.
    parts : int
        Number of parts an interval is cut into.

    Returns
    -------
    numpy.ndarray, shape (n,)
        Means of the straight lines between instants.
    """
    mean: FloatArray = values_at(instants, _places(len(instants), first, parts)).mean(axis=1)
    return mean


def _places(count: int, first: float, parts: int) -> FloatArray:
    """Return the middles of all intervals' parts, shape (count, parts)."""
    places: FloatArray = np.arange(count)[:, None] + (np.arange(parts) + 0.5) / parts + first
    return places


def _held(index: FloatArray) -> FloatArray:
    """Carry an index from the nearest instant with a higher sun into those without one."""
    for _ in range(_HELD):
        before, after = np.roll(index, 1), np.roll(index, -1)
        near = np.where(np.isnan(before), after, before)
        index = np.where(np.isnan(index), near, index)
    return index


def _clear_beam(cosine: FloatArray) -> FloatArray:
    """Return the share of the beam that a clear sky lets through; 0 with the sun down."""
    elevation = np.degrees(np.arcsin(np.clip(cosine, 0.0, 1.0)))
    air_mass = 1.0 / (cosine + 0.50572 * (elevation + 6.07995) ** -1.6364)
    share: FloatArray = np.where(cosine > 0.0, 0.7 ** (air_mass**0.678), 0.0)
    return share


def radiation_of_instants(
    columns: Mapping[str, FloatArray], seen: IntervalSun, over: IntervalSun, first: float
) -> dict[str, FloatArray]:
    """Return interval means of radiation known at instants.

    Parameters
    ----------
    columns : mapping
        ``dni`` and ``dhi``, finite, shape (n,). [W/m2]
    seen : IntervalSun
        The sun at the instants, one part each.
    first : float
        Start of the first interval, in steps from the first instant.

    Returns
    -------
    dict of str to numpy.ndarray, shape (n,)
        ``ghi``, ``dni``, ``dhi`` as interval means. [W/m2]

    Notes
    -----
    Two ratios are interpolated between instants: diffuse over the extraterrestrial horizontal
    irradiance, and beam over a clear sky's, ``E0 0.7^(m^0.678)`` [1]_ with the relative air mass
    ``m`` of [2]_, so that the beam fades towards the horizon as it does between instants there.
    With the sun lower than 3 degrees the ratios are those of the nearest instant with a higher
    sun, as two small figures over each other say nothing.

    References
    ----------
    .. [1] A. B. Meinel, M. P. Meinel, "Applied Solar Energy", 1976, as printed at
       pveducation.org, "Air mass".
    .. [2] F. Kasten, A. T. Young, "Revised optical air mass tables and approximation formula",
       Applied Optics 28 (1989) 4735, DOI 10.1364/AO.28.004735.
    """
    cosine = seen.cosines[:, 0]
    usable = cosine > LOWEST_COSINE
    places = _places(len(cosine), first, over.cosines.shape[1])
    below = np.floor(places).astype(np.int64)
    outside = over.extraterrestrial[:, None]
    parts = []
    for name, then, now in (
        ("dni", _clear_beam(cosine), _clear_beam(over.cosines)),
        ("dhi", cosine, over.cosines),
    ):
        reference = seen.extraterrestrial * np.where(usable, then, 1.0)
        index = _held(np.where(usable, columns[name] / reference, np.nan))
        low, high = index[below % len(index)], index[(below + 1) % len(index)]
        low, high = np.where(np.isnan(low), high, low), np.where(np.isnan(high), low, high)
        parts.append(np.nan_to_num(low + (places - below) * (high - low)) * outside * now)
    beam, diffuse = parts
    dhi = diffuse.mean(axis=1)
    ghi = (beam * over.cosines).mean(axis=1) + dhi
    return {"ghi": ghi, "dni": beam.mean(axis=1), "dhi": dhi}
