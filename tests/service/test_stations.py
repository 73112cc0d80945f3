"""A station with its typical year in short."""

from flask.testing import FlaskClient

STATION = "basin_desert_kelpanoor"


def test_a_station_tells_its_year_in_short(client: FlaskClient) -> None:
    answer = client.get(f"/v1/stations/{STATION}")
    assert answer.status_code == 200
    told = answer.get_json()
    assert told["station"]["id"] == STATION
    assert [each["month"] for each in told["months"]] == list(range(1, 13))
    assert told["hottest_week"]["days"] == 7
    assert told["hottest_day"]["mean_c"] >= told["hottest_week"]["mean_c"]
    # The invented region lies in the south.
    assert told["months"][0]["mean_high_c"] > told["months"][6]["mean_high_c"] + 10.0


def test_the_days_it_names_are_days_that_a_projection_takes(client: FlaskClient) -> None:
    told = client.get(f"/v1/stations/{STATION}").get_json()
    for first, days in (
        (told["months"][3]["typical_day"], 1),
        (told["hottest_week"]["first_day"], 7),
    ):
        request = {
            "rig": "flatbed_cabin",
            "place": {"latitude": -34.12, "longitude": -120.66, "elevation_m": 95},
            "weather": {"typical_year": {"from": first, "days": days, "station": STATION}},
            "operation": {"set_point_c": 24},
            "start": {"state_of_charge": 0.9},
            "comfort": {"measure": "operative", "limit": 27},
        }
        answer = client.post("/v1/projections", json=request)
        assert answer.status_code == 200, answer.text
        assert answer.get_json()["summary"]["days"] == days


def test_an_unknown_station_is_not_found(client: FlaskClient) -> None:
    answer = client.get("/v1/stations/nowhere")
    assert answer.status_code == 404
    assert answer.get_json()["type"] == "/problems/not-found"
