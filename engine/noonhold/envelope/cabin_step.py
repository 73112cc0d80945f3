"""One implicit step of the cabin network: chains, contents, air and mean radiant node.

The step is linear in the heat that the cooler and heater bring into the air, so it is split in two:
:func:`prepare_step` eliminates every chain and returns the air temperature as ``idle + slope Q``;
:func:`finish_step` takes the ``Q`` that the thermostat chose and advances the state. What the sun,
the wind and the covers do to the faces changes less often: :func:`set_faces` puts it down.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.envelope.convection import (
    LEAST_INSIDE,
    STEFAN_BOLTZMANN,
    ZERO_CELSIUS_K,
    cube_root,
    natural_cubed,
    outer_convection,
)
from noonhold.envelope.face_blocks import LANES, Blocks, lay_out
from noonhold.envelope.network import ADIABATIC, SHELTERED, NetworkTables
from noonhold.envelope.window_conductance import gap_conductance
from noonhold.numerics.compiled import inlined

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]


class CabinState(NamedTuple):
    """The arrays a run carries from step to step; changed in place."""

    faces: Blocks  # (b,) the faces of the chains by blocks, see noonhold.envelope.face_blocks
    modes: Blocks  # (m,) the modes of their nodes, see noonhold.envelope.two_port
    first_mode: IntArray  # (b + 1,) where a block's modes begin
    air: FloatArray  # (4,) air, mean radiant, contents [degC], humidity ratio [kg/kg]

    def copy(self) -> CabinState:
        """Return the same state in arrays of its own."""
        return CabinState(self.faces.copy(), self.modes.copy(), self.first_mode, self.air.copy())


class Surroundings(NamedTuple):
    """What the network feels from outside itself over one step."""

    outdoor_c: float  # at the step's end
    sky_c: float
    air_exchange: float  # capacity flow of outdoor air [W/K]
    air_capacity: float  # of the cabin air over the step [W/K]
    convective_w: float  # gains to the air [W]
    radiant_w: float  # gains to the radiant node [W]
    contents_w: float  # sunlight on the contents [W]
    stirred: float  # share of the time that the fan stirs the air
    buoyancy: float  # of the thinner air up here, from `buoyancy_cubed` [-]


class Response(NamedTuple):
    """How the air and the radiant node answer to heat brought into the air."""

    air_idle: float  # [degC] at the step's end without it
    air_slope: float  # [K/W]
    radiant_offset: float  # radiant node = offset + by_air * air
    radiant_by_air: float


@inlined
def set_faces(
    net: NetworkTables,
    faces: Blocks,
    sun_on_faces: FloatArray,
    awning_sky: FloatArray,
    beam_in_w: float,
    diffuse_in_w: float,
    cover: int,
    sky_clear: float,
    ground_c: float,
    under_c: float,
    windward: float,
    upright: float,
    still: float,
) -> None:
    """Put down what the faces meet until sun, wind, covers or shade change.

    Parameters
    ----------
    faces : numpy.recarray
        Of the cabin's state; its settings are filled.
    sun_on_faces : numpy.ndarray, shape (p,)
        Short wave absorbed by the panels' outer faces, and for windows the light on them by the
        angular factors of what glass absorbs. [W/m2]
    awning_sky : numpy.ndarray, shape (p,)
        Share of each face's sky view that awnings leave open.
    beam_in_w, diffuse_in_w : float
        Sunlight transmitted by the windows, direct and diffuse. [W]
    cover : int
        State of the window covers.
    sky_clear : float
        Share of the sky that shade of the place leaves open.
    ground_c, under_c : float
        Surface of the open ground, and of that under the rig; NaN for as warm as the air. [degC]
    windward, upright, still : float
        Forced convection to windward, on upright faces whichever way they look, and where the
        wind does not reach. [W/m2K]
    """
    apart = not np.isnan(ground_c)
    ground_k4 = (ground_c + ZERO_CELSIUS_K) ** 4 if apart else 0.0
    under_k4 = (under_c + ZERO_CELSIUS_K) ** 4 if apart else 0.0
    for p in range(len(net.area)):
        face = faces[p // LANES]
        lane = p % LANES
        forced = still
        if net.exposure[p] != SHELTERED:
            forced = windward if net.level[p] else upright
        face.forced_squared[lane] = forced * forced
        emitted = 0.0 if net.exposure[p] == ADIABATIC else net.emittance[p] * STEFAN_BOLTZMANN
        sky_view = net.sky_view[p] * sky_clear * awning_sky[p]
        face.to_sky[lane] = emitted * sky_view
        below = net.ground_view[p] + net.under_view[p] if apart else 0.0
        face.to_ground[lane] = emitted * below
        face.to_air[lane] = emitted * (1.0 - sky_view - below)
        if below > 0.0:
            # One black body for both grounds, by the fourth power.
            mixed = net.ground_view[p] * ground_k4 + net.under_view[p] * under_k4
            face.ground_k[lane] = math.sqrt(math.sqrt(mixed / below))

        in_glass = sun_on_faces[p] * net.sun_in[p, cover]
        shared_w = (
            net.beam_fraction[cover, p] * beam_in_w + net.diffuse_fraction[cover, p] * diffuse_in_w
        )
        face.sun_out[lane] = sun_on_faces[p] * net.sun_out[p, cover]
        face.sun_in[lane] = in_glass
        face.received[lane] = shared_w / net.area[p] + in_glass

        face.admit_out[lane] = net.admit_out[p, cover]
        face.admit_in[lane] = net.admit_in[p, cover]
        face.admit_cross[lane] = net.admit_cross[p, cover]
        face.beyond_gap[lane] = -1.0
        rated = net.gap_still[p] + net.gap_radiant[p]
        if rated > 0.0:
            face.beyond_gap[lane] = max(1.0 / net.admit_cross[p, cover] - 1.0 / rated, 0.0)


@inlined
def prepare_step(net: NetworkTables, state: CabinState, around: Surroundings) -> Response:
    """Eliminate the chains over one step and reduce the cabin to its air node.

    Parameters
    ----------
    state : CabinState
        State at the step's start, where coefficients are evaluated too; what
        :func:`finish_step` needs is left in its faces.
    around : Surroundings
        Boundary conditions of the step.

    Returns
    -------
    Response
        The air temperature at the step's end as a linear function of the heat into the air.

    Notes
    -----
    Implicit Euler: each node ``C (T' - T)/Δt = Σ k (T'_j - T')``. Convective and radiative
    coefficients, and what the gaps of windows conduct, are those of the step's start; long wave is
    linearised about it as ``ε σ (T_s² + T_x²)(T_s + T_x)``. The contents' skin has no capacity: of
    the sunlight on it the air gets a fixed share at once, their mass the rest.

    The loop over the lanes of a block has no branch: a given coefficient is added to a computed
    one that is multiplied by 0.
    """
    air, radiant, contents = state.air[0], state.air[1], state.air[2]
    outdoor_c, sky_c, buoyancy = around.outdoor_c, around.sky_c, around.buoyancy
    outdoor_k = outdoor_c + ZERO_CELSIUS_K
    sky_k = sky_c + ZERO_CELSIUS_K
    outdoor_k2, sky_k2 = outdoor_k * outdoor_k, sky_k * sky_k
    mean_k = radiant + ZERO_CELSIUS_K
    mean_k2 = mean_k * mean_k
    stirring_cubed = around.stirred * around.stirred * around.stirred

    for block in range(len(state.faces)):
        face = state.faces[block]
        for k in range(LANES):
            outer, inner = face.outer[k], face.inner[k]

            # What the outer face exchanges with the outdoors.
            warmer = outer - outdoor_c
            natural = cube_root(
                natural_cubed(warmer, face.natural_out_warm[k], face.natural_out_cold[k], buoyancy)
            )
            swept = outer_convection(natural, face.forced_squared[k], face.roughness[k])
            convection = face.given_out[k] + face.computed_out[k] * swept
            face_k = outer + ZERO_CELSIUS_K
            face_k2 = face_k * face_k
            to_sky = face.to_sky[k] * (face_k2 + sky_k2) * (face_k + sky_k)
            ground_k = face.ground_k[k]
            to_ground = face.to_ground[k] * (face_k2 + ground_k * ground_k) * (face_k + ground_k)
            to_air = face.to_air[k] * (face_k2 + outdoor_k2) * (face_k + outdoor_k)
            exchange = convection + to_sky + to_ground + to_air
            absorbed = face.sun_out[k] + (convection + to_air) * outdoor_c + to_sky * sky_c
            absorbed += to_ground * (ground_k - ZERO_CELSIUS_K)

            # What lies between the faces: nodes that never change, or the gaps of a window.
            gap = gap_conductance(face.gap_still[k], face.gap_radiant[k], 0.5 * (outer + inner))
            glazed = gap / (1.0 + face.beyond_gap[k] * gap)
            is_window = face.beyond_gap[k] >= 0.0
            through = glazed if is_window else face.admit_cross[k]
            admit_out = glazed if is_window else face.admit_out[k]
            admit_in = glazed if is_window else face.admit_in[k]
            inverse = 1.0 / (exchange + admit_out)
            source = absorbed + face.sent_out[k]

            # What the inner face exchanges with the air and the other faces.
            warmer = inner - air
            within = cube_root(
                natural_cubed(warmer, face.natural_in_warm[k], face.natural_in_cold[k], buoyancy)
                + stirring_cubed * face.stirred_cubed[k]
            )
            within = within if within > LEAST_INSIDE else LEAST_INSIDE
            film = face.given_in[k] + face.computed_in[k] * within
            face_k = inner + ZERO_CELSIUS_K
            star = face.given_radiant[k] + face.star[k] * (face_k * face_k + mean_k2) * (
                face_k + mean_k
            )
            pivot = 1.0 / (film + star + admit_in - through * through * inverse)
            offset = (face.received[k] + face.sent_in[k] + through * inverse * source) * pivot
            by_air, by_radiant = film * pivot, star * pivot

            face.through[k] = through
            face.exchange_out[k] = exchange
            face.absorbed_out[k] = absorbed + face.sun_in[k]
            face.source_out[k] = source
            face.inverse_out[k] = inverse
            face.offset[k] = offset
            face.by_air[k] = by_air
            face.by_radiant[k] = by_radiant
            film_w, star_w = face.area[k] * film, face.area[k] * star
            face.air_row[k] = film_w * (1.0 - by_air)
            face.cross[k] = film_w * by_radiant
            face.air_source[k] = film_w * offset
            face.radiant_row[k] = star_w * (1.0 - by_radiant)
            face.radiant_source[k] = star_w * offset

    air_row = around.air_capacity + around.air_exchange
    air_source = around.air_capacity * air + around.air_exchange * outdoor_c + around.convective_w
    air_row += net.bridge_to_air
    air_source += net.bridge_to_air * outdoor_c
    radiant_row, cross = net.bridge_to_radiant, 0.0
    radiant_source = around.radiant_w + net.bridge_to_radiant * outdoor_c
    for block in range(len(state.faces)):
        face = state.faces[block]
        for k in range(LANES):
            air_row += face.air_row[k]
            cross += face.cross[k]
            air_source += face.air_source[k]
            radiant_row += face.radiant_row[k]
            radiant_source += face.radiant_source[k]

    coupled = net.contents_capacity + net.contents_conductance
    at_once = net.contents_skin_fraction * around.contents_w
    taken_in = around.contents_w - at_once
    air_source += at_once
    if coupled > 0.0:
        kept = net.contents_conductance / coupled
        air_row += net.contents_conductance * (1.0 - kept)
        air_source += kept * (net.contents_capacity * contents + taken_in)
    else:
        air_source += taken_in

    if radiant_row > 0.0:
        radiant_offset = radiant_source / radiant_row
        radiant_by_air = cross / radiant_row
    else:
        # Every face has a combined film: nothing radiates inside, so gains go to the air.
        air_source += radiant_source
        radiant_offset, radiant_by_air = 0.0, 1.0
    slope = 1.0 / (air_row - cross * radiant_by_air)
    idle = (air_source + cross * radiant_offset) * slope
    return Response(idle, slope, radiant_offset, radiant_by_air)


@inlined
def finish_step(
    net: NetworkTables,
    state: CabinState,
    around: Surroundings,
    response: Response,
    heat_w: float,
) -> tuple[float, float]:
    """Advance the state with the heat that was brought into the air.

    Parameters
    ----------
    net, state, around : see :func:`prepare_step`
        As filled there; the state is changed in place.
    response : Response
        From :func:`prepare_step`.
    heat_w : float
        Sensible heat into the air from cooler (negative) and heater. [W]

    Returns
    -------
    envelope_w : float
        Heat through the outer faces and thermal bridges into the network, sunlight on the faces
        and in the glass included. [W]
    air_exchange_w : float
        Heat that exchanged outdoor air brings. [W]
    """
    air = response.air_idle + response.air_slope * heat_w
    radiant = response.radiant_offset + response.radiant_by_air * air
    envelope = net.bridge_to_air * (around.outdoor_c - air)
    envelope += net.bridge_to_radiant * (around.outdoor_c - radiant)
    for block in range(len(state.faces)):
        face = state.faces[block]
        for k in range(LANES):
            inner = face.offset[k] + face.by_air[k] * air + face.by_radiant[k] * radiant
            outer = (face.source_out[k] + face.through[k] * inner) * face.inverse_out[k]
            into = face.absorbed_out[k] - face.exchange_out[k] * outer
            face.envelope[k] = face.area[k] * into
            face.inner[k] = inner
            face.outer[k] = outer
            face.sent_out[k] = 0.0
            face.sent_in[k] = 0.0
        for m in range(state.first_mode[block], state.first_mode[block + 1]):
            mode = state.modes[m]
            for k in range(LANES):
                amplitude = (
                    mode.decay[k] * mode.amplitude[k]
                    + mode.respond_out[k] * face.outer[k]
                    + mode.respond_in[k] * face.inner[k]
                )
                mode.amplitude[k] = amplitude
                face.sent_out[k] += mode.respond_out[k] * amplitude
                face.sent_in[k] += mode.respond_in[k] * amplitude
        for k in range(LANES):
            envelope += face.envelope[k]
    coupled = net.contents_capacity + net.contents_conductance
    if coupled > 0.0:
        taken_in = around.contents_w - net.contents_skin_fraction * around.contents_w
        stored = net.contents_capacity * state.air[2] + taken_in
        state.air[2] = (stored + net.contents_conductance * air) / coupled
    else:
        state.air[2] = air
    state.air[0] = air
    state.air[1] = radiant
    return envelope, around.air_exchange * (around.outdoor_c - air)


@inlined
def stored_heat(net: NetworkTables, state: CabinState, air_capacity: float) -> float:
    """Return the heat stored in the network above 0 degC.

    Parameters
    ----------
    air_capacity : float
        Of the cabin air over the step. [W/K]

    Returns
    -------
    float
        Stored heat. [J]
    """
    stored = air_capacity * state.air[0] + net.contents_capacity * state.air[2]
    for block in range(len(state.faces)):
        face = state.faces[block]
        for m in range(state.first_mode[block], state.first_mode[block + 1]):
            mode = state.modes[m]
            for k in range(LANES):
                stored += face.area[k] * mode.uniform[k] * mode.amplitude[k]
    return float(stored * net.step_s)


def first_state(
    net: NetworkTables, air_c: float, outdoor_c: float, humidity_ratio: float
) -> CabinState:
    """Return a state with every panel on a straight line from outdoors to the cabin.

    Parameters
    ----------
    air_c : float
        Temperature of air, contents and inner faces. [degC]
    outdoor_c : float
        Temperature of the outer faces. [degC]
    humidity_ratio : float
        Of the cabin air. [kg/kg]

    Returns
    -------
    CabinState
        Fresh arrays.
    """
    faces, modes, first_mode = lay_out(net, outdoor_c, air_c)
    return CabinState(faces, modes, first_mode, np.array([air_c, air_c, air_c, humidity_ratio]))
