"""The sun in the time loop: on the faces, through the glass, onto the arrays.

The irradiance on every plane is computed beforehand; what changes within an interval is what stands
in its way: shade of the place, awnings, covers, a stowed array.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.electricity.arrays import ArrayTables, array_power, cell_temperature, controlled_power
from noonhold.envelope.network import NetworkTables
from noonhold.numerics.compiled import inlined
from noonhold.simulation.forcing import NO_SUN, ForcingTables

FloatArray = npt.NDArray[np.float64]


class SunlightOnRig(NamedTuple):
    """The sunlight of a moment, filled by the functions here."""

    on_faces: FloatArray  # (p,) on the outer faces, see `faces_sunlight` [W/m2]
    open_sky: FloatArray  # (p,) share of the sky view that awnings leave
    transmitted: FloatArray  # (4,) see `windows_sunlight` [W]
    raw_power: FloatArray  # (a,) of the arrays before their controllers [W]


def no_sunlight(net: NetworkTables, arrays: ArrayTables) -> SunlightOnRig:
    """Return the arrays of a rig to be filled, in the dark."""
    chains = len(net.area)
    return SunlightOnRig(
        np.zeros(chains), np.ones(chains), np.zeros(4), np.zeros(len(arrays.rated_power_w))
    )


@inlined
def faces_sunlight(
    net: NetworkTables,
    forcing: ForcingTables,
    i: int,
    deployed: bool,
    pass_beam: float,
    pass_diffuse: float,
    sun_on_faces: FloatArray,
    open_sky: FloatArray,
) -> None:
    """Fill what the outer faces absorb and the sky that awnings leave them.

    Parameters
    ----------
    net, forcing : NetworkTables, ForcingTables
        The rig and the irradiance on it.
    i : int
        Interval.
    deployed : bool
        Whether awnings are out.
    pass_beam, pass_diffuse : float
        What the place's shade lets through.
    sun_on_faces : numpy.ndarray, shape (p,)
        Filled with the short wave that panels absorb, and for windows with the light on them by
        the angular factors of what glass absorbs. [W/m2]
    open_sky : numpy.ndarray, shape (p,)
        Filled with the share of the sky view that awnings leave.
    """
    under_awnings = deployed and forcing.awning_sunlit.shape[0] > 0
    first_window = len(net.area) - len(net.window_area)
    for p in range(len(net.area)):
        o = forcing.orientation[p]
        open_sky[p] = forcing.awning_sky[p] if under_awnings else 1.0
        if o == NO_SUN:
            sun_on_faces[p] = 0.0
            continue
        sunlit = forcing.awning_sunlit[i, p] if under_awnings else 1.0
        # What the ground reflects has met the place's shade already.
        reflected = forcing.ground[i, o]
        if net.under_view[p] > 0.0:
            reflected *= net.ground_view[p]
        diffuse = forcing.sky_diffuse[i, o] * open_sky[p] * pass_diffuse + reflected
        if p < first_window:
            beam = forcing.beam[i, o] * pass_beam * sunlit
            sun_on_faces[p] = (beam + diffuse) * net.absorptance[p] * (1.0 - net.array_cover[p])
        else:
            w = p - first_window
            beam = forcing.window_beam[i, w, 1] * pass_beam * sunlit
            sun_on_faces[p] = beam + diffuse * forcing.window_hemispherical[w, 1]


@inlined
def windows_sunlight(
    net: NetworkTables,
    forcing: ForcingTables,
    i: int,
    deployed: bool,
    pass_beam: float,
    pass_diffuse: float,
    cover: int,
    transmitted_solar: FloatArray,
) -> None:
    """Fill in what the windows transmit.

    Parameters
    ----------
    net, forcing, i, deployed, pass_beam, pass_diffuse : see :func:`faces_sunlight`
        The same.
    cover : int
        State of the window covers.
    transmitted_solar : numpy.ndarray, shape (4,)
        Filled with the direct and the scattered sunlight that enters, what glass and covers give
        to the air, and what the contents absorb. [W]
    """
    under_awnings = deployed and forcing.awning_sunlit.shape[0] > 0
    first = len(net.area) - len(net.window_area)
    direct, scattered, to_air = 0.0, 0.0, 0.0
    for w in range(len(net.window_area)):
        p = first + w
        o = forcing.orientation[p]
        pass_sun = pass_beam
        sky = forcing.sky_diffuse[i, o]
        if under_awnings:
            pass_sun *= forcing.awning_sunlit[i, p]
            sky *= forcing.awning_sky[p]
        diffuse = sky * pass_diffuse + forcing.ground[i, o]
        through_beam = forcing.window_beam[i, w, 0] * pass_sun
        through_diffuse = diffuse * forcing.window_hemispherical[w, 0]
        passed = net.window_transmittance[w] * net.window_area[w]
        direct += through_beam * passed * net.cover_transmitted[w, cover]
        scattered += through_diffuse * passed * net.cover_transmitted[w, cover]
        to_air += (through_beam + through_diffuse) * passed * net.cover_to_air[w, cover]
    transmitted_solar[0] = direct
    transmitted_solar[1] = scattered
    transmitted_solar[2] = to_air
    transmitted_solar[3] = (
        net.contents_beam_fraction[cover] * direct
        + net.contents_diffuse_fraction[cover] * scattered
    )


@inlined
def solar_power(
    arrays: ArrayTables,
    forcing: ForcingTables,
    i: int,
    pass_beam: FloatArray,
    pass_diffuse: FloatArray,
    outdoor_c: float,
    wind_m_s: float,
    raw_power: FloatArray,
) -> tuple[float, float, float]:
    """Return the solar power at the bus.

    Parameters
    ----------
    arrays : ArrayTables
        Arrays and controllers.
    forcing : ForcingTables
        Irradiance on them.
    i : int
        Interval.
    pass_beam, pass_diffuse : numpy.ndarray, shape (a,)
        What reaches each array; 0 for a stowed one.
    outdoor_c, wind_m_s : float
        Air around them. [degC], [m/s]
    raw_power : numpy.ndarray, shape (a,)
        Scratch.

    Returns
    -------
    delivered_w, clipped_w : float
        After the controllers, and what their limits kept back. [W]
    incident_w_m2 : float
        Irradiance on the arrays, weighted by rated power. [W/m2]
    """
    weight, incident = 0.0, 0.0
    for a in range(len(arrays.rated_power_w)):
        plane = (
            forcing.array_beam[i, a] * pass_beam[a] + forcing.array_diffuse[i, a] * pass_diffuse[a]
        )
        effective = (
            forcing.array_beam_effective[i, a] * pass_beam[a]
            + forcing.array_diffuse_effective[i, a] * pass_diffuse[a]
        )
        cell_c = cell_temperature(plane, outdoor_c, wind_m_s, arrays.u0[a], arrays.u1[a])
        raw_power[a] = array_power(
            arrays.rated_power_w[a],
            effective,
            cell_c,
            arrays.temperature_coefficient_per_k[a],
            arrays.system_loss_fraction[a],
        )
        weight += arrays.rated_power_w[a]
        incident += plane * arrays.rated_power_w[a]
    delivered, clipped = controlled_power(arrays, raw_power)
    return delivered, clipped, incident / weight if weight > 0.0 else 0.0
