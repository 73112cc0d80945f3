"""The cooler: what each stage does in given air, and how a thermostat runs the stages.

A stage is known by its rated point. Its gross capacity and the power of its compressor and outdoor
fan follow the performance map and the mass of air that the indoor fan moves; the coil splits the
gross capacity into sensible and latent; the indoor fan's heat comes off the sensible part.
Everything here is compiled and called inside the time loop.

References
----------
.. [1] ANSI/ASHRAE Standard 140, cases CE100 to CE200: run-time fraction applied to the compressor
   and both fans, dry coil.
.. [2] AHRI 210/240: part-load factor with a degradation coefficient, and efficiency linear in
   capacity between the speeds of a variable-speed unit (simplified; from memory).
"""

import math
from typing import NamedTuple

from numba import njit

from noonhold.air.moist_air import dry_air_density, wet_bulb
from noonhold.cooling.coil import dry_out_wet_bulb, dryness, wet_latent_w
from noonhold.cooling.condenser import rise_per_watt
from noonhold.cooling.cooler_tables import CoolerTables, cooler_tables
from noonhold.cooling.performance_map import beyond_map, map_ratios
from noonhold.numerics.compiled import merged

__all__ = [
    "CoolerStep",
    "CoolerTables",
    "ThinAir",
    "cooler_tables",
    "fan_only",
    "map_clamped",
    "meet_load",
    "meet_load_in",
    "steady_stage",
    "thin_air",
]

# Range of the default curves of EnergyPlus and DOE-2 (from memory) for a direct-expansion coil
# whose air has another mass flow than the rated one; constant beyond.
LEAST_FLOW_RATIO = 0.5
MOST_FLOW_RATIO = 1.5
# The air film of finned coils goes with mass velocity: j ~ Re^-0.4, so h ~ G^0.6.
FILM_EXPONENT = 0.6


class CoolerStep(NamedTuple):
    """What the cooler did over a step, as means over the step.

    ``net_sensible_w`` is taken from the cabin air, the fan's heat already off it (negative when
    only the fan ran), what the ducts lose too. ``power_w`` is at the cooler's terminals,
    ``bus_power_w`` at the battery bus. ``duty`` is the compressor's run-time fraction,
    ``high_fraction`` the part of that time spent above the lowest allowed stage (of a variable-
    speed cooler: how far from the lowest to the highest allowed speed, counted by speeds).
    """

    net_sensible_w: float
    latent_w: float
    power_w: float
    bus_power_w: float
    duty: float
    high_fraction: float
    fan_power_w: float


class ThinAir(NamedTuple):
    """What pressure does to a cooler whose fans move a volume: as long as it stays, the same."""

    film_ratio: float
    capacity_modifier: float
    power_modifier: float


class CoilAir(NamedTuple):
    """The air at the coil and the condenser in one step, shared by all stages."""

    outdoor_c: float
    rise_k_w: float
    temperature_c: float
    humidity_ratio: float
    pressure_pa: float
    wet_bulb_c: float
    mass_flow_kg_s: float
    film_ratio: float
    capacity_modifier: float
    power_modifier: float


@merged
def thin_air(tables: CoolerTables, pressure_pa: float) -> ThinAir:
    """Return what all steps of one pressure share.

    Returns
    -------
    ThinAir
        By the notes of `steady_stage`.
    """
    flow_ratio = pressure_pa / tables.rated_pressure_pa
    if flow_ratio < LEAST_FLOW_RATIO:
        flow_ratio = LEAST_FLOW_RATIO
    elif flow_ratio > MOST_FLOW_RATIO:
        flow_ratio = MOST_FLOW_RATIO
    capacity_modifier = 0.8 + 0.2 * flow_ratio
    input_modifier = 1.1552 + flow_ratio * (-0.1808 + 0.0256 * flow_ratio)
    return ThinAir(flow_ratio**FILM_EXPONENT, capacity_modifier, capacity_modifier * input_modifier)


@merged
def _coil_air(
    tables: CoolerTables,
    thin: ThinAir,
    outdoor_c: float,
    entering_c: float,
    entering_humidity_ratio: float,
    pressure_pa: float,
    wind_m_s: float,
) -> CoilAir:
    """Air of a step: what all stages share. The fan moves a volume, so thin air is less mass."""
    density = dry_air_density(entering_c, entering_humidity_ratio, pressure_pa)
    return CoilAir(
        outdoor_c + tables.condenser_air_rise_k,
        rise_per_watt(
            tables.recirculation,
            tables.halving_wind_m_s,
            tables.condenser_capacity_rate_w_k,
            wind_m_s,
            pressure_pa,
        ),
        entering_c,
        entering_humidity_ratio,
        pressure_pa,
        wet_bulb(entering_c, entering_humidity_ratio, pressure_pa),
        tables.airflow_m3_s * density,
        thin.film_ratio,
        thin.capacity_modifier,
        thin.power_modifier,
    )


@merged
def _condenser_c(tables: CoolerTables, stage: int, air: CoilAir) -> float:
    """Air at the condenser of a running stage: its own heat warms it.

    The heat is taken from the map at the rise of the rated heat, which leaves less than a tenth of
    the rise's own tenth.
    """
    if air.rise_k_w == 0.0:
        return air.outdoor_c
    gross_w = tables.gross_capacity_w[stage] * air.capacity_modifier
    compressor_w = tables.compressor_power_w[stage] * air.power_modifier
    guess_c = air.outdoor_c + air.rise_k_w * (gross_w + compressor_w)
    capacity_ratio, power_ratio = map_ratios(tables.map, guess_c, air.wet_bulb_c)
    rejected_w = gross_w * capacity_ratio + compressor_w * power_ratio
    return float(air.outdoor_c + air.rise_k_w * rejected_w)


@merged
def _stage_on_coil(
    tables: CoolerTables, stage: int, air: CoilAir
) -> tuple[float, float, float, float, float]:
    """Gross total, latent, compressor power; condenser air and wet bulb of the map's reading."""
    rated_w = tables.gross_capacity_w[stage] * air.capacity_modifier
    condenser_c = _condenser_c(tables, stage, air)
    capacity_ratio, power_ratio = map_ratios(tables.map, condenser_c, air.wet_bulb_c)
    total_w = rated_w * capacity_ratio
    map_wet_bulb_c = air.wet_bulb_c
    latent_w = 0.0
    if not tables.sensible_only[stage]:
        film_kg_s = tables.bypass_coefficient_kg_s[stage] * air.film_ratio
        bypass = math.exp(-film_kg_s / air.mass_flow_kg_s)
        apparatus_flow = air.mass_flow_kg_s * (1.0 - bypass)
        surplus = dryness(
            total_w, apparatus_flow, air.temperature_c, air.humidity_ratio, air.pressure_pa
        )
        if surplus < 0.0:
            map_wet_bulb_c = dry_out_wet_bulb(
                tables.map,
                condenser_c,
                rated_w,
                apparatus_flow,
                air.temperature_c,
                air.pressure_pa,
                air.wet_bulb_c,
                surplus,
            )
            capacity_ratio, power_ratio = map_ratios(tables.map, condenser_c, map_wet_bulb_c)
            total_w = rated_w * capacity_ratio
        else:
            latent_w = wet_latent_w(
                total_w, apparatus_flow, air.temperature_c, air.humidity_ratio, air.pressure_pa
            )
    compressor_w = tables.compressor_power_w[stage] * power_ratio * air.power_modifier
    return total_w, latent_w, compressor_w, condenser_c, map_wet_bulb_c


@merged
def _full_load(tables: CoolerTables, stage: int, air: CoilAir) -> tuple[float, float, float]:
    """Net sensible, latent and power of a stage that runs all the time."""
    total_w, latent_w, compressor_w, _, _ = _stage_on_coil(tables, stage, air)
    fan_w = tables.fan_power_w
    delivered = tables.delivered_fraction
    return (
        delivered * (total_w - latent_w) - fan_w,
        delivered * latent_w,
        compressor_w + fan_w,
    )


@njit(cache=True, nogil=True)
def steady_stage(
    tables: CoolerTables,
    stage: int,
    outdoor_c: float,
    entering_c: float,
    entering_humidity_ratio: float,
    pressure_pa: float,
    wind_m_s: float = 0.0,
) -> tuple[float, float, float]:
    r"""Full-load performance of one stage in given air.

    Parameters
    ----------
    stage : int
        Which stage, from 0.
    outdoor_c : float
        Outdoor dry bulb; the condenser's rise is added to it. [degC]
    entering_c : float
        Dry bulb of the air that enters the coil, the cabin's. [degC]
    entering_humidity_ratio : float
        Its humidity ratio. [kg/kg dry air]
    wind_m_s : float, optional
        Wind at the condenser. [m/s]

    Returns
    -------
    net_sensible_w : float
        Sensible capacity less the indoor fan's heat and what the ducts lose. [W]
    latent_w : float
        Latent capacity; over `coil.vapour_enthalpy` of the entering air it is the water
        taken out. [W]
    power_w : float
        Compressor and both fans, at the cooler's terminals. [W]

    Notes
    -----
    Gross capacity and power come from the map, a dry coil's at the wet bulb where it would begin
    to be wetted. A map is measured at one volume flow and one pressure; at another pressure the
    fan moves the ratio :math:`f = p / p_{rated}` of the mass, which multiplies capacity by
    :math:`0.8 + 0.2 f`, power per capacity by :math:`1.1552 - 0.1808 f + 0.0256 f^2` and the air
    film of the coil by :math:`f^{0.6}`, so that the bypass factor is
    :math:`\exp(-A_0 f^{0.6} / \dot m)`. Frost on the coil is not modelled.

    References
    ----------
    .. [1] F. C. McQuiston, "Correlation of heat, mass, and momentum transport coefficients for
       plate-fin-tube heat transfer surfaces with staggered tubes", ASHRAE Transactions 84(1),
       1978: the film's exponent, by ``j ~ Re^-0.4``.
    """
    thin = thin_air(tables, pressure_pa)
    air = _coil_air(
        tables, thin, outdoor_c, entering_c, entering_humidity_ratio, pressure_pa, wind_m_s
    )
    return _full_load(tables, stage, air)


@njit(cache=True, nogil=True)
def map_clamped(
    tables: CoolerTables,
    stage: int,
    outdoor_c: float,
    entering_c: float,
    entering_humidity_ratio: float,
    pressure_pa: float,
    wind_m_s: float = 0.0,
) -> bool:
    """Whether a stage in this air works beyond its performance map, whose edge then stands in.

    Parameters
    ----------
    stage : int
        Which stage, from 0.
    outdoor_c : float
        Outdoor dry bulb. [degC]
    entering_c : float
        Entering dry bulb. [degC]
    entering_humidity_ratio : float
        Entering humidity ratio. [kg/kg dry air]
    wind_m_s : float, optional
        Wind at the condenser. [m/s]

    Returns
    -------
    bool
        True beyond the map; for a dry coil by the wet bulb at which the map is really read.
    """
    thin = thin_air(tables, pressure_pa)
    air = _coil_air(
        tables, thin, outdoor_c, entering_c, entering_humidity_ratio, pressure_pa, wind_m_s
    )
    _, _, _, condenser_c, map_wet_bulb_c = _stage_on_coil(tables, stage, air)
    return beyond_map(tables.map, condenser_c, map_wet_bulb_c)


@njit(cache=True, nogil=True)
def _within_limit(
    tables: CoolerTables,
    net_sensible_w: float,
    latent_w: float,
    power_w: float,
    duty: float,
    high_fraction: float,
    fan_power_w: float,
    power_limit_w: float,
) -> CoolerStep:
    """Step of a running cooler, cut off part-way through when the bus cannot feed it to the end."""
    bus_power_w = power_w / tables.supply_efficiency + tables.supply_idle_w
    share = 1.0
    if bus_power_w > power_limit_w:
        share = max(power_limit_w, 0.0) / bus_power_w
        bus_power_w = max(power_limit_w, 0.0)
    return CoolerStep(
        share * net_sensible_w,
        share * latent_w,
        share * power_w,
        bus_power_w,
        share * duty,
        high_fraction,
        share * fan_power_w,
    )


@njit(cache=True, nogil=True)
def fan_only(tables: CoolerTables, power_limit_w: float = math.inf) -> CoolerStep:
    """Step in which only the indoor fan and the electronics run, the fan's heat in the cabin.

    Parameters
    ----------
    power_limit_w : float, optional
        Bus power that may be drawn, as a mean over the step. [W]

    Returns
    -------
    CoolerStep
        The fan's heat as negative sensible cooling; without a cooler, nothing.
    """
    fan_w = tables.fan_power_w
    if len(tables.gross_capacity_w) == 0:
        return CoolerStep(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    power_w = fan_w + tables.standby_w
    return _within_limit(tables, -fan_w, 0.0, power_w, 0.0, 0.0, fan_w, power_limit_w)


@njit(cache=True, nogil=True)
def _resting(tables: CoolerTables, power_limit_w: float) -> CoolerStep:
    """Step of a cooler that is switched on and has nothing to do."""
    if tables.standby_w <= 0.0:
        return CoolerStep(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    return _within_limit(tables, 0.0, 0.0, tables.standby_w, 0.0, 0.0, 0.0, power_limit_w)


@njit(cache=True, nogil=True)
def _shared_power(
    variable_speed: bool,
    share: float,
    lower_total_w: float,
    lower_w: float,
    upper_total_w: float,
    upper_w: float,
) -> float:
    """Power part-way from one stage to the next: by time, or by efficiency at variable speed."""
    if variable_speed and min(lower_total_w, lower_w, upper_total_w, upper_w) > 0.0:
        lower_cop = lower_total_w / lower_w
        cop = lower_cop + share * (upper_total_w / upper_w - lower_cop)
        return (lower_total_w + share * (upper_total_w - lower_total_w)) / cop
    return lower_w + share * (upper_w - lower_w)


@njit(cache=True, nogil=True)
def meet_load(
    tables: CoolerTables,
    lowest: int,
    highest: int,
    needed_sensible_w: float,
    outdoor_c: float,
    entering_c: float,
    entering_humidity_ratio: float,
    pressure_pa: float,
    power_limit_w: float,
    wind_m_s: float = 0.0,
) -> CoolerStep:
    """Run the allowed stages so that the net sensible cooling is what is needed, if they can.

    Parameters
    ----------
    lowest, highest : int
        Allowed stages from 0, both included; ``highest < lowest`` allows none.
    needed_sensible_w : float
        Net sensible cooling that holds the set point, as a mean over the step. [W]
    outdoor_c : float
        Outdoor dry bulb. [degC]
    entering_c : float
        Dry bulb of the cabin air. [degC]
    entering_humidity_ratio : float
        Humidity ratio of the cabin air. [kg/kg dry air]
    power_limit_w : float
        Bus power that may be drawn, as a mean over the step; infinite without a limit. [W]
    wind_m_s : float, optional
        Wind at the condenser. [m/s]

    Returns
    -------
    CoolerStep
        Means over the step. Net sensible cooling is exactly what is needed unless the highest
        stage or the power limit falls short of it.

    Notes
    -----
    Below the lowest stage's capacity the cooler cycles: PLR is needed over available cooling,
    the run-time fraction PLR / (1 - Cd (1 - PLR)). Compressor and both fans draw power by run time;
    latent cooling goes by PLR. A fan that is always on runs the whole step, and the coil carries
    its heat: PLR is then (needed + fan) / (available + fan), and the compressor keeps running for
    the fan's heat alone down to a need of -fan. The ducts take their part of the gross cooling;
    the fan's heat stays whole. While the compressor rests the standby power is drawn.

    Between two stages they share the time and nothing is lost by cycling; at variable speed the
    net total coefficient of performance is linear between them instead.

    The supply's idle power is drawn over the whole step in which the cooler runs at all. When the
    limit binds, everything stops for the rest of the step: all means shrink alike.
    """
    thin = thin_air(tables, pressure_pa)
    return meet_load_in(
        tables, thin, lowest, highest, needed_sensible_w, outdoor_c, entering_c,
        entering_humidity_ratio, pressure_pa, power_limit_w, wind_m_s,
    )  # fmt: skip


@merged
def meet_load_in(
    tables: CoolerTables,
    thin: ThinAir,
    lowest: int,
    highest: int,
    needed_sensible_w: float,
    outdoor_c: float,
    entering_c: float,
    entering_humidity_ratio: float,
    pressure_pa: float,
    power_limit_w: float,
    wind_m_s: float,
) -> CoolerStep:
    """Do what :func:`meet_load` says, with `thin_air` of the same pressure at hand."""
    fan_w = tables.fan_power_w
    if highest < lowest or len(tables.gross_capacity_w) == 0:
        return CoolerStep(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    if tables.fan_always_on:
        if needed_sensible_w <= -fan_w:
            return fan_only(tables, power_limit_w)
    elif needed_sensible_w <= 0.0:
        return _resting(tables, power_limit_w)
    air = _coil_air(
        tables, thin, outdoor_c, entering_c, entering_humidity_ratio, pressure_pa, wind_m_s
    )
    sensible_w, latent_w, power_w = 0.0, 0.0, 0.0
    for stage in range(lowest, highest + 1):
        upper_sensible_w, upper_latent_w, upper_w = _full_load(tables, stage, air)
        if needed_sensible_w < upper_sensible_w and stage == lowest:
            resting_w = fan_w if tables.fan_always_on else 0.0
            part_load = (needed_sensible_w + resting_w) / (upper_sensible_w + resting_w)
            run_time = part_load / (1.0 - tables.degradation_coefficient * (1.0 - part_load))
            return _within_limit(
                tables,
                needed_sensible_w,
                upper_latent_w * part_load,
                resting_w + (upper_w - resting_w) * run_time + tables.standby_w * (1.0 - run_time),
                run_time,
                0.0,
                fan_w if tables.fan_always_on else fan_w * run_time,
                power_limit_w,
            )
        if needed_sensible_w < upper_sensible_w:
            share = (needed_sensible_w - sensible_w) / (upper_sensible_w - sensible_w)
            shared_w = _shared_power(
                tables.variable_speed,
                share,
                sensible_w + latent_w,
                power_w,
                upper_sensible_w + upper_latent_w,
                upper_w,
            )
            high_fraction = share if stage == lowest + 1 else 1.0
            if tables.variable_speed:
                high_fraction = (stage - 1 - lowest + share) / (highest - lowest)
            return _within_limit(
                tables,
                needed_sensible_w,
                latent_w + share * (upper_latent_w - latent_w),
                shared_w,
                1.0,
                high_fraction,
                fan_w,
                power_limit_w,
            )
        sensible_w, latent_w, power_w = upper_sensible_w, upper_latent_w, upper_w
    high_fraction = 1.0 if highest > lowest else 0.0
    return _within_limit(
        tables, sensible_w, latent_w, power_w, 1.0, high_fraction, fan_w, power_limit_w
    )
