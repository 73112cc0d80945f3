"""The application: settings in, Flask out."""

from __future__ import annotations

import logging
from dataclasses import replace
from typing import Final

from flask import Flask

from noonhold.errors import NoonholdError
from noonhold_service.description.openapi import describe
from noonhold_service.http.access import register_access
from noonhold_service.http.error_handlers import register_error_handlers
from noonhold_service.http.quotas import register_quotas
from noonhold_service.http.request_log import register_request_log
from noonhold_service.http.response_headers import register_response_headers
from noonhold_service.process.readiness import make_ready
from noonhold_service.resources import (
    answers_by_link,
    calibrations,
    comparisons,
    documentation,
    health,
    plans,
    problem_pages,
    projections,
    rig_expansions,
    sizings,
    surveys,
    uncertainties,
    warm_ups,
    years,
)
from noonhold_service.resources import api_description as description
from noonhold_service.resources import page_files as page
from noonhold_service.resources import quantity_list as quantities
from noonhold_service.resources import rig_list as rigs
from noonhold_service.resources import station_list as stations
from noonhold_service.settings import Settings, from_environment
from noonhold_service.state.app_state import AppState, open_app_state
from noonhold_service.strict_json import StrictJsonProvider

_LOG: Final = logging.getLogger("service")
_RESOURCES = {
    projections.blueprint: "/v1",
    comparisons.blueprint: "/v1",
    sizings.blueprint: "/v1",
    calibrations.blueprint: "/v1",
    uncertainties.blueprint: "/v1",
    warm_ups.blueprint: "/v1",
    plans.blueprint: "/v1",
    years.blueprint: "/v1",
    surveys.blueprint: "/v1",
    answers_by_link.blueprint: "/v1",
    rigs.blueprint: "/v1",
    rig_expansions.blueprint: "/v1",
    stations.blueprint: "/v1",
    quantities.blueprint: "/v1",
    health.blueprint: None,
}


def create_app(settings: Settings | None = None) -> Flask:
    """Make the application; it answers at once, though the first projection compiles the model.

    Parameters
    ----------
    settings : Settings, optional
        Else those of the environment.

    Returns
    -------
    flask.Flask
        See :func:`create_ready_app` for one that is compiled and checked.

    Raises
    ------
    SettingsError, NoonholdError
        Where a setting, a folder or a rig cannot be used.
    """
    settings = from_environment() if settings is None else settings
    app = Flask(__name__, static_folder=None)
    app.json = StrictJsonProvider(app)
    app.config["MAX_CONTENT_LENGTH"] = settings.max_body_bytes
    # A redirect to a tidier address would be HTML.
    app.url_map.strict_slashes = False
    app.url_map.merge_slashes = False
    app.extensions["noonhold"] = open_app_state(settings)
    register_request_log(app)
    register_response_headers(app)
    register_access(app)
    register_quotas(app, settings.quota)
    register_error_handlers(app)
    app.extensions["noonhold_api"] = describe(app, _RESOURCES)
    for each in (description, documentation, page, problem_pages):
        app.register_blueprint(each.blueprint)
    return app


def reload_app(app: Flask) -> bool:
    """Read the folders of weather and rigs once more; requests under way keep what they have.

    Parameters
    ----------
    app : flask.Flask
        From :func:`create_app`.

    Returns
    -------
    bool
        False where something cannot be read: what was there stays, and the log says why.
    """
    before: AppState = app.extensions["noonhold"]
    try:
        found = open_app_state(before.settings)
    except NoonholdError as error:
        _LOG.error("not read again: %s", error)
        return False
    app.extensions["noonhold"] = replace(
        found, gate=before.gate, metrics=before.metrics, ready=before.ready
    )
    _LOG.info("read again: %d stations, %d rigs", len(found.catalogue.stations), len(found.rigs))
    return True


def create_ready_app(settings: Settings | None = None) -> Flask:
    """Make the application, compile the model and check it; for WSGI servers.

    Parameters
    ----------
    settings : Settings, optional
        Else those of the environment.

    Returns
    -------
    flask.Flask
        Ready; this takes up to a minute where nothing is compiled yet.
    """
    app = create_app(settings)
    make_ready(app.extensions["noonhold"])
    return app
