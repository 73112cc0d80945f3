"""``/`` and ``/openapi.json``: what there is."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, current_app

from service.openapi import description_of
from service.strict_json import json_response
from service.versions import versions

blueprint = Blueprint("description", __name__)


@blueprint.get("/")
def get_root() -> dict[str, Any]:
    """Return where to go from here."""
    return {
        "name": "Noonhold",
        "versions": versions(),
        "links": {
            "documentation": "/docs",
            "description": "/openapi.json",
            "projections": "/v1/projections",
            "rigs": "/v1/rigs",
            "stations": "/v1/stations",
            "quantities": "/v1/quantities",
        },
    }


@blueprint.get("/openapi.json")
def get_description() -> Response:
    """Return the API description."""
    response = json_response(description_of(current_app))
    return response
