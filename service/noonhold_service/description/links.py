"""Where an answer leads: what of it goes into which next request (OpenAPI's links)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from noonhold_service.description.request_examples import REQUESTS

_DAY: Final = REQUESTS["typical_day"].document


def _projection(**changes: Any) -> dict[str, Any]:
    """Return the request of the typical day with some of it taken from an answer."""
    return {**_DAY, **changes}


LINKS: Final[Mapping[str, Mapping[str, Any]]] = {
    "listRigs": {
        "RigOfTheList": {
            "operationId": "getRig",
            "parameters": {"rig_id": "$response.body#/rigs/0/id"},
            "description": "The first rig's document.",
        },
        "ProjectionOfRig": {
            "operationId": "createProjection",
            "requestBody": _projection(rig="$response.body#/rigs/0/id"),
            "description": "A typical day of the first rig.",
        },
    },
    "getRig": {
        "ProjectionOfDocument": {
            "operationId": "createProjection",
            "requestBody": _projection(rig="$response.body#/rig"),
            "description": "A typical day of this rig's document, which may be changed before.",
        },
    },
    "listStations": {
        "ProjectionAtStation": {
            "operationId": "createProjection",
            "requestBody": _projection(
                place={
                    "latitude": "$response.body#/stations/0/latitude",
                    "longitude": "$response.body#/stations/0/longitude",
                    "elevation_m": "$response.body#/stations/0/elevation_m",
                },
                weather={
                    "typical_year": {
                        "station": "$response.body#/stations/0/id",
                        "from": "01-15",
                        "days": 1,
                    }
                },
            ),
            "description": "A typical day at the first station.",
        },
    },
    "createProjection": {
        "StationOfTheWeather": {
            "operationId": "listStations",
            "parameters": {"name": "$response.body#/station/id"},
            "description": "The station that the weather came from.",
        },
        "RigOfTheRequest": {
            "operationId": "getRig",
            "parameters": {"rig_id": "$request.body#/rig"},
            "description": "The rig, where the request gave its identifier.",
        },
    },
}
