"""Sums become means, and firsts and peaks are noted once."""

import numpy as np
import pytest

from noonhold.simulation import channels as ch
from noonhold.simulation.record import close_row, note_comfort, note_energy, open_row
from noonhold.simulation.thermostat import BY_ENERGY


def row() -> np.ndarray:
    out = np.full(len(ch.CHANNELS), 7.0)
    open_row(out, 1234.0)
    return out


def test_a_row_opens_empty() -> None:
    out = row()
    assert out[ch.STORED_LOWEST] == 1234.0
    assert out[[ch.COMFORT_PEAK, ch.COMFORT_PEAK_WINDOW]].tolist() == [-np.inf, -np.inf]
    firsts = [
        ch.FIRST_DISCOMFORT, ch.FIRST_RESERVE, ch.FIRST_SHORTAGE, ch.FIRST_UNMET,
        ch.FIRST_AT_SET_POINT, ch.COOLING_SPARE,
    ]  # fmt: skip
    assert np.isnan(out[firsts]).all()
    special = [ch.STORED_LOWEST, ch.COMFORT_PEAK, ch.COMFORT_PEAK_WINDOW, *firsts]
    assert (np.delete(out, special) == 0.0).all()


def test_firsts_are_the_first_and_peaks_the_highest() -> None:
    out = row()
    # second, measure, comfortable, in the window, judged, stopped, held back, met, state
    steps = [
        (0.0, 31.0, False, False, False, True, True, True, 4),
        (300.0, 30.0, False, True, False, False, False, False, 4),
        (600.0, 28.0, False, True, True, True, True, False, 1),
        (900.0, 29.0, False, True, True, True, False, True, 4),
        (1200.0, 25.0, True, True, True, False, True, False, 4),
    ]
    for second, *rest in steps:
        note_comfort(out, second, 300.0, *rest)
    assert out[ch.FIRST_DISCOMFORT] == out[ch.FIRST_SHORTAGE] == 600.0
    assert out[ch.FIRST_AT_SET_POINT] == 900.0  # not the one outside the window
    assert out[ch.DISCOMFORT_STATE] == BY_ENERGY
    assert (out[ch.COMFORT_PEAK], out[ch.COMFORT_PEAK_WINDOW]) == (29.0, 30.0)
    times = [out[c] for c in (ch.WINDOW_S, ch.JUDGED_S, ch.COMFORTABLE_S, ch.RESERVE_S)]
    assert times == [1200.0, 900.0, 300.0, 900.0]


def test_a_row_closes_on_means_and_leaves_seconds_and_stores() -> None:
    out = row()
    summed = [*range(ch.STORED), *range(ch.SOLAR_IN, ch.STORED_HEAT_CHANGE)]
    summed += [ch.OUTDOOR_AIRFLOW, ch.COMFORT, ch.INCIDENT_ARRAYS]
    summed += range(ch.WATER_EXCHANGE, ch.WATER_STORED)
    out[summed] = 36.0
    out[ch.WINDOW_S] = 3600.0
    close_row(out, 12, 900.0, -5.0, 0.25)
    assert (out[summed] == 3.0).all()
    assert out[ch.WINDOW_S] == 3600.0
    assert out[ch.STORED] == 900.0
    assert out[ch.STORED_HEAT_CHANGE] == -5.0
    assert out[ch.WATER_STORED] == 0.25
    assert out[ch.STORED_LOWEST] == pytest.approx(1234.0)


def test_the_reserve_is_met_within_the_step_in_which_the_store_comes_down_to_it() -> None:
    out = row()
    note_energy(out, 0.0, 300.0, 1234.0, 1100.0, 1000.0, 0.0)
    assert np.isnan(out[ch.FIRST_RESERVE])
    note_energy(out, 300.0, 300.0, 1100.0, 900.0, 1000.0, 5.0)
    note_energy(out, 600.0, 300.0, 900.0, 800.0, 1000.0, 7.0)
    assert out[ch.FIRST_RESERVE] == 450.0
    assert out[ch.FIRST_UNMET] == 300.0
    assert out[ch.STORED_LOWEST] == 800.0


def test_a_store_that_begins_at_its_reserve_is_there_at_once() -> None:
    out = row()
    note_energy(out, 0.0, 300.0, 1000.0, 1100.0, 1000.0, 0.0)
    assert out[ch.FIRST_RESERVE] == 0.0
    assert np.isnan(out[ch.FIRST_UNMET])
