"""A logger's CSV: separators, clocks, units and names as loggers write them, faults by line."""

import pytest

from noonhold.documents.logger_csv import LoggerCsv, read_logger_csv
from noonhold.errors import DocumentError

HEADER = "time,cabin_temperature,outdoor_temperature,state_of_charge\n"


def read(body: str, header: str = HEADER, **options: object) -> LoggerCsv:
    return read_logger_csv(header + body, **{"temperature_unit": "degC", **options})  # type: ignore[arg-type]


def messages(body: str, header: str = HEADER, **options: object) -> list[str]:
    with pytest.raises(DocumentError) as caught:
        read(body, header, **options)
    return [f"{fault.message} {fault.bound or ''}" for fault in caught.value.faults]


def test_times_with_an_offset_need_no_zone() -> None:
    told = read("2026-01-21T09:00:00-07:00,24,31,0.8\n2026-01-21 09:01-07:00,24,31,0.8\n")
    assert told.document["times"] == ["2026-01-21T09:00:00-07:00", "2026-01-21T09:01:00-07:00"]


def test_local_times_take_the_zone_of_the_logger() -> None:
    told = read(
        "2026-01-21 09:00,24,31,0.8\n2026-07-21 09:00,24,31,0.8\n", timezone="America/Denver"
    )
    assert told.document["times"] == ["2026-01-21T09:00:00-07:00", "2026-07-21T09:00:00-06:00"]
    (found,) = messages("2026-01-21 09:00,24,31,0.8\n")
    assert "line 2" in found
    assert "timezone" in found


def test_the_hour_that_a_clock_reads_twice_goes_by_the_order_of_the_rows() -> None:
    body = "".join(
        f"2026-11-01 {clock},24,31,0.8\n"
        for clock in ("00:30", "01:00", "01:30", "01:00", "01:30", "02:00")
    )
    times = read(body, timezone="America/Denver").document["times"]
    assert [each[-6:] for each in times] == ["-06:00"] * 3 + ["-07:00"] * 3


def test_an_hour_that_the_clock_leaves_out_is_a_fault() -> None:
    (found,) = messages("2026-03-08 02:30,24,31,0.8\n", timezone="America/Denver")
    assert "line 2" in found
    assert "spring" in found


def test_semicolons_and_decimal_commas_below_a_preamble() -> None:
    text = (
        "Logger 12;serial 4711\n\n"
        "Datum;Innen [°C];Aussen [°C];Batterie [%];PV [kW];Notiz\n"
        "21.01.2026 09:00;24,5;31,25;80;0,25;x\n"
        "21.01.2026 09:15;;31,5;79,5;--;\n"
    )
    names = {
        "Datum": "time", "Innen": "cabin_temperature", "Aussen": "outdoor_temperature",
        "Batterie": "state_of_charge", "PV": "array_power_w",
    }  # fmt: skip
    told = read_logger_csv(text, timezone="Europe/Vienna", columns=names)
    assert told.document == {
        "temperature_unit": "degC",
        "times": ["2026-01-21T09:00:00+01:00", "2026-01-21T09:15:00+01:00"],
        "columns": {
            "cabin_temperature": [24.5, None],
            "outdoor_temperature": [31.25, 31.5],
            "state_of_charge": [0.8, 0.795],
            "array_power_w": [250.0, None],
        },
    }
    assert told.notes == (
        "read with semicolons and decimal commas", "Batterie [%]: percent", "PV [kW]: kilowatts",
        "columns left out: Notiz",
    )  # fmt: skip


def test_date_and_time_apart_and_usual_names() -> None:
    text = "Date,Time,Inside Temp (°F),Outside Temp (°F),SOC\n01/21/2026,1:05 PM,75,90,80%\n"
    told = read_logger_csv(text, timezone="America/Denver").document
    assert told["times"] == ["2026-01-21T13:05:00-07:00"]
    assert told["temperature_unit"] == "degF"
    assert told["columns"]["state_of_charge"] == [0.8]


def test_a_charge_above_one_without_a_unit_is_in_percent() -> None:
    told = read("2026-01-21T09:00:00Z,24,31,80\n2026-01-21T09:01:00Z,24,31,1\n")
    assert told.document["columns"]["state_of_charge"] == [0.8, 0.01]


def test_days_and_months_that_cannot_be_told_apart_need_a_format() -> None:
    body = "03/04/2026 09:00,24,31,0.8\n"
    (found,) = messages(body, timezone="UTC")
    assert "time_format" in found
    told = read(body, timezone="UTC", time_format="%d/%m/%Y %H:%M").document
    assert told["times"] == ["2026-04-03T09:00:00+00:00"]
    assert (
        read("21/01/2026 09:00,24,31,0.8\n", timezone="UTC").document["times"][0][:10]
        == "2026-01-21"
    )


def test_faults_are_told_together_by_line_and_column() -> None:
    body = (
        "2026-01-21T09:00:00Z,warm,31,0.8\nyesterday,24,31,0.8\n2026-01-21T09:02:00Z,24,31,full\n"
    )
    found = messages(body)
    assert found[0].startswith("line 3: 'yesterday' is no moment")
    assert found[1].startswith("line 2, column 'cabin_temperature': 'warm' is not a number")
    assert found[2].startswith("line 4, column 'state_of_charge': 'full' is not a number")


def test_hundreds_of_faults_are_not_all_told() -> None:
    assert len(messages("x,1,1,1\n" * 500)) == 51


@pytest.mark.parametrize(
    ("header", "options", "word"),
    [
        ("time,cabin_temperature,soc\n", {}, "outdoor_temperature"),
        ("when,cabin_temperature,outdoor_temperature\n", {}, "no header"),
        ("time,cabin,inside,outside\n", {}, "are both cabin_temperature"),
        (HEADER, {"columns": {"Probe": "cabin_temperature"}}, "there is no column 'probe'"),
        (HEADER, {"columns": {"time": "moment"}}, "mapped to 'moment'"),
        (HEADER, {"timezone": "Mars/Base"}, "no time zone 'Mars/Base'"),
        (HEADER, {"temperature_unit": None}, "unit of temperature"),
        ("time,cabin [C],outside [F],soc\n", {}, "other units"),
    ],
)
def test_what_cannot_be_understood_is_said(header: str, options: dict, word: str) -> None:
    found = messages("2026-01-21T09:00:00Z,24,31,0.8\n", header, **options)
    assert any(word in each for each in found), found
