"""A small table of building materials for the layers of a panel.

Design values as EN ISO 10456:2007 (tables 3 and 4) tabulates them, written from memory where no
other source is named; each use of an entry is reported as an assumption.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

ISO_10456 = "EN ISO 10456:2007, from memory"
COMMON = "common data-sheet value, from memory"


@dataclass(frozen=True)
class Material:
    """What a homogeneous layer is made of."""

    conductivity_w_mk: float
    density_kg_m3: float
    specific_heat_j_kgk: float
    source: str = ISO_10456


MATERIALS = MappingProxyType(
    {
        "aluminium": Material(160.0, 2800.0, 880.0),
        "steel": Material(50.0, 7800.0, 450.0),
        "glass": Material(1.0, 2500.0, 750.0),
        "acrylic": Material(0.20, 1180.0, 1500.0),
        "polycarbonate": Material(0.20, 1200.0, 1200.0),
        "fibreglass_laminate": Material(0.25, 1700.0, 1000.0, COMMON),
        "epdm_rubber": Material(0.25, 1150.0, 1000.0),
        "pvc_floor": Material(0.17, 1390.0, 900.0),
        "linoleum": Material(0.17, 1200.0, 1400.0),
        "carpet": Material(0.06, 200.0, 1300.0),
        "plywood": Material(0.13, 500.0, 1600.0),
        "plywood_light": Material(0.09, 300.0, 1600.0),
        "softwood": Material(0.12, 450.0, 1600.0),
        "hardwood": Material(0.18, 700.0, 1600.0),
        "particle_board": Material(0.14, 600.0, 1700.0),
        "plasterboard": Material(0.21, 700.0, 1000.0),
        "cork_board": Material(0.045, 120.0, 1560.0, COMMON),
        "xps": Material(0.034, 33.0, 1450.0, COMMON),
        "eps": Material(0.036, 20.0, 1450.0, COMMON),
        "polyurethane_foam": Material(0.026, 32.0, 1400.0, COMMON),
        "polyethylene_foam": Material(0.040, 30.0, 2300.0, COMMON),
        "closed_cell_rubber_foam": Material(0.036, 55.0, 1500.0, COMMON),
        "mineral_wool": Material(0.037, 40.0, 1030.0, COMMON),
        "sheep_wool": Material(0.040, 20.0, 1700.0, COMMON),
        "polyester_fibre": Material(0.040, 20.0, 1300.0, COMMON),
        "concrete": Material(1.35, 2000.0, 1000.0),
        "water": Material(0.60, 1000.0, 4190.0),
    }
)
