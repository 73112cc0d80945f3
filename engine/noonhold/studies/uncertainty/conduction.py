"""One cabin network at many conductances of its shell, without rebuilding the rest of it."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from noonhold.envelope.network import NetworkTables
from noonhold.envelope.shell import chain, panel_layers
from noonhold.envelope.two_port import two_port
from noonhold.envelope.window_conductance import gap_conductances, window_resistance
from noonhold.rig import Rig

FloatArray = npt.NDArray[np.float64]
_BY_MODE = ("decay", "respond_out", "respond_in", "uniform", "inward")
_BY_CHAIN = ("admit_out", "admit_in", "admit_cross")
_BY_GAP = ("gap_still", "gap_radiant")


def conducting_networks(rig: Rig, net: NetworkTables, factors: FloatArray) -> list[NetworkTables]:
    """Return a network with every resistance of the shell divided by each of some factors.

    Parameters
    ----------
    net : NetworkTables
        Its network, from :func:`noonhold.envelope.network.network_tables`.
    factors : numpy.ndarray, shape (s,)
        Above zero.

    Returns
    -------
    list of NetworkTables, length s
        Conductivity of every layer and conductance of every window between its faces times the
        factor; surface films, covers and all that concerns the sun as they were. The nodes of a
        layer stay where the given conductivity put them.

    """
    parts: dict[str, list[FloatArray]] = {name: [] for name in (*_BY_MODE, *_BY_CHAIN, *_BY_GAP)}
    covers = net.admit_out.shape[1]
    for panel in rig.shell.panels:
        found = two_port(*chain(panel_layers(panel)), net.step_s, factors)
        for name in _BY_MODE:
            parts[name].append(getattr(found, name))
        for name in _BY_GAP:
            parts[name].append(np.zeros((len(factors), 1)))
        for name in _BY_CHAIN:
            parts[name].append(np.repeat(getattr(found, name)[:, None, None], covers, axis=2))
    for w, window in enumerate(rig.shell.windows):
        face_to_face = window_resistance(window)
        added = 1.0 / net.admit_out[len(rig.shell.panels) + w] - face_to_face
        admit = 1.0 / (face_to_face / factors[:, None] + added)
        for name in _BY_CHAIN:
            parts[name].append(admit[:, None, :])
        gaps = [gap_conductances(face_to_face / factor, window.panes) for factor in factors]
        for name, values in zip(_BY_GAP, zip(*gaps, strict=True), strict=True):
            parts[name].append(np.array(values)[:, None])
    joined = {name: np.concatenate(arrays, axis=1) for name, arrays in parts.items()}
    return [
        net._replace(**{name: array[s].copy() for name, array in joined.items()})
        for s in range(len(factors))
    ]
