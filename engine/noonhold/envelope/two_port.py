"""A chain of layer nodes reduced to a two-port between its faces: they never change, so once.

What the nodes remember is carried by their own modes instead of node by node: each mode decays by
itself, so that a step needs no elimination along the chain.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


class TwoPort(NamedTuple):
    """One chain of ``n`` nodes over one implicit step, for ``s`` factors on its conductances.

    Parameters
    ----------
    modes : numpy.ndarray, shape (s, n, n)
        Amplitude of each mode by the temperatures of the nodes. [W^0.5/(m K^0.5)/K]
    decay : numpy.ndarray, shape (s, n)
        What is left of a mode's amplitude after a step, both faces at zero. [-]
    respond_out, respond_in : numpy.ndarray, shape (s, n)
        Amplitude per kelvin of the outer and of the inner face over a step; also what a mode's
        amplitude before the step sends to that face, with both at zero.
    uniform, inward : numpy.ndarray, shape (s, n)
        Amplitudes of all nodes at 1 K, and of nodes from 0 to 1 K on a line from the outer to the
        inner face. Since ``uniform`` weighs each node by its capacity, its product with the
        amplitudes is also the heat that they hold. [W/m2K over the amplitude]
    admit_out, admit_in, admit_cross : numpy.ndarray, shape (s,)
        The two-port. [W/m2K]
    """

    modes: FloatArray
    decay: FloatArray
    respond_out: FloatArray
    respond_in: FloatArray
    uniform: FloatArray
    inward: FloatArray
    admit_out: FloatArray
    admit_in: FloatArray
    admit_cross: FloatArray


def two_port(
    capacity_j: list[float], resistance: list[float], step_s: float, factors: FloatArray
) -> TwoPort:
    r"""Eliminate the nodes of a chain over one implicit step.

    Parameters
    ----------
    capacity_j : list of float, length n
        Heat capacity of the nodes, outermost first. [J/m2K]
    resistance : list of float, length n + 1
        From face to node to node to face. [m2K/W]
    step_s : float
        Step of the time loop. [s]
    factors : numpy.ndarray, shape (s,)
        On every conductance, above zero.

    Notes
    -----
    With node rates :math:`c = C/Δt` and conductances ``f k`` an implicit step of the node
    temperatures ``T`` between faces at :math:`T_o`, :math:`T_i` is

    .. math:: B\,T' = c\,T + k_o T_o e_1 + k_i T_i e_n

    with the tridiagonal ``B = diag(c + f k_j + f k_j+1)``, symmetric and positive. In the modes
    :math:`y = V^T c^{1/2} T` of :math:`c^{-1/2} B c^{-1/2} = V Λ V^T` it falls apart into

    .. math:: y' = Λ^{-1} y + g_o T_o + g_i T_i, \quad
              g_o = Λ^{-1} V^T c^{-1/2} k_o e_1, \quad g_i = Λ^{-1} V^T c^{-1/2} k_i e_n

    and by symmetry the nodes send :math:`g_o · y` and :math:`g_i · y` to faces at zero.
    """
    conductance = factors[:, None] / np.asarray(resistance)
    samples, n = len(factors), len(capacity_j)
    if n == 0:
        empty, through = np.zeros((samples, 0)), conductance[:, 0]
        none = np.zeros((samples, 0, 0))
        return TwoPort(none, empty, empty, empty, empty, empty, through, through, through)
    rate = np.asarray(capacity_j) / step_s
    own = rate + conductance[:, :-1] + conductance[:, 1:]
    block = own[:, :, None] * np.eye(n)
    for j in range(n - 1):
        block[:, j, j + 1] = block[:, j + 1, j] = -conductance[:, j + 1]
    sources = np.zeros((samples, n, 2))
    sources[:, 0, 0] = conductance[:, 0]
    sources[:, -1, 1] = conductance[:, -1]
    response: FloatArray = np.linalg.solve(block, sources)

    root = np.sqrt(rate)
    values, vectors = np.linalg.eigh(block / (root[:, None] * root))
    # A mode's sign is free; with a positive first entry, which is never 0, it is the same always.
    vectors *= np.where(vectors[:, :1, :] < 0.0, -1.0, 1.0)
    modes: FloatArray = vectors.transpose(0, 2, 1) * root
    out, inner = conductance[:, 0], conductance[:, -1]
    return TwoPort(
        modes=modes,
        decay=1.0 / values,
        respond_out=vectors[:, 0, :] / root[0] * out[:, None] / values,
        respond_in=vectors[:, -1, :] / root[-1] * inner[:, None] / values,
        uniform=modes.sum(axis=2),
        inward=modes @ ((np.arange(n) + 0.5) / n),
        admit_out=out * (1.0 - response[:, 0, 0]),
        admit_in=inner * (1.0 - response[:, -1, 1]),
        admit_cross=out * response[:, 0, 1],
    )
