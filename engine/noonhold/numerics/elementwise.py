"""One decorator: a function of floats becomes a function of arrays."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Protocol, cast

import numba
import numpy as np
import numpy.typing as npt


class Elementwise(Protocol):
    """A function over arrays that broadcasts its arguments, as numpy's ufuncs do."""

    def __call__(self, *arguments: npt.ArrayLike) -> npt.NDArray[np.float64]:
        """Return the function of every element."""
        ...


def elementwise(scalar: Callable[..., float]) -> Elementwise:
    """Let a function of floats run over broadcast arrays.

    Parameters
    ----------
    scalar : callable
        Function of floats, to a float. What it calls may be compiled.

    Returns
    -------
    callable
        The same function over arrays of any shapes that broadcast. Scalars give a numpy float;
        pandas and xarray objects keep their labels where it is compiled.

    Notes
    -----
    Compiled for the types of a first call and cached on disk. Under ``NUMBA_DISABLE_JIT=1`` a
    numba ufunc would still be compiled, and fail on the plain functions that it calls, so there
    it is numpy's loop over the plain function: the same numbers, slowly.
    """
    # numba sets its options at run time and annotates none of them, nor vectorize.
    untyped = cast(Any, numba)
    if untyped.config.DISABLE_JIT:
        loop = np.vectorize(scalar, otypes=[np.float64])

        @wraps(scalar)
        def interpreted(*arguments: npt.ArrayLike) -> npt.NDArray[np.float64]:
            # A comparison with NaN raises the processor's flag.
            with np.errstate(invalid="ignore"):
                return cast(npt.NDArray[np.float64], loop(*arguments)[()])

        return interpreted

    ufunc = untyped.vectorize(cache=True)(scalar)

    @wraps(scalar)
    def compiled(*arguments: npt.ArrayLike) -> npt.NDArray[np.float64]:
        # numba finds no element type in a list or a tuple.
        typed = [np.asarray(a) if isinstance(a, list | tuple) else a for a in arguments]
        # NaN passes through; whether comparing it raises the flag is the compiler's choice.
        with np.errstate(invalid="ignore"):
            return cast(npt.NDArray[np.float64], ufunc(*typed))

    return compiled
