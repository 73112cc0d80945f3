"""A cooler's rated points made into plain numbers and arrays for compiled code.

All stages share one air flow and one rated sensible heat ratio, so each gets a bypass factor of
its own from its rated capacity; a rated point that no coil can have is a fault, reported with what
would be possible.

References
----------
.. [1] ISO 5151:2017, Non-ducted air conditioners and heat pumps: ratings are net of the indoor
   fan's heat and power includes both fans (from memory).
"""

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.air.moist_air import (
    dry_air_density,
    enthalpy,
    humidity_ratio_from_wet_bulb,
    saturation_humidity_ratio,
)
from noonhold.cooling.coil import lowest_sensible_ratio, rated_apparatus_c
from noonhold.cooling.condenser import RECIRCULATION, heat_capacity_rate
from noonhold.cooling.performance_map import MapTables, default_map, map_tables
from noonhold.cooling.speeds import running_stages
from noonhold.errors import DocumentError, Fault
from noonhold.rig import Cooler, PerformanceMap, Stage

SECONDS_PER_HOUR = 3600.0


class CoolerTables(NamedTuple):
    """A cooler as plain numbers and arrays for compiled code; one array entry a running stage.

    Capacities are gross (the indoor fan's heat added back) and powers without the indoor fan, both
    at the rating point. ``bypass_coefficient_kg_s`` is A0 in BF = exp(-A0 / mass flow).
    """

    gross_capacity_w: npt.NDArray[np.float64]
    compressor_power_w: npt.NDArray[np.float64]
    bypass_coefficient_kg_s: npt.NDArray[np.float64]
    sensible_only: npt.NDArray[np.bool_]
    map: MapTables
    fan_power_w: float
    airflow_m3_s: float
    rated_pressure_pa: float
    degradation_coefficient: float
    condenser_air_rise_k: float
    recirculation: float
    halving_wind_m_s: float
    condenser_capacity_rate_w_k: float
    delivered_fraction: float
    standby_w: float
    variable_speed: bool
    fan_always_on: bool
    supply_efficiency: float
    supply_idle_w: float


def _rating_faults(cooler: Cooler, path: str) -> list[Fault]:
    """Faults of a cooler that stop its bypass factors from being found at all."""
    faults = []
    if not cooler.airflow_m3_h > 0.0:
        faults.append(
            Fault(f"{path}/airflow_m3_h", "A cooler needs an air flow.", cooler.airflow_m3_h, "> 0")
        )
    if not 0.0 < cooler.sensible_heat_ratio <= 1.0:
        faults.append(
            Fault(
                f"{path}/sensible_heat_ratio",
                "The sensible part cannot exceed the whole.",
                cooler.sensible_heat_ratio,
                "0 < value <= 1",
            )
        )
    if not cooler.rating.inside_wet_bulb_c < cooler.rating.inside_c:
        faults.append(
            Fault(
                f"{path}/rating/inside_wet_bulb_c",
                "A cooler is rated in unsaturated air: its wet bulb is below its dry bulb.",
                cooler.rating.inside_wet_bulb_c,
                f"< {cooler.rating.inside_c:g}",
            )
        )
    for index, stage in enumerate(cooler.stages):
        if not stage.cooling_w > 0.0:
            faults.append(
                Fault(
                    f"{path}/stages/{index}/cooling_w",
                    "A stage needs a capacity.",
                    stage.cooling_w,
                    "> 0",
                )
            )
        if not stage.power_w >= cooler.fan_power_w:
            faults.append(
                Fault(
                    f"{path}/stages/{index}/power_w",
                    "A stage's power includes the indoor fan's.",
                    stage.power_w,
                    f">= fan_power_w, {cooler.fan_power_w:g}",
                )
            )
    if faults:
        return faults
    stages, places = running_stages(cooler)
    if stages[0].power_w < cooler.fan_power_w and 0 not in places:
        faults.append(
            Fault(
                f"{path}/modulation/least_fraction",
                "At its least speed the cooler would draw less than its indoor fan.",
                None if cooler.modulation is None else cooler.modulation.least_fraction,
                hint="a higher least_fraction, or a lower fan_power_w",
            )
        )
    return faults


def _rated_bypass(
    cooler: Cooler, stage: Stage, humidity_ratio: float, flow_kg_s: float, path: str
) -> tuple[float, Fault | None]:
    """Bypass coefficient A0 of a stage from its rated point; NaN with a fault when impossible."""
    rating = cooler.rating
    gross_w = stage.cooling_w + cooler.fan_power_w
    ratio = (cooler.sensible_heat_ratio * stage.cooling_w + cooler.fan_power_w) / gross_w
    apparatus_c = rated_apparatus_c(rating.inside_c, humidity_ratio, rating.pressure_pa, ratio)
    if math.isnan(apparatus_c):
        least, _ = lowest_sensible_ratio(rating.inside_c, humidity_ratio, rating.pressure_pa)
        bound = (least * gross_w - cooler.fan_power_w) / stage.cooling_w
        return math.nan, Fault(
            f"{path}/sensible_heat_ratio",
            f"No coil takes so much water from the air of the rating point in stage {stage.name}.",
            cooler.sensible_heat_ratio,
            f">= {bound:.3f}",
        )
    entering = enthalpy(rating.inside_c, humidity_ratio)
    apparatus_ratio = saturation_humidity_ratio(apparatus_c, rating.pressure_pa)
    # At a ratio of 1 the coil stays dry, so its enthalpy falls at the entering humidity.
    reach = entering - enthalpy(apparatus_c, apparatus_ratio)
    bypass = 1.0 - gross_w / (flow_kg_s * reach)
    if bypass > 0.0:
        return -math.log(bypass) * flow_kg_s, None
    if cooler.sensible_heat_ratio == 1.0:
        return math.inf, None
    least_airflow = cooler.airflow_m3_h * gross_w / (flow_kg_s * reach)
    return math.nan, Fault(
        f"{path}/airflow_m3_h",
        f"So little air cannot carry the rated cooling of stage {stage.name} at the sensible heat "
        f"ratio {cooler.sensible_heat_ratio:g}: it would leave the coil more than saturated.",
        cooler.airflow_m3_h,
        f"> {least_airflow:.0f}",
        "a higher airflow, or a lower sensible_heat_ratio",
    )


def cooler_tables(cooler: Cooler | None, path: str = "/rig/cooler") -> CoolerTables:
    """Plain numbers and arrays of a cooler for the time loop.

    Parameters
    ----------
    cooler : Cooler or None
        The cooler; ``None`` gives one without stages, which never does anything.
    path : str, optional
        JSON pointer of the cooler in its document, for faults.

    Raises
    ------
    DocumentError
        With every rated point that no coil can have.

    Notes
    -----
    Gross capacity is net plus indoor-fan heat, and so is gross sensible capacity; the apparatus
    dew point and from it the bypass factor follow at the rating point.

    A sensible heat ratio of exactly 1 says that the coil is dry at the rating point, not how far
    from wet it is: it is taken to be just dry, so that more humid air wets it. Where even that
    is impossible, because the air flow could only carry the capacity below its dew point, the
    stage is an ideal one that never dehumidifies (``sensible_only``); that is how an unlimited
    cooler for test cases is written (1e6 W, ratio 1).

    Without a performance map the cooler gets `performance_map.default_map`; a given map
    is taken as it stands.
    """
    if cooler is None:
        none = np.empty(0)
        flat = map_tables(PerformanceMap((35.0,), (19.0,), ((1.0,),), ((1.0,),)))
        return CoolerTables(
            none, none, none, np.empty(0, np.bool_), flat, 0.0, 0.0, 101325.0, 0.0, 0.0, 0.0, 1.0,
            1.0, 1.0, 0.0, False, False, 1.0, 0.0,
        )  # fmt: skip
    faults = _rating_faults(cooler, path)
    if faults:
        raise DocumentError(faults)
    rating = cooler.rating
    humidity_ratio = humidity_ratio_from_wet_bulb(
        rating.inside_c, rating.inside_wet_bulb_c, rating.pressure_pa
    )
    if not humidity_ratio > 0.0:
        raise DocumentError(
            [
                Fault(
                    f"{path}/rating/inside_wet_bulb_c",
                    "No moist air has this pair of dry and wet bulb.",
                    rating.inside_wet_bulb_c,
                )
            ]
        )
    airflow_m3_s = cooler.airflow_m3_h / SECONDS_PER_HOUR
    flow_kg_s = airflow_m3_s * dry_air_density(rating.inside_c, humidity_ratio, rating.pressure_pa)
    # Speeds in between keep the rated sensible heat ratio too: their fan slows with them.
    stages, _ = running_stages(cooler)
    coefficients = []
    for stage in stages:
        coefficient, fault = _rated_bypass(cooler, stage, humidity_ratio, flow_kg_s, path)
        coefficients.append(coefficient)
        if fault is not None:
            faults.append(fault)
    if faults:
        raise DocumentError(faults)
    bypass_coefficients = np.array(coefficients)
    performance_map = cooler.performance_map or default_map(rating, cooler.variable_speed)
    recirculation, halving_wind = 0.0, 1.0
    if cooler.condenser_installation is not None:
        recirculation, halving_wind = RECIRCULATION[cooler.condenser_installation]
    ducts = cooler.ducts
    lost = ducts.loss_fraction * (1.0 - ducts.to_cabin_fraction) if ducts else 0.0
    return CoolerTables(
        gross_capacity_w=np.array([s.cooling_w + cooler.fan_power_w for s in stages]),
        compressor_power_w=np.array([s.power_w - cooler.fan_power_w for s in stages]),
        bypass_coefficient_kg_s=bypass_coefficients,
        sensible_only=np.isinf(bypass_coefficients),
        map=map_tables(performance_map),
        fan_power_w=float(cooler.fan_power_w),
        airflow_m3_s=airflow_m3_s,
        rated_pressure_pa=float(rating.pressure_pa),
        degradation_coefficient=float(cooler.degradation_coefficient),
        condenser_air_rise_k=float(cooler.condenser_air_rise_k),
        recirculation=recirculation,
        halving_wind_m_s=halving_wind,
        condenser_capacity_rate_w_k=heat_capacity_rate(
            stages[-1].cooling_w + stages[-1].power_w, cooler.condenser_airflow_m3_h
        ),
        delivered_fraction=1.0 - lost,
        standby_w=float(cooler.standby_power_w),
        variable_speed=cooler.variable_speed,
        fan_always_on=cooler.fan_always_on,
        supply_efficiency=float(cooler.supply.efficiency),
        supply_idle_w=float(cooler.supply.idle_power_w),
    )
