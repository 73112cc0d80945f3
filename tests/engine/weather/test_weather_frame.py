"""Frames of pvlib's readers: the same table as the library's own reader of the same file."""

import gzip

import numpy as np
import pandas as pd
import pvlib
import pytest

from noonhold.errors import WeatherFormatError
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_frame import Labels, labels_of, read_frame
from noonhold.weather.weather_table import INSTANT_COLUMNS, RADIATION_COLUMNS
from tests.engine.weather.builders import DENVER, GREENSBORO, clear_instants, pvgis_json, write

COLUMNS = RADIATION_COLUMNS + INSTANT_COLUMNS
META = {"latitude": 40.0, "longitude": -105.0, "altitude": 1600.0}


def frame(start: str = "2026-07-01", hours: int = 48, every: str = "h") -> pd.DataFrame:
    index = pd.date_range(start, periods=hours, freq=every, tz="Etc/GMT+7")
    clock = np.asarray(index.hour)
    sun = np.clip(np.sin(np.pi * (clock - 5.0) / 14.0), 0.0, None) * 900.0
    return pd.DataFrame(
        {
            "ghi": sun,
            "dhi": 0.3 * sun,
            "temp_air": 20.0 + 0.5 * clock,
            "relative_humidity": 40.0,
            "wind_speed": 2.0,
            "pressure": 83_000.0,
        },
        index=index,
    )


def test_an_epw_s_frame_is_the_file(tmp_path) -> None:
    path = write(tmp_path / "denver.epw", gzip.decompress(DENVER.read_bytes()).decode("ascii"))
    data, meta = pvlib.iotools.read_epw(path)
    assert labels_of(meta) is Labels.START
    made, ours = read_frame(data, meta), read_weather(path)
    for name in COLUMNS:
        np.testing.assert_array_equal(getattr(made, name), getattr(ours, name), err_msg=name)
    assert made.start == ours.start
    assert made.site.elevation_m == ours.site.elevation_m


def test_a_tmy3_frame_is_the_file() -> None:
    data, meta = pvlib.iotools.read_tmy3(GREENSBORO, map_variables=True)
    assert labels_of(meta) is Labels.END
    made, ours = read_frame(data, meta), read_weather(GREENSBORO)
    for name in COLUMNS:
        np.testing.assert_array_equal(getattr(made, name), getattr(ours, name), err_msg=name)
    assert made.site.utc_offset_h == ours.site.utc_offset_h


def test_a_pvgis_frame_is_the_file(tmp_path) -> None:
    year = clear_instants(45.0, 8.0, 0, 0.1761)
    path = write(tmp_path / "a.json", pvgis_json(year))
    data, meta = pvlib.iotools.read_pvgis_tmy(path, pvgis_format="json")
    assert labels_of(meta) is Labels.INSTANT
    made, ours = read_frame(data, meta), read_weather(path)
    for name in COLUMNS:
        np.testing.assert_allclose(
            getattr(made, name), getattr(ours, name), rtol=1e-12, atol=1e-9, err_msg=name
        )
    assert made.site.utc_offset_h == ours.site.utc_offset_h == 1.0


def test_end_labels_are_an_interval_later_than_start_labels() -> None:
    data = frame()
    start, end = (read_frame(data, META, labels) for labels in ("start", "end"))
    assert start.start - end.start == np.timedelta64(3600, "s")
    np.testing.assert_array_equal(start.temp_air, end.temp_air)
    assert not start.notes or "start of each" not in " ".join(start.notes)


def test_middle_labels_are_half_an_interval_later_and_instants_are_interpolated() -> None:
    data = frame("2026-07-01 00:30")
    made = read_frame(data, META, "middle")
    assert str(made.start) == "2026-07-01T00:00:00"
    np.testing.assert_array_equal(made.ghi, data["ghi"])
    first, second = data["temp_air"].iloc[:2]
    assert made.temp_air[0] == pytest.approx(0.5 * (first + second))


def test_unknown_labels_are_starts_and_a_note_says_so() -> None:
    made = read_frame(frame(), META)
    assert any("taken as the start" in note for note in made.notes)
    assert made.site.utc_offset_h == -7.0
    assert not made.full_year


def test_hectopascals_are_told_from_pascals() -> None:
    made = read_frame(frame().assign(pressure=830.0), META)
    assert made.pressure == pytest.approx(83_000.0)
    assert any("hPa" in note for note in made.notes)


def test_a_missing_value_s_code_is_a_gap() -> None:
    data = frame()
    data.iloc[10, data.columns.get_loc("temp_air")] = 99.9
    made = read_frame(data, META)
    assert made.temp_air[10] == pytest.approx(25.0, abs=0.1)
    assert any("temp_air" in note for note in made.notes)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (lambda d: d.reset_index(drop=True), "no DatetimeIndex"),
        (lambda d: d.tz_localize(None), "no time zone"),
        (lambda d: d.drop(d.index[5]), "not equally spaced"),
        (lambda d: d.iloc[:1], "fewer than two rows"),
        (lambda d: d.iloc[::5], "does not divide an hour"),
        (lambda d: d.assign(ghi="much"), "no number"),
    ],
)
def test_what_cannot_be_read_is_told(change, reason) -> None:
    with pytest.raises(WeatherFormatError, match=reason):
        read_frame(change(frame()), META)


def test_a_clock_that_changes_is_refused() -> None:
    data = frame("2026-11-01")
    data.index = pd.date_range("2026-10-31", periods=48, freq="h", tz="America/Denver")
    with pytest.raises(WeatherFormatError, match="changes its offset"):
        read_frame(data, META)


def test_a_site_without_latitude_is_told() -> None:
    with pytest.raises(WeatherFormatError, match="latitude"):
        read_frame(frame(), {"longitude": 0.0, "altitude": 0.0})
