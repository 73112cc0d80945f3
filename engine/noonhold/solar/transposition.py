"""What falls on tilted planes: direct and diffuse sunlight, and what the ground reflects."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pvlib

from noonhold.numerics.array_types import FloatArray
from noonhold.solar.sun import SolarGeometry

_COS_85 = float(np.cos(np.radians(85.0)))  # Perez et al. bound the circumsolar term there
_PROBE_TILT_DEG = 10.0


@dataclass(frozen=True)
class SurfaceIrradiance:
    """Irradiance on o planes over n intervals; every array has shape (n, o).

    Parameters
    ----------
    beam : numpy.ndarray
        What comes from the sun's direction: direct beam and circumsolar diffuse. [W/m2]
    sky : numpy.ndarray
        The rest of the sky's diffuse: isotropic dome and horizon band. [W/m2]
    ground : numpy.ndarray
        Reflected by the ground. [W/m2]
    cos_incidence : numpy.ndarray
        Cosine between the sun and the plane's normal; 0 behind the plane or with the sun down. [-]
    """

    beam: FloatArray
    sky: FloatArray
    ground: FloatArray
    cos_incidence: FloatArray

    @property
    def total(self) -> FloatArray:
        """Sum of beam, sky and ground, shape (n, o), in W/m2."""
        return self.beam + self.sky + self.ground


def surface_irradiance(
    geometry: SolarGeometry,
    ghi: FloatArray,
    dni: FloatArray,
    dhi: FloatArray,
    tilt_deg: npt.ArrayLike,
    azimuth_deg: npt.ArrayLike,
    albedo: float,
    brightening: tuple[FloatArray, FloatArray] | None = None,
) -> SurfaceIrradiance:
    """Return the irradiance on tilted planes, split by where it comes from.

    Parameters
    ----------
    geometry : SolarGeometry
        The sun over the n intervals.
    ghi, dni, dhi : numpy.ndarray, shape (n,)
        Interval means, dark part included. [W/m2]
    tilt_deg : array_like, shape (o,) or (n, o)
        0 facing up, 90 upright, 180 facing down. [degree]
    azimuth_deg : array_like, shape (o,) or (n, o)
        Compass direction the planes look to. [degree]
    albedo : float
        Ground reflectance. [-]
    brightening : tuple of numpy.ndarray, optional
        From :func:`sky_brightening`, where several sets of planes stand under the same sky.

    Returns
    -------
    SurfaceIrradiance
        Arrays of shape (n, o).

    Notes
    -----
    Direct beam is ``dni cos(incidence)``; the interval mean already counts its dark part as
    nothing, so beam energy is conserved in the hours of sunrise and sunset. The cosine is that of
    the interval's mean direction, which is the mean cosine for a plane that the sun stays in
    front of: over an hour 0.3 percent less than the cosine of the middle. Sky diffuse is the
    model of Perez et al. (1990) through :func:`pvlib.irradiance.perez`; its horizon band may be
    negative under cloud, and where it would pull the rest of the sky below nothing it is taken
    from the circumsolar part instead, so that the sum stays. Diffuse light that arrives with the
    sun down (twilight) is isotropic; beam with the sun down is dropped, for it has no direction.
    Ground light is ``ghi albedo (1 - cos tilt) / 2``. A level plane receives
    ``dni cos(zenith) + dhi``, which is ``ghi`` as far as the three inputs agree with each other.

    References
    ----------
    R. Perez et al., Solar Energy 44 (1990) 271-289, doi:10.1016/0038-092X(90)90055-H.
    """
    tilt, azimuth = np.broadcast_arrays(
        np.atleast_1d(np.asarray(tilt_deg, dtype=float)),
        np.atleast_1d(np.asarray(azimuth_deg, dtype=float)),
    )
    cos_tilt = np.cos(np.radians(tilt))
    ground = ghi[:, None] * (0.5 * albedo * (1.0 - cos_tilt))
    sky = dhi[:, None] * (0.5 * (1.0 + cos_tilt))
    beam = np.zeros_like(sky)
    cos_incidence = np.zeros_like(sky)

    up = np.flatnonzero(geometry.sunlit_fraction > 0.0)
    if up.size:
        if tilt.ndim == 2:
            tilt, azimuth = tilt[up], azimuth[up]
        cos_up = _cos_incidence(geometry.mean_towards_sun[up], tilt, azimuth)
        sky_over_planes = (
            sky_brightening(geometry, dni, dhi) if brightening is None else brightening
        )
        circumsolar, horizon = (coefficient[up] for coefficient in sky_over_planes)
        low_sun = np.maximum(geometry.mean_towards_sun[up, 2], _COS_85)
        rest = sky[up] * (1.0 - circumsolar)[:, None]
        rest += (dhi[up] * horizon)[:, None] * np.sin(np.radians(tilt))
        around_sun = (dhi[up] * circumsolar / low_sun)[:, None] * cos_up
        around_sun = np.maximum(around_sun + np.minimum(rest, 0.0), 0.0)
        cos_incidence[up] = cos_up
        beam[up] = dni[up, None] * cos_up + around_sun
        sky[up] = np.maximum(rest, 0.0)
    return SurfaceIrradiance(beam, sky, ground, cos_incidence)


def _cos_incidence(towards_sun: FloatArray, tilt: FloatArray, azimuth: FloatArray) -> FloatArray:
    """Return the cosine of incidence, zero behind the plane, shape (rows, o)."""
    beta, facing = np.radians(tilt), np.radians(azimuth)
    east, north, up = (towards_sun[:, i, None] for i in range(3))
    cosine = up * np.cos(beta) + north * (np.sin(beta) * np.cos(facing))
    cosine += east * (np.sin(beta) * np.sin(facing))
    return np.asarray(np.clip(cosine, 0.0, 1.0))


def sky_brightening(
    geometry: SolarGeometry, dni: FloatArray, dhi: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the circumsolar and the horizon coefficient (F1, F2) of the Perez sky.

    They belong to the sky and not to the plane, so one plane, tilted a little towards the sun,
    serves to read them from pvlib's components for all the others.

    Parameters
    ----------
    geometry : SolarGeometry
        The sun over the n intervals.
    dni, dhi : numpy.ndarray, shape (n,)
        Interval means, dark part included. [W/m2]

    Returns
    -------
    circumsolar, horizon : numpy.ndarray, shape (n,)
        Zero where there is no diffuse light, or no sun.
    """
    circumsolar, horizon = np.zeros(len(dhi)), np.zeros(len(dhi))
    rows = np.flatnonzero((geometry.sunlit_fraction > 0.0) & (dhi > 0.0))
    if rows.size == 0:
        return circumsolar, horizon
    tilt = np.radians(_PROBE_TILT_DEG)
    zenith, azimuth, diffuse = geometry.zenith_deg[rows], geometry.azimuth_deg[rows], dhi[rows]
    parts = pvlib.irradiance.perez(
        _PROBE_TILT_DEG,
        azimuth,
        diffuse,
        dni[rows],
        geometry.extraterrestrial_w_m2[rows],
        zenith,
        azimuth,
        pvlib.atmosphere.get_relative_airmass(zenith),
        return_components=True,
    )
    circumsolar[rows] = 1.0 - parts["poa_isotropic"] / (0.5 * diffuse * (1.0 + np.cos(tilt)))
    horizon[rows] = parts["poa_horizon"] / (diffuse * np.sin(tilt))
    return circumsolar, horizon
