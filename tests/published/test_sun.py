import numpy as np
import pytest

from engine.sun import solar_geometry, sunset_hour_angle_deg


def at(moment_utc: str, latitude: float, longitude: float, elevation_m: float, **air: float):
    """Return the sun at a moment: the middle of a two-second interval."""
    start = np.array([np.datetime64(moment_utc, "s") - np.timedelta64(1, "s")])
    return solar_geometry(start, 2, latitude, longitude, elevation_m, **air)


# I. Reda, A. Andreas, NREL/TP-560-34302 (2008), example: 2003-10-17 12:30:30 at UTC-7.
def test_nrel_worked_example():
    sun = at(
        "2003-10-17T19:30:30",
        39.742476,
        -105.1786,
        1830.14,
        pressure_pa=82000.0,
        temp_air=11.0,
    )
    assert sun.zenith_deg[0] == pytest.approx(50.11162, abs=0.0005)
    assert sun.azimuth_deg[0] == pytest.approx(194.34024, abs=0.0005)
    assert sun.declination_deg[0] == pytest.approx(-9.31434, abs=0.0005)
    assert sun.hour_angle_deg[0] == pytest.approx(11.105902, abs=0.001)


# NREL's calculator (NREL/TP-560-34302, appendix A.2) for Golden, Colorado, on 2 January and on
# 2 August 2015; MST is UTC-7. It goes by the day of universal time, so its sunset at 19:13:58 MST
# "of 2 August" falls at 02:13:58 UTC on that day: the evening of 1 August on the place's calendar.
@pytest.mark.parametrize(
    ("moment_utc", "side"),
    [
        ("2015-01-02T14:21:55", -1.0),
        ("2015-01-02T23:47:43", 1.0),
        ("2015-08-02T12:00:27", -1.0),
        ("2015-08-02T02:13:58", 1.0),
    ],
)
def test_nrel_sunrise_and_sunset(moment_utc, side):
    sun = at(moment_utc, 39.742476, -105.1786, 1830.14)
    edge = sunset_hour_angle_deg(sun.declination_deg, 39.742476, -0.8333)
    # two seconds of the sun's hour angle
    assert sun.hour_angle_deg[0] == pytest.approx(side * edge[0], abs=2.0 * 15.0 / 3600.0)


# CIBSE TM33:2006, solar position test: azimuth and altitude within 1.5 degrees.
@pytest.mark.parametrize(
    ("moment_gmt", "azimuth_deg", "altitude_deg"),
    [
        ("2006-12-22T12:00:00", 180.0, 15.1),
        ("2006-02-27T15:00:00", 224.1, 20.4),
        ("2006-06-21T12:00:00", 178.4, 62.0),
        ("2006-10-20T10:00:00", 151.1, 24.4),
    ],
)
def test_cibse_tm33_azimuth_and_altitude(moment_gmt, azimuth_deg, altitude_deg):
    sun = at(moment_gmt, 51.48, -0.45, 0.0)
    assert sun.azimuth_deg[0] == pytest.approx(azimuth_deg, abs=1.5)
    assert 90.0 - sun.zenith_deg[0] == pytest.approx(altitude_deg, abs=1.5)
