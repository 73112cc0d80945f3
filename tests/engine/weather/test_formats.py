"""One year in three formats: the same table, whatever the file was."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from noonhold.weather.plain_csv import to_plain_csv
from noonhold.weather.tmy3 import read_tmy3
from noonhold.weather.weather_files import read_site, read_weather
from noonhold.weather.weather_table import INSTANT_COLUMNS, RADIATION_COLUMNS
from tests.engine.weather.builders import DENVER, EPW_PLACE, GREENSBORO, denver_lines, write

COLUMNS = RADIATION_COLUMNS + INSTANT_COLUMNS


@cache
def greensboro_rows():
    """Return the data rows of the TMY3 file as fields."""
    return [line.split(",") for line in GREENSBORO.read_text().splitlines()]


def greensboro_as_epw():
    """Return the Greensboro TMY3 file rewritten as an EPW, field by field."""
    (usaf, name, state, offset, latitude, longitude, elevation), names = greensboro_rows()[:2]
    place = {title: k for k, title in enumerate(names)}
    theirs = {
        "temp_air": "Dry-bulb (C)", "temp_dew": "Dew-point (C)", "relative_humidity": "RHum (%)",
        "ghi": "GHI (W/m^2)", "dni": "DNI (W/m^2)", "dhi": "DHI (W/m^2)",
        "wind_speed": "Wspd (m/s)", "opaque_sky_cover": "OpqCld (tenths)",
    }  # fmt: skip
    head = list(denver_lines()[:8])
    place_fields = (usaf, latitude, longitude, offset, elevation)
    head[0] = ",".join(("LOCATION", name.strip('"'), state, "USA", "TMY3", *place_fields))
    lines = head
    for row in greensboro_rows()[2:]:
        month, day, year = row[0].split("/")
        fields = ["0"] * 35
        fields[0:5] = year, str(int(month)), str(int(day)), str(int(row[1][:2])), "0"
        for column, title in theirs.items():
            fields[EPW_PLACE[column]] = row[place[title]]
        fields[EPW_PLACE["pressure"]] = str(100 * int(row[place["Pressure (mbar)"]]))
        fields[EPW_PLACE["horizontal_infrared"]] = "9999"
        lines.append(",".join(fields))
    return lines


def assert_same(one, other):
    for name in COLUMNS:
        assert getattr(one, name) == pytest.approx(getattr(other, name), abs=1e-9), name
    assert (one.start, one.interval_s, one.full_year) == (
        other.start, other.interval_s, other.full_year,
    )  # fmt: skip


def test_epw_tmy3_and_plain_csv_of_one_year_are_one_table(tmp_path):
    tmy3 = read_weather(GREENSBORO)
    epw = read_weather(write(tmp_path / "greensboro.epw", greensboro_as_epw()))
    plain = read_weather(write(tmp_path / "greensboro.csv", to_plain_csv(tmy3)))
    assert_same(tmy3, epw)
    assert_same(tmy3, plain)
    assert plain.site == tmy3.site
    assert replace(epw.site, region="", source="") == replace(tmy3.site, region="", source="")


def test_the_tmy3_file_is_read_as_its_manual_says():
    # First row of 723170TYA.CSV: 01/01/1988 01:00, 10.0 degC, 80 %, 996 mbar.
    table = read_tmy3(GREENSBORO)
    row = dict(zip(greensboro_rows()[1], greensboro_rows()[2], strict=True))
    assert table.temp_air[0] == float(row["Dry-bulb (C)"])
    assert table.relative_humidity[0] == float(row["RHum (%)"])
    assert table.pressure[0] == 100.0 * float(row["Pressure (mbar)"])
    assert table.site.name == "GREENSBORO PIEDMONT TRIAD INT"
    assert (table.site.station, table.site.utc_offset_h) == ("723170", -5.0)
    assert table.notes == (
        "horizontal_infrared: 8760 rows computed (Clark and Allen 1978, Walton 1983)"
        " with the sky cover given",
    )


def test_midnight_may_be_24_00_or_00_00_of_the_next_day(tmp_path):
    lines = GREENSBORO.read_text().splitlines()
    for number, line in enumerate(lines):
        date, time = line.split(",")[:2]
        if time == "24:00":
            ahead = lines[number + 1].split(",")[0] if number + 1 < len(lines) else "01/01/1981"
            lines[number] = line.replace(f"{date},24:00", f"{ahead},00:00", 1)
    # The month's source year changes at its end, so the next row's date is not the next day.
    moved = read_weather(write(tmp_path / "midnight.csv", lines))
    assert_same(moved, read_weather(GREENSBORO))


def test_missing_codes_of_tmy3_are_holes(tmp_path):
    lines = GREENSBORO.read_text().splitlines()
    place = lines[1].split(",").index("Dry-bulb (C)")
    for number in (50, 51):
        fields = lines[number].split(",")
        fields[place] = "-9900"
        lines[number] = ",".join(fields)
    table = read_weather(write(tmp_path / "holes.csv", lines))
    assert "temp_air: 2 h in 1 gap interpolated" in table.notes


def test_the_leap_day_of_a_tmy3_file_is_dropped(tmp_path):
    lines = GREENSBORO.read_text().splitlines()
    end = 2 + 59 * 24
    february = lines[end - 24 : end]
    year = february[0].split(",")[0][-4:]
    leap = [line.replace(f"02/28/{year}", "02/29/1996", 1) for line in february]
    table = read_weather(write(tmp_path / "leap.csv", lines[:end] + leap + lines[end:]))
    assert "29 February dropped: 24 rows" in table.notes
    assert_same(table, read_weather(GREENSBORO))


@pytest.mark.parametrize("rows", [(0, 8760), (4000, 60)], ids=["year", "stretch"])
def test_a_plain_csv_reads_back_the_same(tmp_path, rows):
    table = read_weather(DENVER)
    if rows != (0, 8760):
        table = table.slice(*rows)
    again = read_weather(write(tmp_path / "again.csv.gz", to_plain_csv(table)))
    for name in COLUMNS:
        assert np.array_equal(getattr(again, name), getattr(table, name)), name
    assert again.site == table.site
    assert again.instants_at_start("temp_air")[0] == table.instants_at_start("temp_air")[0]


def test_the_content_tells_the_format_not_the_name(tmp_path):
    path = write(tmp_path / "weather.txt", list(denver_lines()))
    assert read_site(path)[1].name == "EPW"
    assert read_weather(str(path)).site.station == "725650"


PLAIN = """\
# latitude: -33.9
# longitude: 151.2
# elevation_m: 20
# utc_offset_h: 10
# interval_s: 1800
# name: a place
start,temp_air,relative_humidity,wind_speed,ghi,dhi,opaque_sky_cover
2024-01-15T12:00,30,40,3,900,100,0
2024-01-15T12:30,31,,3,900,100,0
2024-01-15T13:00,32,38,3,900,100,0
"""


def test_a_short_plain_csv_of_half_hours(tmp_path):
    table = read_weather(write(tmp_path / "short.csv", PLAIN))
    assert (len(table), table.interval_s, table.full_year) == (3, 1800, False)
    assert table.start == np.datetime64("2024-01-15T12:00:00")
    assert table.relative_humidity == pytest.approx([40.0, 39.0, 38.0])
    assert table.dni == pytest.approx([820.0, 830.0, 850.0], rel=0.03)  # the sun is near 10 degree
    assert len(table.notes) == 4


def test_a_plain_leap_year_keeps_labels_and_dates_together(tmp_path):
    table = read_weather(DENVER)
    lines = to_plain_csv(replace(table, start=np.datetime64("2024-01-01T00:00:00"))).splitlines()
    head = next(k for k, line in enumerate(lines) if line.startswith("start,")) + 1
    rows = [line.split(",", 1)[1] for line in lines[head:]]
    rows = rows[: 59 * 24] + rows[58 * 24 : 59 * 24] + rows[59 * 24 :]
    labels = np.datetime64("2024-01-01T00:00:00") + np.arange(8784) * np.timedelta64(1, "h")
    body = [f"{label},{row}" for label, row in zip(labels, rows, strict=True)]
    leap = read_weather(write(tmp_path / "leap.csv", lines[:head] + body))
    assert leap.notes == ("29 February dropped: 24 rows",)
    assert leap.full_year
    assert np.array_equal(leap.ghi, table.ghi)
    assert leap.starts()[59 * 24] == np.datetime64("1990-03-01T00:00:00")
