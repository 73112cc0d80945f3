"""Writes the examples of a calibration: ``python -m`` this module.

The request of the service, and the same log as a logger writes it: semicolons, decimal commas,
local time without an offset, percent.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np

from noonhold.documents import load_rig
from noonhold.rig import Policy
from noonhold.studies.calibration.field_log import FieldLog
from noonhold.studies.calibration.log_runs import LogSetup
from noonhold_service.description.golden_files import as_text
from tests.engine.studies.field_logs import OFFSET_H, PLACE, SETUP, START, Noise, synthetic_log

CHECKOUT = Path(__file__).resolve().parents[3]
EXAMPLE = CHECKOUT / "service/noonhold_service/description/calibration_request.json"
TRUTH = {"shell_conductance": 1.2, "cooler_power": 1.05, "array_power": 0.85}
DIGITS = {"state_of_charge": 3}
LOGGER = CHECKOUT / "docs" / "field_test" / "teardrop_yard.csv"
# As the logger's owner named its channels; the two last are known by their usual names.
HEADERS = {
    "cabin_temperature_c": "Probe 1 [°C]",
    "outdoor_temperature_c": "Probe 2 [°C]",
    "state_of_charge": "SOC [%]",
    "array_power_w": "PV [W]",
    "cooler_power_w": "Cooler [W]",
    "load_power_w": "Loads [W]",
    "ghi": "Irradiance [W/m2]",
}
EVERY = 3  # rows of a quarter of an hour


def example_log() -> tuple[LogSetup, FieldLog]:
    """Return the log of a teardrop that is a little worse than it was described."""
    text = (CHECKOUT / "sample_rigs" / "plywood_teardrop.json").read_text()
    setup = LogSetup(load_rig(json.loads(text)).value, PLACE, SETUP.operation, SETUP.background)
    return setup, synthetic_log(TRUTH, 21, Noise(0.1, 0.2, 0.01, 0.02), setup)


def document() -> dict[str, Any]:
    """Return the request."""
    _, log = example_log()
    count = len(log.times) // EVERY * EVERY
    columns = {}
    for name, values in log.columns.items():
        rows = values[:count].reshape(-1, EVERY)
        means = rows[:, -1] if name in ("state_of_charge",) or name.endswith("_c") else rows.mean(1)
        columns[name.removesuffix("_c")] = np.round(means, DIGITS.get(name, 1)).tolist()
    local = log.times[EVERY - 1 : count : EVERY] + np.timedelta64(round(OFFSET_H), "h")
    switched = [
        {"at": _stamp(event.at + np.timedelta64(round(OFFSET_H), "h")), "policy": str(policy)}
        for event in log.events
        if (policy := event.setting.policy) is not None
    ]
    return {
        "rig": "plywood_teardrop",
        "place": {
            "latitude": PLACE.latitude,
            "longitude": PLACE.longitude,
            "elevation_m": PLACE.elevation_m,
            "heading_deg": PLACE.heading_deg,
        },
        "operation": {"set_point_c": 23.0, "policy": str(Policy.OFF)},
        "weather": {"dew_point_c": 8.0, "wind_speed_m_s": 2.5},
        "log": {
            "temperature_unit": "degC",
            "times": [_stamp(moment) for moment in local],
            "columns": columns,
            "events": switched,
        },
    }


def logger_csv() -> str:
    """Return the log as the file of a logger with a row every five minutes."""
    _, log = example_log()
    local = log.times + np.timedelta64(round(OFFSET_H), "h")
    lines = [
        "Yard logger 2;firmware 1.4",
        "",
        ";".join(("Date", "Time", *HEADERS.values())),
    ]
    for row, moment in enumerate(local):
        year, month, day = np.datetime_as_string(moment, unit="D").split("-")
        cells = []
        for name in HEADERS:
            value = log.columns[name][row] * (100.0 if name == "state_of_charge" else 1.0)
            cells.append(f"{value:.1f}".replace(".", ","))
        clock = np.datetime_as_string(moment, unit="m")[-5:]
        lines.append(";".join((f"{day}.{month}.{year}", clock, *cells)))
    return "\n".join(lines) + "\n"


def _stamp(moment: np.datetime64) -> str:
    return f"{np.datetime_as_string(moment, unit='s')}{round(OFFSET_H):+03d}:00"


if __name__ == "__main__":
    EXAMPLE.write_text(as_text(document()), encoding="utf-8")
    LOGGER.parent.mkdir(exist_ok=True)
    LOGGER.write_text(logger_csv(), encoding="utf-8")
    print(f"{EXAMPLE.name}: {len(document()['log']['times'])} rows from {START}")
