import io

import matplotlib.image
import numpy as np
import pytest

from noonhold.pictures.map_frame import frame_of
from noonhold.pictures.map_layer import dense_triangles, distance_km
from noonhold.pictures.map_picture import draw_map
from noonhold.pictures.map_stations import Look, RigMap, Station
from tests.engine.pictures.svg import words

NAN = float("nan")
QUESTION = "Where does it hold?"
# A degree of latitude is 111 km: four stations on a square of about 100 km, one 1,000 km away.
SQUARE = [(0.0, 45.0, 1.0), (1.3, 45.0, 0.5), (0.0, 45.9, 0.25), (1.3, 45.9, 0.0)]
FAR = (14.0, 45.0, 0.5)


def station(east: float, north: float, share: float, look: Look | None = None) -> Station:
    found = Look.NO_NEED if np.isnan(share) else Look.HOLDS if share == 1.0 else Look.ENERGY
    return Station(east, north, look or found, share)


def coloured(stations: list[Station], reach_km: float) -> int:
    layer = dense_triangles(stations, frame_of(stations), reach_km)
    if layer is None:
        return 0
    mask = layer[0].mask
    assert mask is not None
    return int((~mask).sum())


def test_a_degree_of_the_meridian_and_a_known_distance() -> None:
    places = np.array([[0.0, 0.0], [2.3522, 48.8566]])
    others = np.array([[0.0, 1.0], [13.405, 52.52]])
    # 2 pi 6371 / 360; Paris to Berlin is 877.5 km on the sphere (haversine, worked by hand).
    assert distance_km(places, others) == pytest.approx([111.195, 877.5], abs=0.5)


def test_colour_only_between_stations_that_stand_close() -> None:
    stations = [station(*each) for each in [*SQUARE, FAR]]
    assert coloured(stations, 160.0) == 2
    # The square's diagonal is 143 km, its sides about 101 km.
    assert coloured(stations, 130.0) == 0
    assert coloured(stations, 2000.0) > 2


def test_no_colour_across_a_station_without_a_share() -> None:
    whole = [station(*each) for each in SQUARE]
    middle = station(0.65, 45.45, NAN)
    assert coloured(whole, 160.0) == 2
    assert coloured([*whole, middle], 160.0) == 0


@pytest.mark.parametrize(
    "places",
    [
        [],
        [(0.0, 0.0, 1.0)],
        [(0.0, 0.0, 1.0)] * 5,
        [(0.0, float(north), 1.0) for north in range(5)],
    ],
)
def test_no_layer_where_no_triangle_stands(places: list[tuple[float, float, float]]) -> None:
    assert coloured([station(*each) for each in places], 500.0) == 0


def test_a_region_astride_the_date_line_stays_together() -> None:
    stations = [station(179.5, -17.0, 0.5), station(-179.5, -17.0, 0.9), station(180.0, -16, 0.2)]
    frame = frame_of(stations)
    assert frame.east - frame.west < 2.0
    assert np.ptp(frame.turned(np.array([179.5, -179.5, 180.0]))) == pytest.approx(1.0)
    assert coloured(stations, 200.0) == 1


def test_the_legend_tells_what_is_there_and_nothing_else() -> None:
    one = RigMap("Little box", "3 days", tuple(station(*each) for each in SQUARE))
    told = " ".join(words(draw_map([one], QUESTION, "Rule & reason.", "svg", reach_km=160.0)))
    assert "Little box, 3 days: holds on every date at 1 of 4 stations" in told
    assert QUESTION in told
    assert "Rule & reason." in told
    assert "can kill people" in told
    assert "between three stations within 160 km" in told
    assert str(Look.ENERGY) in told
    assert "cooler" not in told.replace("cooler stopping", "").replace("the cooler.", "")
    assert "boundaries" not in told
    assert "45°N" in told and "0.5°E" in told
    line = np.array([[0.0, 45.0], [1.0, 46.0]])
    bare = " ".join(words(draw_map([one], QUESTION, "Rule.", "svg", [line], reach_km=10.0)))
    assert "between three stations" not in bare and "boundaries as given" in bare
    assert "100" in bare.split() and "25" in bare.split()


def test_what_holds_narrowly_is_counted_and_stands_in_brackets() -> None:
    narrow = Station(1.0, 45.0, Look.NARROWLY, 1.0, 0.25)
    one = RigMap("Box", "first day", (station(0.0, 45.0, 1.0), narrow))
    told = " ".join(words(draw_map([one], QUESTION, "Rule.", "svg")))
    assert "first day: holds on every date at 2 of 2 stations" in told
    assert "at 1 of them narrowly on some dates" in told
    assert "100 (25)" in told
    assert str(Look.NARROWLY) in told and str(Look.HOLDS) in told


def test_a_layer_of_all_dates_is_coloured() -> None:
    """The last band holds its upper edge: three stations at 100 % stand in colour."""
    places = [station(*each[:2], 1.0) for each in SQUARE[:3]]
    with_layer, without = (
        matplotlib.image.imread(
            io.BytesIO(
                draw_map([RigMap("r", "1", tuple(places))], QUESTION, "Rule.", "png", reach_km=km)
            )
        )
        for km in (160.0, 0.0)
    )
    yellow = [((each[..., 0] > 0.9) & (each[..., 2] < 0.8)).sum() for each in (with_layer, without)]
    assert yellow[0] > yellow[1] + 10_000


def test_every_look_differs_in_grey() -> None:
    around = (station(0.0, 45.0, 0.5), station(2.0, 47.0, 0.5))
    drawn = []
    for look in Look:
        share = NAN if look in (Look.NO_NEED, Look.NO_VERDICT) else 0.5
        one = RigMap("r", "first day", (*around, station(1.0, 46.0, share, look)))
        image = matplotlib.image.imread(io.BytesIO(draw_map([one], QUESTION, "Rule.", "png")))
        grey = image[..., :3] @ np.array([0.299, 0.587, 0.114])
        drawn.append(grey[400:650, 250:500])  # within the map, the two others outside
    for place, one_grey in enumerate(drawn):
        for other in drawn[place + 1 :]:
            differs = np.abs(one_grey - other) > 0.3
            assert 10 < differs.sum() < 1500


def test_several_rigs_share_one_figure_and_the_same_bytes_come_each_time() -> None:
    maps = [
        RigMap(f"Rig {n}", "first day", tuple(station(*each) for each in SQUARE)) for n in range(2)
    ]
    first = draw_map(maps, QUESTION, "Rule.", "svg", reach_km=160.0)
    assert first == draw_map(maps, QUESTION, "Rule.", "svg", reach_km=160.0)
    assert {f"Rig {n}" for n in range(2)} <= set(words(first))
    assert draw_map([RigMap("empty", "first day", ())], QUESTION, "Rule.", "png")[:4] == b"\x89PNG"


def test_many_stations_stay_apart_and_carry_no_numbers() -> None:
    many = [station(0.1 * (n % 30), 45.0 + 0.1 * (n // 30), 0.5) for n in range(600)]
    told = words(draw_map([RigMap("Box", "first day", tuple(many))], QUESTION, "Rule.", "svg"))
    assert "50" not in told and any(text.startswith("Rule.") for text in told)
