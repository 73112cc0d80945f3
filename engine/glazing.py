"""Solar optics of glass: by angle, by pane count, behind covers, and over photovoltaic cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from engine.rig import Cover, CoverPosition, Window
from engine.scenario import CoverState
from engine.weather.table import FloatArray

ANGULAR_CATEGORY = 4.0  # q of Karlsson and Roos: uncoated and hard-coated glass

# clear float glass: index, and extinction times thickness of a pane (0.0196 /mm, 3.175 mm), as
# ANSI/ASHRAE Standard 140 states them for the window of its case 600
GLASS_INDEX = 1.526
GLASS_OPTICAL_DEPTH = 0.0196 * 3.175

_MODULE_DEPTH = 4.0 * 0.002  # extinction 4 /m, 2 mm: De Soto et al.

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)
# hemispherical means run over s = sin^2(incidence) in 0..1 with even weight (Lambert)
_SINE_SQUARED = 0.5 * (_NODES + 1.0)
_HEMISPHERE_WEIGHTS = 0.5 * _WEIGHTS
_HEMISPHERE_COSINES = np.sqrt(1.0 - _SINE_SQUARED)


@dataclass(frozen=True)
class GlassOptics:
    """Optics of a stack of clear panes, at one direction or as a hemispherical mean.

    Parameters
    ----------
    transmittance, reflectance : float
        Of the whole stack; the rest is absorbed. [-]
    """

    transmittance: float
    reflectance: float


@dataclass(frozen=True)
class CoverFactors:
    """What a state of the covers does to the gains of the bare window.

    Parameters
    ----------
    transmitted : float
        Share of the solar transmitted by the bare glass that enters past the covers. [-]
    to_air : float
        Share of the solar transmitted by the bare glass that inside covers absorb and hand to the
        cabin air. [-]
    absorbed_scale : float
        Factor on the inward-flowing part of what the glass absorbs (the solar heat gain coefficient
        less the transmittance); may exceed 1 where a reflective cover lights the glass twice. [-]
    added_resistance_m2k_w : float
        Thermal resistance of the drawn covers, in series with the window. [m2K/W]
    """

    transmitted: float
    to_air: float
    absorbed_scale: float
    added_resistance_m2k_w: float


def angular_factor(cos_incidence: npt.ArrayLike, panes: int) -> FloatArray:
    """Return the solar factor of a window at an angle over that at normal incidence.

    Parameters
    ----------
    cos_incidence : array_like, any shape
        Cosine of the angle of incidence, 0 to 1. [-]
    panes : int
        Number of panes, 1 to 3.

    Returns
    -------
    numpy.ndarray, shape of ``cos_incidence``
        1 at normal, 0 at grazing incidence. [-]

    Notes
    -----
    ``1 - a z^alpha - b z^beta - c z^gamma`` with ``z`` the angle over 90 degrees, ``a = 8``,
    ``b = 0.25 / q``, ``c = 1 - a - b``, ``alpha = 5.2 + 0.7 q``, ``beta = 2`` and
    ``gamma = (5.26 + 0.06 p) + (0.73 + 0.04 p) q`` for ``p`` panes of category ``q``, here 4.

    References
    ----------
    J. Karlsson, A. Roos, Solar Energy 69 suppl. 6 (2000) 321-329,
    doi:10.1016/S0038-092X(01)00074-4 (DOI from memory); the formula as in published code.
    """
    q, p = ANGULAR_CATEGORY, float(panes)
    a, b = 8.0, 0.25 / q
    c = 1.0 - a - b
    alpha = 5.2 + 0.7 * q
    gamma = (5.26 + 0.06 * p) + (0.73 + 0.04 * p) * q
    cosine = np.clip(np.asarray(cos_incidence, dtype=float), 0.0, 1.0)
    z = np.arccos(cosine) * (2.0 / np.pi)
    log_z = np.log(np.maximum(z, 1e-30))  # two exponentials cost half of two real powers
    factor = 1.0 - a * np.exp(alpha * log_z) - b * z * z - c * np.exp(gamma * log_z)
    return np.asarray(np.clip(factor, 0.0, 1.0))


def hemispherical_factor(panes: int) -> float:
    """Return the solar factor of a window for isotropic diffuse light over that at normal.

    Parameters
    ----------
    panes : int
        Number of panes, 1 to 3.

    Returns
    -------
    float
        Mean of :func:`angular_factor` over the hemisphere. [-]

    Notes
    -----
    ``integral of f(theta) 2 sin(theta) cos(theta) dtheta``, by Gauss-Legendre quadrature.
    """
    return float(_HEMISPHERE_WEIGHTS @ angular_factor(_HEMISPHERE_COSINES, panes))


def transmittance_from_shgc(u_value_w_m2k: float, solar_heat_gain_coefficient: float) -> float:
    """Return the solar transmittance at normal incidence that goes with U-value and solar factor.

    Parameters
    ----------
    u_value_w_m2k : float
        With standard films. [W/m2K]
    solar_heat_gain_coefficient : float
        At normal incidence, 0 to 1. [-]

    Returns
    -------
    float
        Never above the solar heat gain coefficient. [-]

    Notes
    -----
    Regressions over a catalogue of windows: one for single panes (U above 4.5), one for two and
    more (U below 3.4), linear in U between.

    References
    ----------
    D. Arasteh, C. Kohler, B. Griffith, Modeling windows in EnergyPlus with simple performance
    indices, LBNL-2804E (2009), step 4.
    """
    shgc = solar_heat_gain_coefficient
    single = 1.30415 * shgc - 0.30515
    if shgc < 0.7206:
        single = 0.939998 * shgc**2 + 0.20332 * shgc
    multiple = 0.41040 * shgc
    if shgc > 0.15:
        multiple = 0.085775 * shgc**2 + 0.963954 * shgc - 0.084958
    weight = min(max((u_value_w_m2k - 3.4) / (4.5 - 3.4), 0.0), 1.0)
    return min(weight * single + (1.0 - weight) * multiple, shgc)


def direct_transmittance(window: Window) -> float:
    """Return the window's solar transmittance at normal incidence, given or derived.

    Parameters
    ----------
    window : Window
        Its ``solar_transmittance``, else :func:`transmittance_from_shgc`.

    Returns
    -------
    float
        Solar transmittance at normal incidence. [-]
    """
    if window.solar_transmittance is not None:
        return window.solar_transmittance
    return transmittance_from_shgc(window.u_value_w_m2k, window.solar_heat_gain_coefficient)


def clear_glass(panes: int, cos_incidence: float | None = None) -> GlassOptics:
    """Return the optics of a stack of clear panes from Fresnel's and Bouguer's laws.

    Parameters
    ----------
    panes : int
        Number of equal panes.
    cos_incidence : float, optional
        Direction; the hemispherical mean where absent. [-]

    Returns
    -------
    GlassOptics
        Transmittance and reflectance of the stack. [-]

    Notes
    -----
    Each polarisation is followed apart: an interface reflects ``r``, a pane absorbs so that
    ``t = exp(-K L / cos theta_2)`` passes; infinite sums give the pane, and adding panes one by one
    gives the stack: ``T = T1 T2 / (1 - R1 R2)``, ``R = R1 + T1^2 R2 / (1 - R1 R2)``.

    References
    ----------
    J. A. Duffie, W. A. Beckman, Solar Engineering of Thermal Processes, 4th ed. (2013),
    sections 5.1-5.3 (from memory).
    """
    cosine = _HEMISPHERE_COSINES if cos_incidence is None else np.array([cos_incidence])
    weights = _HEMISPHERE_WEIGHTS if cos_incidence is None else np.ones(1)
    refracted = np.sqrt(1.0 - (1.0 - cosine**2) / GLASS_INDEX**2)
    passed = np.exp(-GLASS_OPTICAL_DEPTH / refracted)
    transmittance, reflectance = 0.0, 0.0
    for first, second in ((cosine, refracted), (refracted, cosine)):  # s and p polarisation
        interface = ((first - GLASS_INDEX * second) / (first + GLASS_INDEX * second)) ** 2
        bounce = 1.0 - (interface * passed) ** 2
        pane_t = passed * (1.0 - interface) ** 2 / bounce
        pane_r = interface * (1.0 + passed * pane_t)
        stack_t, stack_r = pane_t, pane_r
        for _ in range(panes - 1):
            stack_t, stack_r = _stack(stack_t, stack_r, pane_t, pane_r)
        transmittance += 0.5 * float(weights @ stack_t)
        reflectance += 0.5 * float(weights @ stack_r)
    return GlassOptics(transmittance, reflectance)


def cover_factors(window: Window, state: CoverState) -> CoverFactors:
    """Return what the covers drawn in a state do to a window's solar gains and resistance.

    Parameters
    ----------
    window : Window
        With its covers; a state that asks for a cover the window lacks leaves that side open.
    state : CoverState
        Which covers are drawn.

    Returns
    -------
    CoverFactors
        Transmitted share, share absorbed to the cabin air, factor on the inward-flowing absorbed
        part, added resistance.

    Notes
    -----
    Between a cover and the glass, light goes to and fro: with the hemispherical reflectance ``R``
    of clear glass of that many panes, a cover of ``tau``, ``rho`` outside passes
    ``tau / (1 - rho R)`` to the glass, and what it absorbs stays outdoors. An inside cover passes
    ``tau / (1 - rho R)`` of what the glass let through and absorbs ``(1 - tau - rho) / (1 - rho
    R)`` of it, all of which goes to the cabin air; ``rho / (1 - rho R)`` of it lights the glass
    from behind and is there absorbed in the measure of the light from the front.

    The glass absorbs ``A = 1 - T - R_normal`` and hands ``N = (SHGC - T) / A`` of it inward. With
    one node for the glass between the resistances to either side, ``N`` is the outer over the
    total resistance, so covers change it to ``(N / U + R_out) / (1 / U + R_out + R_in)``. Covers
    act alike on all directions, and light keeps its angular factor behind an outside cover.

    References
    ----------
    The sums over reflections are those of ISO 15099:2003, section 7 (from memory), for one layer.
    """
    outside = _drawn(window, state, CoverPosition.OUTSIDE)
    inside = _drawn(window, state, CoverPosition.INSIDE)
    back = clear_glass(window.panes).reflectance
    passed = outside.solar_transmittance / (1.0 - outside.solar_reflectance * back)
    inner_sum = 1.0 / (1.0 - inside.solar_reflectance * back)
    inside_absorptance = 1.0 - inside.solar_transmittance - inside.solar_reflectance

    transmittance = direct_transmittance(window)
    inward = window.solar_heat_gain_coefficient - transmittance
    scale = 1.0
    if inward > 0.0:
        front = clear_glass(window.panes, cos_incidence=1.0).reflectance
        absorbed = max(1.0 - transmittance - front, inward)
        absorbed_behind = min(absorbed, 1.0 - back)
        share = inward / absorbed
        bare = 1.0 / window.u_value_w_m2k
        total = bare + outside.added_resistance_m2k_w + inside.added_resistance_m2k_w
        share_covered = (share * bare + outside.added_resistance_m2k_w) / total
        returned = transmittance * inside.solar_reflectance * inner_sum
        scale = share_covered * (absorbed + absorbed_behind * returned) / inward
    return CoverFactors(
        transmitted=passed * inside.solar_transmittance * inner_sum,
        to_air=passed * max(inside_absorptance, 0.0) * inner_sum,
        absorbed_scale=passed * scale,
        added_resistance_m2k_w=outside.added_resistance_m2k_w + inside.added_resistance_m2k_w,
    )


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
    tilts, place = np.unique(tilt, return_inverse=True)
    nodes, weights = np.polynomial.legendre.leggauss(40)
    rise = 0.5 * (nodes + 1.0)  # sine of elevation, 0 to 1
    level = np.sqrt(1.0 - rise * rise)
    around = np.cos((np.arange(60) + 0.5) * (np.pi / 60.0))
    beta = np.radians(tilts)[:, None, None]
    sideways = np.sin(beta) * (level[:, None] * around)
    upward = np.cos(beta) * rise[:, None]
    means = []
    for cosine in (sideways + upward, sideways - upward):
        seen = np.maximum(cosine, 0.0) * weights[:, None]
        view = seen.sum(axis=(1, 2))
        caught = (array_angular_factor(cosine) * seen).sum(axis=(1, 2))
        mean = np.divide(caught, view, out=np.zeros_like(view), where=view > 1e-9)
        means.append(mean[place].reshape(tilt.shape))
    return means[0], means[1]


def _stack(
    first_t: FloatArray, first_r: FloatArray, second_t: FloatArray, second_r: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Add a second layer behind a first, both alike from front and back."""
    bounce = 1.0 - first_r * second_r
    return first_t * second_t / bounce, first_r + first_t**2 * second_r / bounce


def _drawn(window: Window, state: CoverState, position: CoverPosition) -> Cover:
    """Return the covers drawn at a position as one; a clear nothing where there is none."""
    transmittance, reflectance, resistance = 1.0, 0.0, 0.0
    if state is CoverState.ALL or state.value == position.value:
        for cover in window.covers:
            if cover.position is position:
                bounce = 1.0 - reflectance * cover.solar_reflectance
                reflectance += transmittance**2 * cover.solar_reflectance / bounce
                transmittance *= cover.solar_transmittance / bounce
                resistance += cover.added_resistance_m2k_w
    return Cover(position, transmittance, reflectance, resistance)
