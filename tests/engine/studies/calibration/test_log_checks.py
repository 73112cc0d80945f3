"""Bad logs: each is found, named, and reported with its rows; good ones pass."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from noonhold.errors import DocumentError
from noonhold.studies.calibration.calibration_study import FitOptions, calibrate
from noonhold.studies.calibration.field_log import FieldLog
from noonhold.studies.calibration.log_findings import Finding, LogFault, rows_text
from noonhold.studies.calibration.log_sun import log_findings
from tests.engine.studies.field_logs import SETUP, Noise, synthetic_log, weather

GOOD = synthetic_log({}, seed=3)
ROWS = len(GOOD.times)
Break = Callable[[FieldLog], FieldLog]


def with_column(log: FieldLog, name: str, values: np.ndarray) -> FieldLog:
    return replace(log, columns={**log.columns, name: values})


def changed(name: str, rows: slice, change: Callable[[np.ndarray], np.ndarray]) -> Break:
    def broken(log: FieldLog) -> FieldLog:
        values = log.columns[name].copy()
        values[rows] = change(values[rows])
        return with_column(log, name, values)

    return broken


def shifted(hours: float) -> Break:
    shift = np.timedelta64(round(hours * 3600), "s")

    def broken(log: FieldLog) -> FieldLog:
        events = tuple(replace(event, at=event.at + shift) for event in log.events)
        return replace(log, times=log.times + shift, events=events)

    return broken


def reordered(order: np.ndarray) -> Break:
    def broken(log: FieldLog) -> FieldLog:
        columns = {name: values[order] for name, values in log.columns.items()}
        return replace(log, times=log.times[order], columns=columns)

    return broken


def without(*names: str) -> Break:
    def broken(log: FieldLog) -> FieldLog:
        return replace(log, columns={n: v for n, v in log.columns.items() if n not in names})

    return broken


def both(*breaks: Break) -> Break:
    def broken(log: FieldLog) -> FieldLog:
        for each in breaks:
            log = each(log)
        return log

    return broken


def fahrenheit(values: np.ndarray) -> np.ndarray:
    return values * 1.8 + 32.0


def swapped_rows() -> np.ndarray:
    order = np.arange(ROWS)
    order[[100, 130]] = [130, 100]
    return order


LIGHT = ("ghi", "dni", "dhi")
BAD: dict[str, tuple[Break, LogFault, str, tuple[int, int]]] = {
    "cabin thermometer stuck": (
        changed("cabin_temperature_c", slice(120, 170), lambda v: np.full_like(v, v[0])),
        LogFault.STUCK_SENSOR,
        "cabin_temperature_c",
        (120, 169),
    ),
    "outdoor thermometer stuck": (
        changed("outdoor_temperature_c", slice(200, 260), lambda v: np.full_like(v, 31.5)),
        LogFault.STUCK_SENSOR,
        "outdoor_temperature_c",
        (200, 259),
    ),
    "charge stuck": (
        changed("state_of_charge", slice(210, 270), lambda v: np.full_like(v, 0.7)),
        LogFault.STUCK_SENSOR,
        "state_of_charge",
        (210, 269),
    ),
    "array watts stuck": (
        changed("array_power_w", slice(180, 230), lambda v: np.full_like(v, 111.0)),
        LogFault.STUCK_SENSOR,
        "array_power_w",
        (180, 229),
    ),
    "all temperatures in degF": (
        both(
            changed("cabin_temperature_c", slice(None), fahrenheit),
            changed("outdoor_temperature_c", slice(None), fahrenheit),
        ),
        LogFault.UNIT_MIX_UP,
        "outdoor_temperature_c",
        (0, ROWS - 1),
    ),
    "cabin alone in degF": (
        changed("cabin_temperature_c", slice(None), fahrenheit),
        LogFault.UNIT_MIX_UP,
        "cabin_temperature_c",
        (0, ROWS - 1),
    ),
    "outdoors alone in degF": (
        changed("outdoor_temperature_c", slice(None), fahrenheit),
        LogFault.UNIT_MIX_UP,
        "outdoor_temperature_c",
        (0, ROWS - 1),
    ),
    "some rows in degF": (
        changed("cabin_temperature_c", slice(300, 340), fahrenheit),
        LogFault.UNIT_MIX_UP,
        "cabin_temperature_c",
        (300, 339),
    ),
    "degC said to be degF": (
        both(
            changed("cabin_temperature_c", slice(None), lambda v: (v - 32.0) / 1.8),
            changed("outdoor_temperature_c", slice(None), lambda v: (v - 32.0) / 1.8),
            lambda log: replace(log, fahrenheit=True),
        ),
        LogFault.UNIT_MIX_UP,
        "outdoor_temperature_c",
        (0, ROWS - 1),
    ),
    "charge in percent": (
        changed("state_of_charge", slice(None), lambda v: 100.0 * v),
        LogFault.UNIT_MIX_UP,
        "state_of_charge",
        (0, ROWS - 1),
    ),
    "clock an hour ahead, by the light": (shifted(1.0), LogFault.CLOCK_SHIFT, "times", (0, 0)),
    "clock two hours behind, by the array": (
        both(without(*LIGHT), shifted(-2.0)),
        LogFault.CLOCK_SHIFT,
        "times",
        (0, 0),
    ),
    "twelve hours off": (shifted(12.0), LogFault.CLOCK_SHIFT, "times", (0, 0)),
    "shuffled rows": (reordered(swapped_rows()), LogFault.TIME_ORDER, "times", (101, 130)),
    "doubled rows": (
        reordered(np.sort(np.append(np.arange(ROWS), [50, 51]))),
        LogFault.DUPLICATE_TIMES,
        "times",
        (51, 53),
    ),
    "no cabin temperature": (
        without("cabin_temperature_c"),
        LogFault.MISSING_CHANNEL,
        "cabin_temperature_c",
        (0, 0),
    ),
    "an empty column": (
        changed("cooler_power_w", slice(None), lambda v: np.full_like(v, np.nan)),
        LogFault.MISSING_CHANNEL,
        "cooler_power_w",
        (0, 0),
    ),
    "a spike": (
        changed("outdoor_temperature_c", slice(77, 78), lambda v: np.full_like(v, 85.0)),
        LogFault.OUT_OF_BOUNDS,
        "outdoor_temperature_c",
        (77, 77),
    ),
    "array in kW": (
        changed("array_power_w", slice(None), lambda v: v / 1000.0),
        LogFault.UNIT_MIX_UP,
        "array_power_w",
        (0, 0),
    ),
    "two hours of log": (reordered(np.arange(24)), LogFault.LENGTH, "times", (0, 0)),
    "two hours between rows": (reordered(np.arange(0, ROWS, 24)), LogFault.LENGTH, "times", (0, 0)),
}


def found_in(log: FieldLog) -> list[Finding]:
    return log_findings(SETUP, log)


@pytest.mark.parametrize("name", sorted(BAD))
def test_a_bad_log_is_found_and_named_with_its_rows(name: str) -> None:
    broken, kind, column, (first, last) = BAD[name]
    found = [f for f in found_in(broken(GOOD)) if (f.kind, f.column) == (kind, column)]
    assert len(found) == 1
    if last:
        assert (found[0].rows[0], found[0].rows[-1]) == (first, last)
        assert str(first) in found[0].message or not first


def test_a_bad_log_is_not_fitted_and_tells_all_its_faults() -> None:
    broken = both(BAD["charge in percent"][0], BAD["outdoor thermometer stuck"][0])(GOOD)
    with pytest.raises(DocumentError) as raised:
        calibrate(SETUP, broken)
    told = {(f.path.rsplit("/", 1)[0], f.message.split(":")[0]) for f in raised.value.faults}
    assert told == {
        ("/log/columns/state_of_charge", "unit_mix_up"),
        ("/log/columns/outdoor_temperature", "stuck_sensor"),
    }


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("lit", [True, False])
def test_good_logs_pass(seed: int, lit: bool) -> None:
    cloud = (0.0, 0.3, 0.6)[seed % 3]
    log = synthetic_log(
        {"array_power": 0.8 + 0.03 * seed},
        seed,
        Noise(0.2, 0.4, 0.02, 0.03),
        table=weather(cloud, 28.0 + seed),
        light=lit,
    )
    assert found_in(log) == []


@pytest.mark.parametrize("digits", [0, 1])
def test_coarse_instruments_are_not_stuck(digits: int) -> None:
    columns = {name: np.round(values, digits) for name, values in GOOD.columns.items()}
    columns["state_of_charge"] = np.round(GOOD.columns["state_of_charge"], 2)
    assert found_in(replace(GOOD, columns=columns)) == []


@pytest.mark.parametrize("hours", [-5.0, -1.0, 1.0, 3.0, 9.0])
def test_the_clock_error_is_told_within_a_quarter_of_an_hour(hours: float) -> None:
    (found,) = found_in(shifted(hours)(GOOD))
    told = float(found.message.split(" best ")[1].split(" h ")[0])
    assert told == pytest.approx(abs(hours), abs=0.25)
    assert ("before" if hours > 0 else "after") in found.message


def test_an_accepted_fault_becomes_a_note() -> None:
    broken = BAD["outdoor thermometer stuck"][0](GOOD)
    answer = calibrate(
        SETUP, broken, FitOptions(factors=("array_power",), accepted=("stuck_sensor",))
    )
    assert any("stuck_sensor in outdoor_temperature_c" in note for note in answer.notes)


def test_rows_are_told_shortly() -> None:
    assert rows_text(range(0, 40, 4)) == "rows 0, 4, 8, 12, 16 and 5 more stretches"
