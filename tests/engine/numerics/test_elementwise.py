"""The decorator that makes a function of arrays out of a function of floats."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from noonhold.numerics.elementwise import elementwise


@elementwise
def difference(a: float, b: float) -> float:
    """Return what `a` has over `b`."""
    return a - b


def test_arguments_broadcast() -> None:
    result = difference(np.array([[1.0], [2.0]]), np.array([0.0, 1.0, 2.0]))
    np.testing.assert_array_equal(result, [[1.0, 0.0, -1.0], [2.0, 1.0, 0.0]])


def test_lists_and_integers_are_taken_at_the_first_call() -> None:
    assert difference([3, 4], 1).tolist() == [2.0, 3.0]


def test_shapes_that_do_not_broadcast_are_refused() -> None:
    with pytest.raises(ValueError, match="broadcast"):
        difference(np.ones(2), np.ones(3))


def test_labels_are_kept() -> None:
    column = pd.Series([3.0, 4.0], index=[10, 11])
    pd.testing.assert_series_equal(
        pd.Series(difference(column, 1.0)), pd.Series([2.0, 3.0], index=[10, 11])
    )


def test_the_docstring_is_kept() -> None:
    assert difference.__doc__ == "Return what `a` has over `b`."


def test_without_compilation_nan_passes_and_scalars_stay_scalars(checkout: Path) -> None:
    program = (
        "import numpy as np\n"
        "from noonhold.numerics.elementwise import elementwise\n"
        "over = elementwise(lambda a: 1.0 if a > 0.0 else a)\n"
        "print(over(2), over([np.nan, 2.0, -1.0]).tolist(), over(np.empty((0, 2))).shape)"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", program],
        capture_output=True,
        text=True,
        cwd=checkout,
        env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
        check=True,
    )
    assert done.stdout.split("\n")[0] == "1.0 [nan, 1.0, -1.0] (0, 2)"
