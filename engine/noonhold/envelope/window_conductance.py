"""How a window conducts heat between its faces: its rated U-value, and how warm it is."""

from __future__ import annotations

from typing import Final

from noonhold.numerics.compiled import inlined
from noonhold.rig import Window

# Films inside a window's rated U-value and solar heat gain [W/m2K], as the 2011 edition of
# ANSI/ASHRAE Standard 140 states them for the window of its case 600.
INSIDE_FILM: Final = 8.29
OUTSIDE_FILM: Final = 21.0
_LEAST_RESISTANCE: Final = 1e-3  # [m2K/W] of the glass itself, where a rated U leaves nothing

# A rated U-value belongs to a cold day: NFRC 100 has -18 degC outside and 21 degC inside, whose
# mean is the gap's (from memory; EN 673 has 10 degC).
_RATED_GAP_K: Final = 274.65
# Conduction through 12 mm of still air at that temperature (0.0241 W/mK), and black-body exchange
# 4 sigma T^3 between uncoated panes of emittance 0.84: the most that a gap radiates. [W/m2K]
_STILL_AIR: Final = 2.0
_UNCOATED_RADIATION: Final = 3.4


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


def gap_conductances(resistance_m2k_w: float, panes: int) -> tuple[float, float]:
    """Split what a window conducts at its rating into still air and radiation across its gaps.

    Parameters
    ----------
    resistance_m2k_w : float
        From face to face, from :func:`window_resistance`. [m2K/W]
    panes : int
        Panes of the window.

    Returns
    -------
    still, radiant : float
        Together 1 / ``resistance_m2k_w``; both 0 for a single pane, which has no gap. [W/m2K]

    Notes
    -----
    A gap conducts as 12 mm of still air do, or as much of that as the rating leaves; what is over
    that is radiation, up to that of uncoated panes; what is over both is taken as air again. So a
    plain double pane radiates much and a coated one little, without the document saying which. The
    glass, a few percent of the resistance, goes along with the gap.
    """
    gaps = panes - 1
    if gaps == 0:
        return 0.0, 0.0
    each = gaps / resistance_m2k_w
    radiant = min(max(each - _STILL_AIR, 0.0), _UNCOATED_RADIATION)
    return (each - radiant) / gaps, radiant / gaps


@inlined
def gap_conductance(still_w_m2k: float, radiant_w_m2k: float, mean_c: float) -> float:
    r"""Return what the gaps of a window conduct at a temperature.

    Parameters
    ----------
    still_w_m2k, radiant_w_m2k : float
        At the rating, from :func:`gap_conductances`. [W/m2K]
    mean_c : float
        Mean of the window's two faces. [degC]

    Returns
    -------
    float
        Conductance from face to face. [W/m2K]

    Notes
    -----
    .. math:: h = h_a (T/T_r)^{0.8} + h_r (T/T_r)^3

    with the conductivity of air growing as its temperature to the power 0.8, here by its tangent.
    A plain double pane of 5.1 W/m2K at its rating conducts 7.1 at 45 degC, the middle of a window
    of a cabin left in the sun.
    """
    warmth = (mean_c + 273.15) / _RATED_GAP_K
    return still_w_m2k * (0.2 + 0.8 * warmth) + radiant_w_m2k * warmth * warmth * warmth
