"""The cooler that came without a map, in heat and in thin air, against published behaviour.

- Single-speed air conditioners in NREL/TP-5500-56354 (Cutler et al. 2013): at 19.4 degC wet bulb
  capacity and COP over those at 35 degC are 0.886 and 0.703 at 46.1 degC, 0.825 and 0.592 at 51.7
  (beyond 46 degC extrapolated). The unit of Standard 140 CE100 to CE200 (NREL/TP-550-30152, 2002):
  0.881 and 0.757. A default map should lie between.
- Carrier, "Engineering Guide for Altitude Effects", as reprinted with a table of correction
  factors: packaged units with air-cooled condenser, sensible heat ratio 0.40 to 0.95: total and
  sensible capacity over those at sea level, at 2500, 5000, 7500, 10 000 ft. The table has two
  digits, covers many units, and holds the thinner air at the condenser too, which our flow curves
  leave out: ours lie up to 0.018 (total) and 0.031 (sensible) above it. What the total lacks, by a
  heat-exchanger estimate at 3048 m: the condenser's fan moves 0.69 of the air by mass, its film
  falls as the 0.6th power, so its refrigerant condenses 5 K warmer (15 K over the air at sea level,
  taken), which costs 0.05 of the capacity; but the flow curve is of a coil at sea level, and in
  thin air saturated air holds 1.31 times the enthalpy a kelvin, which gives a wet coil 0.04 back.
  Both together make 0.930 of 0.938 now and 0.92 published (0.984, 0.966, 0.948 at the lower
  heights). The pair is left out: nothing published separates the parts or says what the power does,
  and the rest of the difference, 0.01, has the size of the table's last digit.
- ASHRAE Handbook - Fundamentals 2017, ch. 1 table 1: density of the standard atmosphere over that
  at sea level is the ratio of its pressures, for air of one temperature.
- ISO 5151: T1 (35 / 24 degC outdoors, 27 / 19 inside) and T3 (46 / 24, 29 / 19), from memory.

- A window unit, single-speed, in J. Winkler et al., "Laboratory Performance Testing of Residential
  Window Air Conditioners", NREL/TP-5500-57617, 2013, by the fit that NREL's ResStock publishes for
  it: at 19.4 degC wet bulb 0.867 of the capacity and 0.748 of the COP at 46.1 degC over 35. Another
  unit than those of our default.
- A variable-speed mini-split by the laboratory fit that NREL publishes in ResStock and OpenStudio-
  HPXML, read in its own units (115 and 125 degF over 95, 67 degF wet bulb): capacity 0.843 and
  0.744, COP 0.896 and 0.862. Our default for that class is this fit: the check is of its
  transcription and of the map.
- The same source's ten speeds: COP 1.712 times that at full speed at half the cooling (0.6 of
  the rated cooling, full being 1.2, between 1.746 and 1.609). A single-speed unit there cycles: PLF
  0.875 by AHRI 210/240 with C_D 0.25.
"""

from __future__ import annotations

from functools import cache, partial
from math import inf

import pytest

from noonhold.air.moist_air import (
    dry_air_density,
    humidity_ratio_from_wet_bulb,
    standard_pressure,
)
from noonhold.cooling.cooler import meet_load, steady_stage
from noonhold.cooling.cooler_tables import cooler_tables
from noonhold.rig import Cooler, RatingPoint, Stage
from tests.published.part import Part, between, held, name, near

AHRI = RatingPoint(35.0, 26.7, 19.4)
UNIT = Cooler((Stage("on", 8000.0, 2400.0),), 1600.0, 0.75, 0.0, AHRI)
VARIABLE = Cooler((Stage("on", 8000.0, 2400.0),), 1600.0, 0.75, 0.0, AHRI, variable_speed=True)
SEA_LEVEL_PA = 101325.0
ALTITUDE = [(762, 0.98, 0.92), (1524, 0.96, 0.85), (2286, 0.94, 0.78), (3048, 0.92, 0.71)]
DENSITY = [(500.0, 95461.0), (1000.0, 89875.0), (4000.0, 61640.0)]


@cache
def full_load(outdoor_c: float, elevation_m: float = 0.0) -> tuple[float, float, float]:
    """Return total and sensible capacity and power with 26.7 / 19.4 degC entering. [W]"""
    pressure = SEA_LEVEL_PA if elevation_m == 0.0 else standard_pressure(elevation_m)
    moist = humidity_ratio_from_wet_bulb(26.7, 19.4, pressure)
    sensible, latent, power = steady_stage(cooler_tables(UNIT), 0, outdoor_c, 26.7, moist, pressure)
    return sensible + latent, sensible, power


def capacity_share(outdoor_c: float) -> float:
    return full_load(outdoor_c)[0] / full_load(35.0)[0]


def efficiency_share(outdoor_c: float) -> float:
    (total, _, power), (rated, _, rated_power) = full_load(outdoor_c), full_load(35.0)
    return total / power / (rated / rated_power)


def variable_share(outdoor_c: float, which: int) -> float:
    """Return capacity (0) or COP (1) of a variable-speed unit over that at 35 degC."""
    shares = []
    for outdoor in (outdoor_c, 35.0):
        moist = humidity_ratio_from_wet_bulb(26.7, 19.4, SEA_LEVEL_PA)
        tables = cooler_tables(VARIABLE)
        last = len(tables.gross_capacity_w) - 1
        sensible, latent, power = steady_stage(tables, last, outdoor, 26.7, moist, SEA_LEVEL_PA)
        shares.append((sensible + latent) / (power if which else 1.0))
    return shares[0] / shares[1]


def part_load_gain() -> float:
    """Return the COP of a variable-speed unit at half its sensible cooling over that at full."""
    tables = cooler_tables(VARIABLE)
    last = len(tables.gross_capacity_w) - 1
    moist = humidity_ratio_from_wet_bulb(26.7, 19.4, SEA_LEVEL_PA)
    air = (35.0, 26.7, moist, SEA_LEVEL_PA)
    sensible, latent, power = steady_stage(tables, last, *air)
    low, high = 0.0, sensible
    for _ in range(50):  # the sensible need at which the total is half
        need = (low + high) / 2.0
        step = meet_load(tables, 0, last, need, *air, inf)
        low, high = (
            (need, high) if need + step.latent_w < 0.5 * (sensible + latent) else (low, need)
        )
    return 0.5 * power / step.power_w


def at_height(elevation_m: float, which: int) -> float:
    return full_load(35.0, elevation_m)[which] / full_load(35.0)[which]


def thinner(elevation_m: float) -> float:
    """Return the air that our fan moves at a height over that at sea level."""
    dry = partial(dry_air_density, 20.0, 0.0)
    return dry(standard_pressure(elevation_m)) / dry(SEA_LEVEL_PA)


PARTS = [
    between("high ambient", "46.1 degC over 35", "capacity", 0.881, 0.886,
            partial(capacity_share, 46.1)),
    between("high ambient", "46.1 degC over 35", "COP", 0.703, 0.757,
            partial(efficiency_share, 46.1)),
    near("window unit", "46.1 degC over 35", "capacity", 0.867, 0.02,
         partial(capacity_share, 46.1)),
    near("window unit", "46.1 degC over 35", "COP", 0.748, 0.02,
         partial(efficiency_share, 46.1)),
    *(near("variable speed", f"{outdoor} degC over 35", what, published, 0.005,
           partial(variable_share, outdoor, which))
      for outdoor, capacity, cop in ((46.11, 0.843, 0.896), (51.67, 0.744, 0.862))
      for what, published, which in (("capacity", capacity, 0), ("COP", cop, 1))),
    near("variable speed", "half the cooling, 35 degC", "COP over full", 1.712, 0.02,
         part_load_gain),
    # One source only, extrapolated there; ours is the mean with one that falls off less.
    near("high ambient", "51.7 degC over 35", "capacity", 0.825, 0.02,
         partial(capacity_share, 51.7)),
    between("high ambient", "51.7 degC over 35", "COP", 0.592, 0.703,
            partial(efficiency_share, 51.7)),
    *(near("Carrier altitude", f"{height} m", "total capacity over sea level", total, 0.005,
           partial(at_height, height, 0), beyond=0.015) for height, total, _ in ALTITUDE),
    *(near("Carrier altitude", f"{height} m", "sensible capacity over sea level", sensible, 0.005,
           partial(at_height, height, 1), beyond=0.006) for height, _, sensible in ALTITUDE),
    *(near("ASHRAE HoF 2017 ch. 1", f"{height:g} m", "air density over sea level",
           round(pressure / SEA_LEVEL_PA, 4), 1e-4, partial(thinner, height))
      for height, pressure in DENSITY),
]  # fmt: skip


@pytest.mark.parametrize("part", PARTS, ids=name)
def test_heat_and_height_cost_what_is_published(part: Part) -> None:
    held(part)


def test_a_unit_rated_at_t3_does_more_at_t1() -> None:
    # The same machine stated at either rating point of ISO 5151: T3 is the harder.
    hot = Cooler((Stage("on", 8000.0, 2800.0),), 1600.0, 0.75, 0.0, RatingPoint(46.0, 29.0, 19.0))
    moist = humidity_ratio_from_wet_bulb(27.0, 19.0, SEA_LEVEL_PA)
    sensible, latent, power = steady_stage(cooler_tables(hot), 0, 35.0, 27.0, moist, SEA_LEVEL_PA)
    assert sensible + latent > 8000.0
    assert power < 2800.0
