import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.errors import StationNotFoundError, WeatherFormatError
from noonhold.weather.catalogue import Catalogue, Station, great_circle_km, scan
from noonhold.weather.weather_files import FORMATS
from noonhold.weather.weather_table import Site
from tests.engine.weather.builders import DATA, GREENSBORO, denver_lines, write

LAS_VEGAS_ID = "USA_NV_Las.Vegas-McCarran.Intl.AP.723860_TMY3"


@pytest.fixture(scope="module")
def catalogue():
    return scan(DATA)


def stations(*places):
    return Catalogue(
        tuple(
            Station(f"s{k}", Site(f"S{k}", *place, 100.0, 0.0), DATA / f"s{k}.epw", FORMATS["epw"])
            for k, place in enumerate(places)
        )
    )


def test_the_folder_has_its_two_stations_and_no_readme(catalogue):
    assert [item.station_id[:6] for item in catalogue.stations] == ["USA_CO", "USA_NV"]
    assert catalogue.rejected == ()
    station = catalogue.get(LAS_VEGAS_ID)
    assert (station.site.station, station.format.name) == ("723860", "EPW")
    assert station.read().site == station.site


def test_the_nearest_with_distance_and_elevation_difference(catalogue):
    (near,) = catalogue.nearest(36.0, -115.0, elevation_m=700.0)
    assert near.station.station_id == LAS_VEGAS_ID
    # 0.08 degree of latitude and 0.15 of longitude at 36 degree: 8.9 and 13.5 km.
    assert near.distance_km == pytest.approx(np.hypot(8.896, 13.485), rel=1e-3)
    assert near.elevation_difference_m == -52.0
    assert catalogue.nearest(36.0, -115.0)[0].elevation_difference_m is None


# Los Angeles to the station, by the spherical law of cosines: 361 km.
LOS_ANGELES_KM = 6371.0088 * np.arccos(
    np.sin(np.radians(34.05)) * np.sin(np.radians(36.08))
    + np.cos(np.radians(34.05)) * np.cos(np.radians(36.08)) * np.cos(np.radians(118.24 - 115.15))
)


def test_beyond_the_limit_names_the_nearest_and_its_distance(catalogue):
    with pytest.raises(StationNotFoundError, match=r"Las\.Vegas.*Mccarran.* 361 km away"):
        catalogue.nearest(34.05, -118.24)
    (near,) = catalogue.nearest(34.05, -118.24, allow_beyond=True)
    assert near.distance_km == pytest.approx(LOS_ANGELES_KM)
    both = catalogue.nearest(36.0, -115.0, count=2, max_distance_km=2000.0)
    assert [item.station.site.station for item in both] == ["723860", "725650"]
    assert len(catalogue.nearest(36.0, -115.0, count=2)) == 1


def test_published_distances():
    # A quarter of a meridian of the mean sphere, and the poles.
    quarter = 6371.0088 * np.pi / 2
    distances = great_circle_km(0.0, 0.0, np.array([90.0, 0.0, -90.0]), np.array([0.0, 90.0, 7.0]))
    assert distances == pytest.approx([quarter] * 3)
    # Paris to New York City: 5837 km in common distance tables.
    paris_new_york = great_circle_km(48.8566, 2.3522, np.array([40.7128]), np.array([-74.0060]))
    assert paris_new_york[0] == pytest.approx(5837.0, abs=3.0)


def test_the_180th_meridian_and_the_poles_are_no_edge():
    fiji = stations((-17.0, -179.9), (-17.0, 170.0), (89.9, 10.0))
    assert fiji.nearest(-17.0, 179.9)[0].station.station_id == "s0"
    assert fiji.nearest(-17.0, 179.9)[0].distance_km == pytest.approx(21.3, abs=0.1)
    assert fiji.nearest(-17.0, 540.0 - 0.1)[0].station.station_id == "s0"
    assert fiji.nearest(90.0, -120.0)[0].station.station_id == "s2"


@given(
    st.floats(-90, 90), st.floats(-180, 180), st.floats(-90, 90), st.floats(-180, 180)
)  # fmt: skip
def test_distance_is_symmetric_and_at_most_half_way_round(lat1, lon1, lat2, lon2):
    one = great_circle_km(lat1, lon1, np.array([lat2]), np.array([lon2]))[0]
    other = great_circle_km(lat2, lon2, np.array([lat1]), np.array([lon1]))[0]
    assert one == pytest.approx(other, abs=1e-6)
    assert 0.0 <= one <= np.pi * 6371.0088 + 1e-6


def test_unknown_names_bring_similar_ones(catalogue):
    with pytest.raises(StationNotFoundError, match=rf"similar: {LAS_VEGAS_ID}"):
        catalogue.get("USA_NV_Las.Vegas-McCarran.Intl.AP.723860")
    with pytest.raises(StationNotFoundError):
        catalogue.get("nowhere")


def test_an_empty_catalogue_and_a_missing_folder(tmp_path):
    with pytest.raises(StationNotFoundError, match="no stations"):
        scan(tmp_path).nearest(0.0, 0.0)
    with pytest.raises(WeatherFormatError, match="no such folder"):
        scan(tmp_path / "nothing")


def test_bad_files_stand_aside_with_their_reason(tmp_path):
    write(tmp_path / "good.epw.gz", list(denver_lines()[:20]))
    write(tmp_path / "greensboro.csv", GREENSBORO.read_text().splitlines()[:5])
    write(tmp_path / "bad.epw", "nothing of the kind\n")
    (tmp_path / "torn.epw.gz").write_bytes(b"\x1f\x8b\x00")
    write(tmp_path / "good.epw", list(denver_lines()[:20]))
    write(tmp_path / "README.md", "not weather")
    write(tmp_path / ".hidden.epw", "not weather")
    (tmp_path / "folder.epw").mkdir()
    found = scan(tmp_path)
    assert [(item.station_id, item.format.name) for item in found.stations] == [
        ("good", "EPW"), ("greensboro", "TMY3"),
    ]  # fmt: skip
    reasons = {item.path.name: item.reason for item in found.rejected}
    assert set(reasons) == {"bad.epw", "torn.epw.gz", "good.epw.gz"}
    assert "no known format" in reasons["bad.epw"]
    assert "damaged" in reasons["torn.epw.gz"]
    assert "good.epw has the same station name" in reasons["good.epw.gz"]


def test_a_catalogue_travels_to_a_worker_process(catalogue):
    again = pickle.loads(pickle.dumps(catalogue))  # noqa: S301 - our own bytes
    assert again == catalogue
    assert again.nearest(36.0, -115.0) == catalogue.nearest(36.0, -115.0)
