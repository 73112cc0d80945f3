"""A chain of layer nodes reduced to a two-port between its faces: they never change, so once."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


class TwoPort(NamedTuple):
    """One chain after elimination of its ``n`` inner nodes, for ``s`` factors on its conductances.

    Parameters
    ----------
    capacity : numpy.ndarray, shape (n,)
        Heat capacity over the step. [W/m2K]
    pivot, carry : numpy.ndarray, shape (s, n)
        Inverse pivots of the nodes' tridiagonal block, and what links a node with the next one.
    response_out, response_in : numpy.ndarray, shape (s, n)
        Node per kelvin of the outer and of the inner face.
    link_out, link_in : numpy.ndarray, shape (s,)
        Conductance from the outer face to the first node and from the last one to the inner face;
        0 without nodes. [W/m2K]
    admit_out, admit_in, admit_cross : numpy.ndarray, shape (s,)
        The two-port. [W/m2K]
    """

    capacity: FloatArray
    pivot: FloatArray
    carry: FloatArray
    response_out: FloatArray
    response_in: FloatArray
    link_out: FloatArray
    link_in: FloatArray
    admit_out: FloatArray
    admit_in: FloatArray
    admit_cross: FloatArray


def two_port(
    capacity_j: list[float], resistance: list[float], step_s: float, factors: FloatArray
) -> TwoPort:
    """Eliminate the nodes of a chain over one implicit step.

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

    Returns
    -------
    TwoPort

    Notes
    -----
    With node rates ``c = C/Δt`` and conductances ``f k`` the tridiagonal block
    ``diag(c + f k_j + f k_j+1)`` is solved for unit temperatures of both faces.
    """
    conductance = factors[:, None] / np.asarray(resistance)
    samples, n = len(factors), len(capacity_j)
    if n == 0:
        empty, none, through = np.zeros((samples, 0)), np.zeros(samples), conductance[:, 0]
        return TwoPort(
            np.zeros(0), empty, empty, empty, empty, none, none, through, through, through
        )
    rate = np.asarray(capacity_j) / step_s
    own = rate + conductance[:, :-1] + conductance[:, 1:]
    block = own[:, :, None] * np.eye(n)
    for j in range(n - 1):
        block[:, j, j + 1] = block[:, j + 1, j] = -conductance[:, j + 1]
    sources = np.zeros((samples, n, 2))
    sources[:, 0, 0] = conductance[:, 0]
    sources[:, -1, 1] = conductance[:, -1]
    response: FloatArray = np.linalg.solve(block, sources)
    pivot, carry = np.empty((samples, n)), np.zeros((samples, n))
    for j in range(n):
        held = own[:, j] - (conductance[:, j] * carry[:, j - 1] if j else 0.0)
        pivot[:, j] = 1.0 / held
        if j < n - 1:
            carry[:, j] = conductance[:, j + 1] / held
    out, inner = conductance[:, 0], conductance[:, -1]
    return TwoPort(
        capacity=rate,
        pivot=pivot,
        carry=carry,
        response_out=response[:, :, 0],
        response_in=response[:, :, 1],
        link_out=out,
        link_in=inner,
        admit_out=out * (1.0 - response[:, 0, 0]),
        admit_in=inner * (1.0 - response[:, -1, 1]),
        admit_cross=out * response[:, 0, 1],
    )
