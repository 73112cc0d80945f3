"""Solar optics of glass: by angle, by pane count, behind covers, and over photovoltaic cells."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt
from numba import njit

from engine.rig import Cover, CoverPosition, Window
from engine.scenario import CoverState
from engine.weather.table import FloatArray

Answer = TypeVar("Answer")

# Films inside a window's rated U-value and solar heat gain [W/m2K], as the 2011 edition of
# ANSI/ASHRAE Standard 140 states them for the window of its case 600.
INSIDE_FILM = 8.29
OUTSIDE_FILM = 21.0
_LEAST_RESISTANCE = 1e-3  # [m2K/W] of the glass itself, where a rated U leaves nothing

# clear float glass: index, and extinction times thickness of a pane (0.0196 /mm, 3.175 mm), as
# ANSI/ASHRAE Standard 140 states them for the window of its case 600
GLASS_INDEX = 1.526
GLASS_OPTICAL_DEPTH = 0.0196 * 3.175
_CLEAR = np.array([GLASS_OPTICAL_DEPTH])

_MODULE_DEPTH = 4.0 * 0.002  # extinction 4 /m, 2 mm: De Soto et al.

_FACE_REFLECTANCE = ((GLASS_INDEX - 1.0) / (GLASS_INDEX + 1.0)) ** 2
_DEPTHS = np.geomspace(1e-3, 3.0, 60)  # of a pane, from white to dark glass

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)
# hemispherical means run over s = sin^2(incidence) in 0..1 with even weight (Lambert)
_SINE_SQUARED = 0.5 * (_NODES + 1.0)
_HEMISPHERE_WEIGHTS = 0.5 * _WEIGHTS
_HEMISPHERE_COSINES = np.sqrt(1.0 - _SINE_SQUARED)

# half of the dome before a module: sines of elevation, and level cosines to its side, (40, 60)
_RISES, _RISE_WEIGHTS = np.polynomial.legendre.leggauss(40)
_RISE = 0.5 * (_RISES + 1.0)
_AROUND = np.cos((np.arange(60) + 0.5) * (np.pi / 60.0))
_SIDEWAYS = np.sqrt(1.0 - _RISE * _RISE)[:, None] * _AROUND


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
    absorbed : float
        Share of the light at normal incidence that the glass absorbs, lit from behind by an inside
        cover too. [-]
    inner_share : float
        Share of the absorbed heat that acts as if it were brought in at the inner face, the
        innermost cover's where one is drawn; the rest at the outer face. [-]
    added_resistance_m2k_w : float
        Thermal resistance of the drawn covers, in series with the window. [m2K/W]
    """

    transmitted: float
    to_air: float
    absorbed: float
    inner_share: float
    added_resistance_m2k_w: float


def for_each_glass(
    windows: tuple[Window, ...], function: Callable[[Window], Answer]
) -> list[Answer]:
    """Return what a function says of each window, asking once for all of one glass and cover.

    Parameters
    ----------
    windows : tuple of Window
        Windows.
    function : callable
        Of a window's glass and covers alone, as the functions of this module are.

    Returns
    -------
    list, length w
        One answer a window.
    """
    known: dict[tuple[object, ...], Answer] = {}
    answers = []
    for window in windows:
        glass = (
            window.u_value_w_m2k,
            window.solar_heat_gain_coefficient,
            window.solar_transmittance,
            window.panes,
            window.covers,
        )
        if glass not in known:
            known[glass] = function(window)
        answers.append(known[glass])
    return answers


def angular_factors(cos_incidence: npt.ArrayLike, window: Window) -> FloatArray:
    r"""Return a window's transmittance and absorptance at an angle over those at normal.

    Parameters
    ----------
    cos_incidence : array_like, any shape
        Cosine of the angle of incidence, 0 to 1. [-]
    window : Window
        A window.

    Returns
    -------
    numpy.ndarray, shape of ``cos_incidence`` and a last axis of 2
        Factors on what passes and on what the glass absorbs: 1 at normal, 0 at grazing
        incidence. [-]

    Notes
    -----
    Both follow a stack of as many uncoated panes, dark enough to absorb the same share of the
    light that enters them at normal incidence: :math:`f_T = T_s(θ) / T_s(0)` and
    :math:`f_A = A_s(θ) / A_s(0)`, so that together they fall as what is not reflected.
    """
    cosine = np.clip(np.asarray(cos_incidence, dtype=float), 0.0, 1.0)
    depth = _optical_depth(window)
    normal_t, normal_r = _panes(np.ones(1), window.panes, depth)
    passed, thrown = _panes(cosine, window.panes, depth)
    absorbed = (1.0 - passed - thrown) / (1.0 - normal_t - normal_r)
    return np.stack([passed / normal_t, absorbed], axis=-1)


def hemispherical_factors(window: Window) -> FloatArray:
    """Return a window's factors for isotropic diffuse light, as :func:`angular_factors`.

    Parameters
    ----------
    window : Window
        A window.

    Returns
    -------
    numpy.ndarray, shape (2,)
        Means of :func:`angular_factors` over the hemisphere. [-]

    Notes
    -----
    ``integral of f(theta) 2 sin(theta) cos(theta) dtheta``, by Gauss-Legendre quadrature.
    """
    return np.asarray(_HEMISPHERE_WEIGHTS @ angular_factors(_HEMISPHERE_COSINES, window))


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
    transmittance, reflectance = _panes(cosine, panes, _CLEAR)
    return GlassOptics(float(weights @ transmittance), float(weights @ reflectance))


def _panes(cosine: FloatArray, panes: int, depth: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return transmittance and reflectance of panes of an optical depth each, at one or by row."""
    cosines = np.ascontiguousarray(cosine).reshape(-1)
    passed, thrown = _stacks(cosines, panes, depth)
    return passed.reshape(cosine.shape), thrown.reshape(cosine.shape)


@njit(cache=True, nogil=True)
def _stacks(cosines: FloatArray, panes: int, depths: FloatArray) -> FloatArray:
    """Return transmittance and reflectance of a stack at many cosines, shape (2, n)."""
    found = np.empty((2, len(cosines)))
    for i in range(len(cosines)):
        found[0, i], found[1, i] = _stack(cosines[i], panes, depths[i % len(depths)])
    return found


@njit(cache=True, nogil=True)
def _stack(cosine: float, panes: int, depth: float) -> tuple[float, float]:
    """Return transmittance and reflectance of equal panes, one added behind the other."""
    refracted = math.sqrt(1.0 - (1.0 - cosine * cosine) / (GLASS_INDEX * GLASS_INDEX))
    passed = math.exp(-depth / refracted)
    s = (cosine - GLASS_INDEX * refracted) / (cosine + GLASS_INDEX * refracted)
    p = (refracted - GLASS_INDEX * cosine) / (refracted + GLASS_INDEX * cosine)
    s_passed, s_thrown = _pane(passed, s * s)
    p_passed, p_thrown = _pane(passed, p * p)
    pane_t, pane_r = 0.5 * (s_passed + p_passed), 0.5 * (s_thrown + p_thrown)
    stack_t, stack_r = pane_t, pane_r
    for _ in range(panes - 1):
        bounce = 1.0 - stack_r * pane_r
        stack_t, stack_r = (
            stack_t * pane_t / bounce,
            stack_r + stack_t * stack_t * pane_r / bounce,
        )
    return stack_t, stack_r


@njit(cache=True, nogil=True)
def _pane(passed: float, interface: float) -> tuple[float, float]:
    """Return transmittance and reflectance of one pane: its faces reflect, its glass absorbs."""
    lost = 1.0 - interface
    bounced = interface * passed
    through = passed * lost * lost / (1.0 - bounced * bounced)
    return through, interface * (1.0 + passed * through)


def window_resistance(window: Window) -> float:
    """Return a window's face-to-face resistance: its U-value less the rated films.

    Parameters
    ----------
    window : Window
        Rated with the films 8.29 inside and 21.0 outside [W/m2K].

    Returns
    -------
    float
        At least 0.001. [m2K/W]
    """
    films = 1.0 / INSIDE_FILM + 1.0 / OUTSIDE_FILM
    return max(1.0 / window.u_value_w_m2k - films, _LEAST_RESISTANCE)


def glass_absorptance(window: Window) -> float:
    r"""Return what the glass absorbs at normal incidence.

    Parameters
    ----------
    window : Window
        A window.

    Returns
    -------
    float
        At most what is not let through or thrown back by the first face. [-]

    Notes
    -----
    What is absorbed heats the middle of the glass, so that at the rated films the share
    :math:`N = (R_o + R_g / 2) / (R_o + R_g + R_i)` of it flows inward; with the solar heat gain
    coefficient ``g`` and the transmittance ``T``, :math:`A = (g - T) / N`.
    """
    transmittance = direct_transmittance(window)
    glass = window_resistance(window)
    outer, inner = 1.0 / OUTSIDE_FILM, 1.0 / INSIDE_FILM
    share = (outer + 0.5 * glass) / (outer + glass + inner)
    inward = window.solar_heat_gain_coefficient - transmittance
    return min(inward / share, max(1.0 - transmittance - _FACE_REFLECTANCE, 0.0))


def _optical_depth(window: Window) -> FloatArray:
    """Return the depth of uncoated panes that absorb the window's share of what enters, (1,)."""
    absorptance = glass_absorptance(window)
    entering = absorptance + direct_transmittance(window)
    passed, thrown = _panes(np.ones_like(_DEPTHS), window.panes, _DEPTHS)
    shares = 1.0 - passed / (1.0 - thrown)
    wanted = absorptance / entering if entering > 0.0 else 1.0
    return np.array([np.interp(wanted, shares, _DEPTHS)])


def inner_absorptance(window: Window, state: CoverState) -> float:
    """Return what a window absorbs of the scattered light of the cabin.

    Parameters
    ----------
    window : Window
        With its covers.
    state : CoverState
        Which covers are drawn.

    Returns
    -------
    float
        Of an inside cover where one is drawn, else of the glass. [-]
    """
    cover = _drawn(window, state, CoverPosition.INSIDE)
    if cover.solar_transmittance < 1.0:
        return max(1.0 - cover.solar_transmittance - cover.solar_reflectance, 0.0)
    passed = direct_transmittance(window) * float(hemispherical_factors(window)[0])
    return max(1.0 - passed - clear_glass(window.panes).reflectance, 0.0)


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
        Transmitted share, share absorbed to the cabin air, share absorbed by the glass and where,
        added resistance.

    Notes
    -----
    Between a cover and the glass, light goes to and fro: with the hemispherical reflectance ``R``
    of clear glass of that many panes, a cover of ``tau``, ``rho`` outside passes
    ``tau / (1 - rho R)`` to the glass, and what it absorbs stays outdoors. An inside cover passes
    ``tau / (1 - rho R)`` of what the glass let through and absorbs ``(1 - tau - rho) / (1 - rho
    R)`` of it, all of which goes to the cabin air; ``rho / (1 - rho R)`` of it lights the glass
    from behind and is there absorbed in the measure of the light from the front.

    The glass is heated in its middle, see :func:`glass_absorptance`. Heat brought in within a chain
    without capacity acts as if it were brought in at both faces, each in the measure of the
    other's distance. Covers act alike on all directions, and light keeps its angular factors
    behind an outside cover.

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
    absorbed = glass_absorptance(window)
    returned = transmittance * inside.solar_reflectance * inner_sum
    absorbed += min(absorbed, 1.0 - back) * returned
    outer = outside.added_resistance_m2k_w
    glass = window_resistance(window)
    total = glass + outer + inside.added_resistance_m2k_w
    return CoverFactors(
        transmitted=passed * inside.solar_transmittance * inner_sum,
        to_air=passed * max(inside_absorptance, 0.0) * inner_sum,
        absorbed=passed * absorbed,
        inner_share=(0.5 * glass + outer) / total,
        added_resistance_m2k_w=outer + inside.added_resistance_m2k_w,
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
