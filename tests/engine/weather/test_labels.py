"""What the labels of real files mean: the sun itself says to which moment a row belongs."""

import gzip
import hashlib
from dataclasses import replace

import numpy as np
import pandas as pd
import pvlib
import pytest

from noonhold.weather.sky import site_sun
from noonhold.weather.weather_files import read_weather
from tests.engine.weather.builders import DENVER, GREENSBORO, LAS_VEGAS

HASHES = {  # of the unpacked files, as in the README beside them
    DENVER: "434a76232cbfb4cf57dcb9b6e3329534aa5c0cd95c1d2d343bd18d06c0a6d860",
    LAS_VEGAS: "54eba83988a0320e8c1e586dd6e3c1f3f96917ea58aadffac26854643a006e9a",
}


@pytest.mark.parametrize("path", HASHES, ids=lambda path: path.name[:10])
def test_the_real_files_are_the_ones_named(path):
    assert hashlib.sha256(gzip.decompress(path.read_bytes())).hexdigest() == HASHES[path]


def closure_rmse(table, minutes):
    """Return the RMSE of GHI - DNI cos z - DHI with the sun shifted by so many minutes."""
    moved = table.starts() + np.timedelta64(60 * minutes, "s")
    sun = site_sun(table.site, moved, table.interval_s)
    error = table.ghi - table.dni * sun.sunlit_cosine - table.dhi
    return float(np.sqrt(np.mean(error[table.ghi > 0] ** 2)))


@pytest.mark.parametrize("path", [DENVER, LAS_VEGAS, GREENSBORO], ids=lambda path: path.name[:10])
def test_closure_is_best_at_the_middle_of_the_interval(path):
    table = read_weather(path)
    middle = closure_rmse(table, 0)
    assert middle < 5.0  # W/m2
    for minutes in (-30, -10, 10, 30):
        assert closure_rmse(table, minutes) > middle
    assert min(closure_rmse(table, -30), closure_rmse(table, 30)) > 5.0 * middle


def test_the_sun_track_is_pvlibs_sun():
    table = read_weather(DENVER).slice(24 * 171, 48)
    sun = site_sun(table.site, table.starts(), 3600.0)
    middles = (table.index() + pd.Timedelta("30min")).tz_convert("UTC")
    site = table.site
    zenith = pvlib.solarposition.get_solarposition(middles, site.latitude, site.longitude)
    cosine = np.cos(np.radians(zenith["zenith"].to_numpy()))
    assert sun.cosines[:, 5:7].mean(axis=1) == pytest.approx(np.maximum(cosine, 0.0), abs=2e-3)
    instant = site_sun(table.site, table.starts() + np.timedelta64(1800, "s"), 0.0, parts=1)
    assert instant.cosines[:, 0] == pytest.approx(np.maximum(cosine, 0.0), abs=5e-5)


def test_the_sunlit_part_counts_only_the_part_with_the_sun_up():
    table = read_weather(DENVER).slice(24 * 171, 24)
    sun = site_sun(table.site, table.starts(), 3600.0)
    lit = (sun.cosines > 0.0).mean(axis=1)
    partly = (lit > 0.0) & (lit < 1.0)
    assert partly.sum() == 2  # the hours of sunrise and sunset
    assert (sun.sunlit_cosine[partly] > sun.mean_cosine[partly]).all()
    assert sun.sunlit_cosine * lit == pytest.approx(sun.mean_cosine)


def test_rows_stand_where_the_epw_has_them():
    # First rows of the Denver file: hour 1 -18.0 degC, 85 %, 83700 Pa, infrared 181 Wh/m2.
    table = read_weather(DENVER)
    assert len(table) == 8760
    assert table.full_year
    assert table.start == np.datetime64("1990-01-01T00:00:00")
    first = (table.temp_air[0], table.relative_humidity[0], table.pressure[0])
    assert first == (-18.0, 85.0, 83700.0)
    assert table.horizontal_infrared[0] == 181.0
    assert table.instants_at_start("temp_air")[1] == -18.0


def test_the_site_is_the_headers():
    site = read_weather(LAS_VEGAS).site
    place = (site.latitude, site.longitude, site.elevation_m, site.utc_offset_h)
    assert place == (36.08, -115.15, 648.0, -8.0)
    assert (site.name, site.station, site.region, site.source) == (
        "Las Vegas Mccarran Intl Ap", "723860", "NV, USA", "TMY3 (EPW)",
    )  # fmt: skip


def test_a_half_hour_zone_moves_the_sun_by_half_an_hour():
    table = read_weather(DENVER).slice(24 * 171, 24)
    whole = site_sun(table.site, table.starts(), 3600.0)
    half = site_sun(
        replace(table.site, utc_offset_h=-6.5),
        table.starts() + np.timedelta64(1800, "s"),
        3600.0,
    )
    assert half.cosines == pytest.approx(whole.cosines)
