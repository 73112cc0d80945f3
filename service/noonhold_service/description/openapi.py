"""The API as OpenAPI 3.1 describes it, generated from the schemas that read and check."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from flask import Flask
from flask_smorest import Api, Blueprint

from noonhold.documents import ProjectionSchema, RigSchema
from noonhold.documents.short_rig_schema import ShortRigSchema
from noonhold_service.description.answer_schemas import ProblemSchema
from noonhold_service.description.openapi_enrich import complete
from noonhold_service.description.study_schemas.survey_schemas import SurveyLineSchema
from noonhold_service.http.error_handlers import register_error_handlers
from noonhold_service.problems import BY_STATUS, KINDS, MEDIA_TYPE, as_document
from noonhold_service.problems import ProblemResponse as ToldProblem
from noonhold_service.service_versions import own_version

_DESCRIPTION: Final = "noonhold_description"
DESCRIPTION: Final = """\
Hour by hour: how warm the cabin of a small off-grid rig gets, how full its battery is, and whether
its cooler holds the cabin comfortable for the whole day.

Units are SI and degC; every number's unit stands in brackets behind its description and in
`/v1/quantities`. Answers are rounded to six decimals; null means that there is no value. Nothing is
guessed silently: what a request leaves out stands under `assumptions`. Errors are problems by
RFC 9457, with every fault of a document at once.

**Heat in a closed vehicle can kill people and animals within minutes of a cooler stopping. No
answer of this service makes it safe to leave anyone in one.**"""


_EVERYWHERE: Final = ("Problem401", "Problem429")


class DescribedApi(Api):
    """flask-smorest's API with our problems in place of its errors."""

    DEFAULT_ERROR_RESPONSE_NAME = "Problem"

    def _register_error_handlers(self) -> None:
        register_error_handlers(self._app)

    def _register_responses(self) -> None:
        """Describe every problem with the media type that it is really sent with."""
        # The names are ours: those of http.HTTPStatus change from one Python to the next.
        for name, description, example in _problem_responses():
            content: dict[str, Any] = {"schema": ProblemSchema}
            if example is not None:
                content["example"] = example
            response = {"description": description, "content": {MEDIA_TYPE: content}}
            if name in ("Problem429", "Problem503"):
                response["headers"] = {
                    "Retry-After": {
                        "description": "Seconds to wait.",
                        "schema": {"type": "integer", "minimum": 0},
                    }
                }
            # These two are added to the operations at the end.
            self.spec.components.response(name, response, lazy=name not in _EVERYWHERE)


def _problem_responses() -> list[tuple[str, str, dict[str, Any] | None]]:
    found: list[tuple[str, str, dict[str, Any] | None]] = [
        ("Problem", "Any other problem, by RFC 9457.", None)
    ]
    for status, kind in BY_STATUS.items():
        kinds = [each for each in KINDS.values() if each.status == status]
        description = " Or: ".join(each.meaning for each in kinds)
        found.append(
            (f"Problem{status}", description, as_document(ToldProblem(kind, kind.meaning)))
        )
    return found


def problems(*statuses: int) -> dict[str, Any]:
    """Return the responses of an operation that are problems, for ``Blueprint.doc``.

    Parameters
    ----------
    statuses : int
        HTTP statuses that it can end in, beside the usual.
    """
    return {str(status): f"Problem{status}" for status in statuses}


def describe(app: Flask, blueprints: Mapping[Blueprint, str | None]) -> DescribedApi:
    """Make the API of an application and register its resources.

    Parameters
    ----------
    blueprints : mapping of flask_smorest.Blueprint to str or None
        The resources and the prefix of each.
    """
    app.config.update(
        API_TITLE="Noonhold",
        API_VERSION=own_version(),
        OPENAPI_VERSION="3.1.0",
        API_SPEC_OPTIONS={
            "info": {
                "summary": "Does an off-grid rig hold its cabin cool all day?",
                "description": DESCRIPTION,
                "license": {"name": "MIT", "identifier": "MIT"},
            },
            "servers": [{"url": "/", "description": "The service that serves this description."}],
        },
    )
    api = DescribedApi(app)
    api.spec.components.schema("Rig", schema=RigSchema)
    api.spec.components.schema("ShortRig", schema=ShortRigSchema)
    api.spec.components.schema("Projection", schema=ProjectionSchema)
    # A line of an answer that is many: makers of clients know no schema of such an answer.
    api.spec.components.schema("SurveyLine", schema=SurveyLineSchema)
    for blueprint, prefix in blueprints.items():
        api.register_blueprint(blueprint, url_prefix=prefix)
    app.extensions[_DESCRIPTION] = complete(api.spec.to_dict(), _meanings(api))
    return api


def description_of(app: Flask) -> dict[str, Any]:
    """Return the API description of an application.

    Parameters
    ----------
    app : flask.Flask
        After :func:`describe`.

    Returns
    -------
    dict
        Not to be changed.
    """
    found: dict[str, Any] = app.extensions[_DESCRIPTION]
    return found


def _meanings(api: Api) -> dict[str, str]:
    """Return the first line of every schema's docstring by the schema's name."""
    found = {}
    for key, name in api.ma_plugin.converter.refs.items():
        lines = (key[0].__doc__ or "").strip().splitlines()
        if lines:
            found[name] = lines[0]
    return found
