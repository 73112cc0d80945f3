"""Tables of rigs, kept so that a rig that is asked about again is not laid out again."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock
from typing import Final

from engine.rig import Rig
from engine.rig_tables import RigTables, rig_tables

# A rig's tables are some 20 kB, and its request brought it within the size of a body.
MOST_KEPT: Final = 256


class TablesCache:
    """The tables of the rigs last asked about, by the rig itself and the step.

    Parameters
    ----------
    most : int, optional
        How many rigs are kept; the one longest unused goes first.
    """

    def __init__(self, most: int = MOST_KEPT) -> None:
        self.most = most
        self._tables: OrderedDict[tuple[Rig, int], RigTables] = OrderedDict()
        self._lock = Lock()

    def make(self, rig: Rig, step_s: int) -> RigTables:
        """Return a rig's tables, from memory where an equal rig had the same step.

        Parameters
        ----------
        rig : Rig
            The rig.
        step_s : int
            Step of the time loop. [s]

        Returns
        -------
        RigTables
            Shared between requests and never changed.

        Raises
        ------
        DocumentError
            As :func:`engine.rig_tables.rig_tables` raises it.
        """
        key = (rig, step_s)
        with self._lock:
            if key in self._tables:
                self._tables.move_to_end(key)
                return self._tables[key]
        # Two threads may lay out the same rig at once; that is rarer than waiting would be costly.
        tables = rig_tables(rig, step_s)
        with self._lock:
            self._tables[key] = tables
            self._tables.move_to_end(key)
            while len(self._tables) > self.most:
                self._tables.popitem(last=False)
        return tables

    def __len__(self) -> int:
        """Return the number of rigs kept."""
        return len(self._tables)
