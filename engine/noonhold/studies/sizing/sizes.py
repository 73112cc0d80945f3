"""A rig with another battery, array or cooler, everything that goes with the size changed alike."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from noonhold.quantities import INPUTS
from noonhold.rig import Battery, Controller, Cooler, Rig, SolarArray

# Energy that no rig can use up in a year, for telling a cooler's fault from the battery's.
UNLIMITED_WH: Final = 1e9


@dataclass(frozen=True)
class Size:
    """What is being sized.

    Parameters
    ----------
    battery_wh : float
        Usable energy. [Wh]
    array_w : float or None
        Rated power of the array in question; ``None`` where none is in question. [W]
    cooler_factor : float
        Capacity, power and air flow of the cooler over those of the rig as given.
    """

    battery_wh: float
    array_w: float | None = None
    cooler_factor: float = 1.0


class Reserve(StrEnum):
    """What of the battery's reserve stays as the battery grows, and of the charge to restart."""

    ENERGY = "energy"  # its watt-hours
    SHARE = "share"  # its share of the battery


@dataclass(frozen=True)
class Scaling:
    """What grows with a size.

    Parameters
    ----------
    array : str or None
        Name of the array in question.
    battery_limits : bool
        The battery's power limits grow with its energy, as with more of the same cells.
    controller_limits : bool
        A charge controller's limit grows with the rated power it serves.
    reserve : Reserve
        What of the battery's reserve stays.
    """

    array: str | None = None
    battery_limits: bool = True
    controller_limits: bool = True
    reserve: Reserve = Reserve.ENERGY


def size_of(rig: Rig, scaling: Scaling) -> Size:
    """Return the size a rig has.

    Parameters
    ----------
    scaling : Scaling
        Which array is in question.

    Returns
    -------
    Size
        With a cooler factor of 1.
    """
    powers = [a.rated_power_w for a in rig.arrays if a.name == scaling.array]
    return Size(rig.battery.usable_energy_wh, powers[0] if powers else None)


def resized(rig: Rig, size: Size, scaling: Scaling) -> Rig:
    """Return a rig of another size.

    Parameters
    ----------
    rig : Rig
        As given.
    size : Size
        The size it shall have.
    scaling : Scaling
        What grows along.

    Returns
    -------
    Rig
        A rig of its own size comes back as it was.

    Notes
    -----
    An array that shades a panel covers more of it as it grows, up to the whole panel. All stages of
    a cooler, its fan and its air flow grow by one factor, so that efficiency, sensible heat ratio
    and bypass factors stay what they were.
    """
    if size == size_of(rig, scaling):
        return rig
    arrays, controllers = _arrays(rig, size.array_w, scaling)
    return replace(
        rig,
        battery=_battery(rig.battery, size.battery_wh, scaling),
        cooler=None if rig.cooler is None else _cooler(rig.cooler, size.cooler_factor),
        arrays=arrays,
        controllers=controllers,
    )


def with_unlimited_energy(rig: Rig) -> Rig:
    """Return a rig whose battery always gives what the cooler asks for.

    Returns
    -------
    Rig
        Without reserve, power limits or temperature limits; what still fails is the cooler's.
    """
    battery = replace(
        rig.battery,
        usable_energy_wh=UNLIMITED_WH,
        max_charge_w=float("inf"),
        max_discharge_w=float("inf"),
        reserve_fraction=0.0,
        recovery_fraction=0.0,
        charge_temperature_c=(-273.15, 1000.0),
        discharge_temperature_c=(-273.15, 1000.0),
    )
    return replace(rig, battery=battery)


def panel_outgrown(rig: Rig, size: Size, scaling: Scaling) -> bool:
    """Tell whether the array of a size is larger than the panel it lies on.

    Parameters
    ----------
    rig : Rig
        As given.
    scaling : Scaling
        Which array is in question.

    Returns
    -------
    bool
        False for an array that shades no panel.
    """
    if size.array_w is None:
        return False
    areas = {panel.name: panel.area_m2 for panel in rig.shell.panels}
    for array in rig.arrays:
        if array.name == scaling.array and array.shades_panel in areas:
            grown = array.area_m2 * size.array_w / array.rated_power_w
            return grown > areas[array.shades_panel] * 1.0001
    return False


def _battery(battery: Battery, energy_wh: float, scaling: Scaling) -> Battery:
    factor = energy_wh / battery.usable_energy_wh
    limits = factor if scaling.battery_limits else 1.0
    reserve, recovery = battery.reserve_fraction, battery.recovery_fraction
    if scaling.reserve is Reserve.ENERGY:
        # Of a battery hardly larger than its reserve all that a rig may have is reserve.
        reserve = min(reserve / factor, INPUTS["reserve_fraction"].upper)
        recovery = min(recovery / factor, 1.0 - reserve)
    return replace(
        battery,
        usable_energy_wh=energy_wh,
        max_charge_w=battery.max_charge_w * limits,
        max_discharge_w=battery.max_discharge_w * limits,
        reserve_fraction=reserve,
        recovery_fraction=recovery,
    )


def _cooler(cooler: Cooler, factor: float) -> Cooler:
    stages = tuple(
        replace(stage, cooling_w=stage.cooling_w * factor, power_w=stage.power_w * factor)
        for stage in cooler.stages
    )
    return replace(
        cooler,
        stages=stages,
        airflow_m3_h=cooler.airflow_m3_h * factor,
        condenser_airflow_m3_h=(
            None
            if cooler.condenser_airflow_m3_h is None
            else cooler.condenser_airflow_m3_h * factor
        ),
        fan_power_w=cooler.fan_power_w * factor,
    )


def _arrays(
    rig: Rig, rated_w: float | None, scaling: Scaling
) -> tuple[tuple[SolarArray, ...], tuple[Controller, ...]]:
    if rated_w is None:
        return rig.arrays, rig.controllers
    areas = {panel.name: panel.area_m2 for panel in rig.shell.panels}

    def grown(array: SolarArray) -> SolarArray:
        if array.name != scaling.array:
            return array
        area = array.area_m2 * rated_w / array.rated_power_w
        area = min(area, areas.get(array.shades_panel, area))
        return replace(array, rated_power_w=rated_w, area_m2=area)

    arrays = tuple(grown(array) for array in rig.arrays)

    def limited(controller: Controller) -> Controller:
        before = sum(a.rated_power_w for a in rig.arrays if a.controller == controller.name)
        after = sum(a.rated_power_w for a in arrays if a.controller == controller.name)
        if not scaling.controller_limits or before == after:
            return controller
        return replace(controller, max_power_w=controller.max_power_w * after / before)

    return arrays, tuple(limited(controller) for controller in rig.controllers)
