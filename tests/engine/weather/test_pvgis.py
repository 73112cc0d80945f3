"""PVGIS typical years: instants in UTC, turned into intervals of the site's clock."""

from functools import cache

import numpy as np
import pandas as pd
import pytest

from noonhold.errors import WeatherFormatError
from noonhold.weather.pvgis import read_pvgis_tmy
from noonhold.weather.sky import site_sun
from noonhold.weather.weather_files import read_weather
from tests.engine.weather.builders import clear_instants, clear_sky, pvgis_csv, pvgis_json, write


@cache
def year(latitude, longitude, minute=0, offset_h=None):
    return clear_instants(latitude, longitude, minute, offset_h)


@cache
def truth(latitude, longitude, zone):
    """Return the hourly means of the same clear sky on a clock, shape (3, 8760)."""
    times = pd.date_range("2018-01-01", periods=8760 * 6, freq="10min") + pd.Timedelta("5min")
    sky = clear_sky(latitude, longitude, (times - pd.Timedelta(hours=zone)).tz_localize("UTC"))
    return sky[["ghi", "dni", "dhi"]].to_numpy().reshape(8760, 6, 3).mean(axis=1).T


def test_json_and_csv_give_the_same_table(tmp_path):
    made = year(45.0, 8.0, 0, 0.1761)
    one = read_weather(write(tmp_path / "a.json", pvgis_json(made)))
    other = read_weather(write(tmp_path / "b.csv.gz", pvgis_csv(made)))
    for name in ("ghi", "dni", "dhi", "horizontal_infrared", "temp_air", "pressure"):
        assert np.array_equal(getattr(one, name), getattr(other, name)), name
    assert one.site.utc_offset_h == other.site.utc_offset_h == 1.0
    assert (one.site.latitude, one.site.elevation_m) == (45.0, 250.0)
    assert "radiation at minute 10.6" in one.notes[0]
    assert one.notes[1] == "utc_offset_h: +1 h taken from the longitude"


@pytest.mark.parametrize(
    ("latitude", "longitude", "minute", "offset_h"),
    [
        (45.0, 8.0, 0, 0.1761),
        (45.0, 8.0, 40, None),
        (-33.0, 151.0, 0, 0.4),
        (68.0, 27.0, 10, None),
        (40.0, -105.0, 0, None),
    ],
)
def test_radiation_is_the_clear_skys_own_hourly_mean(
    tmp_path, latitude, longitude, minute, offset_h
):
    made = year(latitude, longitude, minute, offset_h)
    table = read_weather(write(tmp_path / "clear.csv", pvgis_csv(made)))
    zone = round(longitude / 15.0)
    ghi, dni, dhi = truth(latitude, longitude, zone)
    inner = slice(24, -24)  # the year's ends join hours that are a year apart
    assert table.ghi[inner] == pytest.approx(ghi[inner], abs=12.0)
    assert table.dhi[inner] == pytest.approx(dhi[inner], abs=6.0)
    assert np.sqrt(np.mean((table.ghi - ghi)[inner] ** 2)) < 2.0
    assert np.sqrt(np.mean((table.dni - dni)[inner] ** 2)) < 14.0
    assert table.ghi.sum() == pytest.approx(ghi.sum(), rel=0.002)
    sun = site_sun(table.site, table.starts(), 3600.0)
    closure = table.ghi - table.dni * sun.sunlit_cosine - table.dhi
    assert np.sqrt(np.mean(closure**2)) < 3.0
    assert (table.ghi[sun.mean_cosine <= 0.0] == 0.0).all()


@pytest.mark.parametrize(("zone", "first"), [(1.0, 0), (-7.0, 8), (5.5, None), (0.0, 1)])
def test_the_air_is_interpolated_to_the_ends_of_the_sites_intervals(tmp_path, zone, first):
    # The made temperature is the hour of the year in UTC over 100, less 50.
    path = write(tmp_path / "air.csv", pvgis_csv(year(45.0, 8.0)))
    table = read_pvgis_tmy(path, utc_offset_h=zone)
    hours = np.arange(1, 8761) - zone
    inside = (hours >= 0) & (hours <= 8759)
    assert table.temp_air[inside] == pytest.approx(hours[inside] / 100.0 - 50.0)
    if first is not None:
        assert table.temp_air[0] == pytest.approx(first / 100.0 - 50.0)
    assert table.site.utc_offset_h == zone
    middle = hours[inside] - 0.5
    assert table.horizontal_infrared[inside][1:-1] == pytest.approx(300.0 + middle[1:-1] / 100.0)


def test_a_stated_minute_moves_the_air_as_well(tmp_path):
    table = read_weather(write(tmp_path / "air.csv", pvgis_csv(year(45.0, 8.0, 40))))
    assert table.temp_air[100] == pytest.approx((101 - 1) / 100.0 - 50.0)


def test_a_long_gap_and_a_short_one(tmp_path):
    made = pvgis_csv(year(45.0, 8.0)).split("\r\n")
    head = next(k for k, line in enumerate(made) if line.startswith("time(UTC)")) + 1
    for row in range(100, 103):
        fields = made[head + row].split(",")
        fields[1] = "nan"
        made[head + row] = ",".join(fields)
    table = read_weather(write(tmp_path / "gap.csv", made))
    assert "temp_air: 3 h in 1 gap interpolated" in table.notes
    assert table.temp_air[102] == pytest.approx(102 / 100.0 - 50.0)


def test_a_gap_in_the_radiation_is_bridged_at_the_instants(tmp_path):
    made = pvgis_csv(year(45.0, 8.0)).split("\r\n")
    head = next(k for k, line in enumerate(made) if line.startswith("time(UTC)")) + 1
    noon = 24 * 180 + 11
    for row in range(noon, noon + 2):
        fields = made[head + row].split(",")
        fields[3:6] = "nan", "nan", "nan"
        made[head + row] = ",".join(fields)
    table = read_weather(write(tmp_path / "gap.csv", made))
    whole = read_weather(write(tmp_path / "whole.csv", pvgis_csv(year(45.0, 8.0))))
    assert table.ghi == pytest.approx(whole.ghi, rel=0.02, abs=1e-9)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (lambda text: text[: len(text) // 2], "the JSON is damaged or cut short"),
        (lambda text: text.replace('"SP"', '"XX"'), "no column for pressure"),
        (lambda text: text.replace('"tmy_hourly"', '"hourly"'), "the file has no 'tmy_hourly'"),
        (lambda text: text.replace('"latitude"', '"lat"'), "does not state latitude"),
        (lambda text: text.replace("20180103:0400", "20180103:0410"), "minute changes"),
        (lambda text: text.replace("20180103:0400", "20180103:0500"), "out of order"),
        (lambda text: text.replace('"RH": 50.0', '"RH": "x"', 1), "must hold numbers"),
        (lambda text: text.replace('"elevation": 250.0', '"elevation": 25000.0'), "elevation_m"),
    ],
    ids=range(8),
)
def test_a_broken_json_is_told(tmp_path, change, reason):
    path = write(tmp_path / "broken.json", change(pvgis_json(year(45.0, 8.0))))
    with pytest.raises(WeatherFormatError, match=reason):
        read_weather(path)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (lambda text: text[: len(text) // 2], "hourly rows, a PVGIS typical year has 8760"),
        (lambda text: text.replace(",180.0,", ",", 1), r"line 19 has 9 fields, the header 10"),
        (lambda text: text.replace("Elevation", "Height"), "does not state elevation_m"),
        (lambda text: text.replace("7,2018\r\n", ""), "cannot be read as a PVGIS file's"),
        (lambda text: text.replace(",SP", ",XX"), "no column for pressure"),
        (lambda text: text.replace("Offset (h): 0.1761", "Offset (h): 17.61"), "within 1 h"),
    ],
    ids=range(6),
)
def test_a_broken_csv_is_told(tmp_path, change, reason):
    path = write(tmp_path / "broken.csv", change(pvgis_csv(year(45.0, 8.0, 0, 0.1761))))
    with pytest.raises(WeatherFormatError, match=reason):
        read_weather(path)
