"""One cabin network at many conductances of its shell, without rebuilding the rest of it."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from engine.glazing import window_resistance
from engine.network import NetworkTables
from engine.rig import Rig
from engine.shell import chain, panel_layers

FloatArray = npt.NDArray[np.float64]
_BY_NODE = ("pivot", "carry", "response_out", "response_in")
_BY_CHAIN = ("link_out", "link_in", "admit_out", "admit_in", "admit_cross")


def conducting_networks(rig: Rig, net: NetworkTables, factors: FloatArray) -> list[NetworkTables]:
    """Return a network with every resistance of the shell divided by each of some factors.

    Parameters
    ----------
    rig : Rig
        The rig.
    net : NetworkTables
        Its network, from :func:`engine.network.network_tables`.
    factors : numpy.ndarray, shape (s,)
        Above zero.

    Returns
    -------
    list of NetworkTables, length s
        Conductivity of every layer and conductance of every window between its faces times the
        factor; surface films, covers and all that concerns the sun as they were. The nodes of a
        layer stay where the given conductivity put them.

    Notes
    -----
    The elimination of :mod:`engine.network`, over all factors at once: with node rates
    ``c = C/Δt`` and conductances ``f k`` the tridiagonal block ``diag(c + f k_j + f k_j+1)`` is
    solved for unit temperatures of both faces.
    """
    parts: dict[str, list[FloatArray]] = {name: [] for name in (*_BY_NODE, *_BY_CHAIN)}
    covers = net.admit_out.shape[1]
    for panel in rig.shell.panels:
        found = _eliminated(*chain(panel_layers(panel)), net.step_s, factors)
        for name in _BY_NODE:
            parts[name].append(found[name])
        for name in ("link_out", "link_in"):
            parts[name].append(found[name][:, None])
        for name in ("admit_out", "admit_in", "admit_cross"):
            parts[name].append(np.repeat(found[name][:, None, None], covers, axis=2))
    for w, window in enumerate(rig.shell.windows):
        face_to_face = window_resistance(window)
        added = 1.0 / net.admit_out[len(rig.shell.panels) + w] - face_to_face
        admit = 1.0 / (face_to_face / factors[:, None] + added)
        for name in ("link_out", "link_in"):
            parts[name].append(np.zeros((len(factors), 1)))
        for name in ("admit_out", "admit_in", "admit_cross"):
            parts[name].append(admit[:, None, :])
    joined = {name: np.concatenate(arrays, axis=1) for name, arrays in parts.items()}
    return [
        net._replace(**{name: array[s].copy() for name, array in joined.items()})
        for s in range(len(factors))
    ]


def _eliminated(
    capacity_j: list[float], resistance: list[float], step_s: float, factors: FloatArray
) -> dict[str, FloatArray]:
    """Return one chain's part of the network, with a leading axis of factors."""
    conductance = factors[:, None] / np.asarray(resistance)
    samples, n = len(factors), len(capacity_j)
    empty = np.zeros((samples, n))
    if n == 0:
        through = conductance[:, 0]
        none = np.zeros(samples)
        return {
            **dict.fromkeys(_BY_NODE, empty),
            **dict.fromkeys(("link_out", "link_in"), none),
            **dict.fromkeys(("admit_out", "admit_in", "admit_cross"), through),
        }
    rate = np.asarray(capacity_j) / step_s
    own = rate + conductance[:, :-1] + conductance[:, 1:]
    block = own[:, :, None] * np.eye(n)
    for j in range(n - 1):
        block[:, j, j + 1] = block[:, j + 1, j] = -conductance[:, j + 1]
    sources = np.zeros((samples, n, 2))
    sources[:, 0, 0] = conductance[:, 0]
    sources[:, -1, 1] = conductance[:, -1]
    response = np.linalg.solve(block, sources)
    pivot, carry = empty.copy(), empty.copy()
    for j in range(n):
        held = own[:, j] - (conductance[:, j] * carry[:, j - 1] if j else 0.0)
        pivot[:, j] = 1.0 / held
        if j < n - 1:
            carry[:, j] = conductance[:, j + 1] / held
    out, inner = conductance[:, 0], conductance[:, -1]
    return {
        "pivot": pivot,
        "carry": carry,
        "response_out": response[:, :, 0],
        "response_in": response[:, :, 1],
        "link_out": out,
        "link_in": inner,
        "admit_out": out * (1.0 - response[:, 0, 0]),
        "admit_in": inner * (1.0 - response[:, -1, 1]),
        "admit_cross": out * response[:, 0, 1],
    }
