"""``/`` for programs, and ``/openapi.json``: what there is."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, current_app

from noonhold_service.description.openapi import description_of
from noonhold_service.resources.page_files import asks_for_page, page_response
from noonhold_service.service_versions import versions
from noonhold_service.strict_json import json_response

blueprint = Blueprint("description", __name__)


@blueprint.get("/")
def get_root() -> Response:
    """Return the page to who asks for HTML, else where to go from here."""
    response = page_response() if asks_for_page() else json_response(_entrance())
    response.vary.add("Accept")
    return response


def _entrance() -> dict[str, Any]:
    return {
        "name": "Noonhold",
        "versions": versions(),
        "links": {
            "page": "/page/",
            "documentation": "/docs",
            "description": "/openapi.json",
            "projections": "/v1/projections",
            "comparisons": "/v1/comparisons",
            "sizings": "/v1/sizings",
            "calibrations": "/v1/calibrations",
            "warm_ups": "/v1/warm-ups",
            "uncertainty": "/v1/uncertainties",
            "plans": "/v1/plans",
            "years": "/v1/years",
            "surveys": "/v1/surveys",
            "rig_expansions": "/v1/rigs/expansions",
            "rigs": "/v1/rigs",
            "expansions": "/v1/rigs/expansions",
            "stations": "/v1/stations",
            "quantities": "/v1/quantities",
        },
    }


@blueprint.get("/openapi.json")
def get_description() -> Response:
    """Return the API description."""
    response = json_response(description_of(current_app))
    return response
