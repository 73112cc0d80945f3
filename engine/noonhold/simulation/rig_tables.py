"""The tables of the time loop that follow from a rig and a step alone, whatever it meets."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from noonhold.cooling.cooler_tables import CoolerTables, cooler_tables
from noonhold.electricity.arrays import ArrayTables, array_tables
from noonhold.electricity.battery import BatteryTables, battery_tables
from noonhold.envelope.network import NetworkTables, network_tables
from noonhold.rig import Rig


@dataclass(frozen=True)
class RigTables:
    """A rig as the time loop reads it.

    Parameters
    ----------
    network, cooler, arrays, battery
        Its tables; shared by runs and never changed.
    """

    network: NetworkTables
    cooler: CoolerTables
    arrays: ArrayTables
    battery: BatteryTables


TableFactory = Callable[[Rig, int], RigTables]


def rig_tables(rig: Rig, step_s: int) -> RigTables:
    """Make a rig's tables.

    Parameters
    ----------
    step_s : int
        Step of the time loop. [s]

    Returns
    -------
    RigTables
        Functions of both arguments alone: a caller may keep them and hand them out again for an
        equal rig.

    Raises
    ------
    DocumentError
        Where the cooler's rated point is one that no coil can have.
    """
    return RigTables(
        network=network_tables(rig, float(step_s)),
        cooler=cooler_tables(rig.cooler),
        arrays=array_tables(rig),
        battery=battery_tables(rig.battery),
    )
