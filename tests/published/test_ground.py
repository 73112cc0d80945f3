"""Pavement temperatures of the ground's balance against published equations and measurements.

Nothing is tuned: the asphalt is that of the table of grounds, the days are described ones, clear,
dry, with 2 to 4.5 m/s of wind at 10 m, which no source states. The convection is that of published
pavement models (see ``ground_column``).

- SHRP's equation for the surface of asphalt, ``T = T_air - 0.00618 φ² + 0.2289 φ + 24.4`` [degC],
  from the energy balance of M. Solaimanian, T. W. Kennedy, Transportation Research Record 1417
  (1993), which was within 3 K of 83 % of the measured cases (abstract); the equation from memory.
- "Conventional paving materials can reach peak summertime temperatures of 120 to 150 degF" (48 to
  67 degC): EPA, "Reducing Urban Heat Islands: Compendium of Strategies", Cool Pavements (from
  memory).
- "Every 10 percent increase in solar reflectance could decrease surface temperatures by 7 degF (4
  degC)": the same, after Pomerantz et al. 2000 (from memory).
- Asphalt and concrete are hottest by day, bare soil near them, vegetation far cooler: W. R. Herb
  et al., J. Hydrology 356 (2008) (abstract; no figures seen).
"""

from dataclasses import replace
from datetime import date
from functools import partial

import numpy as np
import pytest

from noonhold.scenario import Ground, Place
from noonhold.simulation.forcing import forcing_tables
from tests.engine.made import rig, summer
from tests.published.part import Part, between, held, name, near

DAYS = [(33.0, 42.0), (40.0, 36.0), (50.0, 32.0)]
LIGHT_M_S, MODERATE_M_S = 2.0, 4.5
PAVED = (Ground.ASPHALT, Ground.CONCRETE)


def highest(
    ground: Ground, latitude: float, high_c: float, wind_m_s: float, **of_the_ground: float
) -> float:
    """Return the ground's highest hourly temperature on a clear midsummer day. [degC]."""
    place = replace(Place(latitude, 0.0, 300.0, ground=ground), **of_the_ground)
    weather = summer(
        place, days=3, first=date(2026, 7, 1), utc_offset_h=0.0, high_c=high_c,
        low_c=high_c - 15.0, dew_point_c=8.0, wind_speed_m_s=wind_m_s,
    )  # fmt: skip
    clock = (np.arange(len(weather)) + 0.5) % 24.0
    return float(forcing_tables(rig(), place, weather, clock).ground_temperature.max())


def shrp_surface_c(air_c: float, latitude: float) -> float:
    return air_c - 0.00618 * latitude**2 + 0.2289 * latitude + 24.4


def worth_of_albedo(albedo: float) -> float:
    """Return what a tenth more albedo does to the hottest asphalt of the day. [K]"""
    more, less = (
        highest(Ground.ASPHALT, 36.0, 36.0, 3.0, ground_albedo=a) for a in (albedo + 0.1, albedo)
    )
    return more - less


PARTS = [
    *(near("SHRP pavement equation", f"asphalt, {latitude:g} deg, {high:g} degC, light wind",
           "highest degC", round(shrp_surface_c(high, latitude), 1), 3.0,
           partial(highest, Ground.ASPHALT, latitude, high, LIGHT_M_S))
      for latitude, high in DAYS),
    *(between("EPA cool pavements", f"{ground}, 36 degC, 3 m/s", "highest degC", 48.0, 67.0,
              partial(highest, ground, 36.0, 36.0, 3.0)) for ground in PAVED),
    *(near("EPA cool pavements", f"albedo {albedo:.1f} to {albedo + 0.1:.1f}", "highest K", -4.0,
           1.0, partial(worth_of_albedo, albedo)) for albedo in (0.1, 0.2, 0.3)),
]  # fmt: skip


@pytest.mark.parametrize("part", PARTS, ids=name)
def test_pavements_are_as_hot_as_published(part: Part) -> None:
    held(part)


@pytest.mark.parametrize(("latitude", "high_c"), DAYS)
def test_light_and_moderate_wind_enclose_the_equation_of_shrp(
    latitude: float, high_c: float
) -> None:
    # The wind that the equation stands for is not known: light and moderate must enclose it,
    # to the 3 K that its source claims.
    published = shrp_surface_c(high_c, latitude)
    light, moderate = (
        highest(Ground.ASPHALT, latitude, high_c, v) for v in (LIGHT_M_S, MODERATE_M_S)
    )
    assert moderate - 3.0 < published < light + 3.0


def test_soil_is_as_hot_as_asphalt_and_grass_far_cooler() -> None:
    asphalt, soil, grass = (
        highest(ground, 36.0, 36.0, 3.0) for ground in (Ground.ASPHALT, Ground.SOIL, Ground.GRASS)
    )
    assert abs(soil - asphalt) < 3.0
    assert grass < asphalt - 10.0
