from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.air.moist_air import saturation_pressure
from noonhold.errors import DocumentError
from noonhold.solar.sun import solar_geometry
from noonhold.weather.hot_day import HotDay, day_curve, hot_day
from noonhold.weather.sky import site_sun
from noonhold.weather.weather_table import INSTANT_COLUMNS, RADIATION_COLUMNS, Site

HIGH_COUNTRY = Site("high country", 40.0, -105.0, 2100.0, -7.0)
AUGUST = HotDay(date(2024, 8, 1), high_c=34.0, low_c=12.0, dew_point_c=5.0, wind_speed_m_s=3.0)


def test_the_hours_stand_at_ashraes_fractions_of_the_range():
    # ASHRAE Handbook of Fundamentals 2021, chapter 14, table 6: hours 5, 9, 12, 14, 15, 20, 24.
    fractions = {5: 1.00, 9: 0.55, 12: 0.13, 14: 0.00, 15: 0.00, 20: 0.50, 24: 0.82}
    table = hot_day(HIGH_COUNTRY, AUGUST)
    for hour, fraction in fractions.items():
        assert table.temp_air[hour - 1] == pytest.approx(34.0 - 22.0 * fraction), hour
    assert table.opening[0] == table.temp_air[23]


def test_the_clear_day_is_pvlibs_clear_sky_averaged_over_the_hours():
    table = hot_day(HIGH_COUNTRY, AUGUST)
    place = pvlib.location.Location(40.0, -105.0, altitude=2100.0)
    times = pd.date_range("2024-08-01 07:00:30", periods=1440, freq="min", tz="UTC")
    sky = place.get_clearsky(times, model="ineichen")
    for name in ("ghi", "dni", "dhi"):
        expected = sky[name].to_numpy().reshape(24, 60).mean(axis=1)
        assert getattr(table, name) == pytest.approx(expected, abs=2.0), name


def test_cloud_thins_the_day_by_kasten_and_czeplak():
    clear = hot_day(HIGH_COUNTRY, AUGUST)
    # Kasten and Czeplak 1980: under full cloud a quarter of the global irradiance, all diffuse.
    overcast = hot_day(HIGH_COUNTRY, replace(AUGUST, cloud_fraction=1.0))
    assert overcast.ghi == pytest.approx(0.25 * clear.ghi)
    assert (overcast.dni == 0.0).all()
    assert overcast.dhi == pytest.approx(overcast.ghi)
    half = hot_day(HIGH_COUNTRY, replace(AUGUST, cloud_fraction=0.5))
    assert half.ghi == pytest.approx((1.0 - 0.75 * 0.5**3.4) * clear.ghi)
    assert (overcast.horizontal_infrared > half.horizontal_infrared).all()
    assert (half.horizontal_infrared > clear.horizontal_infrared).all()


def test_the_diffuse_share_grows_with_the_square_of_cloud():
    """Kasten and Czeplak 1980 (from memory): DHI / GHI = f + (1 - f) N^2, with the clear sky's f.

    At N = 0.5: T = 1 - 0.75 x 0.5^3.4 = 0.92895; a quarter of the clear beam turns diffuse.
    """
    clear = hot_day(HIGH_COUNTRY, AUGUST)
    half = hot_day(HIGH_COUNTRY, replace(AUGUST, cloud_fraction=0.5))
    assert half.dni == pytest.approx(0.92895 * 0.75 * clear.dni, rel=1e-5)
    expected = 0.92895 * (clear.dhi + 0.25 * (clear.ghi - clear.dhi))
    assert half.dhi == pytest.approx(expected, rel=1e-5)


def test_a_span_of_cloud_touches_its_hours_alone():
    clear = hot_day(HIGH_COUNTRY, AUGUST)
    table = hot_day(HIGH_COUNTRY, replace(AUGUST, cloud_spans=((13.0, 18.0, 0.4),)))
    inside = np.zeros(24, bool)
    inside[13:18] = True
    assert np.array_equal(table.ghi[~inside], clear.ghi[~inside])
    assert (table.ghi[inside] < clear.ghi[inside]).all()
    night = hot_day(HIGH_COUNTRY, replace(AUGUST, cloud_spans=((22.0, 4.0, 1.0),)))
    changed = night.horizontal_infrared != clear.horizontal_infrared
    assert np.flatnonzero(changed).tolist() == [0, 1, 2, 3, 22, 23]


def test_the_hour_of_the_high_moves_the_curve():
    moved = replace(AUGUST, hour_of_high=16.5)
    hours = np.arange(24.0)
    assert day_curve(moved, hours + 2.0) == pytest.approx(day_curve(AUGUST, hours))
    table = hot_day(HIGH_COUNTRY, moved)
    assert np.flatnonzero(table.temp_air == 34.0).tolist() == [15, 16]  # 16:00 and 17:00


def test_the_dew_point_is_held_and_capped_at_saturation():
    table = hot_day(HIGH_COUNTRY, AUGUST)
    vapour = [
        rh / 100.0 * saturation_pressure(t)
        for t, rh in zip(table.temp_air, table.relative_humidity, strict=True)
    ]
    assert vapour == pytest.approx([saturation_pressure(5.0)] * 24)
    damp = hot_day(HIGH_COUNTRY, replace(AUGUST, dew_point_c=15.0))
    cold = damp.temp_air <= 15.0
    assert damp.relative_humidity[cold] == pytest.approx(np.full(cold.sum(), 100.0))
    assert damp.relative_humidity.max() <= 100.0
    assert (damp.relative_humidity[~cold] < 99.0).all()
    assert any("saturated while" in note for note in damp.notes)


def test_what_was_assumed_is_told():
    notes = hot_day(HIGH_COUNTRY, AUGUST).notes
    text = " ".join(notes)
    for word in ("Linke turbidity", "Kasten", "ASHRAE", "standard atmosphere", "14.5 h"):
        assert word in text
    stated = hot_day(HIGH_COUNTRY, replace(AUGUST, pressure_pa=78000.0))
    assert "standard atmosphere" not in " ".join(stated.notes)
    assert (stated.pressure == 78000.0).all()


def test_repeated_days_repeat_the_air_and_move_the_sun():
    table = hot_day(HIGH_COUNTRY, replace(AUGUST, days=3))
    assert len(table) == 72
    assert np.array_equal(table.temp_air[:24], table.temp_air[48:])
    assert 0.0 < abs(table.ghi[48:] - table.ghi[:24]).max() < 15.0


def test_shorter_intervals_have_the_same_means():
    hours = hot_day(HIGH_COUNTRY, AUGUST)
    quarters = hot_day(HIGH_COUNTRY, AUGUST, interval_s=900)
    assert len(quarters) == 96
    assert quarters.ghi.reshape(24, 4).mean(axis=1) == pytest.approx(hours.ghi, abs=1.0)
    assert quarters.temp_air[3::4] == pytest.approx(hours.temp_air)


def test_the_polar_day_and_the_polar_night():
    summer = hot_day(Site("north", 78.0, 16.0, 0.0, 1.0), replace(AUGUST, date=date(2024, 6, 21)))
    assert summer.ghi.min() > 50.0
    winter = hot_day(Site("south", -85.0, 0.0, 0.0, 0.0), replace(AUGUST, date=date(2024, 6, 21)))
    assert winter.ghi.max() == winter.dni.max() == winter.dhi.max() == 0.0
    assert winter.horizontal_infrared.min() > 200.0


def test_january_is_summer_in_the_south():
    south = Site("south", -33.9, 151.2, 20.0, 10.0)
    january = hot_day(south, replace(AUGUST, date=date(2024, 1, 15)))
    july = hot_day(south, replace(AUGUST, date=date(2024, 7, 15)))
    assert january.ghi.sum() > 2.0 * july.ghi.sum()
    assert 11 <= int(np.argmax(january.ghi)) <= 12


@given(
    latitude=st.floats(-90, 90),
    longitude=st.floats(-180, 180),
    zone=st.sampled_from([-9.5, -7.0, 0.0, 5.5, 5.75, 12.75]),
    day=st.dates(date(2000, 1, 1), date(2030, 12, 31)),
    cloud=st.floats(0, 1),
    dew=st.floats(-30, 30),
)
def test_any_place_and_day_make_sound_weather(latitude, longitude, zone, day, cloud, dew):
    site = Site("somewhere", latitude, longitude, 100.0, zone)
    given_day = HotDay(day, 38.0, 20.0, dew, 2.0, cloud_fraction=cloud)
    table = hot_day(site, given_day)
    for name in RADIATION_COLUMNS + INSTANT_COLUMNS:
        assert np.isfinite(getattr(table, name)).all(), name
    assert min(table.ghi.min(), table.dni.min(), table.dhi.min()) >= 0.0
    assert (table.dhi <= table.ghi + 1e-9).all()
    sun = site_sun(site, table.starts(), 3600.0)
    closure = table.ghi - table.dni * sun.sunlit_cosine - table.dhi
    assert np.sqrt(np.mean(closure**2)) < 5.0  # the measure that the real files meet
    # The day's beam on the ground, by ten minutes and under the refracted sun: over an hour of low
    # sun the mean of beam times cosine is not the product of their means.
    fine = hot_day(site, given_day, 600)
    starts_utc = fine.starts() - np.timedelta64(round(zone * 3600), "s")
    seen = solar_geometry(starts_utc, 600, latitude, longitude, 100.0)
    cosine = np.cos(np.radians(np.minimum(seen.zenith_deg, 90.0)))
    closure = fine.ghi - fine.dni * cosine - fine.dhi
    assert abs(closure.sum()) <= 0.0005 * fine.ghi.sum() + 1.0
    assert 0.0 < table.relative_humidity.min() <= table.relative_humidity.max() <= 100.0


def test_every_fault_is_told_at_once():
    wrong = HotDay(
        date(2024, 8, 1), high_c=93.0, low_c=12.0, dew_point_c=5.0, wind_speed_m_s=-1.0,
        cloud_fraction=40.0, cloud_spans=((13.0, 25.0, 2.0),), days=0, pressure_pa=780.0,
        hour_of_high=float("nan"),
    )  # fmt: skip
    with pytest.raises(DocumentError) as caught:
        hot_day(HIGH_COUNTRY, wrong, interval_s=420)
    assert [fault.path for fault in caught.value.faults] == [
        "/high_c", "/wind_speed_m_s", "/cloud_fraction", "/days", "/pressure_pa",
        "/hour_of_high", "/cloud_spans/0/1", "/cloud_spans/0/2", "/interval_s",
    ]  # fmt: skip


def test_a_low_above_the_high_and_a_dew_point_above_both():
    with pytest.raises(DocumentError) as caught:
        hot_day(HIGH_COUNTRY, replace(AUGUST, low_c=40.0, dew_point_c=36.0))
    assert [fault.path for fault in caught.value.faults] == ["/low_c", "/dew_point_c"]
