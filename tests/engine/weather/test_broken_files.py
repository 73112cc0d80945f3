"""Broken files: each has its own reason, and none a traceback of pandas."""

import gzip

import numpy as np
import pytest

from noonhold.errors import WeatherError, WeatherFormatError
from noonhold.weather.file_source import field_counts, first_lines, read_bytes
from noonhold.weather.weather_files import read_site, read_weather
from tests.engine.weather.builders import DENVER, EPW_HEAD, GREENSBORO, denver_lines, edited, write


def lines_with(number, change):
    """Return the Denver file with one line (as an editor counts) changed."""
    lines = list(denver_lines())
    lines[number - 1] = change(lines[number - 1])
    return lines


def shuffled():
    lines = list(denver_lines())
    lines[EPW_HEAD + 10], lines[EPW_HEAD + 20] = lines[EPW_HEAD + 20], lines[EPW_HEAD + 10]
    return lines


def narrow(fields):
    lines = list(denver_lines())
    body = [",".join(line.split(",")[:fields]) for line in lines[EPW_HEAD:]]
    return lines[:EPW_HEAD] + body


def decimal_comma():
    lines = list(denver_lines())
    body = [line.replace(".", ",") for line in lines[EPW_HEAD:]]
    return lines[:EPW_HEAD] + body


EPW_CASES = {
    "cut in a row": (lambda: "\n".join(denver_lines())[:800_000], r"cut short"),
    "cut after a row": (lambda: denver_lines()[:5000], r"4992 hourly rows"),
    "cut in the header": (lambda: denver_lines()[:6], r"ends in its header, after 6 lines"),
    "27 columns": (lambda: narrow(27), r"line 9 has 27 fields, a row has 35"),
    "an extra column": (lambda: [f"{line},1" for line in denver_lines()], r"fields"),
    "decimal comma": (decimal_comma, r"is the decimal mark a comma\?"),
    "shuffled rows": (shuffled, r"line 19 is out of order: month 1, day 1, hour from 20:00"),
    "a row twice": (
        lambda: [*denver_lines()[:100], denver_lines()[99], *denver_lines()[101:]],
        r"line 101 is out of order",
    ),
    "a row too few": (lambda: denver_lines()[:-1], r"8759 hourly rows"),
    "8784 rows without a leap day": (
        lambda: [*denver_lines(), *denver_lines()[-24:]],
        r"8784 hourly rows",
    ),
    "no location": (lambda: lines_with(1, lambda _: "LOCATION,x"), r"no LOCATION line"),
    "a latitude of words": (
        lambda: lines_with(1, lambda line: line.replace("39.83", "north")),
        r"latitude must be a number",
    ),
    "a latitude of 95": (
        lambda: lines_with(1, lambda line: line.replace("39.83", "95")),
        r"latitude is 95 \(allowed: -90 <= value <= 90 degrees_north\)",
    ),
    "no data periods": (lambda: lines_with(8, lambda _: "x"), r"not the DATA PERIODS line"),
    "a word for a temperature": (
        lambda: edited({"temp_air": {5: "warm"}}),
        r"line 14 has no number in column 7 \(temp_air\): 'warm'",
    ),
    "a word for a month": (
        lambda: edited({"month": {5: "Jan"}}),
        r"line 14 has no number in column 2 \(month\)",
    ),
    "month 13": (lambda: edited({"month": {5: "13"}}), r"line 14 is no hour of a year: month 13"),
    "hour 25": (lambda: edited({"hour": {5: "25"}}), r"line 14 .* day 1, hour 25"),
    "30 February": (lambda: edited({"day": {40 * 24: "30"}}), r"line 969 .* month 2, day 30"),
    "an infinite temperature": (lambda: edited({"temp_air": {5: "-inf"}}), r"temp_air is -inf"),
    "another first line": (lambda: ["hello", "world"], r"first line is of no known format"),
}


@pytest.mark.parametrize("case", EPW_CASES)
def test_a_broken_epw_is_told(tmp_path, case):
    make, reason = EPW_CASES[case]
    made = make()
    path = write(tmp_path / "broken.epw", made if isinstance(made, str) else list(made))
    with pytest.raises(WeatherFormatError, match=reason) as caught:
        read_weather(path)
    assert all(fault.path.startswith("broken.epw") for fault in caught.value.faults)


def damaged(content):
    """Return gzip with bytes changed in its middle."""
    middle = len(content) // 2
    return content[:middle] + b"\x00" * 64 + content[middle + 64 :]


BYTE_CASES = {
    "empty": (b"", "a.epw", "the file is empty"),
    "blank": (b" \n\n ", "a.epw", "the file is empty"),
    "binary": (bytes(range(256)) * 20, "a.epw", "binary, not text"),
    "UTF-16": ("LOCATION,Köln".encode("utf-16"), "a.epw", "UTF-16"),
    "not gzip": (b"LOCATION,x\n", "a.epw.gz", "the content is not gzip"),
    "gzip cut short": (DENVER.read_bytes()[:50_000], "a.epw.gz", "damaged or cut short"),
    "gzip damaged": (damaged(DENVER.read_bytes()), "a.epw.gz", "damaged or cut short"),
    "gzip of nothing": (gzip.compress(b""), "a.epw.gz", "the file is empty"),
    "gzip header alone": (b"\x1f\x8b", "a.epw.gz", "damaged or cut short"),
    "JSON of something else": (b'{"a": 1}', "a.json", "does not state latitude"),
}


@pytest.mark.parametrize("case", BYTE_CASES)
def test_a_file_that_is_no_text_is_told(tmp_path, case):
    content, name, reason = BYTE_CASES[case]
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(WeatherFormatError, match=reason):
        read_weather(path)


def test_a_folder_and_a_missing_file_are_told(tmp_path):
    with pytest.raises(WeatherFormatError, match="a folder, not a file"):
        read_weather(tmp_path)
    with pytest.raises(WeatherFormatError, match="there is no such file"):
        read_weather(tmp_path / "nothing.epw")


def worded(row, names):
    """Return a TMY3 row with a word for its temperature."""
    fields = row.split(",")
    fields[names.split(",").index("Dry-bulb (C)")] = "ten"
    return ",".join(fields)


TMY3_CASES = {
    "a row cut": (lambda lines: [*lines[:100], lines[100][:50], *lines[101:]], r"line 101 has"),
    "rows missing": (lambda lines: lines[:4000], r"3998 hourly rows"),
    "no rows": (lambda lines: lines[:2], r"ends in its header"),
    "a word for a number": (
        lambda lines: [*lines[:50], worded(lines[50], lines[1]), *lines[51:]],
        r"line 51 has no number in temp_air",
    ),
    "another column": (
        lambda lines: [lines[0], lines[1].replace("Dry-bulb (C)", "Dry"), *lines[2:]],
        r"names no column for temp_air",
    ),
    "a half hour": (
        lambda lines: [*lines[:9], lines[9].replace(":00", ":30", 1), *lines[10:]],
        r"line 10 is not on the full hour",
    ),
    "a short header": (lambda lines: ["1,2,3", *lines[1:]], r"no TMY3 header of 7 fields"),
    "a date of words": (
        lambda lines: [*lines[:9], "x" + lines[9], *lines[10:]],
        r"cannot be read as a TMY3 file's",
    ),
}


@pytest.mark.parametrize("case", TMY3_CASES)
def test_a_broken_tmy3_is_told(tmp_path, case):
    change, reason = TMY3_CASES[case]
    path = write(tmp_path / "broken.csv", change(GREENSBORO.read_text().splitlines()))
    with pytest.raises(WeatherFormatError, match=reason):
        read_weather(path)


PLAIN_HEAD = [
    "# latitude: 40", "# longitude: -105", "# elevation_m: 1600", "# utc_offset_h: -7",
    "# interval_s: 3600", "# name: here",
]  # fmt: skip
PLAIN_NAMES = "start,temp_air,relative_humidity,wind_speed,ghi,dhi"
PLAIN_ROWS = ["2024-07-01T10:00,30,20,3,900,100", "2024-07-01T11:00,31,20,3,950,100"]


def plain(*head, names=PLAIN_NAMES, rows=PLAIN_ROWS):
    return [*(head or PLAIN_HEAD), names, *rows]


PLAIN_CASES = {
    "a missing key": (plain(*PLAIN_HEAD[1:]), r"does not state latitude"),
    "an unknown key": (plain(*PLAIN_HEAD, "# colour: red"), r"line 7 is no known key"),
    "a key twice": (plain(*PLAIN_HEAD, "# name: there"), r"line 7 states name again"),
    "an interval of 7 minutes": (
        plain(*PLAIN_HEAD[:4], "# interval_s: 420", "# name: x"),
        r"interval_s does not divide an hour",
    ),
    "an unknown column": (plain(names=PLAIN_NAMES.replace("ghi", "sun")), r"unknown column"),
    "a column twice": (plain(names=PLAIN_NAMES.replace("dhi", "ghi")), r"names the column twice"),
    "a decimal comma": (plain(rows=["2024-07-01T10:00,30,5,20,3,900,100"]), r"decimal mark"),
    "a word": (plain(rows=["2024-07-01T10:00,hot,20,3,900,100"]), r"line 8 .* temp_air: 'hot'"),
    "an infinity": (plain(rows=["2024-07-01T10:00,inf,20,3,900,100"]), r"temp_air: 'inf'"),
    "no rows": (plain(rows=[]), r"no rows under its header"),
    "a zone": (plain(rows=["2024-07-01T10:00Z,30,20,3,900,100"]), r"without a zone"),
    "no date": (plain(rows=["noon,30,20,3,900,100"]), r"not a time of the form"),
    "rows out of order": (plain(rows=PLAIN_ROWS[::-1]), r"line 9 is out of order"),
    "no start": (
        plain(names=PLAIN_NAMES[6:], rows=["30,20,3,900,100"]),
        r"neither the header nor a column states the start",
    ),
    "an opening of two": (plain(*PLAIN_HEAD, "# opening: 1 2"), r"no row of four figures"),
}


@pytest.mark.parametrize("case", PLAIN_CASES)
def test_a_broken_plain_csv_is_told(tmp_path, case):
    lines, reason = PLAIN_CASES[case]
    with pytest.raises(WeatherFormatError, match=reason):
        read_weather(write(tmp_path / "broken.csv", lines))


def test_every_fault_of_a_plain_header_is_told_at_once(tmp_path):
    head = ["# latitude: 95", "# longitude: x", "# colour: red", "# interval_s: 7"]
    with pytest.raises(WeatherFormatError) as caught:
        read_weather(write(tmp_path / "broken.csv", plain(*head)))
    assert [fault.path.split(": ")[1] for fault in caught.value.faults] == [
        "colour", "elevation_m", "utc_offset_h", "name", "latitude", "longitude", "interval_s",
    ]  # fmt: skip


def test_the_sound_plain_csv_is_read(tmp_path):
    assert len(read_weather(write(tmp_path / "sound.csv", plain()))) == 2


def test_damage_anywhere_is_an_error_of_ours_or_a_finite_table(tmp_path):
    generator = np.random.default_rng(20)
    content = "\n".join(denver_lines()).encode()
    path = tmp_path / "damaged.epw"
    outcomes = set()
    for _ in range(12):
        bytes_ = bytearray(content)
        for place in generator.integers(0, len(content), 3):
            bytes_[place] = generator.integers(32, 127)
        path.write_bytes(bytes(bytes_))
        try:
            table = read_weather(path)
        except WeatherError as exc:
            outcomes.add("error")
            assert exc.faults[0].path.startswith("damaged.epw")
        else:
            outcomes.add("table")
            assert np.isfinite(table.temp_air).all()
    assert outcomes


def test_only_the_beginning_is_read_for_a_site(tmp_path):
    content = DENVER.read_bytes()[:60_000]  # the gzip's end is gone, the header is there
    path = tmp_path / "half.epw.gz"
    path.write_bytes(content)
    assert read_site(path)[0].station == "725650"
    assert len(read_bytes(path, 100)) == 100


def test_fields_are_counted_line_by_line():
    assert field_counts(b"a,b\nc\n\nd,e,f").tolist() == [2, 1, 1, 3]
    assert field_counts(b"a,b\n\n  \n").tolist() == [2]
    assert field_counts(b"a").tolist() == []
    assert first_lines(b"a\nb\nc", 2) == [b"a", b"b"]
    assert first_lines(b"a\nb\nc", 3) == [b"a", b"b", b"c"]
