"""What the short form of a rig stands for: build-ups, colours, glass, and every default's reason.

Values without a named source are common practice among those who build small cabins, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

# A layer is a material of the table and its thickness [m]; ``None`` stands for the stated one.
Layers = tuple[tuple[str, float | None], ...]


@dataclass(frozen=True)
class BuildUp:
    """A usual way to build a wall, outside first.

    Parameters
    ----------
    meaning : str
        In words.
    layers : tuple of (str, float or None)
        Materials and thicknesses; ``None`` is the thickness that the document states. [m]
    typical_mm : float
        A usual thickness. [mm]
    """

    meaning: str
    layers: Layers
    typical_mm: float


BUILD_UPS: Final[Mapping[str, BuildUp]] = MappingProxyType(
    {
        "foam_mm": BuildUp(
            "Polyurethane foam between fibreglass skins, by the foam's thickness",
            (
                ("fibreglass_laminate", 0.0015),
                ("polyurethane_foam", None),
                ("fibreglass_laminate", 0.0015),
            ),
            50.0,
        ),
        "plywood_xps_mm": BuildUp(
            "Extruded foam between 9 mm of plywood and a 3 mm lining, by the foam's thickness",
            (("plywood", 0.009), ("xps", None), ("plywood_light", 0.003)),
            25.0,
        ),
        "aluminium_eps_mm": BuildUp(
            "Expanded foam between an aluminium skin and a 3 mm lining, by the foam's thickness",
            (("aluminium", 0.001), ("eps", None), ("plywood_light", 0.003)),
            30.0,
        ),
        "steel_wool_mm": BuildUp(
            "Sheep's wool between a steel skin and a 3 mm lining, by the wool's thickness",
            (("steel", 0.0009), ("sheep_wool", None), ("plywood_light", 0.003)),
            50.0,
        ),
        "steel_rubber_foam_mm": BuildUp(
            "Closed-cell foam between a steel skin and a 3 mm lining, by the foam's thickness",
            (("steel", 0.0009), ("closed_cell_rubber_foam", None), ("plywood_light", 0.003)),
            19.0,
        ),
        "bare_plywood_mm": BuildUp("Plywood alone", (("plywood", None),), 18.0),
        "bare_steel_mm": BuildUp("Steel alone", (("steel", None),), 1.0),
    }
)

COLOURS: Final[Mapping[str, float]] = MappingProxyType(
    {
        "white": 0.25,
        "cream": 0.35,
        "silver": 0.45,
        "light_grey": 0.45,
        "sand": 0.5,
        "yellow": 0.5,
        "mid": 0.6,
        "red": 0.65,
        "green": 0.7,
        "blue": 0.75,
        "dark_grey": 0.85,
        "black": 0.95,
    }
)
COLOUR_REASON: Final = "solar absorptance of a painted skin of this colour, from memory"


@dataclass(frozen=True)
class Glass:
    """A kind of window."""

    u_value_w_m2k: float
    solar_heat_gain_coefficient: float
    panes: int


GLASS: Final[Mapping[str, Glass]] = MappingProxyType(
    {
        "acrylic_double": Glass(2.7, 0.65, 2),
        "glass_double": Glass(2.8, 0.75, 2),
        "glass_single": Glass(5.7, 0.85, 1),
        "glass_tinted": Glass(5.7, 0.6, 1),
    }
)

AIR_CHANGES_PER_HOUR: Final = 0.7
CONTENTS_KJ_K_M3: Final = 22.0
LOADS_W: Final = 40.0
SENSIBLE_HEAT_RATIO: Final = 0.78
AIRFLOW_M3_H_W: Final = 0.2
FAN_SHARE: Final = 0.02
CHARGE_PER_HOUR: Final = 0.5
ROOF_W_M2: Final = 200.0
CONTROLLER_EFFICIENCY: Final = 0.97
COVER: Final = MappingProxyType(
    {
        "position": "inside",
        "solar_transmittance": 0.02,
        "solar_reflectance": 0.7,
        "added_resistance_m2k_w": 0.2,
    }
)
