"""What a rig stands on: albedo, emittance, thermal inertia and wetness of grounds by name."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from noonhold.scenario import Ground, Place


@dataclass(frozen=True)
class GroundSurface:
    """The top of the ground, as its energy balance sees it.

    Parameters
    ----------
    albedo : float
        Share of sunlight reflected.
    emittance : float
        Long wave.
    thermal_inertia : float
        ``sqrt(k ρ c)``, also called thermal admittance: all that a uniform depth shows of itself
        at its surface. [J/(m2 K s^0.5)]
    evaporation_resistance_s_m : float
        Of a wet surface's vapour on its way to the air, beside that of the air; infinite where
        the ground is dry. [s/m]
    warmest_c : float
        Above this it melts instead; infinite but for snow. [degC]
    source : str
        Where the values are from.
    """

    albedo: float
    emittance: float
    thermal_inertia: float
    evaporation_resistance_s_m: float = math.inf
    warmest_c: float = math.inf
    source: str = ""


_MEMORY: Final = "from memory"
GROUND_SURFACES: Final = MappingProxyType(
    {
        # k 1.2 W/mK, ρ 2240 kg/m3, c 920 J/kgK: sqrt(k ρ c) = 1570; Oke 1987 (table 7.4) has 1205.
        Ground.ASPHALT: GroundSurface(
            0.12, 0.93, 1400.0, source="aged asphalt, Oke 1987 and FHWA, " + _MEMORY
        ),
        Ground.CONCRETE: GroundSurface(
            0.25, 0.92, 1785.0, source="weathered dense concrete, Oke 1987 and FHWA, " + _MEMORY
        ),
        # Crushed rock: albedo 0.20 (ASHRAE); k 0.4 W/mK, ρ 1840, c 840: 790.
        Ground.GRAVEL: GroundSurface(
            0.20, 0.92, 800.0, source="dry crushed rock, ASHRAE Fundamentals, " + _MEMORY
        ),
        # Between dry sandy soil, 620, and saturated, 2550 (Oke 1987, table 2.1), near the dry end.
        Ground.SOIL: GroundSurface(
            0.20, 0.94, 900.0, source="dry bare ground, Oke 1987 and ASHRAE, " + _MEMORY
        ),
        Ground.GRASS: GroundSurface(
            0.23,
            0.95,
            1000.0,
            70.0,
            source="short green grass with water, albedo and resistance of FAO-56, ch. 2; the rest "
            + _MEMORY,
        ),
        Ground.SNOW: GroundSurface(
            0.70, 0.97, 500.0, warmest_c=0.0, source="settled snow, Oke 1987, " + _MEMORY
        ),
        # Only its albedo counts: nothing of it is computed.
        Ground.AIR_TEMPERATURE: GroundSurface(
            0.20, 0.9, 1000.0, source="a convention, as standard test cases have it"
        ),
    }
)


def ground_surface(place: Place) -> GroundSurface:
    """Return the surface of the ground at a place.

    Parameters
    ----------
    place : Place
        Its ground by name; what it states of its own goes before the table's values.

    References
    ----------
    .. [1] T. R. Oke, "Boundary Layer Climates", 2nd ed., Routledge, 1987, tables 1.1, 2.1, 7.4.
    .. [2] R. G. Allen et al., "Crop evapotranspiration", FAO Irrigation and Drainage Paper 56,
       1998, eq. 5 and chapter 2 (grass: albedo 0.23, 70 s/m).
    .. [3] FHWA, "Pavement Thermal Performance and Contribution to Urban and Global Climate": the
       emittance of dense asphalt and concrete is 0.90 to 0.95.
    """
    named = GROUND_SURFACES[place.ground]
    return GroundSurface(
        named.albedo if place.ground_albedo is None else place.ground_albedo,
        named.emittance if place.ground_emittance is None else place.ground_emittance,
        named.thermal_inertia
        if place.ground_thermal_inertia_j_m2ks05 is None
        else place.ground_thermal_inertia_j_m2ks05,
        named.evaporation_resistance_s_m
        if place.ground_evaporation_resistance_s_m is None
        else place.ground_evaporation_resistance_s_m,
        named.warmest_c,
        named.source,
    )
