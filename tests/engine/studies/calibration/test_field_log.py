"""Logs on the even grid: what was read is neither moved, doubled nor made up."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.studies.calibration.field_log import (
    GRID_S,
    FieldLog,
    log_pieces,
    means_over,
    readings_at,
    to_celsius,
)

FIRST = np.datetime64("2026-01-20T18:00:00", "s")


def log_of(step_s: float, count: int, **columns: np.ndarray) -> FieldLog:
    seconds = (np.arange(count) * step_s).astype("timedelta64[s]")
    rows = {
        "outdoor_temperature_c": np.linspace(20.0, 30.0, count),
        "cabin_temperature_c": np.linspace(25.0, 35.0, count),
    }
    return FieldLog(FIRST + seconds, 0.0, rows | columns)


def test_fahrenheit() -> None:
    # 32 degF is 0 degC and 212 degF is 100 degC by definition; the scales meet at -40.
    assert to_celsius(np.array([32.0, 212.0, -40.0])) == pytest.approx([0.0, 100.0, -40.0])


def test_fine_readings_are_averaged_about_the_moment() -> None:
    seconds = np.arange(0.0, 1800.0, 60.0)
    grid = np.arange(0.0, 1800.0, 300.0)
    # On a straight line the mean about a moment is its value; the first has rows on one side only.
    at = readings_at(seconds, seconds, grid)
    assert at[1:] == pytest.approx(grid[1:])
    assert at[0] == pytest.approx(60.0)


def test_coarse_readings_leave_moments_empty() -> None:
    at = readings_at(np.array([0.0, 900.0]), np.array([5.0, 7.0]), np.arange(0.0, 1200.0, 300.0))
    assert at == pytest.approx([5.0, np.nan, np.nan, 7.0], nan_ok=True)


@given(
    st.lists(st.floats(0.0, 2000.0), min_size=8, max_size=40),
    st.sampled_from([60.0, 100.0, 150.0, 300.0, 600.0, 900.0]),
)
def test_means_keep_the_energy(values: list[float], step_s: float) -> None:
    seconds = np.arange(len(values)) * step_s
    count = int(seconds[-1] // GRID_S)
    grid = np.arange(count + 1) * float(GRID_S)
    mean, span = means_over(seconds, np.array(values), grid, 2.0 * step_s)
    inside = np.interp(grid[-1], seconds, np.cumsum(values) * step_s) - values[0] * step_s
    assert np.nansum(mean) * GRID_S == pytest.approx(inside, abs=1e-6 * max(inside, 1.0))
    assert (span[span > 0] == max(round(step_s / GRID_S), 1)).all()


def test_a_row_after_a_gap_speaks_only_of_its_own_time() -> None:
    seconds = np.array([0.0, 300.0, 600.0, 6000.0, 6300.0])
    grid = np.arange(0.0, 6301.0, 300.0)
    mean, span = means_over(seconds, np.full(5, 100.0), grid, 600.0)
    assert np.isnan(mean[2:18]).all()
    assert mean[[0, 1, 18, 19, 20]] == pytest.approx(100.0)
    assert span[19] == 2


def test_a_log_stays_whole_over_short_gaps_and_is_cut_by_long_ones() -> None:
    outdoor = np.linspace(20.0, 30.0, 289)
    outdoor[50:80] = np.nan  # 2.5 h
    (piece,) = log_pieces(log_of(300.0, 289, outdoor_temperature_c=outdoor))
    assert len(piece) == 288
    assert piece.bridged == 30
    assert piece.rows["outdoor_temperature_c"] == pytest.approx(np.linspace(20, 30, 289)[1:])
    outdoor[150:200] = np.nan  # over 4 h
    first, second = log_pieces(log_of(300.0, 289, outdoor_temperature_c=outdoor))
    assert len(first) == 149
    assert second.start == FIRST + np.timedelta64(200 * 300, "s")
    assert second.opening["cabin_temperature_c"] == pytest.approx(25.0 + 10.0 * 200 / 288)


def test_a_piece_begins_where_the_cabin_is_known() -> None:
    cabin = np.linspace(25.0, 35.0, 289)
    cabin[:13] = np.nan
    (piece,) = log_pieces(log_of(300.0, 289, cabin_temperature_c=cabin))
    assert piece.start == FIRST + np.timedelta64(13 * 300, "s")
    assert piece.opening["cabin_temperature_c"] == cabin[13]


def test_rows_off_the_grid_count_for_the_nearest_moment() -> None:
    log = log_of(900.0, 97)
    moved = FieldLog(log.times + np.timedelta64(70, "s"), 0.0, log.columns)
    (piece,) = log_pieces(moved)
    assert piece.start.astype(np.int64) % GRID_S == 0
    known = ~np.isnan(piece.rows["cabin_temperature_c"])
    assert known.sum() in (95, 96)


def test_short_pieces_are_left_out() -> None:
    assert log_pieces(log_of(300.0, 20)) == ()
