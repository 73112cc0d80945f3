"""A second log predicted with what a first one taught, under a model that errs."""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.errors import DocumentError
from noonhold.rig import Layer
from noonhold.studies.calibration.calibration_study import Calibration, FitOptions, calibrate
from noonhold.studies.calibration.factors import applicable
from noonhold.studies.calibration.field_log import FieldLog
from noonhold.studies.calibration.log_prediction import LogPrediction, predict_log
from noonhold.studies.calibration.log_runs import LogSetup
from noonhold.studies.calibration.log_unknowns import StartEstimate
from tests.engine.studies.field_logs import (
    RIG,
    SETUP,
    drawn_noise,
    drawn_truth,
    synthetic_log,
    weather,
)

CABIN = "cabin_temperature_c"
SEEDS = 5
MODEL_ERROR_K = 0.8  # standard deviation, and how long it lasts
LASTS_H = 3.0


def with_model_error(log: FieldLog, seed: int) -> FieldLog:
    """Return a log of a cabin that does what no factor can: an error that wanders."""
    rng = np.random.default_rng(7000 + seed)
    kept = np.exp(-np.median(np.diff(log.seconds())) / 3600.0 / LASTS_H)
    error = np.empty(len(log.times))
    error[0] = rng.standard_normal()
    for row in range(1, len(error)):
        error[row] = kept * error[row - 1] + np.sqrt(1.0 - kept**2) * rng.standard_normal()
    cabin = log.columns[CABIN] + MODEL_ERROR_K * error
    return replace(log, columns={**log.columns, CABIN: cabin})


def pair(seed: int) -> tuple[FieldLog, FieldLog]:
    """Return two logs of one rig: a hot clear day and a milder, cloudy one."""
    truth, noise = drawn_truth(seed), drawn_noise(seed)
    first = synthetic_log(truth, seed, noise)
    second = synthetic_log(truth, 100 + seed, noise, table=weather(0.3, 33.0))
    return with_model_error(first, seed), with_model_error(second, 100 + seed)


@pytest.fixture(scope="module")
def predictions() -> list[tuple[Calibration, LogPrediction]]:
    found = []
    for seed in range(SEEDS):
        first, second = pair(seed)
        calibration = calibrate(SETUP, first)
        found.append((calibration, predict_log(calibration, SETUP, second)))
    return found


def test_intervals_cover_what_they_say(
    predictions: list[tuple[Calibration, LogPrediction]],
) -> None:
    covered: dict[str, list[float]] = {}
    for _, prediction in predictions:
        for channel in prediction.channels:
            covered.setdefault(channel.channel, []).append(channel.covered() or 0.0)
    assert set(covered) == {CABIN, "state_of_charge", "array_power_w", "cooler_power_w"}
    for name, shares in covered.items():
        assert 0.85 <= np.mean(shares) <= 0.99, (name, shares)


def test_the_prediction_is_better_than_the_rig_as_described(
    predictions: list[tuple[Calibration, LogPrediction]],
) -> None:
    fitted, described = [], []
    for seed, (calibration, prediction) in enumerate(predictions):
        learned = calibration.learned
        ignorant = replace(learned, best=np.zeros_like(learned.best))
        without = replace(calibration, learned=ignorant)
        other = predict_log(without, SETUP, pair(seed)[1])
        fitted.append(prediction.channels[0].rmse())
        described.append(other.channels[0].rmse())
    assert np.mean(fitted) < 0.75 * np.mean(described)


def test_intervals_widen_with_the_model_s_error(
    predictions: list[tuple[Calibration, LogPrediction]],
) -> None:
    truth, noise = drawn_truth(0), drawn_noise(0)
    sure = calibrate(SETUP, synthetic_log(truth, 0, noise))
    second = synthetic_log(truth, 100, noise, table=weather(0.3, 33.0))
    narrow = predict_log(sure, SETUP, second).channels[0]
    wide = predictions[0][1].channels[0]
    assert narrow.channel == wide.channel == CABIN
    assert np.mean(wide.high - wide.low) > 1.5 * np.mean(narrow.high - narrow.low)
    assert narrow.covered() == pytest.approx(0.95, abs=0.05)


def test_charge_is_a_share_and_watts_are_not_negative(
    predictions: list[tuple[Calibration, LogPrediction]],
) -> None:
    for channel in predictions[0][1].channels:
        assert (channel.low <= channel.predicted + 1e-9).all()
        assert (channel.predicted <= channel.high + 1e-9).all()
        if channel.channel != CABIN:
            assert (channel.low >= 0.0).all()
        if channel.channel == "state_of_charge":
            assert (channel.high <= 1.0).all()


def test_what_stands_against_the_second_log_is_refused(
    predictions: list[tuple[Calibration, LogPrediction]],
) -> None:
    second = pair(0)[1]
    cabin = second.columns[CABIN].copy()
    cabin[10] = 500.0
    broken = replace(second, columns={**second.columns, CABIN: cabin})
    with pytest.raises(DocumentError, match="out_of_bounds"):
        predict_log(predictions[0][0], SETUP, broken)


def test_coupling_of_the_contents_is_found_where_the_log_shows_it() -> None:
    assert "contents_coupling" in applicable(RIG)
    for truth in (0.6, 1.6):
        log = synthetic_log({"contents_coupling": truth, "contents_capacity": 1.2}, seed=3)
        found = {e.name: e for e in calibrate(SETUP, log).estimates}
        coupling, capacity = found["contents_coupling"], found["contents_capacity"]
        assert coupling.identified
        assert capacity.identified
        assert coupling.low < truth < coupling.high
        assert coupling.factor == pytest.approx(truth, rel=0.15)
        assert capacity.low < 1.2 < capacity.high


def test_coupling_is_not_told_by_a_quiet_night() -> None:
    log = synthetic_log({"contents_coupling": 1.6}, seed=4)
    night = slice(0, 11 * 12)
    columns = {name: values[night] for name, values in log.columns.items()}
    short = replace(log, times=log.times[night], columns=columns)
    found = {e.name: e for e in calibrate(SETUP, short).estimates}
    assert found["contents_coupling"].width_ratio > 0.5
    assert found["contents_coupling"].low < 1.6 < found["contents_coupling"].high


TIMBER = Layer(0.06, 0.13, 500.0, 1600.0)


def heavy_setup() -> LogSetup:
    """Return the cabin with 6 cm of timber around it, which keeps what the sun gave it."""
    panels = tuple(replace(panel, layers=(TIMBER,)) for panel in RIG.shell.panels)
    return replace(SETUP, rig=replace(RIG, shell=replace(RIG.shell, panels=panels)))


def started_late(log: FieldLog, hours: float) -> FieldLog:
    """Return a log without its first hours: its walls begin as those hours left them."""
    rows = slice(round(hours * 12), None)
    columns = {name: values[rows] for name, values in log.columns.items()}
    return replace(log, times=log.times[rows], columns=columns)


def walls(answer: Calibration) -> StartEstimate:
    (found,) = [start for start in answer.starts if start.quantity == "walls"]
    return found


def test_the_first_state_of_heavy_walls_is_found() -> None:
    # From 15:00: the sun has been on the timber all day, and its outside is warmer than the air.
    setup = heavy_setup()
    log = started_late(synthetic_log({}, 5, setup=setup), 21.0)
    answer = calibrate(setup, log, FitOptions(settling_h=0.0))
    begun = walls(answer)
    assert begun.identified
    assert begun.low > 0.0
    shell = next(e for e in answer.estimates if e.name == "shell_conductance")
    assert shell.low < 1.0 < shell.high


def test_the_first_state_of_foam_is_gone_before_a_log_can_tell_it() -> None:
    log = started_late(synthetic_log({}, 5), 21.0)
    answer = calibrate(SETUP, log, FitOptions(settling_h=0.0))
    assert not walls(answer).identified
