import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.weather.gaps import bridge, describe_runs, gap_note, missing_runs


def test_runs_in_an_open_and_in_a_cyclic_series():
    missing = np.array([True, False, True, True, False, True])
    assert missing_runs(missing, cyclic=False) == [(0, 1), (2, 2), (5, 1)]
    assert missing_runs(missing, cyclic=True) == [(2, 2), (5, 2)]
    assert missing_runs(np.ones(3, bool), cyclic=True) == [(0, 3)]
    assert missing_runs(np.zeros(3, bool), cyclic=True) == []


@given(st.lists(st.booleans(), min_size=1, max_size=40), st.booleans())
def test_runs_cover_what_is_missing_and_nothing_else(flags, cyclic):
    missing = np.array(flags)
    covered = np.zeros(len(flags), int)
    for first, count in missing_runs(missing, cyclic):
        covered[(first + np.arange(count)) % len(flags)] += 1
    assert np.array_equal(covered, missing.astype(int))


def test_an_open_series_holds_at_its_ends_and_a_cyclic_one_joins():
    values = np.array([np.nan, 2.0, np.nan, 4.0, np.nan])
    assert bridge(values, cyclic=False) == pytest.approx([2.0, 2.0, 3.0, 4.0, 4.0])
    # From 4 in the fourth place over two missing ones to 2 in the second.
    assert bridge(values, cyclic=True) == pytest.approx([8 / 3, 2.0, 3.0, 4.0, 10 / 3])


@given(
    st.lists(st.one_of(st.none(), st.floats(-50, 50)), min_size=2, max_size=30).filter(
        lambda values: any(value is not None for value in values)
    ),
    st.booleans(),
)
def test_bridging_keeps_what_is_known_and_stays_between(values, cyclic):
    series = np.array([np.nan if value is None else value for value in values])
    known = ~np.isnan(series)
    filled = bridge(series, cyclic)
    assert np.array_equal(filled[known], series[known])
    assert filled.min() >= series[known].min() - 1e-9
    assert filled.max() <= series[known].max() + 1e-9


def test_the_words():
    assert gap_note("ghi", [(3, 2), (9, 1)], 1800, "filled") == "ghi: 1.5 h in 2 gaps filled"
    lines = np.arange(20)
    runs = [(0, 4), (5, 4), (10, 4), (15, 4)]
    assert describe_runs(runs, lines, "row", 3600) == (
        "rows 0-3 (4 h), rows 5-8 (4 h), rows 10-13 (4 h) and 1 more"
    )
