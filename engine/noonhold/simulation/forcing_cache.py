"""Sun and weather on the rig, computed once for all runs that share what they depend on."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace

from noonhold.rig import Rig
from noonhold.scenario import Place
from noonhold.simulation.forcing import ForcingTables


def forcing_key(rig: Rig, place: Place) -> Hashable:
    """Return everything of rig and place that sun and weather on the rig depend on.

    Parameters
    ----------
    rig : Rig
        For its faces, glass, awnings and the aims of its arrays.
    place : Place
        For its heading, ground, terrain, horizon and clock.

    Returns
    -------
    tuple
        Equal keys under the same weather mean the same
        :class:`noonhold.simulation.forcing.ForcingTables`.
    """
    shell = rig.shell
    panels = tuple(
        (p.tilt_deg, p.azimuth_from_front_deg, p.exposed_to, p.extent) for p in shell.panels
    )
    # The angular curve of a glass follows from all that is said of the glass; covers have no part.
    windows = tuple(replace(w, name="", area_m2=0.0, covers=()) for w in shell.windows)
    arrays = tuple(
        (
            a.tilt_deg,
            a.azimuth_from_front_deg,
            a.folding,
            a.aims,
            a.mirrored_south,
            (a.obstacles, a.width_m, a.length_m, a.bypass_strips) if a.obstacles else (),
        )
        for a in rig.arrays
    )
    # All of the place but where it is, which the weather has: its shade falls on the ground.
    stand = replace(place, latitude=0.0, longitude=0.0, elevation_m=0.0)
    return panels, windows, arrays, rig.awnings, shell.mid_height_m, stand


class ForcingCache:
    """Forcing tables by what they depend on.

    Parameters
    ----------
    most : int, optional
        How many are kept, the oldest given up first; a year of one takes some megabytes. No limit
        by default.
    """

    def __init__(self, most: int | None = None) -> None:
        self._most = most
        self._tables: dict[Hashable, ForcingTables] = {}

    def get(self, weather: Hashable, rig: Rig, place: Place) -> ForcingTables | None:
        """Return the tables of an equal run, ``None`` where there was none.

        Parameters
        ----------
        weather : hashable
            Which table of weather; unique among those that this cache is used with.
        rig, place : Rig, Place
            See :func:`forcing_key`.
        """
        return self._tables.get((weather, forcing_key(rig, place)))

    def keep(self, weather: Hashable, rig: Rig, place: Place, tables: ForcingTables) -> None:
        """Keep the tables of a run for the next; arguments as for :meth:`get`."""
        self._tables[weather, forcing_key(rig, place)] = tables
        if self._most is not None and len(self._tables) > self._most:
            del self._tables[next(iter(self._tables))]
