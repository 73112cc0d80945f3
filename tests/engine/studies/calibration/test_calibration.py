"""Calibration: truths recovered within their intervals, or reported as not identified."""

import os
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from noonhold.rig import Policy
from noonhold.scenario import Setting
from noonhold.studies.calibration.calibration_report import calibration_report
from noonhold.studies.calibration.calibration_study import Calibration, FitOptions, calibrate
from noonhold.studies.calibration.factors import KINDS, scaled_rig
from noonhold.studies.calibration.field_log import GRID_S, Event, FieldLog
from noonhold.studies.calibration.identifiability import Estimate
from noonhold.studies.calibration.log_residuals import error_scale
from noonhold.verdict import CAUTIONS
from tests.engine.studies.field_logs import (
    HOURS,
    QUIET,
    RIG,
    SETUP,
    Noise,
    at,
    drawn_noise,
    drawn_truth,
    synthetic_log,
    weather,
)

TRUTH = {
    "shell_conductance": 1.25,
    "solar_gain": 0.85,
    "contents_capacity": 1.3,
    "leakage": 1.4,
    "cooler_capacity": 0.93,
    "cooler_power": 1.06,
    "array_power": 0.9,
}
COUNT = HOURS * 3600 // GRID_S
SEEDS = int(os.environ.get("CALIBRATION_SEEDS", "12"))
LEAST = {12: 9, 100: 90}[SEEDS]


def by_name(answer: Calibration) -> dict[str, Estimate]:
    return {estimate.name: estimate for estimate in answer.estimates}


def thinned(log: FieldLog, rows: np.ndarray) -> FieldLog:
    columns = {name: values[rows] for name, values in log.columns.items()}
    return replace(log, times=log.times[rows], columns=columns)


@pytest.fixture(scope="module")
def answer() -> Calibration:
    return calibrate(SETUP, synthetic_log(TRUTH, seed=1))


def test_a_day_with_the_cooler_tells_every_factor(answer: Calibration) -> None:
    found = by_name(answer)
    for name in ("shell_conductance", "solar_gain", "contents_capacity", "cooler_capacity"):
        assert found[name].identified
        assert found[name].factor == pytest.approx(TRUTH[name], rel=0.12)
    assert found["cooler_power"].factor == pytest.approx(TRUTH["cooler_power"], rel=0.02)
    assert found["array_power"].factor == pytest.approx(TRUTH["array_power"], rel=0.01)


def test_the_fit_leaves_the_noise_of_the_instruments(answer: Calibration) -> None:
    cabin, charge, *_ = answer.fitted
    assert cabin.channel == "cabin_temperature_c"
    assert cabin.rmse == pytest.approx(0.3, rel=0.12)
    assert charge.rmse == pytest.approx(0.015, rel=0.12)
    assert abs(cabin.bias or 0.0) < 0.05
    prior = answer.prior_fitted[0]
    assert prior.rmse is not None
    assert prior.rmse > 2.0 * 0.3


def test_the_held_out_part_is_predicted(answer: Calibration) -> None:
    cabin, charge, *_ = answer.held_out
    assert cabin.rows == pytest.approx(0.25 * COUNT, abs=2)
    assert cabin.rmse == pytest.approx(0.3, rel=0.25)
    assert charge.rmse == pytest.approx(0.015, rel=0.35)
    prior = answer.prior_held_out[1]
    assert prior.rmse is not None
    assert prior.rmse > 0.03


def test_the_rig_to_use_has_the_factors(answer: Calibration) -> None:
    factors = {estimate.name: estimate.factor for estimate in answer.estimates}
    assert answer.fitted_rig == scaled_rig(RIG, factors)
    assert answer.fitted_rig != RIG


def test_correlations_are_correlations(answer: Calibration) -> None:
    table = answer.correlations
    assert np.diag(table) == pytest.approx(1.0)
    assert table == pytest.approx(table.T)
    assert (np.abs(table) <= 1.0 + 1e-9).all()
    # Both let heat through: what one takes the other need not.
    names = [estimate.name for estimate in answer.estimates]
    # All other factors held: several of them let heat through or hold it.
    inverse = np.linalg.inv(table)
    shell, leakage = names.index("shell_conductance"), names.index("leakage")
    partial = -inverse[shell, leakage] / np.sqrt(inverse[shell, shell] * inverse[leakage, leakage])
    assert partial < -0.5


def test_truths_drawn_from_the_prior_lie_within_their_intervals() -> None:
    """Of 12 seeds at least 9 for every factor, of CALIBRATION_SEEDS=100 at least 90.

    Intervals that hold the truth in 95 of 100 draws miss 9 of 12 with a probability of 0.002
    (binomial), those of 90 in 100 with 0.03, those of 60 in 100 with 0.77.
    """
    held = dict.fromkeys(KINDS, 0)
    for seed in range(SEEDS):
        truth = drawn_truth(seed)
        log = synthetic_log(truth, seed, drawn_noise(seed))
        for estimate in calibrate(SETUP, log).estimates:
            held[estimate.name] += estimate.low <= truth[estimate.name] <= estimate.high
    assert {name: count for name, count in held.items() if count < LEAST} == {}


def test_without_sun_the_sun_cannot_be_told() -> None:
    night = slice(0, round(11.0 * 12))  # from 18:00 to 05:00
    log = thinned(synthetic_log(TRUTH, seed=2), np.arange(COUNT)[round(1.75 * 12) : night.stop])
    light = ("ghi", "dni", "dhi")
    log = replace(log, columns={n: v for n, v in log.columns.items() if n not in light})
    found = by_name(calibrate(SETUP, log, FitOptions(held_out_fraction=0.0)))
    for name in ("solar_gain", "array_power", "cooler_capacity", "cooler_power"):
        assert not found[name].identified
        assert found[name].factor == 1.0
        assert found[name].width_ratio == pytest.approx(1.0, abs=0.02)
        assert found[name].reason == "nothing in the log depends enough on it"
        reach = 1.96 * KINDS[name].prior_width
        assert np.log(found[name].high) == pytest.approx(reach, rel=1e-3)


def test_a_log_of_temperatures_alone_says_nothing_of_the_battery() -> None:
    log = synthetic_log(TRUTH, seed=4)
    kept = ("outdoor_temperature_c", "cabin_temperature_c", "ghi", "dni", "dhi")
    bare = replace(log, columns={name: log.columns[name] for name in kept})
    answer = calibrate(replace(SETUP, state_of_charge=0.85), bare)
    found = by_name(answer)
    assert not found["array_power"].identified
    assert not found["cooler_power"].identified
    assert found["cooler_capacity"].identified
    assert [fit.channel for fit in answer.fitted] == ["cabin_temperature_c"]
    assert any("loads" in note for note in answer.notes)


def test_a_factor_that_is_not_sought_stays() -> None:
    sought = ("array_power", "cooler_power")
    answer = calibrate(SETUP, synthetic_log(TRUTH, seed=5), FitOptions(factors=sought))
    assert {estimate.name for estimate in answer.estimates} == set(sought)
    assert answer.fitted_rig.shell == RIG.shell


def test_a_known_heater_in_place_of_a_cooler() -> None:
    # A test cell by night and day: 400 W for three hours, off for three, and so on.
    seconds = np.arange(COUNT) * GRID_S
    heater_w = np.where((seconds // 10800) % 2 == 0, 400.0, 0.0)
    setup = replace(SETUP, rig=replace(RIG, cooler=None))
    truth = {"shell_conductance": 0.8, "contents_capacity": 1.5, "solar_gain": 1.2}
    log = synthetic_log(
        truth, 5, setup=setup, events=(), table=weather(high_c=20.0), heater_w=heater_w
    )
    answer = calibrate(setup, log)
    found = by_name(answer)
    assert "cooler_capacity" not in found
    for name, value in truth.items():
        assert found[name].identified
        assert found[name].low <= value <= found[name].high
    # The heater is what separates conductance from all else.
    assert found["shell_conductance"].width_ratio < 0.3
    assert answer.held_out[0].rmse == pytest.approx(0.3, rel=0.3)


def test_a_heater_from_the_battery_draws_it_down() -> None:
    heater_w = np.full(COUNT, 60.0)
    setup = replace(SETUP, rig=replace(RIG, cooler=None))
    log = synthetic_log({}, 7, setup=setup, events=(), heater_w=heater_w)
    options = FitOptions(factors=("array_power",))
    outside = calibrate(setup, log, options).prior_fitted[1]
    drawn = calibrate(replace(setup, heater_from_battery=True), log, options).prior_fitted[1]
    assert outside.bias is not None
    assert drawn.bias is not None
    assert drawn.bias < outside.bias - 0.03


def test_without_irradiance_the_array_tells_the_sky() -> None:
    log = synthetic_log({**TRUTH, "array_power": 1.0}, seed=8, table=weather(0.0), light=False)
    answer = calibrate(SETUP, log)
    found = by_name(answer)
    assert found["solar_gain"].low <= TRUTH["solar_gain"] <= found["solar_gain"].high
    assert found["array_power"].factor == pytest.approx(1.0, abs=0.05)
    # How bright the sky was nobody measured, and the answer says so: beside a log with its light
    # the interval is ten times as wide.
    lit = by_name(calibrate(SETUP, synthetic_log({**TRUTH, "array_power": 1.0}, seed=8)))
    unlit, measured = (
        np.log(each["array_power"].high / each["array_power"].low) for each in (found, lit)
    )
    assert unlit > 10.0 * measured
    assert any("clearest tenth" in note for note in answer.notes)


def test_gaps_cut_the_log_and_the_fit_goes_on() -> None:
    log = synthetic_log(TRUTH, seed=9)
    rows = np.r_[0:180, 240:COUNT]  # five hours lost
    answer = calibrate(SETUP, thinned(log, rows))
    assert any("cut into 2 pieces" in note for note in answer.notes)
    found = by_name(answer)
    assert found["array_power"].factor == pytest.approx(0.9, rel=0.02)
    assert found["shell_conductance"].low <= 1.25 <= found["shell_conductance"].high


def spaced(log: FieldLog, every: int) -> FieldLog:
    """Return a log with one row for so many: readings at its moment, means over its time."""
    count = COUNT // every * every
    readings = ("outdoor_temperature_c", "cabin_temperature_c", "state_of_charge")
    columns = {
        name: values[:count].reshape(-1, every)[:, -1]
        if name in readings
        else values[:count].reshape(-1, every).mean(axis=1)
        for name, values in log.columns.items()
    }
    return replace(log, times=log.times[every - 1 : count : every], columns=columns)


def by_the_minute() -> FieldLog:
    """Return what instruments would have read every minute, each row with its own error.

    What they read moves every five minutes, as the made log does: a cabin that falls by kelvins
    within minutes of the cooler's start would else be averaged over its own curve.
    """
    log = synthetic_log(TRUTH, noise=QUIET)
    seconds, rng = log.seconds(), np.random.default_rng(10)
    finer = np.arange(seconds[0] - 240.0, seconds[-1] + 1.0, 60.0)
    errors = {"outdoor_temperature_c": 0.2, "cabin_temperature_c": 0.3, "state_of_charge": 0.015}
    columns = {}
    for name, values in log.columns.items():
        noise = rng.standard_normal(len(finer))
        if name in errors:
            nearest = np.clip(np.round(finer / GRID_S).astype(int), 0, COUNT - 1)
            columns[name] = values[nearest] + errors[name] * noise
        else:
            error = 0.0 if name in ("ghi", "dni", "dhi") else 0.03
            columns[name] = np.repeat(values, 5) * (1.0 + error * noise)
    columns["state_of_charge"] = columns["state_of_charge"].clip(0.0, 1.0)
    times = log.times[0] + finer.astype("timedelta64[s]")
    return replace(log, times=times, columns=columns)


def by_the_hour() -> FieldLog:
    return spaced(synthetic_log(TRUTH, seed=10), 12)


@pytest.mark.parametrize("log", [by_the_minute, by_the_hour])
def test_rows_of_a_minute_and_of_an_hour_do(log: Callable[[], FieldLog]) -> None:
    found = by_name(calibrate(SETUP, log()))
    for name in ("shell_conductance", "contents_capacity", "array_power", "cooler_power"):
        assert found[name].identified
        assert found[name].low <= TRUTH[name] <= found[name].high, name


def test_rows_of_ten_minutes_do_as_well() -> None:
    log = synthetic_log(TRUTH, seed=10)
    means = {n: 0.5 * (log.columns[n][::2] + log.columns[n][1::2]) for n in log.columns}
    coarse = thinned(log, np.arange(1, COUNT, 2))
    readings = ("outdoor_temperature_c", "cabin_temperature_c", "state_of_charge")
    columns = {n: coarse.columns[n] if n in readings else means[n] for n in log.columns}
    answer = calibrate(SETUP, replace(coarse, columns=columns))
    found = by_name(answer)
    assert found["array_power"].factor == pytest.approx(0.9, rel=0.02)
    assert found["contents_capacity"].factor == pytest.approx(1.3, rel=0.15)


def test_events_in_any_order_are_the_same_log() -> None:
    log = synthetic_log(TRUTH, seed=11)
    options = FitOptions(factors=("cooler_power",))
    turned = replace(log, events=log.events[::-1])
    assert calibrate(SETUP, turned, options).estimates == calibrate(SETUP, log, options).estimates


def test_a_wrong_event_shows_in_the_residuals() -> None:
    log = synthetic_log(TRUTH, seed=12)
    late = (Event(at(20.0), Setting(policy=Policy.LOW_THEN_HIGH)), *log.events[1:])
    good, bad = calibrate(SETUP, log), calibrate(SETUP, replace(log, events=late))
    assert good.fitted[0].rmse is not None
    assert bad.fitted[0].rmse is not None
    assert bad.fitted[0].rmse > 1.5 * good.fitted[0].rmse


def test_noise_widens_intervals() -> None:
    calm = by_name(calibrate(SETUP, synthetic_log(TRUTH, 13, Noise(0.1, 0.1, 0.005, 0.01))))
    rough = by_name(calibrate(SETUP, synthetic_log(TRUTH, 13, Noise(0.3, 0.6, 0.03, 0.06))))
    for name in ("solar_gain", "contents_capacity", "cooler_capacity", "array_power"):
        assert rough[name].high / rough[name].low > calm[name].high / calm[name].low


def test_the_report_is_plain_and_cautious(answer: Calibration) -> None:
    told = calibration_report(answer)
    assert set(CAUTIONS) <= set(told["cautions"])
    assert [factor["name"] for factor in told["factors"]] == list(KINDS)
    assert told["correlations"]["leakage"]["leakage"] == pytest.approx(1.0)
    assert {"rmse", "bias", "largest", "rmse_as_described"} <= set(told["held_out"][0])


def test_few_rows_prove_little_of_their_instrument() -> None:
    rng = np.random.default_rng(0)
    white = rng.standard_normal(4000)
    assert error_scale(white) == pytest.approx(1.0, abs=0.06)
    # Ten rows: sqrt(10 / 8), and Student's 2.306 (8 degrees of freedom, any table) over 1.960.
    ten = np.tile([1.0, -1.0], 5)
    assert error_scale(ten) == pytest.approx(np.sqrt(10 / 8) * 2.306 / 1.960, rel=1e-3)


def test_a_run_of_like_errors_counts_as_the_few_that_it_is() -> None:
    rng = np.random.default_rng(1)
    errors = np.zeros(20_000)
    for row in range(1, len(errors)):
        errors[row] = 0.8 * errors[row - 1] + rng.standard_normal()
    # Of an autoregression with 0.8: its spread is 1 / sqrt(1 - 0.64), times sqrt(1.8 / 0.2).
    assert error_scale(errors) == pytest.approx(3.0 / 0.6, rel=0.06)
