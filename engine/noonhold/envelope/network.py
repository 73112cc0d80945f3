"""The cabin network as plain arrays, made once from the shell and a step length."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.envelope.convection import ROUGHNESS_FACTORS, stirred_convection
from noonhold.envelope.glazing import direct_transmittance, for_each_glass, hemispherical_factors
from noonhold.envelope.interior import (
    absorbed_fractions,
    first_incidence,
    radiant_star_factors,
    scattered_fractions,
    view_weights,
)
from noonhold.envelope.shell import INSIDE_RESISTANCE_HORIZONTAL, chain, panel_layers
from noonhold.envelope.two_port import two_port
from noonhold.envelope.window_conductance import gap_conductances, window_resistance
from noonhold.envelope.window_covers import CoverFactors, cover_factors, inner_absorptance
from noonhold.rig import Exposure, FixedCoefficients, Panel, Rig, Roughness, Shell, Window
from noonhold.scenario import COVER_STATES

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

# ASHRAE basic leakage model, one storey: stack and wind coefficients by shelter class, for an area
# in cm2 and a flow in L/s. ASHRAE Handbook - Fundamentals 2005, ch. 27 (2017: ch. 16, tables 4 to
# 6), as printed in the EnergyPlus Input Output Reference, ZoneInfiltration:EffectiveLeakageArea.
STACK_COEFFICIENT: Final = 0.000145
WIND_COEFFICIENTS: Final = {1: 0.000319, 2: 0.000246, 3: 0.000174, 4: 0.000104, 5: 0.000032}

# At their skin, which has no capacity, contents meet the air over the combined horizontal film of
# ISO 6946 (1/0.13); between skin and mass lies the coefficient between surface and mass of the
# simple hourly method, ISO 13790:2008, 12.2.2, eq. 64, p. 79 (9.1 W/m2K). So sunlight on them warms
# the air at once by the share that the film has of both.
_CONTENTS_FILM: Final = 1.0 / INSIDE_RESISTANCE_HORIZONTAL
_SKIN_TO_MASS: Final = 9.1
# Share of convection in the inside film of ISO 6946:2017, annex C, for horizontal flow: 2.5 beside
# 0.9 x 5.7 W/m2K (from memory).
_BRIDGE_TO_AIR: Final = 2.5 / (2.5 + 5.13)
_AS_GIVEN: Final = np.ones(1)
_MOST_KEPT: Final = 64
_FLOOR_TILT_DEG: Final = 135.0
_SAME_DIRECTION_DEG: Final = 1.0
_LEVEL_COSINE: Final = 0.98
_WINDOW_INSIDE_EMITTANCE: Final = 0.84  # uncoated glass, ASHRAE HoF 2017 ch. 15 (from memory)


class NetworkTables(NamedTuple):
    """The cabin network as plain arrays: ``p`` chains (panels, then windows), ``n`` modes.

    A chain's inner nodes are eliminated once, for they never change: what is left of a chain is a
    two-port between its faces, ``admit_out``, ``admit_in`` and ``admit_cross``, by state of the
    window covers, and the modes of its nodes, see :mod:`noonhold.envelope.two_port`.
    """

    first_mode: npt.NDArray[np.uint64]  # (p + 1,) where a chain's modes begin
    decay: FloatArray  # (n,) what is left of a mode after a step
    respond_out: FloatArray  # (n,) mode per kelvin of the outer face, and what it sends there
    respond_in: FloatArray  # (n,) the same of the inner face
    uniform: FloatArray  # (n,) mode per kelvin of all nodes; heat stored per mode
    inward: FloatArray  # (n,) mode of nodes on a line from 0 outside to 1 K inside
    admit_out: FloatArray  # (p, 4) [W/m2K]
    admit_in: FloatArray  # (p, 4)
    admit_cross: FloatArray  # (p, 4)
    gap_still: FloatArray  # (p,) of it in a window's gaps by still air, 0 where there are none
    gap_radiant: FloatArray  # (p,) and by radiation, both as rated [W/m2K]
    area: FloatArray  # (p,) [m2]
    absorptance: FloatArray  # (p,) outer face, solar
    emittance: FloatArray  # (p,) outer face, long wave; 0 where a film or no exchange is given
    sky_view: FloatArray  # (p,) share of the sky dome seen, already split from the horizon
    ground_view: FloatArray  # (p,) share of the view that is open ground
    under_view: FloatArray  # (p,) and that is ground under the rig
    cos_inward: FloatArray  # (p,)
    roughness: FloatArray  # (p,) what the wind adds at the outer face, over that at glass
    level: npt.NDArray[np.bool_]  # (p,) faces along which any wind blows
    star: FloatArray  # (p,) inner long-wave exchange factor, 0 where a film is given
    exposure: IntArray  # (p,) 0 outdoors, 1 underside, 2 sheltered, 3 adiabatic
    fixed_inside: FloatArray  # (p,) convection or film given, else NaN [W/m2K]
    fixed_radiation: FloatArray  # (p,) radiation given, else NaN [W/m2K]
    fixed_outside: FloatArray  # (p,) convection or film given, else NaN [W/m2K]
    array_cover: FloatArray  # (p,) share of the panel under a flush array
    beam_fraction: FloatArray  # (4, p) of the transmitted beam, by cover state
    diffuse_fraction: FloatArray  # (4, p)
    contents_beam_fraction: FloatArray  # (4,)
    contents_diffuse_fraction: FloatArray  # (4,)
    beam_kept: FloatArray  # (4,) share of the transmitted beam that stays in the cabin
    diffuse_kept: FloatArray  # (4,)
    window_transmittance: FloatArray  # (w,) solar, at normal incidence
    window_area: FloatArray  # (w,) [m2]
    cover_transmitted: FloatArray  # (w, 4) factor on the transmitted part
    cover_to_air: FloatArray  # (w, 4) share of the glass-transmitted part that covers give to air
    sun_out: FloatArray  # (p, 4) sunlight of a face that heats it as if from outside
    sun_in: FloatArray  # (p, 4) and as if from inside; 1 and 0 for panels, shares for glass
    volume: float  # [m3]
    contents_capacity: float  # over the step [W/K]
    contents_conductance: float  # from their mass to the air [W/K]
    contents_skin_fraction: float  # of the sunlight on them, given to the air by their skin
    stirred: FloatArray  # (p,) forced convection while the fan runs [W/m2K]
    bridge_to_air: float  # thermal bridges from outdoors to the air [W/K]
    bridge_to_radiant: float  # and to the radiant node [W/K]
    air_changes: float  # [1/h]
    leakage_area: float  # [cm2]
    stack_coefficient: float
    wind_coefficient: float
    moisture_buffer: float
    step_s: float


_EXPOSURES: Final = (
    Exposure.OUTDOORS,
    Exposure.UNDERSIDE,
    Exposure.SHELTERED,
    Exposure.ADIABATIC,
)
SHELTERED: Final = _EXPOSURES.index(Exposure.SHELTERED)
ADIABATIC: Final = _EXPOSURES.index(Exposure.ADIABATIC)


def _given(first: float | None, second: float | None = None) -> float:
    for value in (first, second):
        if value is not None:
            return value
    return math.nan


def _sky_fraction(tilt_deg: float) -> float:
    """Return the part of the outer face's long-wave view that is at sky temperature.

    Notes
    -----
    View factor of the sky, ``(1 + cos Σ) / 2``, times ``sqrt((1 + cos Σ) / 2)`` for the part of
    the sky near the horizon that is as warm as the air (Walton, NBSIR 83-2655, 1983).
    """
    view = 0.5 * (1.0 + math.cos(math.radians(tilt_deg)))
    return view * math.sqrt(view)


def _ground_views(shell: Shell, tilt: FloatArray, exposure: IntArray) -> FloatArray:
    """Return what part of each face's view is open ground and ground under the rig, (2, p).

    Notes
    -----
    A face outdoors sees open ground by ``(1 - cos Σ) / 2``. The underside sees its own footprint
    as a square sees an equal one straight below it, and open ground for the rest; wheels, chassis
    and skirts, which hide both, are as if they were as warm as what they hide.

    References
    ----------
    .. [1] J. R. Howell, "A Catalog of Radiation Heat Transfer Configuration Factors", C-11: equal
       aligned parallel rectangles (from memory).
    """
    open_view = np.where(exposure == 0, 0.5 * (1.0 - np.cos(np.radians(tilt))), 0.0)
    under_view = np.zeros_like(open_view)
    beneath = exposure == 1
    panels = np.array([p.area_m2 for p in shell.panels] + [0.0] * len(shell.windows))
    footprint = float(panels[beneath].sum())
    if footprint > 0.0:
        under = square_to_square(math.sqrt(footprint), shell.ground_clearance_m)
        open_view[beneath], under_view[beneath] = 1.0 - under, under
    return np.array([open_view, under_view])


def square_to_square(side_m: float, apart_m: float) -> float:
    """Return the view factor between two equal squares, one straight above the other.

    Parameters
    ----------
    side_m : float
        Length of their sides. [m]
    apart_m : float
        Distance between their planes. [m]

    Returns
    -------
    float
        From 0 to 1; 0.1998 where they are as far apart as they are wide.
    """
    x = side_m / apart_m
    root = math.sqrt(1.0 + x * x)
    terms = math.log((1.0 + x * x) ** 2 / (1.0 + 2.0 * x * x)) / 2.0
    terms += 2.0 * x * root * math.atan(x / root) - 2.0 * x * math.atan(x)
    return 2.0 / (math.pi * x * x) * terms


def _bridges(shell: Shell, star: FloatArray) -> tuple[float, float]:
    """Return the conductance of the thermal bridges to the air and to the radiant node. [W/K].

    Notes
    -----
    They join the outdoor air and the inside by air and radiation in the proportion of the inside
    films of ISO 6946 for horizontal flow, 2.5 by convection and 5.1 W/m2K by radiation.
    """
    radiates = bool((star > 0.0).any())
    to_air = shell.thermal_bridges_w_k * (_BRIDGE_TO_AIR if radiates else 1.0)
    return to_air, shell.thermal_bridges_w_k - to_air


def _array_cover(rig: Rig) -> tuple[float, ...]:
    """Return the share of each panel that lies under flush arrays."""
    covered = {panel.name: 0.0 for panel in rig.shell.panels}
    for array in rig.arrays:
        if array.shades_panel in covered:
            covered[array.shades_panel] += array.area_m2
    return tuple(min(covered[p.name] / p.area_m2, 1.0) for p in rig.shell.panels)


def _fractions_by_cover(shell: Shell) -> tuple[FloatArray, FloatArray]:
    """Return which share of the beam and of the diffuse light each face absorbs, by cover state.

    Notes
    -----
    The beam falls on the floor; what that reflects falls on the other faces by their view factors.
    Diffuse light falls on all faces but those in the plane of the window it came through. From
    there on light is scattered evenly.
    """
    panels, windows = shell.panels, shell.windows
    parts: tuple[Panel | Window, ...] = (*panels, *windows)
    area = np.array([part.area_m2 for part in parts])
    inside = [panel.inside_solar_absorptance for panel in panels]
    seen = area * view_weights(area)
    tilt = np.array([part.tilt_deg for part in parts])
    is_floor = np.array([*(tilt[: len(panels)] > _FLOOR_TILT_DEG), *([False] * len(windows))])
    elsewhere = [np.array([not _same_plane(part, window) for part in parts]) for window in windows]
    scattered = for_each_glass(windows, _scattered_light)
    beams, diffuses = [], []
    for k in range(len(COVER_STATES)):
        passing = [passed[k] for passed, _ in scattered]
        leaving = np.array([0.0] * len(panels) + passing)
        absorptance = np.array(inside + [absorbed[k] for _, absorbed in scattered])
        beam = absorbed_fractions(
            (first_incidence(area, is_floor), first_incidence(seen, ~is_floor)),
            area,
            absorptance,
            leaving,
        )
        diffuse = np.zeros_like(area)
        entering = np.array(passing) * area[len(panels) :]
        for where, light in zip(elsewhere, entering, strict=True):
            first = first_incidence(seen, where)
            diffuse += light * absorbed_fractions((first,), area, absorptance, leaving)
        beams.append(beam)
        everywhere = scattered_fractions(area, absorptance, leaving)
        diffuses.append(diffuse / entering.sum() if entering.sum() > 0.0 else everywhere)
    return np.array(beams), np.array(diffuses)


def _scattered_light(window: Window) -> tuple[list[float], list[float]]:
    """Return what a window passes of scattered light, and absorbs from within, by cover state."""
    through = direct_transmittance(window) * float(hemispherical_factors(window)[0])
    passing = [through * cover_factors(window, state).transmitted for state in COVER_STATES]
    return passing, [inner_absorptance(window, state) for state in COVER_STATES]


def _covers(window: Window) -> list[CoverFactors]:
    """Return what covers do in each of their states."""
    return [cover_factors(window, state) for state in COVER_STATES]


def _same_plane(part: Panel | Window, window: Window) -> bool:
    """Return whether a part lies in the plane of a window, as far as directions show."""
    turn = (part.azimuth_from_front_deg - window.azimuth_from_front_deg + 180.0) % 360.0 - 180.0
    level = min(part.tilt_deg, 180.0 - part.tilt_deg) < _SAME_DIRECTION_DEG
    tilted_alike = abs(part.tilt_deg - window.tilt_deg) < _SAME_DIRECTION_DEG
    return tilted_alike and (level or abs(turn) < _SAME_DIRECTION_DEG)


def _fixed(
    coefficients: tuple[FixedCoefficients, ...],
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return given inside, radiative and outside coefficients, NaN where computed."""
    inside = [_given(c.inside_film_w_m2k, c.inside_convection_w_m2k) for c in coefficients]
    radiation = [_given(c.inside_radiation_w_m2k) for c in coefficients]
    outside = [_given(c.outside_film_w_m2k, c.outside_convection_w_m2k) for c in coefficients]
    return np.array(inside), np.array(radiation), np.array(outside)


def network_tables(rig: Rig, step_s: float) -> NetworkTables:
    """Turn a rig's shell into the arrays that the time loop reads.

    Parameters
    ----------
    rig : Rig
        The rig; its flush arrays shade panels.
    step_s : float
        Step of the time loop, which the node capacities are divided by. [s]

    Returns
    -------
    NetworkTables
        Chains stand in the order panels, windows. Rigs that differ in battery, cooler or arrays
        share them while they are in use; they are never changed in place.
    """
    airflow_m3_s = rig.cooler.airflow_m3_h / 3600.0 if rig.cooler else 0.0
    return _shell_tables(rig.shell, _array_cover(rig), airflow_m3_s, step_s)


@lru_cache(_MOST_KEPT)
def _shell_tables(
    shell: Shell, panel_cover: tuple[float, ...], airflow_m3_s: float, step_s: float
) -> NetworkTables:
    """Return the tables by what they depend on: a study runs one shell many times."""
    panels, windows = shell.panels, shell.windows
    parts: tuple[Panel | Window, ...] = (*panels, *windows)
    layers = [panel_layers(panel) for panel in panels]
    of_layers = {each: two_port(*chain(each), step_s, _AS_GIVEN) for each in set(layers)}
    chains = [of_layers[each] for each in layers]
    chains += [two_port([], [window_resistance(w)], step_s, _AS_GIVEN) for w in windows]
    admit = np.array([(c.admit_out[0], c.admit_in[0], c.admit_cross[0]) for c in chains])
    admit = admit[:, :, None].repeat(len(COVER_STATES), axis=2)
    covers = for_each_glass(windows, _covers)
    for w, window in enumerate(windows):
        for s, factors in enumerate(covers[w]):
            total = window_resistance(window) + factors.added_resistance_m2k_w
            admit[len(panels) + w, :, s] = 1.0 / total

    gaps = np.zeros((len(parts), 2))
    for w, window in enumerate(windows):
        gaps[len(panels) + w] = gap_conductances(window_resistance(window), window.panes)

    area = np.array([part.area_m2 for part in parts])
    coefficients = tuple(part.coefficients for part in parts)
    fixed_inside, fixed_radiation, fixed_outside = _fixed(coefficients)
    inside_emittance = np.array(
        [panel.inside_thermal_emittance for panel in panels]
        + [_WINDOW_INSIDE_EMITTANCE] * len(windows)
    )
    star = radiant_star_factors(area, inside_emittance)
    star[[c.inside_film_w_m2k is not None for c in coefficients]] = 0.0
    exposures = [panel.exposed_to for panel in panels] + [Exposure.OUTDOORS] * len(windows)
    rough = [panel.surface_roughness for panel in panels]
    rough += [Roughness.VERY_SMOOTH] * len(windows)
    exposure = np.array([_EXPOSURES.index(e) for e in exposures], dtype=np.int64)
    emittance = np.array([part.thermal_emittance for part in parts])
    emittance[[c.outside_film_w_m2k is not None for c in coefficients]] = 0.0
    tilt = np.array([part.tilt_deg for part in parts])
    sky = np.array([_sky_fraction(t) for t in tilt]) * (exposure == 0)
    cover = np.array([*panel_cover, *([0.0] * len(windows))])
    beam, diffuse = _fractions_by_cover(shell)
    on_contents = shell.contents_solar_fraction
    factors_of = np.array(
        [
            [
                (
                    f.transmitted,
                    f.to_air,
                    f.absorbed * (1.0 - f.inner_fraction),
                    f.absorbed * f.inner_fraction,
                )
                for f in row
            ]
            for row in covers
        ]
    ).reshape(-1, len(COVER_STATES), 4)
    ground_view, under_view = _ground_views(shell, tilt, exposure)
    bridge_to_air, bridge_to_radiant = _bridges(shell, star)
    cos_inward = -np.cos(np.radians(tilt))
    counts = [c.decay.shape[1] for c in chains]

    def joined(name: str) -> FloatArray:
        return np.concatenate([getattr(c, name)[0] for c in chains])

    return NetworkTables(
        first_mode=np.concatenate([[0], np.cumsum(counts)]).astype(np.uint64),
        decay=joined("decay"),
        respond_out=joined("respond_out"),
        respond_in=joined("respond_in"),
        uniform=joined("uniform"),
        inward=joined("inward"),
        admit_out=admit[:, 0].copy(),
        admit_in=admit[:, 1].copy(),
        admit_cross=admit[:, 2].copy(),
        gap_still=gaps[:, 0].copy(),
        gap_radiant=gaps[:, 1].copy(),
        area=area,
        absorptance=np.array([panel.solar_absorptance for panel in panels] + [0.0] * len(windows)),
        emittance=emittance,
        sky_view=sky * (1.0 - cover),
        ground_view=ground_view * (1.0 - cover),
        under_view=under_view,
        cos_inward=cos_inward,
        roughness=np.array([ROUGHNESS_FACTORS[word] for word in rough]),
        level=np.abs(np.cos(np.radians(tilt))) > _LEVEL_COSINE,
        star=star,
        exposure=exposure,
        fixed_inside=fixed_inside,
        fixed_radiation=fixed_radiation,
        fixed_outside=fixed_outside,
        array_cover=cover,
        beam_fraction=(1.0 - on_contents) * beam,
        diffuse_fraction=(1.0 - on_contents) * diffuse,
        contents_beam_fraction=np.full(len(COVER_STATES), on_contents),
        contents_diffuse_fraction=np.full(len(COVER_STATES), on_contents),
        beam_kept=(1.0 - on_contents) * beam.sum(axis=1) + on_contents,
        diffuse_kept=(1.0 - on_contents) * diffuse.sum(axis=1) + on_contents,
        window_transmittance=np.array([direct_transmittance(window) for window in windows]),
        window_area=np.array([window.area_m2 for window in windows]),
        cover_transmitted=factors_of[:, :, 0].copy(),
        cover_to_air=factors_of[:, :, 1].copy(),
        sun_out=np.concatenate([np.ones((len(panels), len(COVER_STATES))), factors_of[:, :, 2]]),
        sun_in=np.concatenate([np.zeros((len(panels), len(COVER_STATES))), factors_of[:, :, 3]]),
        volume=shell.volume_m3,
        contents_capacity=shell.contents_heat_capacity_kj_k * 1000.0 / step_s,
        contents_conductance=shell.contents_area_m2 / (1.0 / _CONTENTS_FILM + 1.0 / _SKIN_TO_MASS),
        contents_skin_fraction=_CONTENTS_FILM / (_CONTENTS_FILM + _SKIN_TO_MASS),
        stirred=stirred_convection(airflow_m3_s, shell.volume_m3, cos_inward),
        bridge_to_air=bridge_to_air,
        bridge_to_radiant=bridge_to_radiant,
        air_changes=shell.leakage.air_changes_per_hour or 0.0,
        leakage_area=shell.leakage.leakage_area_cm2 or 0.0,
        stack_coefficient=STACK_COEFFICIENT,
        wind_coefficient=WIND_COEFFICIENTS[shell.leakage.shelter_class],
        moisture_buffer=shell.moisture_buffer_factor,
        step_s=step_s,
    )
