"""The invented typical years: remade from their recipe, read, and judged as a climate."""

import gzip
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pvlib
import pytest
from numpy.typing import NDArray

FOLDER = Path(__file__).resolve().parents[2] / "sample_weather"
FILES = sorted(FOLDER.glob("*.epw.gz"))
ZONES = ("basin desert", "coast", "high mountain", "hills", "plateau", "river plain")
# What an EPW field holds when nothing is known, by pvlib's names (EPW data dictionary,
# EnergyPlus Auxiliary Programs).
MISSING = {
    "global_hor_illum": 999999,
    "direct_normal_illum": 999999,
    "diffuse_horizontal_illum": 999999,
    "zenith_luminance": 9999,
    "visibility": 9999,
    "ceiling_height": 99999,
    "present_weather_observation": 9,
    "present_weather_codes": 999999999,
    "precipitable_water": 999,
    "aerosol_optical_depth": 0.999,
    "snow_depth": 999,
    "days_since_last_snowfall": 99,
    "albedo": 999,
    "liquid_precipitation_depth": 999,
    "liquid_precipitation_quantity": 99,
}


@dataclass(frozen=True)
class Year:
    """One file as pvlib reads it."""

    data: pd.DataFrame
    meta: dict[str, Any]

    def month_mean(self, column: str, month: int) -> float:
        return float(self.data.loc[self.data.index.month == month, column].mean())

    def mean_high(self, month: int) -> float:
        rows = self.data.loc[self.data.index.month == month, "temp_air"]
        return float(rows.groupby(rows.index.day).max().mean())


def read(path: Path) -> Year:
    with gzip.open(path, "rt", encoding="ascii") as file:
        return Year(*pvlib.iotools.read_epw(file))


@pytest.fixture(scope="module")
def years() -> dict[str, Year]:
    return {path.name: read(path) for path in FILES}


@pytest.fixture(scope="module")
def by_zone(years: dict[str, Year]) -> dict[str, list[Year]]:
    return {z: [y for y in years.values() if y.meta["state-prov"] == z] for z in ZONES}


def sun_of_hours(year: Year) -> pd.DataFrame:
    """Sun in the middle of each hour's sunlit part, by pvlib's own sunrise and sunset.

    An independent route: the script finds these instants by bisection instead.
    """
    place = (year.meta["latitude"], year.meta["longitude"])
    noons = pd.DatetimeIndex(year.data.index[12::24])
    events = pvlib.solarposition.sun_rise_set_transit_spa(noons, *place)
    rise, sunset = (  # hour of the local day: the date of the answer is that of another meridian
        np.repeat((t.dt.hour + t.dt.minute / 60.0 + t.dt.second / 3600.0).to_numpy(dtype=float), 24)
        for t in (events[name].dt.tz_convert(noons.tz) for name in ("sunrise", "sunset"))
    )
    start = year.data.index.hour.to_numpy(dtype=float)
    end = start + 1.0
    up = (rise < end) & (start < sunset)
    first = np.where(up, np.maximum(start, rise), start)
    last = np.where(up, np.minimum(end, sunset), end)
    middle = year.data.index + pd.to_timedelta(np.round(1800.0 * (first + last - 2 * start)), "s")
    return pvlib.solarposition.get_solarposition(middle, *place, altitude=year.meta["altitude"])


@pytest.fixture(scope="module")
def suns(years: dict[str, Year]) -> dict[str, pd.DataFrame]:
    return {name: sun_of_hours(year) for name, year in years.items()}


# ------------------------------------------------------------------ made from the recipe


def test_remaking_a_station_gives_the_committed_file(tmp_path: Path) -> None:
    name = "hills_roundhazel.epw.gz"
    command = [sys.executable, str(FOLDER / "make.py"), "--out", str(tmp_path)]
    subprocess.run([*command, "--station", "roundhazel"], check=True, timeout=120)
    assert [path.name for path in tmp_path.iterdir()] == [name]
    remade, committed = (tmp_path / name).read_bytes(), (FOLDER / name).read_bytes()
    # The content to the byte. The packing too, up to the compressor: builds of zlib differ.
    assert gzip.decompress(remade) == gzip.decompress(committed)
    assert remade[:9] == committed[:9]


def test_a_name_that_is_no_station_is_refused(tmp_path: Path) -> None:
    command = [sys.executable, str(FOLDER / "make.py"), "--out", str(tmp_path / "new")]
    done = subprocess.run(
        [*command, "--station", "nowhere"], check=False, timeout=120, capture_output=True, text=True
    )
    assert done.returncode == 2
    assert "no such station: nowhere" in done.stderr
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_packing_carries_neither_time_nor_name(path: Path) -> None:
    head = path.read_bytes()[:8]
    assert head[:3] == b"\x1f\x8b\x08"  # RFC 1952: magic number, deflate
    assert head[3] == 0  # no flag: no file name
    assert head[4:8] == b"\0\0\0\0"  # modification time zero


def test_the_files_stay_small() -> None:
    assert max(path.stat().st_size for path in FILES) < 215_000
    assert sum(path.stat().st_size for path in FILES) < 5_000_000


# ------------------------------------------------------------------ well-formed


def test_four_stations_in_each_of_six_zones(by_zone: dict[str, list[Year]]) -> None:
    assert {zone: len(stations) for zone, stations in by_zone.items()} == dict.fromkeys(ZONES, 4)


def test_header_has_the_eight_records_in_order_and_says_invented() -> None:
    for path in FILES:
        with gzip.open(path, "rt", encoding="ascii") as file:
            lines = [next(file).rstrip("\n") for _ in range(8)]
        assert [line.split(",")[0] for line in lines] == [
            "LOCATION",
            "DESIGN CONDITIONS",
            "TYPICAL/EXTREME PERIODS",
            "GROUND TEMPERATURES",
            "HOLIDAYS/DAYLIGHT SAVINGS",
            "COMMENTS 1",
            "COMMENTS 2",
            "DATA PERIODS",
        ]
        assert "Invented" in lines[5]
        assert "not a measurement" in lines[6]
        # Three depths: depth, three soil properties, twelve months each.
        assert len(lines[3].split(",")) == 2 + 3 * 16


def test_name_zone_and_file_name_agree(years: dict[str, Year]) -> None:
    for name, year in years.items():
        zone = year.meta["state-prov"].replace(" ", "_")
        assert name == f"{zone}_{year.meta['city'].lower()}.epw.gz"
    assert len({year.meta["WMO_code"] for year in years.values()}) == len(FILES)


def test_every_station_lies_in_open_ocean(years: dict[str, Year]) -> None:
    # The nearest islands, coordinates from memory to a tenth of a degree.
    islands = {"Ducie": (-24.7, -124.8), "Easter": (-27.1, -109.4), "Pitcairn": (-25.1, -130.1)}
    for year in years.values():
        latitude, longitude = year.meta["latitude"], year.meta["longitude"]
        assert -37.0 < latitude < -33.0
        assert -125.0 < longitude < -118.0
        assert abs(longitude / 15.0 - year.meta["TZ"]) <= 0.5
        for there in islands.values():
            a, b = np.radians([latitude, there[0]])
            cosine = np.sin(a) * np.sin(b) + np.cos(a) * np.cos(b) * np.cos(
                np.radians(longitude - there[1])
            )
            assert 6371.0 * np.arccos(cosine) > 800.0


def test_a_year_of_hours_without_gap_or_leap_day(years: dict[str, Year]) -> None:
    for year in years.values():
        data = year.data
        assert len(data) == 8760
        assert data.index[0] == pd.Timestamp("2001-01-01 00:00", tz="-08:00")
        assert (data.index[1:] - data.index[:-1] == pd.Timedelta(hours=1)).all()
        assert data["hour"].min() == 1
        assert data["hour"].max() == 24


def test_no_gap_in_what_is_modelled_and_the_missing_code_in_the_rest(
    years: dict[str, Year],
) -> None:
    for year in years.values():
        assert not year.data.isna().any().any()
        for column, code in MISSING.items():
            assert (year.data[column] == code).all(), column


# ------------------------------------------------------------------ physics


def test_global_is_beam_on_the_horizontal_plus_diffuse(
    years: dict[str, Year], suns: dict[str, pd.DataFrame]
) -> None:
    for name, year in years.items():
        sun = suns[name]
        cosine = np.cos(np.radians(sun["apparent_zenith"].to_numpy())).clip(min=0.0)
        data = year.data
        gap = (data["ghi"] - data["dni"] * cosine - data["dhi"]).to_numpy(dtype=float)
        day = data["ghi"].to_numpy() > 0
        assert np.sqrt(np.mean(gap[day] ** 2)) < 3.0, name
        assert np.abs(gap).max() < 3.0, name


def test_no_radiation_while_the_sun_is_down(
    years: dict[str, Year], suns: dict[str, pd.DataFrame]
) -> None:
    for name, year in years.items():
        down = suns[name]["apparent_elevation"].to_numpy() < -1.0
        # Half the year, less one hour a day that is lit in part.
        assert down.sum() == pytest.approx(8760 / 2 - 365, abs=100)
        assert (year.data.loc[down, ["ghi", "dni", "dhi", "etr", "etrn"]] == 0).all().all(), name


def test_radiation_stays_below_a_very_clear_sky(
    years: dict[str, Year], suns: dict[str, pd.DataFrame]
) -> None:
    # Another clear-sky model than the script's: simplified Solis (Ineichen, 2008) with less
    # aerosol and water than any of these places has. A tenth is left for cloud enhancement and
    # for the two models' difference; 10 W/m2 for low sun, where Solis is not meant to be used.
    for name, year in years.items():
        sun = suns[name]
        data = year.data
        sky = pvlib.clearsky.simplified_solis(
            sun["apparent_elevation"].to_numpy(),
            aod700=0.02,
            precipitable_water=0.3,
            pressure=data["atmospheric_pressure"].to_numpy(),
            dni_extra=pvlib.irradiance.get_extra_radiation(np.repeat(np.arange(365) + 1, 24)),
        )
        assert (data["ghi"].to_numpy() <= 1.1 * np.nan_to_num(sky["ghi"]) + 10.0).all(), name
        assert (data["ghi"] <= data["etr"] + 1).all(), name
        assert (data["dni"] <= data["etrn"]).all(), name


def test_diffuse_share_falls_from_overcast_to_clear(years: dict[str, Year]) -> None:
    for year in years.values():
        day = year.data["ghi"] > 200
        share = (year.data["dhi"] / year.data["ghi"].where(day))[day]
        # Cover is an instant, radiation a mean: take the hours that begin and end alike.
        cover = year.data["opaque_sky_cover"]
        steady = day & (cover == cover.shift())
        assert share[steady & (cover == 10)].mean() > 0.9
        assert share[steady & (cover == 0)].mean() < 0.3


def test_humidity_is_that_of_the_two_temperatures(years: dict[str, Year]) -> None:
    def vapour_pressure(t: NDArray[np.float64]) -> NDArray[np.float64]:
        # WMO-No. 8 (CIMO guide), annex 4.B: Magnus over water, other constants than the script's.
        return np.asarray(6.112 * np.exp(17.62 * t / (243.12 + t)))

    for name, year in years.items():
        data = year.data
        dry, dew = (data[c].to_numpy(dtype=float) for c in ("temp_air", "temp_dew"))
        assert data["relative_humidity"].between(0, 100).all()
        assert (dew <= dry).all()
        expected = 100.0 * vapour_pressure(dew) / vapour_pressure(dry)
        assert np.abs(data["relative_humidity"] - expected).max() < 0.7, name


def test_infrared_is_that_of_a_sky_and_cloud_raises_it(years: dict[str, Year]) -> None:
    for year in years.values():
        data = year.data
        assert data["ghi_infrared"].between(120, 520).all()
        body = 5.670374419e-8 * (data["temp_air"] + 273.15) ** 4
        emissivity = data["ghi_infrared"] / body
        overcast, clear = data["opaque_sky_cover"] == 10, data["opaque_sky_cover"] == 0
        assert emissivity[overcast].mean() > emissivity[clear].mean() + 0.1


def test_pressure_is_the_standard_atmospheres_with_weather(years: dict[str, Year]) -> None:
    for year in years.values():
        standard = pvlib.atmosphere.alt2pres(year.meta["altitude"])
        ratio = year.data["atmospheric_pressure"] / standard
        assert ratio.mean() == pytest.approx(1.0, abs=0.005)
        assert 0.002 < ratio.std() < 0.008


def test_wind_has_calms_gusty_hours_and_a_windier_afternoon(years: dict[str, Year]) -> None:
    for year in years.values():
        speed = year.data["wind_speed"]
        assert speed.min() >= 0.0
        assert 10.0 < speed.max() < 25.0
        # Weibull of shape 2: standard deviation 0.52 of the mean; swings and weather add to it.
        assert 0.45 < speed.std() / speed.mean() < 0.75
        by_hour = speed.groupby(year.data.index.hour).mean()
        assert by_hour[12:18].mean() > by_hour[0:6].mean()
        assert year.data["wind_direction"].between(0, 360).all()


# ------------------------------------------------------------------ a climate


def test_seasons_are_the_southern_hemispheres(years: dict[str, Year]) -> None:
    for year in years.values():
        assert year.meta["latitude"] < 0
        assert year.month_mean("temp_air", 1) > year.month_mean("temp_air", 7) + 8.0
        assert year.month_mean("ghi", 1) > 1.8 * year.month_mean("ghi", 7)


def test_days_persist_and_cloud_cools_them(years: dict[str, Year]) -> None:
    for name, year in years.items():
        days = year.data.groupby(year.data.index.date)
        high, low = days["temp_air"].max(), days["temp_air"].min()
        season = high.rolling(31, center=True, min_periods=10).mean()
        departure = (high - season).to_numpy()
        assert 0.3 < np.corrcoef(departure[1:], departure[:-1])[0, 1] < 0.9, name
        cloud = days["opaque_sky_cover"].mean().to_numpy()
        assert np.corrcoef((high - low).to_numpy(), cloud)[0, 1] < -0.3, name


def test_the_day_is_warmest_in_the_afternoon_and_coldest_near_sunrise(
    years: dict[str, Year],
) -> None:
    for year in years.values():
        by_hour = year.data.groupby(year.data["hour"])["temp_air"].mean()  # at the hour's end
        assert 13 <= by_hour.idxmax() <= 16
        assert 5 <= by_hour.idxmin() <= 8


@pytest.mark.parametrize(
    ("zone", "high_c", "dew_point_c"),
    [  # what the region was asked to be: hottest month, mean daily high and mean dew point
        ("coast", (28, 32), (22, 25)),
        ("river plain", (34, 37), (18, 21)),
        ("basin desert", (40, 44), (2, 8)),
        ("plateau", (31, 35), (4, 10)),
        ("hills", (27, 30), (13, 17)),
        ("high mountain", (17, 23), (0, 6)),
    ],
)
def test_the_hottest_month_is_the_zones(
    by_zone: dict[str, list[Year]],
    zone: str,
    high_c: tuple[float, float],
    dew_point_c: tuple[float, float],
) -> None:
    for year in by_zone[zone]:
        month = max(range(1, 13), key=year.mean_high)
        assert month in (12, 1, 2)
        assert high_c[0] < year.mean_high(month) < high_c[1]
        assert dew_point_c[0] < year.month_mean("temp_dew", month) < dew_point_c[1]


def test_zones_stand_in_the_order_nature_would_put_them(by_zone: dict[str, list[Year]]) -> None:
    def zone_range(zone: str, column: str) -> tuple[float, float]:
        means = [float(year.data[column].mean()) for year in by_zone[zone]]
        return min(means), max(means)

    highs = {zone: [year.mean_high(1) for year in by_zone[zone]] for zone in ZONES}
    assert min(highs["basin desert"]) > max(highs["river plain"])
    assert min(highs["river plain"]) > max(highs["hills"])
    assert min(highs["hills"]) > max(highs["high mountain"])
    for dry in ("basin desert", "plateau", "high mountain"):
        assert zone_range("coast", "temp_dew")[0] > zone_range(dry, "temp_dew")[1]
        assert zone_range("coast", "relative_humidity")[0] > zone_range(dry, "relative_humidity")[1]
    assert zone_range("basin desert", "ghi")[0] > zone_range("coast", "ghi")[1]


def test_within_a_zone_higher_is_colder(by_zone: dict[str, list[Year]]) -> None:
    mountains = sorted(by_zone["high mountain"], key=lambda year: year.meta["altitude"])
    means = [float(year.data["temp_air"].mean()) for year in mountains]
    assert means == sorted(means, reverse=True)
