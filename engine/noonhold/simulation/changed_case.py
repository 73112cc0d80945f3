"""Cases made from a case by changing its tables: without its cooler, on endless energy, by factors.

Tables are changed in place of documents: the sun on the rig, the shell and the coil stay as they
were made, so that a changed case costs nothing but its run.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from noonhold.air.moist_air_arrays import saturation_humidity_ratio_array
from noonhold.simulation.forcing import ForcingTables
from noonhold.simulation.simulation_case import SimulationCase

ENDLESS_WH: Final = 1e9  # no year empties or fills half of it

_OF_THE_SUN: Final = (
    "beam",
    "sky_diffuse",
    "ground",
    "window_beam",
    "array_beam",
    "array_diffuse",
    "array_beam_effective",
    "array_diffuse_effective",
)


@dataclass(frozen=True)
class CaseChange:
    """Factors on a case's tables; 1 leaves a part as it was.

    Parameters
    ----------
    leakage, absorptance : float
        On leakage, as air changes or as area, and on the solar absorptance of every outer face,
        at most 1 in all.
    cooler_capacity, cooler_power : float
        On the gross capacity of every stage, its coil as it is, and on the compressor's power.
    array : float
        On the rated power of every array, controllers as they are.
    battery : float
        On the usable energy, the reserve's share and the charge at the start as stated.
    load : float
        On house loads, vent fans and the standing draw, with the heat that they give.
    sun, wind : float
        On the sunlight on every plane, and on the wind speed.
    outdoor_offset_k : float
        Added to the outdoor air and to the sky's temperature, humidity ratio as it is unless the
        air cannot hold it. [K]
    """

    leakage: float = 1.0
    absorptance: float = 1.0
    cooler_capacity: float = 1.0
    cooler_power: float = 1.0
    array: float = 1.0
    battery: float = 1.0
    load: float = 1.0
    sun: float = 1.0
    wind: float = 1.0
    outdoor_offset_k: float = 0.0


def with_endless_battery(case: SimulationCase) -> SimulationCase:
    """Return the same run with a battery that is never empty and never full.

    Returns
    -------
    SimulationCase
        Efficiencies, power and temperature limits of the battery as they were; no reserve, no
        taper, and nothing that the cold locks away.
    """
    battery = case.battery._replace(
        usable_energy_wh=ENDLESS_WH,
        reserve_wh=0.0,
        recovery_wh=0.0,
        taper_from_wh=ENDLESS_WH,
        capacity_ratio=np.ones_like(case.battery.capacity_ratio),
    )
    return replace(case, battery=battery, stored_wh=0.5 * ENDLESS_WH, charge_is_settled=False)


def changed_case(
    case: SimulationCase, change: CaseChange, start_follows: bool | None = None
) -> SimulationCase:
    """Return a run on changed tables.

    Parameters
    ----------
    change : CaseChange
        By how much.
    start_follows : bool, optional
        Whether the cabin's first temperature goes with the outdoor air's; without it, where the
        two are equal.

    Returns
    -------
    SimulationCase
        Shares every table that the change leaves alone.
    """
    battery, control, warmer = case.battery, case.control, change.outdoor_offset_k
    if start_follows is None:
        start_follows = case.start_c == case.start_outdoor_c
    forcing = _changed_forcing(case.forcing, change)
    if change.load != 1.0:
        control = control._replace(
            load_power=control.load_power * change.load,
            load_to_air=control.load_to_air * change.load,
            load_to_radiant=control.load_to_radiant * change.load,
            thermostatic_power=control.thermostatic_power * change.load,
            thermostatic_most=control.thermostatic_most * change.load,
            standing_power=control.standing_power * change.load,
        )
    return replace(
        case,
        network=case.network._replace(
            air_changes=case.network.air_changes * change.leakage,
            leakage_area=case.network.leakage_area * change.leakage,
            absorptance=np.minimum(case.network.absorptance * change.absorptance, 1.0),
        ),
        forcing=forcing,
        control=control,
        cooler=case.cooler._replace(
            gross_capacity_w=case.cooler.gross_capacity_w * change.cooler_capacity,
            compressor_power_w=case.cooler.compressor_power_w * change.cooler_power,
        ),
        arrays=case.arrays._replace(rated_power_w=case.arrays.rated_power_w * change.array),
        battery=battery._replace(
            usable_energy_wh=battery.usable_energy_wh * change.battery,
            reserve_wh=battery.reserve_wh * change.battery,
            recovery_wh=battery.recovery_wh * change.battery,
            taper_from_wh=battery.taper_from_wh * change.battery,
        ),
        stored_wh=case.stored_wh * change.battery,
        start_c=case.start_c + (warmer if start_follows else 0.0),
        start_humidity=float(forcing.humidity_start[0]),
        start_outdoor_c=case.start_outdoor_c + warmer,
    )


def _changed_forcing(forcing: ForcingTables, change: CaseChange) -> ForcingTables:
    """Return sun, air and wind under a change."""
    changed: dict[str, Any] = {}
    if change.sun != 1.0:
        changed |= {name: getattr(forcing, name) * change.sun for name in _OF_THE_SUN}
        # What the sun adds to the ground's temperature goes with it, as far as its losses are
        # linear; where it is below the air's it stays.
        air = 0.5 * (forcing.outdoor_start + forcing.outdoor_end)
        warmer_ground = (change.sun - 1.0) * np.maximum(forcing.ground_temperature - air, 0.0)
        changed["ground_temperature"] = forcing.ground_temperature + warmer_ground
    if change.wind != 1.0:
        changed |= {name: getattr(forcing, name) * change.wind for name in ("station_wind", "wind")}
    warmer = change.outdoor_offset_k
    if warmer != 0.0:
        changed["sky"] = forcing.sky + warmer
        for name in ("ground_temperature", "under_temperature"):
            changed[name] = changed.get(name, getattr(forcing, name)) + warmer
    for part in ("start", "end") if warmer != 0.0 else ():
        air = getattr(forcing, f"outdoor_{part}") + warmer
        humidity = getattr(forcing, f"humidity_{part}")
        changed[f"outdoor_{part}"] = air
        if warmer < 0.0:
            most = saturation_humidity_ratio_array(air, forcing.pressure)
            changed[f"humidity_{part}"] = np.minimum(humidity, most)
    return forcing._replace(**changed)
