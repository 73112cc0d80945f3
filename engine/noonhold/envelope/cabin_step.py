"""One implicit step of the cabin network: chains, contents, air and mean radiant node.

The step is linear in the heat that the cooler and heater bring into the air, so it is split in two:
:func:`prepare_step` eliminates every chain and returns the air temperature as ``idle + slope Q``;
:func:`finish_step` takes the ``Q`` that the thermostat chose and advances the state.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.envelope.convection import (
    LEAST_INSIDE,
    STEFAN_BOLTZMANN,
    ZERO_CELSIUS_K,
    cube_roots,
    natural_cubed,
    outer_convection,
)
from noonhold.envelope.network import NetworkTables
from noonhold.envelope.window_conductance import gap_conductance
from noonhold.numerics.compiled import inlined

FloatArray = npt.NDArray[np.float64]


class CabinState(NamedTuple):
    """The arrays a run carries from step to step; changed in place."""

    modes: FloatArray  # (n,) amplitudes of the chains' modes, see noonhold.envelope.two_port
    outer_face: FloatArray  # (p,) [degC]
    inner_face: FloatArray  # (p,) [degC]
    air: FloatArray  # (4,) air, mean radiant, contents [degC], humidity ratio [kg/kg]


class StepWork(NamedTuple):
    """Scratch arrays of one step."""

    through: FloatArray  # (p,) two-port between the faces [W/m2K]
    source_out: FloatArray  # (p,) what the outer face receives, reduced [W/m2]
    inverse_out: FloatArray  # (p,) 1 / (exchange + two-port) at the outer face
    exchange_out: FloatArray  # (p,) outer exchange coefficient [W/m2K]
    absorbed_out: FloatArray  # (p,) source at the outer face, and sunlight in glass [W/m2]
    face_offset: FloatArray  # (p,) inner face = offset + by_air * air + by_radiant * radiant
    face_by_air: FloatArray  # (p,)
    face_by_radiant: FloatArray  # (p,)
    films: FloatArray  # (2 p, rounded up) natural convection outside, all convection inside [W/m2K]


class Surroundings(NamedTuple):
    """What the network feels from outside itself over one step."""

    outdoor_c: float  # at the step's end
    sky_c: float
    wind_coefficient: float  # forced convection where the wind reaches, to windward [W/m2K]
    upright_coefficient: float  # the same on upright faces, whichever way they look [W/m2K]
    still_coefficient: float  # and where it does not [W/m2K]
    sky_clear: float  # share of the sky that shade of the place leaves open
    air_exchange: float  # capacity flow of outdoor air [W/K]
    air_capacity: float  # of the cabin air over the step [W/K]
    convective_w: float  # gains to the air [W]
    radiant_w: float  # gains to the radiant node [W]
    contents_w: float  # sunlight on the contents [W]
    beam_in_w: float  # sunlight let in, direct [W]
    diffuse_in_w: float  # sunlight let in, scattered [W]
    cover_state: int
    stirred: float  # forced convection inside [W/m2K]
    buoyancy: float  # of the thinner air up here, from `buoyancy_cubed` [-]


class Response(NamedTuple):
    """How the air and the radiant node answer to heat brought into the air."""

    air_idle: float  # [degC] at the step's end without it
    air_slope: float  # [K/W]
    radiant_offset: float  # radiant node = offset + by_air * air
    radiant_by_air: float


@inlined
def prepare_step(
    net: NetworkTables,
    state: CabinState,
    work: StepWork,
    around: Surroundings,
    sun_on_faces: FloatArray,
    awning_sky: FloatArray,
) -> Response:
    """Eliminate the chains over one step and reduce the cabin to its air node.

    Parameters
    ----------
    net : NetworkTables
        The network.
    state : CabinState
        State at the step's start; also where coefficients are evaluated.
    work : StepWork
        Filled here, read by :func:`finish_step`.
    around : Surroundings
        Boundary conditions of the step.
    sun_on_faces : numpy.ndarray, shape (p,)
        Short wave absorbed by the panels' outer faces, and for windows the light on them by the
        angular factors of what glass absorbs. [W/m2]
    awning_sky : numpy.ndarray, shape (p,)
        Share of each face's sky view that awnings leave open.

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
    """
    air, radiant, contents = state.air[0], state.air[1], state.air[2]
    cover = around.cover_state
    outdoor_k = around.outdoor_c + ZERO_CELSIUS_K
    sky_k = around.sky_c + ZERO_CELSIUS_K
    outdoor_k2, sky_k2 = outdoor_k * outdoor_k, sky_k * sky_k
    mean_k = radiant + ZERO_CELSIUS_K
    mean_k2 = mean_k * mean_k

    air_row = around.air_capacity + around.air_exchange
    air_source = (
        around.air_capacity * air + around.air_exchange * around.outdoor_c + around.convective_w
    )
    radiant_row, cross, radiant_source = 0.0, 0.0, around.radiant_w

    held = net.contents_capacity + net.contents_conductance
    at_once = net.contents_skin_fraction * around.contents_w
    taken_in = around.contents_w - at_once
    air_source += at_once
    if held > 0.0:
        kept = net.contents_conductance / held
        air_row += net.contents_conductance * (1.0 - kept)
        air_source += kept * (net.contents_capacity * contents + taken_in)
    else:
        air_source += taken_in

    chains = len(net.area)
    forced_cubed = around.stirred * around.stirred * around.stirred
    for p in range(chains):
        facing = net.cos_inward[p]
        warmer_out, warmer_in = state.outer_face[p] - around.outdoor_c, state.inner_face[p] - air
        work.films[p] = natural_cubed(warmer_out, -facing, around.buoyancy)
        work.films[chains + p] = natural_cubed(warmer_in, facing, around.buoyancy) + forced_cubed
    cube_roots(work.films)

    for p in range(chains):
        sent_out, sent_in = 0.0, 0.0
        for j in range(net.first_mode[p], net.first_mode[p + 1]):
            sent_out += net.respond_out[j] * state.modes[j]
            sent_in += net.respond_in[j] * state.modes[j]

        exchange, absorbed = _outer_exchange(
            net, p, state.outer_face[p], work.films[p], around, outdoor_k, outdoor_k2, sky_k,
            sky_k2, sun_on_faces[p] * net.sun_out[p, cover], awning_sky[p],
        )  # fmt: skip
        through, admit_out = net.admit_cross[p, cover], net.admit_out[p, cover]
        admit_in = net.admit_in[p, cover]
        rated = net.gap_still[p] + net.gap_radiant[p]
        if rated > 0.0:
            mean_c = 0.5 * (state.outer_face[p] + state.inner_face[p])
            now = gap_conductance(net.gap_still[p], net.gap_radiant[p], mean_c)
            through /= 1.0 + through * (1.0 / now - 1.0 / rated)
            admit_out, admit_in = through, through
        inverse = 1.0 / (exchange + admit_out)
        work.through[p] = through
        work.exchange_out[p] = exchange
        glass = sun_on_faces[p] * net.sun_in[p, cover]
        work.absorbed_out[p] = absorbed + glass
        work.source_out[p] = absorbed + sent_out
        work.inverse_out[p] = inverse

        convection = net.fixed_inside[p]
        if np.isnan(convection):
            convection = max(work.films[chains + p], LEAST_INSIDE)
        star = net.fixed_radiation[p]
        if np.isnan(star):
            face_k = state.inner_face[p] + ZERO_CELSIUS_K
            star = net.star[p] * STEFAN_BOLTZMANN * (face_k * face_k + mean_k2) * (face_k + mean_k)
        shared = (
            net.beam_fraction[cover, p] * around.beam_in_w
            + net.diffuse_fraction[cover, p] * around.diffuse_in_w
        ) / net.area[p]
        pivot = 1.0 / (convection + star + admit_in - through * through * inverse)
        offset = (shared + glass + sent_in + through * inverse * work.source_out[p]) * pivot
        by_air, by_radiant = convection * pivot, star * pivot
        work.face_offset[p] = offset
        work.face_by_air[p] = by_air
        work.face_by_radiant[p] = by_radiant

        area = net.area[p]
        air_row += area * convection * (1.0 - by_air)
        cross += area * convection * by_radiant
        air_source += area * convection * offset
        radiant_row += area * star * (1.0 - by_radiant)
        radiant_source += area * star * offset

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
def _outer_exchange(
    net: NetworkTables,
    p: int,
    face_c: float,
    natural: float,
    around: Surroundings,
    outdoor_k: float,
    outdoor_k2: float,
    sky_k: float,
    sky_k2: float,
    sun: float,
    awning_sky: float,
) -> tuple[float, float]:
    """Return the outer face's exchange coefficient and its source, both per area."""
    exposure = net.exposure[p]
    if exposure == 3:
        return 0.0, 0.0
    convection = net.fixed_outside[p]
    if np.isnan(convection):
        forced = around.still_coefficient
        if exposure != 2:
            forced = around.wind_coefficient if net.level[p] else around.upright_coefficient
        convection = outer_convection(natural, forced, net.roughness[p])
    face_k = face_c + ZERO_CELSIUS_K
    face_k2 = face_k * face_k
    emitted = net.emittance[p] * STEFAN_BOLTZMANN
    sky_view = net.sky_view[p] * around.sky_clear * awning_sky
    to_sky = emitted * sky_view * (face_k2 + sky_k2) * (face_k + sky_k)
    to_air = emitted * (1.0 - sky_view) * (face_k2 + outdoor_k2) * (face_k + outdoor_k)
    exchange = convection + to_sky + to_air
    source = sun + (convection + to_air) * around.outdoor_c + to_sky * around.sky_c
    return exchange, source


@inlined
def finish_step(
    net: NetworkTables,
    state: CabinState,
    work: StepWork,
    around: Surroundings,
    response: Response,
    heat_w: float,
) -> tuple[float, float]:
    """Advance the state with the heat that was brought into the air.

    Parameters
    ----------
    net, state, work, around : see :func:`prepare_step`
        As filled there; the state is changed in place.
    response : Response
        From :func:`prepare_step`.
    heat_w : float
        Sensible heat into the air from cooler (negative) and heater. [W]

    Returns
    -------
    envelope_w : float
        Heat through the outer faces into the network, sunlight on them and in the glass
        included. [W]
    air_exchange_w : float
        Heat that exchanged outdoor air brings. [W]
    """
    air = response.air_idle + response.air_slope * heat_w
    radiant = response.radiant_offset + response.radiant_by_air * air
    envelope = 0.0
    for p in range(len(net.area)):
        inner = work.face_offset[p] + work.face_by_air[p] * air + work.face_by_radiant[p] * radiant
        outer = (work.source_out[p] + work.through[p] * inner) * work.inverse_out[p]
        envelope += net.area[p] * (work.absorbed_out[p] - work.exchange_out[p] * outer)
        state.inner_face[p] = inner
        state.outer_face[p] = outer
        for j in range(net.first_mode[p], net.first_mode[p + 1]):
            state.modes[j] = (
                net.decay[j] * state.modes[j]
                + net.respond_out[j] * outer
                + net.respond_in[j] * inner
            )
    held = net.contents_capacity + net.contents_conductance
    if held > 0.0:
        taken_in = around.contents_w - net.contents_skin_fraction * around.contents_w
        stored = net.contents_capacity * state.air[2] + taken_in
        state.air[2] = (stored + net.contents_conductance * air) / held
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
    net : NetworkTables
        The network.
    state : CabinState
        Its state.
    air_capacity : float
        Of the cabin air over the step. [W/K]

    Returns
    -------
    float
        Stored heat. [J]
    """
    stored = air_capacity * state.air[0] + net.contents_capacity * state.air[2]
    for p in range(len(net.area)):
        for j in range(net.first_mode[p], net.first_mode[p + 1]):
            stored += net.area[p] * net.uniform[j] * state.modes[j]
    return float(stored * net.step_s)


def first_state(
    net: NetworkTables, air_c: float, outdoor_c: float, humidity_ratio: float
) -> CabinState:
    """Return a state with every panel on a straight line from outdoors to the cabin.

    Parameters
    ----------
    net : NetworkTables
        The network.
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
    chains = len(net.area)
    return CabinState(
        modes=outdoor_c * net.uniform + (air_c - outdoor_c) * net.inward,
        outer_face=np.full(chains, outdoor_c),
        inner_face=np.full(chains, air_c),
        air=np.array([air_c, air_c, air_c, humidity_ratio]),
    )


def step_work(net: NetworkTables) -> StepWork:
    """Return scratch arrays of the sizes a network needs.

    Parameters
    ----------
    net : NetworkTables
        The network.

    Returns
    -------
    StepWork
        Zeros.
    """
    chains = len(net.area)
    films = np.zeros(-(-2 * chains // 4) * 4)  # the compiler takes four roots at once
    through, source, inverse, exchange, absorbed, offset, by_air, by_radiant = np.zeros((8, chains))
    return StepWork(through, source, inverse, exchange, absorbed, offset, by_air, by_radiant, films)
