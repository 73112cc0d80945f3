"""How the time loop's functions are compiled, said once.

``kernel`` is for the loop itself and what is called from Python; ``inlined`` for the small
functions it is made of: their tables are long tuples of arrays, and handing those over costs more
than the work, so the compiler writes the callee into the caller. Division follows IEEE 754 instead
of raising, which spares a branch each.
"""

from __future__ import annotations

from numba import njit

kernel = njit(cache=True, nogil=True, error_model="numpy")
inlined = njit(cache=True, nogil=True, error_model="numpy", inline="always")
