"""What the shell's parts are worth: surface resistances, U-values, layers, glass."""

from __future__ import annotations

import math
from typing import Final

from noonhold.rig import Layer, Panel

# ISO 6946:2017, table 7 (values agree with CIBSE TM33:2006): surface resistances [m2K/W].
INSIDE_RESISTANCE_UP: Final = 0.10
INSIDE_RESISTANCE_HORIZONTAL: Final = 0.13
INSIDE_RESISTANCE_DOWN: Final = 0.17
OUTSIDE_RESISTANCE: Final = 0.04

# What a panel may state: the films alone pass 4.76 of a floor, 5.88 of a wall, 7.14 of a roof.
MOST_U_VALUE_W_M2K: Final = 4.7

# A layer gets as many nodes as keep the node's Fourier number at this step near one third.
_FOURIER_STEP_S: Final = 300.0
_FOURIER_DIVISOR: Final = 3.0
_MOST_NODES: Final = 12
# Less than a micrometre of air holds (1.2 kg/m3, 1006 J/kgK) is no capacity that a step could
# notice, and the modes of a chain divide by it.
_LEAST_CAPACITY_J_M2K: Final = 1e-3


def inside_surface_resistance(tilt_deg: float, *, heat_flows_in: bool = False) -> float:
    """Return the inside surface resistance of ISO 6946 for a panel's tilt.

    Parameters
    ----------
    tilt_deg : float
        Tilt of the outer face: 0 a roof, 90 a wall, 180 a floor. [degree]
    heat_flows_in : bool, optional
        Direction of the heat flow; outwards (heating season) by convention.

    Returns
    -------
    float
        Surface resistance. [m2K/W]

    References
    ----------
    .. [1] ISO 6946:2017, table 7: within 30 degrees of the vertical plane heat flow counts as
       horizontal.
    """
    if 60.0 <= tilt_deg <= 120.0:
        return INSIDE_RESISTANCE_HORIZONTAL
    upward = (tilt_deg < 60.0) != heat_flows_in
    return INSIDE_RESISTANCE_UP if upward else INSIDE_RESISTANCE_DOWN


def panel_layers(panel: Panel) -> tuple[Layer, ...]:
    """Return a panel's layers, outer to inner.

    Parameters
    ----------
    panel : Panel
        With its own layers, or with a U-value and a heat capacity.

    Returns
    -------
    tuple of Layer
        For a U-value one equivalent layer whose resistance is ``1/U`` less the surface
        resistances of ISO 6946, carrying the stated capacity evenly.
    """
    if panel.layers:
        return panel.layers
    if panel.u_value_w_m2k is None:
        raise ValueError(f"panel {panel.name!r} has neither layers nor a U-value")
    films = inside_surface_resistance(panel.tilt_deg) + OUTSIDE_RESISTANCE
    resistance = 1.0 / panel.u_value_w_m2k - films
    capacity = 1000.0 * (panel.heat_capacity_kj_m2k or 0.0)
    thickness = 0.05  # only the ratios of the equivalent layer matter
    return (Layer(thickness, thickness / resistance, capacity / thickness / 1000.0, 1000.0),)


def u_value(panel: Panel) -> float:
    """Return the air-to-air U-value of a panel by ISO 6946.

    Parameters
    ----------
    panel : Panel
        An opaque part of the shell.

    Returns
    -------
    float
        With the surface resistances of the standard for the panel's tilt. [W/m2K]

    References
    ----------
    .. [1] ISO 6946:2017, eq. 4.
    """
    films = inside_surface_resistance(panel.tilt_deg) + OUTSIDE_RESISTANCE
    return 1.0 / (films + sum(layer.resistance_m2k_w for layer in panel_layers(panel)))


def layer_nodes(layer: Layer) -> int:
    """Return the number of nodes of a layer, 0 for one that holds next to no heat.

    Parameters
    ----------
    layer : Layer
        A layer of a panel.

    Returns
    -------
    int
        ``ceil(d / sqrt(3 a Δt))`` with the diffusivity ``a`` and 300 s, at most 12.
    """
    if layer.capacity_j_m2k < _LEAST_CAPACITY_J_M2K:
        return 0
    diffusivity = layer.conductivity_w_mk / (layer.density_kg_m3 * layer.specific_heat_j_kgk)
    depth = math.sqrt(_FOURIER_DIVISOR * diffusivity * _FOURIER_STEP_S)
    return min(max(math.ceil(layer.thickness_m / depth), 1), _MOST_NODES)


def chain(layers: tuple[Layer, ...]) -> tuple[list[float], list[float]]:
    """Return a panel's node capacities and the resistances between them.

    Parameters
    ----------
    layers : tuple of Layer
        Outer to inner.

    Returns
    -------
    capacity : list of float, length n
        Of the nodes, outer to inner. [J/m2K]
    resistance : list of float, length n + 1
        From the outer face to the first node, between nodes, and to the inner face; half a
        node's own resistance lies on either side of it. [m2K/W]
    """
    capacity: list[float] = []
    resistance = [0.0]
    for layer in layers:
        nodes = layer_nodes(layer)
        if nodes == 0:
            resistance[-1] += layer.resistance_m2k_w
            continue
        half = layer.resistance_m2k_w / nodes / 2.0
        for _ in range(nodes):
            resistance[-1] += half
            capacity.append(layer.capacity_j_m2k / nodes)
            resistance.append(half)
    return capacity, resistance
