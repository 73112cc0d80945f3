"""Refrigerators by the room around them, and arrays in part shade, against published behaviour.

- IEC 62552-3:2015 measures refrigerators with 16 and with 32 degC around them. L. Harrington, L.
  Aye, B. Fuller, "Impact of room temperature on energy consumption of household refrigerators",
  Applied Energy 211, 2018, have laboratory data of 111 appliances: energy at 16 near half of that
  at 32 degC (0.40 to 0.55, figures from memory).
- F. Martinez-Moreno, J. Munoz, E. Lorenzo, Solar Energy Materials and Solar Cells 94(12), 2010, as
  pvlib 0.16 has it (`pvlib.shading.direct_martinez`): what a partly shaded array loses of the beam.
"""

from __future__ import annotations

from functools import partial

import numpy as np
import pvlib
import pytest

from noonhold.simulation.house_loads import thermostatic_ratio
from noonhold.solar.array_shading import martinez_loss
from tests.published.part import Part, between, held, name, near

SHADE = [(0.05, 1, 3), (0.33, 1, 3), (0.5, 2, 3), (0.5, 6, 12)]


def cool_room(inside_c: float) -> float:
    """Return the energy at 16 over that at 32 degC around it."""
    cool, warm = (thermostatic_ratio(room, inside_c, 25.0, 0.05) for room in (16.0, 32.0))
    return float(cool / warm)


def lost(shaded: float, touched: int, strips: int) -> float:
    return float(martinez_loss(np.array([shaded]), np.array([float(touched)]), strips)[0])


def pvlib_lost(shaded: float, touched: int, strips: int) -> float:
    return float(pvlib.shading.direct_martinez(1.0, 1.0, shaded, touched, strips))


PARTS = [
    # A third of the heat goes into a freezer, or a quarter; a twentieth is control.
    *(between("refrigerator-freezers", f"mean inside {inside_c:g} degC, 16 over 32 degC", "energy",
              0.40, 0.55, partial(cool_room, inside_c)) for inside_c in (-3.0, -5.0)),
    *(near("part shade", f"{shaded:.0%} of the area, {touched} of {strips} strips", "beam lost",
           pvlib_lost(shaded, touched, strips), 1e-12, partial(lost, shaded, touched, strips))
      for shaded, touched, strips in SHADE),
]  # fmt: skip


@pytest.mark.parametrize("part", PARTS, ids=name)
def test_loads_and_shade_are_as_published(part: Part) -> None:
    held(part)
