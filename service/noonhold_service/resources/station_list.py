"""``GET /v1/stations``: the typical-year files there are, and each one's year in short."""

from __future__ import annotations

from typing import Any

import numpy as np
from flask_smorest import Blueprint

from noonhold.errors import StationNotFoundError
from noonhold.studies.survey.survey_study import MapBox
from noonhold.weather.catalogue import Station, great_circle_km
from noonhold.weather.climate import climate_of
from noonhold_service.answers.station_answer import climate_document, station_entry
from noonhold_service.description.answer_schemas import (
    NoQuerySchema,
    StationClimateSchema,
    StationPageSchema,
)
from noonhold_service.description.openapi import problems
from noonhold_service.http.query import query_of
from noonhold_service.problems import ProblemError
from noonhold_service.resources.station_query import StationQuerySchema
from noonhold_service.state.app_state import app_state

blueprint = Blueprint("stations", __name__, description="Where typical weather is known.")


@blueprint.route("/stations")
@blueprint.response(200, StationPageSchema, description="A page of stations.")
@blueprint.doc(
    operationId="listStations",
    parameters=[{"in": "query", "schema": StationQuerySchema}],
    responses=problems(422),
)
def list_stations() -> dict[str, Any]:
    """List stations, nearest first where a point is given, else by identifier."""
    asked = query_of(StationQuerySchema())
    found = [each for each in app_state().catalogue.stations if _fits(each, asked)]
    rows: list[tuple[Station, float | None]] = [(each, None) for each in found]
    if found and "near" in asked:
        latitude, longitude = asked["near"]
        places = np.array([(each.site.latitude, each.site.longitude) for each in found])
        distances = great_circle_km(latitude, longitude, *places.T)
        order = np.argsort(distances, kind="stable")
        rows = [(found[k], float(distances[k])) for k in order]
    if "within_km" in asked:
        rows = [row for row in rows if row[1] is not None and row[1] <= asked["within_km"]]
    size = asked["page_size"]
    first = (asked["page"] - 1) * size
    return {
        "stations": [station_entry(*row) for row in rows[first : first + size]],
        "page": asked["page"],
        "page_size": size,
        "pages": -(-len(rows) // size),
        "total": len(rows),
    }


@blueprint.route(
    "/stations/<station_id>",
    parameters=[
        {
            "in": "path",
            "name": "station_id",
            "required": True,
            "description": "Identifier of a station, from `/v1/stations`.",
            "schema": {"type": "string", "minLength": 1},
            "example": "basin_desert_kelpanoor",
        }
    ],
)
@blueprint.response(200, StationClimateSchema, description="The station and its year.")
@blueprint.doc(operationId="getStation", responses=problems(404, 422))
def get_station(station_id: str) -> dict[str, Any]:
    """Return a station and its typical year in short.

    Month by month, with the day most like the month, and the hottest day and week: what one needs
    to choose a day for a projection.
    """
    query_of(NoQuerySchema())
    state = app_state()
    try:
        station = state.catalogue.get(station_id)
    except StationNotFoundError as error:
        raise ProblemError(
            "not-found", "there is no station of this identifier; see /v1/stations"
        ) from error
    return climate_document(station, climate_of(state.weather.read(station.path)))


def _fits(station: Station, asked: dict[str, Any]) -> bool:
    """Tell whether a station passes the filters."""
    site = station.site
    if "name" in asked:
        sought = asked["name"].casefold()
        if sought not in site.name.casefold() and sought not in station.station_id.casefold():
            return False
    if "region" in asked and asked["region"].casefold() not in site.region.casefold():
        return False
    if "bbox" in asked:
        west, south, east, north = asked["bbox"]
        return MapBox(south, north, west, east).holds(site)
    return True
