"""Solar optics of a window's glass, by angle and by pane count."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt
from numba import njit

from noonhold.envelope.window_conductance import INSIDE_FILM, OUTSIDE_FILM, window_resistance
from noonhold.numerics.array_types import FloatArray
from noonhold.rig import Window

ProjectionResult = TypeVar("ProjectionResult")

# clear float glass: index, and extinction times thickness of a pane (0.0196 /mm, 3.175 mm), as
# ANSI/ASHRAE Standard 140 states them for the window of its case 600
GLASS_INDEX = 1.526
GLASS_OPTICAL_DEPTH = 0.0196 * 3.175
_CLEAR = np.array([GLASS_OPTICAL_DEPTH])

_FACE_REFLECTANCE = ((GLASS_INDEX - 1.0) / (GLASS_INDEX + 1.0)) ** 2
_DEPTHS = np.geomspace(1e-3, 3.0, 60)  # of a pane, from white to dark glass

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


def for_each_glass(
    windows: tuple[Window, ...], function: Callable[[Window], ProjectionResult]
) -> list[ProjectionResult]:
    """Return what a function says of each window, asking once for all of one glass and cover.

    Parameters
    ----------
    function : callable
        Of a window's glass and covers alone, not of where it is and how large.

    Returns
    -------
    list, length w
        One answer a window.
    """
    known: dict[tuple[object, ...], ProjectionResult] = {}
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


def glass_absorptance(window: Window) -> float:
    r"""Return what the glass absorbs at normal incidence.

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
