"""The searches find what a look at every candidate finds, and try what they report."""

from hypothesis import given
from hypothesis import strategies as st

from noonhold.studies.sizing.threshold_search import first_rows, smallest, smallest_scanned


@given(st.integers(1, 60), st.integers(0, 60))
def test_bisection_finds_the_first_that_passes(count: int, first: int) -> None:
    tried: list[int] = []

    def passes(index: int) -> bool:
        tried.append(index)
        return index >= first

    found = smallest(count, passes)
    assert found == (first if first < count else None)
    assert len(tried) <= 8
    if found is not None:
        assert {found, found - 1} - {-1} <= set(tried)


@given(st.integers(1, 200), st.integers(0, 200))
def test_the_scan_finds_the_first_where_all_larger_ones_pass_too(count: int, first: int) -> None:
    values = [10.0 * (k + 1) for k in range(count)]
    found = smallest_scanned(values, lambda index: index >= first)
    assert found == (first if first < count else None)


@given(st.integers(1, 80), st.integers(0, 79), st.integers(0, 79))
def test_what_the_scan_finds_passes_and_the_one_before_fails(
    count: int, first: int, last: int
) -> None:
    values = [100.0 + 7.0 * k for k in range(count)]
    tried: dict[int, bool] = {}

    def passes(index: int) -> bool:
        tried[index] = first <= index <= last
        return tried[index]

    found = smallest_scanned(values, passes)
    if found is not None:
        assert tried[found]
        assert found == 0 or not tried[found - 1]


def test_a_scan_finds_a_window_that_bisection_would_miss() -> None:
    values = [500.0 + 100.0 * k for k in range(146)]
    window = range(5, 12)
    assert smallest(len(values), lambda index: index in window) is None
    assert smallest_scanned(values, lambda index: index in window) == 5


@given(st.lists(st.integers(0, 12), min_size=1, max_size=12), st.integers(1, 12))
def test_the_border_is_found_and_walked_on_both_sides(firsts: list[int], rows: int) -> None:
    tried: set[tuple[int, int]] = set()

    def passes(row: int, column: int) -> bool:
        tried.add((row, column))
        return row >= firsts[column]

    found = first_rows(rows, len(firsts), passes)
    assert found == tuple(first if first < rows else None for first in firsts)
    for column, row in enumerate(found):
        last_failing = rows - 1 if row is None else row - 1
        assert row is None or (row, column) in tried
        assert last_failing < 0 or (last_failing, column) in tried


def test_a_smooth_border_of_twelve_by_twelve_takes_few_trials() -> None:
    tried: set[tuple[int, int]] = set()

    def passes(row: int, column: int) -> bool:
        tried.add((row, column))
        return row + column >= 11

    assert first_rows(12, 12, passes) == tuple(range(11, -1, -1))
    assert len(tried) <= 40
