"""The shell's faces side by side: a record is a block of chains, each in a lane of its own.

Every field of a record holds one number a lane, so that the compiler turns a loop over the lanes
into vector operations; it does so only where it knows that no field overlaps another, which is why
a step's constants, state and results stand in one record. The last block is filled up with chains
without area that exchange nothing.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import numpy.typing as npt

from noonhold.envelope.convection import STEFAN_BOLTZMANN, natural_factor_cubed
from noonhold.envelope.network import ADIABATIC, NetworkTables

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
Blocks = Any  # numpy.recarray of FACES or MODES, which numpy's stubs cannot type by field

# One block holds most cabins. Loops of fewer turns are unrolled instead of vectorised.
LANES: Final = 16

# What stays as it is over a run.
_OF_THE_NETWORK: Final = (
    "area",  # [m2]
    "natural_out_warm",  # cube of natural convection per kelvin, the face warmer than its air
    "natural_out_cold",  # and colder
    "natural_in_warm",
    "natural_in_cold",
    "roughness",  # what the wind adds at the outer face, over that at glass
    "given_out",  # convection or film given, else 0 [W/m2K]
    "computed_out",  # 1 where it is computed, else 0
    "given_in",
    "computed_in",
    "given_radiant",  # radiation inside given, else 0 [W/m2K]
    "star",  # inner long-wave exchange factor by the Stefan-Boltzmann constant [W/m2K4]
    "stirred_cubed",  # cube of forced convection while the fan runs [W3/m6K3]
    "gap_still",  # of a window's gaps [W/m2K]
    "gap_radiant",
)
# What stays until the sun, the wind, the covers or the shade of the place change.
_OF_THE_SETTING: Final = (
    "forced_squared",  # forced convection outside, squared [W2/m4K2]
    "to_sky",  # long-wave exchange with the sky, the ground, and what is as warm as the air
    "to_ground",  # [W/m2K4]
    "to_air",
    "ground_k",  # temperature of the ground that a face sees [K]
    "sun_out",  # sunlight absorbed at the outer face [W/m2]
    "sun_in",  # sunlight absorbed in glass, as if at the inner face [W/m2]
    "received",  # sunlight absorbed at the inner face, that in glass included [W/m2]
    "admit_out",  # two-port between the faces [W/m2K]
    "admit_in",
    "admit_cross",
    "beyond_gap",  # resistance of a window beside its gaps; negative for every other part [m2K/W]
)
_STATE: Final = (
    "outer",  # face temperatures [degC]
    "inner",
    "sent_out",  # what the chain's nodes send to each face [W/m2]
    "sent_in",
)
# What `prepare_step` leaves for `finish_step`, and the terms of the sums over all faces.
_OF_THE_STEP: Final = (
    "through",  # conductance between the faces [W/m2K]
    "exchange_out",  # of the outer face [W/m2K]
    "absorbed_out",  # source at the outer face, and sunlight in glass [W/m2]
    "source_out",  # what the outer face receives [W/m2]
    "inverse_out",  # 1 / (exchange + two-port) at the outer face
    "offset",  # inner face = offset + by_air * air + by_radiant * radiant
    "by_air",
    "by_radiant",
    "air_row",
    "cross",
    "air_source",
    "radiant_row",
    "radiant_source",
    "envelope",
)
_FACE_FIELDS: Final = _OF_THE_NETWORK + _OF_THE_SETTING + _STATE + _OF_THE_STEP
_MODE_FIELDS: Final = ("decay", "respond_out", "respond_in", "uniform", "amplitude")


def _lanes(names: tuple[str, ...]) -> np.dtype[Any]:
    return np.dtype([(name, np.float64, (LANES,)) for name in names], align=True)


FACES: Final = _lanes(_FACE_FIELDS)
MODES: Final = _lanes(_MODE_FIELDS)


def lay_out(net: NetworkTables, outer_c: float, inner_c: float) -> tuple[Blocks, Blocks, IntArray]:
    """Lay a network's faces and modes out in blocks, its chains on straight lines between faces.

    Parameters
    ----------
    outer_c, inner_c : float
        Temperature of all outer and of all inner faces. [degC]

    Returns
    -------
    faces : numpy.recarray of FACES, shape (b,)
        Settings and results of a step at 0.
    modes : numpy.recarray of MODES, shape (m,)
        Each block's as deep as its deepest chain.
    first_mode : numpy.ndarray of int, shape (b + 1,)
        Where a block's modes begin.
    """
    chains = len(net.area)
    blocks = -(-chains // LANES)
    padded = blocks * LANES
    ends = net.first_mode.astype(np.int64)
    counts = np.diff(ends)
    chain = np.repeat(np.arange(chains), counts)
    amplitude = outer_c * net.uniform + (inner_c - outer_c) * net.inward
    none = np.zeros(chains)
    columns = {
        "area": net.area,
        "roughness": net.roughness,
        "given_out": np.where(np.isnan(net.fixed_outside), 0.0, net.fixed_outside),
        "computed_out": np.where(np.isnan(net.fixed_outside), 1.0, 0.0),
        "given_in": np.where(np.isnan(net.fixed_inside), 0.0, net.fixed_inside),
        "computed_in": np.where(np.isnan(net.fixed_inside), 1.0, 0.0),
        "given_radiant": np.where(np.isnan(net.fixed_radiation), 0.0, net.fixed_radiation),
        "star": np.where(np.isnan(net.fixed_radiation), net.star * STEFAN_BOLTZMANN, 0.0),
        "stirred_cubed": net.stirred**3,
        "gap_still": net.gap_still,
        "gap_radiant": net.gap_radiant,
        "sent_out": np.bincount(chain, net.respond_out * amplitude, chains),
        "sent_in": np.bincount(chain, net.respond_in * amplitude, chains),
        "outer": np.full(chains, outer_c),
        "inner": np.full(chains, inner_c),
    }
    for side, facings in (("in", net.cos_inward.tolist()), ("out", (-net.cos_inward).tolist())):
        for name, warmer in (("warm", True), ("cold", False)):
            columns[f"natural_{side}_{name}"] = np.array(
                [natural_factor_cubed(facing, warmer) for facing in facings]
            )
    adiabatic = net.exposure == ADIABATIC
    columns["given_out"][adiabatic] = columns["computed_out"][adiabatic] = 0.0

    lanes = np.zeros((len(_FACE_FIELDS), padded))
    lanes[:, :chains] = [columns.get(name, none) for name in _FACE_FIELDS]
    # Chains that only fill a block conduct nothing, but nothing is divided by 0.
    for name in ("given_out", "given_in"):
        lanes[_FACE_FIELDS.index(name), chains:] = 1.0
    by_block = lanes.reshape(-1, blocks, LANES).transpose(1, 0, 2)
    faces = by_block.reshape(-1).view(FACES)

    depth = np.zeros(padded, dtype=np.int64)
    depth[:chains] = counts
    first_mode = np.concatenate([[0], np.cumsum(depth.reshape(blocks, LANES).max(axis=1))])
    mode = first_mode[chain // LANES] + np.arange(len(chain)) - ends[chain]
    cells = np.zeros((int(first_mode[-1]), len(_MODE_FIELDS), LANES))
    cells[mode, :, chain % LANES] = np.column_stack(
        [net.decay, net.respond_out, net.respond_in, net.uniform, amplitude]
    )
    modes = cells.reshape(-1).view(MODES)
    return faces.view(np.recarray), modes.view(np.recarray), first_mode
