"""How the time loop's functions are compiled, said once.

``kernel`` is for the loop itself and what is called from Python; ``inlined`` for the small
functions it is made of: their tables are long tuples of arrays, and handing those over costs more
than the work, so the compiler writes the callee into the caller. Division follows IEEE 754 instead
of raising, which spares a branch each. Neither may allocate an array (``_nrt``): then no reference
is counted, which a step otherwise does for every array that it touches.

``merged`` is for functions that are of use by themselves and part of the loop, too: compiled like
any other, and copied by the code generator into the loop, where a call would first put every word
of their tables on the stack.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, Protocol, TypeVar, cast

from numba import njit

_Function = TypeVar("_Function", bound=Callable[..., object])


class _Decorator(Protocol):
    def __call__(self, function: _Function, /) -> _Function: ...


_njit: Final = cast(Any, njit)  # its types leave `_nrt` out

# None is handed to C, so none gets the wrapper for that.
kernel: Final[_Decorator] = _njit(
    cache=True, nogil=True, error_model="numpy", no_cfunc_wrapper=True, _nrt=False
)
inlined: Final[_Decorator] = _njit(
    cache=True, nogil=True, error_model="numpy", inline="always", _nrt=False
)
merged: Final[_Decorator] = _njit(cache=True, nogil=True, forceinline=True, no_cfunc_wrapper=True)
