"""What covers drawn over a window do to its sun and its resistance."""

from __future__ import annotations

from dataclasses import dataclass

from noonhold.envelope.glazing import (
    clear_glass,
    direct_transmittance,
    glass_absorptance,
    hemispherical_factors,
)
from noonhold.envelope.window_conductance import window_resistance
from noonhold.rig import Cover, CoverPosition, Window
from noonhold.scenario import CoverState


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
    inner_fraction : float
        Share of the absorbed heat that acts as if it were brought in at the inner face, the
        innermost cover's where one is drawn; the rest at the outer face. [-]
    added_resistance_m2k_w : float
        Thermal resistance of the drawn covers, in series with the window. [m2K/W]
    """

    transmitted: float
    to_air: float
    absorbed: float
    inner_fraction: float
    added_resistance_m2k_w: float


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
        inner_fraction=(0.5 * glass + outer) / total,
        added_resistance_m2k_w=outer + inside.added_resistance_m2k_w,
    )


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
