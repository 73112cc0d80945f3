"""Sobol indices: against a function whose indices are known, and against scipy's estimate."""

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from noonhold.studies.uncertainty.sobol import (
    Indices,
    crossed,
    is_power_of_two,
    sobol_indices,
    two_samples,
)

FloatArray = npt.NDArray[np.float64]


def ishigami(points: FloatArray) -> FloatArray:
    """Ishigami and Homma 1990 with a = 7, b = 0.1, on the unit cube."""
    x = np.pi * (2.0 * points - 1.0)
    result: FloatArray = (
        np.sin(x[..., 0]) + 7.0 * np.sin(x[..., 1]) ** 2 + 0.1 * x[..., 2] ** 4 * np.sin(x[..., 0])
    )
    return result


def estimated(count: int, seed: int = 3) -> Indices:
    a, b = two_samples(3, count, seed)
    found = sobol_indices(ishigami(a), ishigami(b), ishigami(crossed(a, b)))
    assert found is not None
    return found


def test_indices_of_ishigami() -> None:
    """A. Saltelli et al., Global Sensitivity Analysis: The Primer, 2008: analytic indices.

    With V1 = (1 + b π⁴/5)²/2, V2 = a²/8, V13 = 8 b² π⁸/225.
    """
    v1, v2 = 0.5 * (1.0 + 0.1 * np.pi**4 / 5.0) ** 2, 49.0 / 8.0
    v13 = 8.0 * 0.01 * np.pi**8 / 225.0
    whole = v1 + v2 + v13
    assert [v1 / whole, v2 / whole] == pytest.approx([0.3139, 0.4424], abs=5e-5)  # as printed
    found = estimated(4096)
    assert found.first == pytest.approx([v1 / whole, v2 / whole, 0.0], abs=0.02)
    assert found.total == pytest.approx([(v1 + v13) / whole, v2 / whole, v13 / whole], abs=0.02)
    assert (found.total_range[0] < found.total).all()
    assert (found.total < found.total_range[1]).all()


def test_more_rows_come_closer() -> None:
    truth = np.array([0.5576, 0.4424, 0.2437])
    few, many = (np.abs(estimated(n).total - truth).max() for n in (64, 4096))
    assert many < few


def test_estimate_is_that_of_scipy() -> None:
    a, b = two_samples(3, 256, 1)
    f_a, f_b, f_ab = ishigami(a), ishigami(b), ishigami(crossed(a, b))
    own = sobol_indices(f_a, f_b, f_ab)
    assert own is not None
    theirs = stats.sobol_indices(
        func={"f_A": f_a[None], "f_B": f_b[None], "f_AB": f_ab[:, None]}, n=256
    )
    assert own.first == pytest.approx(theirs.first_order, abs=1e-12)
    assert own.total == pytest.approx(theirs.total_order, abs=1e-12)


def test_what_does_not_vary_has_no_indices() -> None:
    assert sobol_indices(np.full(8, 0.1), np.full(8, 0.1), np.full((2, 8), 0.1)) is None


def test_points_of_a_seed_are_always_the_same() -> None:
    assert np.array_equal(two_samples(4, 32, 7), two_samples(4, 32, 7))
    assert not np.array_equal(two_samples(4, 32, 7), two_samples(4, 32, 8))


@given(st.integers(1, 12), st.sampled_from([1, 2, 16, 64, 256]), st.integers(0, 99))
def test_every_column_is_balanced(inputs: int, count: int, seed: int) -> None:
    for sample in two_samples(inputs, count, seed):
        assert sample.shape == (count, inputs)
        for column in sample.T:
            # One point in each of as many equal parts as there are points.
            assert sorted((column * count).astype(int)) == list(range(count))


def test_a_count_that_is_no_power_of_two_is_refused() -> None:
    assert not is_power_of_two(100)
    with pytest.raises(ValueError, match="power of two"):
        two_samples(3, 100, 0)


def test_crossed_takes_one_column_from_the_other() -> None:
    a, b = np.zeros((2, 3)), np.ones((2, 3))
    assert crossed(a, b).sum(axis=(1, 2)).tolist() == [2.0, 2.0, 2.0]
    assert crossed(a, b)[1].tolist() == [[0.0, 1.0, 0.0]] * 2
