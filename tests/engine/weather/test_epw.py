import gzip

import numpy as np
import pvlib
import pytest

from noonhold.errors import WeatherFormatError, WeatherGapError
from noonhold.weather.epw import read_epw
from noonhold.weather.sky import sky_infrared
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import INSTANT_COLUMNS, RADIATION_COLUMNS
from tests.engine.weather.builders import (
    DENVER,
    EPW_CODE,
    EPW_HEAD,
    denver_lines,
    edited,
    missing,
    write,
)

NOON = 24 * 180 + 12  # a summer noon


def read(tmp_path, lines):
    return read_epw(write(tmp_path / "case.epw", lines))


@pytest.fixture(scope="module")
def denver():
    return read_epw(DENVER)


def test_gzip_and_plain_text_give_the_same_table(tmp_path, denver):
    table = read(tmp_path, list(denver_lines()))
    assert np.array_equal(table.temp_air, denver.temp_air)
    assert table.notes == denver.notes == ()


def test_the_figures_are_those_of_pvlib_s_reader(denver):
    with gzip.open(DENVER, "rt", encoding="utf-8") as text:
        known, head = pvlib.iotools.read_epw(text)
    assert (denver.site.latitude, denver.site.elevation_m) == (head["latitude"], head["altitude"])
    names = {"pressure": "atmospheric_pressure", "horizontal_infrared": "ghi_infrared"}
    for name in (*RADIATION_COLUMNS, *INSTANT_COLUMNS):
        assert np.array_equal(getattr(denver, name), known[names.get(name, name)]), name


@pytest.mark.parametrize("column", ["temp_air", "pressure", "wind_speed"])
def test_three_missing_hours_are_bridged_and_counted(tmp_path, denver, column):
    table = read(tmp_path, edited(missing(column, range(100, 103))))
    before, after = getattr(denver, column)[[99, 103]]
    expected = before + (after - before) * np.array([0.25, 0.5, 0.75])
    assert getattr(table, column)[100:103] == pytest.approx(expected)
    assert table.notes == (f"{column}: 3 h in 1 gap interpolated",)


def test_four_missing_hours_are_an_error_that_names_column_and_lines(tmp_path):
    with pytest.raises(WeatherGapError) as caught:
        read(tmp_path, edited(missing("temp_air", range(100, 104))))
    (fault,) = caught.value.faults
    assert fault.path == "case.epw: temp_air"
    assert fault.message == "temp_air is missing in lines 109-112 (4 h)"


def test_long_gaps_in_several_columns_are_told_at_once(tmp_path):
    changes = {}
    for column in ("temp_air", "wind_speed", "ghi", "dni", "dhi"):
        changes |= missing(column, range(NOON, NOON + 5))
    with pytest.raises(WeatherGapError) as caught:
        read(tmp_path, edited(changes))
    paths = [fault.path.split(": ")[1] for fault in caught.value.faults]
    assert paths == ["temp_air", "wind_speed", "ghi", "dni", "dhi"]


def test_a_gap_over_the_end_of_the_year_is_one_gap(tmp_path):
    rows = {row: EPW_CODE["temp_air"] for row in (8758, 8759, 0, 1)}
    with pytest.raises(WeatherGapError, match=r"lines 8767-10 \(4 h\)"):
        read(tmp_path, edited({"temp_air": rows}))


def test_humidity_is_derived_from_the_dew_point(tmp_path, denver):
    table = read(tmp_path, edited(missing("relative_humidity", range(4000, 4030))))
    assert table.relative_humidity[4000:4030] == pytest.approx(
        denver.relative_humidity[4000:4030], abs=1.5
    )
    assert table.notes == ("relative_humidity: 30 rows derived from the dew point",)


@pytest.mark.parametrize(("column", "tolerance"), [("ghi", 12.0), ("dhi", 12.0)])
def test_one_missing_irradiance_follows_from_the_other_two(tmp_path, denver, column, tolerance):
    table = read(tmp_path, edited(missing(column, range(8760))))
    assert getattr(table, column) == pytest.approx(getattr(denver, column), abs=tolerance)
    assert "derived from ghi = dni cos z + dhi" in " ".join(table.notes)


def test_missing_direct_irradiance_follows_within_what_a_low_sun_tells(tmp_path, denver):
    table = read(tmp_path, edited(missing("dni", range(8760))))
    high = denver.ghi > 200.0
    assert table.dni[high] == pytest.approx(denver.dni[high], abs=15.0)


def test_two_missing_irradiances_are_an_error(tmp_path):
    with pytest.raises(WeatherGapError, match="two of ghi, dni, dhi are needed"):
        read(tmp_path, edited(missing("dni", range(8760)) | missing("dhi", range(8760))))


def test_a_radiation_gap_is_bridged_by_clearness_not_by_watts(tmp_path, denver):
    changes = {}
    for column in ("ghi", "dni", "dhi"):
        changes |= missing(column, range(NOON - 5, NOON - 3))
    table = read(tmp_path, edited(changes))
    rows = slice(NOON - 5, NOON - 3)
    assert table.notes == ("radiation: 2 h in 1 gap bridged by the clearness beside them",)
    assert (table.ghi[rows] > 0.0).all()
    assert table.ghi[rows] == pytest.approx(denver.ghi[rows], rel=0.2)


def test_a_gap_at_sunrise_takes_nothing_from_the_night(tmp_path, denver):
    first = int(np.flatnonzero(denver.ghi[24 * 180 : 24 * 181] > 0)[0]) + 24 * 180
    changes = {}
    for column in ("ghi", "dni", "dhi"):
        changes |= missing(column, range(first - 1, first + 2))
    table = read(tmp_path, edited(changes))
    assert table.ghi[first - 1] == table.dni[first - 1] == 0.0
    assert 0.0 < table.ghi[first] < table.ghi[first + 1] < table.ghi[first + 2]


def test_missing_radiation_at_night_is_zero_by_the_sun(tmp_path, denver):
    changes = {}
    for column in ("ghi", "dni", "dhi"):
        changes |= missing(column, range(24 * 180, 24 * 180 + 4))
    table = read(tmp_path, edited(changes))
    assert np.array_equal(table.ghi, denver.ghi)
    assert table.notes == ("radiation: 4 missing rows at night set to zero",)


def test_a_file_without_pressure_takes_the_standard_atmosphere(tmp_path):
    table = read(tmp_path, edited(missing("pressure", range(8760))))
    # ASHRAE Handbook of Fundamentals 2017, chapter 1, equation 3, at 1650 m.
    assert table.pressure == pytest.approx(101325.0 * (1 - 2.25577e-5 * 1650.0) ** 5.2559)
    assert "standard atmosphere at 1650 m" in table.notes[0]


def test_computed_infrared_meets_the_files_own(tmp_path, denver):
    # The file's column was computed by the same published formula from the same opaque cover.
    table = read(tmp_path, edited(missing("horizontal_infrared", range(8760))))
    cover = np.array([float(line.split(",")[23]) for line in denver_lines()[EPW_HEAD:]])
    instant = sky_infrared(denver.temp_air, denver.relative_humidity, cover / 10.0)
    error = instant - denver.horizontal_infrared
    assert abs(error.mean()) < 0.5
    assert error.std() < 0.6
    assert "with the sky cover given" in table.notes[0]
    assert table.horizontal_infrared.mean() == pytest.approx(
        denver.horizontal_infrared.mean(), abs=0.5
    )


def test_infrared_without_any_cloud_comes_from_the_clearness_of_the_day(tmp_path, denver):
    changes = missing("horizontal_infrared", range(8760)) | missing("opaque_sky_cover", range(8760))
    table = read(tmp_path, edited(changes))
    error = table.horizontal_infrared - denver.horizontal_infrared
    assert abs(error.mean()) < 8.0
    assert np.corrcoef(table.horizontal_infrared, denver.horizontal_infrared)[0, 1] > 0.95
    assert "cloud estimated from the clearness of each day" in table.notes[0]


def test_infrared_of_zero_throughout_is_no_measurement(tmp_path):
    table = read(tmp_path, edited({"horizontal_infrared": dict.fromkeys(range(8760), "0")}))
    assert table.horizontal_infrared.min() > 100.0
    assert "zero throughout the file, taken as missing" in table.notes[0]


def test_source_years_may_differ_from_row_to_row(tmp_path, denver):
    years = {row: str(1975 + row % 7) for row in range(8760)}
    table = read(tmp_path, edited({"year": years}))
    assert np.array_equal(table.ghi, denver.ghi)
    assert table.start == np.datetime64("1990-01-01T00:00:00")


def test_a_file_of_one_common_year_keeps_it(tmp_path):
    table = read(tmp_path, edited({"year": dict.fromkeys(range(8760), "2023")}))
    assert table.start == np.datetime64("2023-01-01T00:00:00")


def test_the_leap_day_is_dropped_with_a_note(tmp_path, denver):
    lines = edited({"year": dict.fromkeys(range(8760), "2020")})
    end = EPW_HEAD + 59 * 24
    extra = [line.replace("2020,2,28,", "2020,2,29,") for line in lines[end - 24 : end]]
    table = read(tmp_path, lines[:end] + extra + lines[end:])
    assert table.notes == ("29 February dropped: 24 rows",)
    assert np.array_equal(table.temp_air, denver.temp_air)
    assert table.start == np.datetime64("1990-01-01T00:00:00")
    assert table.starts()[59 * 24] == np.datetime64("1990-03-01T00:00:00")


def test_a_year_that_begins_in_july_is_rolled_to_january(tmp_path, denver):
    lines = list(denver_lines())
    half = EPW_HEAD + 181 * 24
    table = read(tmp_path, lines[:EPW_HEAD] + lines[half:] + lines[EPW_HEAD:half])
    assert np.array_equal(table.dni, denver.dni)
    assert "rolled to 1 January" in table.notes[0]


def test_humidity_above_saturation_is_clipped_with_a_note(tmp_path):
    table = read(tmp_path, edited({"relative_humidity": {5: "104", 6: "110"}}))
    assert table.relative_humidity[5] == table.relative_humidity[6] == 100.0
    assert table.notes == ("relative_humidity: 2 rows above 100 % set to 100 %",)


def test_values_that_cannot_be_weather_are_told_all_at_once(tmp_path):
    changes = {
        "temp_air": {3: "72.5", 4: "71"},
        "ghi": {NOON: "2400"},
        "wind_speed": {8: "-2"},
        "pressure": {9: "837"},
        **missing("dhi", range(8759, 8760)),
    }
    with pytest.raises(WeatherFormatError) as caught:
        read(tmp_path, edited(changes))
    faults = {fault.path.split(": ")[1]: fault for fault in caught.value.faults}
    assert set(faults) == {"temp_air", "ghi", "wind_speed", "pressure"}
    assert faults["temp_air"].message == "temp_air is 72.5 in line 12 (2 such values)"
    assert faults["pressure"].bound == "30000 <= value <= 110000 Pa"
    assert faults["ghi"].value == 2400.0


def test_a_place_name_in_latin_1_is_read(tmp_path):
    lines = list(denver_lines())
    lines[0] = lines[0].replace("Denver Intl Ap", "Zürich")
    path = tmp_path / "latin.epw"
    path.write_bytes("\r\n".join(lines).encode("latin-1"))
    assert read_weather(path).site.name == "Zürich"
    path.write_bytes("\r\n".join(lines).encode("utf-8-sig"))
    assert read_weather(path).site.name == "Zürich"
