"""``POST /v1/years``: a rig through the whole typical year of a place."""

from __future__ import annotations

import time
from collections.abc import Mapping
from typing import Any, Final

from flask import Response, current_app
from flask_smorest import Blueprint

from noonhold.documents import Loaded, ProjectionRequest
from noonhold.documents.scenario_document import dump_comfort, dump_operation
from noonhold.documents.year_document import YearSchema, load_year
from noonhold.pictures.picture_output import KINDS
from noonhold.pictures.year_picture import YearOfPlace, draw_year
from noonhold.studies.year.year_study import Year, YearRequest, project_year, year_report
from noonhold.studies.year.year_table import days_frame
from noonhold.studies.year.year_words import rule_of
from noonhold_service.answers.projection_answer import station_document
from noonhold_service.description.study_examples import YEARS
from noonhold_service.description.study_schemas.year_schemas import YearAnswerSchema
from noonhold_service.http.content_negotiation import CSV, JSON, acceptable, picture_response
from noonhold_service.http.field_selection import only, wanted_fields
from noonhold_service.http.question_token import locate
from noonhold_service.http.request_body import json_body
from noonhold_service.http.study_costs import Work, seconds_of
from noonhold_service.http.study_limits import check_year
from noonhold_service.resources.study_resource import study_doc, study_document
from noonhold_service.state.app_state import AppState, app_state
from noonhold_service.strict_json import json_response

blueprint = Blueprint("years", __name__, description="A rig through a typical year.")
SUMMARY: Final = ("summary",)


def _form(content_type: str) -> Any:
    return blueprint.alt_response(
        200,
        schema={
            "type": "string",
            **({"contentMediaType": "image/png"} if content_type == "image/png" else {}),
        },
        content_type=content_type,
        description="The year.",
        success=True,
    )


@blueprint.route("/years", methods=["POST"])
@blueprint.response(200, YearAnswerSchema, description="The year.")
@_form("text/csv")
@_form("image/svg+xml")
@_form("image/png")
@blueprint.doc(
    **study_doc(
        "createYear",
        YearSchema,
        "The rig, where it stands, and what is done over every day of the year.",
        YEARS,
    )
)
def create_year() -> Response:
    """Run a rig through the typical year of a place.

    365 daily verdicts with their first causes, the months, the longest run of days that fail, and
    the months in which none does; the charge is carried from day to day. The Accept header chooses
    between JSON, the days as CSV, and a picture of the year as SVG or PNG.
    """
    state, form = app_state(), acceptable()
    wanted = wanted_fields(YearAnswerSchema, SUMMARY, form)
    document, expected_s = json_body(state.settings)
    response = answer_year(document, expected_s, form, wanted)
    if wanted is None:
        locate(response, "y", document, form)
    return response


def answer_year(
    document: Any, expected_s: float, form: str, wanted: tuple[str, ...] | None = None
) -> Response:
    """Answer a document that asks for a year.

    Parameters
    ----------
    document : object
        As the JSON parser returned it.
    expected_s : float
        What reading it is expected to take. [s]
    form : str
        Media type of the answer.
    wanted : tuple of str, optional
        Which parts of it; all by default.

    Raises
    ------
    ProblemError, NoonholdError
        As the parts raise them.
    """
    state = app_state()
    state.gate.check_fits(expected_s)
    with state.gate.turn(expected_s):
        loaded = load_year(document, state.resolve_rig)
    asked: YearRequest = loaded.value
    work: Work = check_year(_as_projection(asked), state.settings)
    expected_s = seconds_of(work, asked.rig)
    state.gate.check_fits(expected_s)
    with state.gate.turn(expected_s):
        began = time.perf_counter()
        year = project_year(asked, state.catalogue, state.weather.read)
        state.metrics.computation(work.run_days, time.perf_counter() - began)
        return _respond(state, year, loaded, form, wanted)


def _as_projection(asked: YearRequest) -> ProjectionRequest:
    return ProjectionRequest(asked.rig, asked.scenario, asked.weather)


def _respond(
    state: AppState,
    year: Year,
    loaded: Loaded[YearRequest],
    form: str,
    wanted: tuple[str, ...] | None,
) -> Response:
    if form == JSON:
        report: Mapping[str, Any] = {
            **year_report(year),
            "rig": year.rig.name,
            "station": station_document(year.near),
        }
        response = json_response(only(study_document(report, loaded), wanted))
    elif form == CSV:
        frame = days_frame(year.days, year.outdoor_high_c, year.cabin_c.max(axis=1))
        response = current_app.response_class(
            frame.to_csv(index=False, lineterminator="\r\n"), content_type=f"{CSV}; charset=utf-8"
        )
    else:
        scenario = year.scenario
        said = rule_of(
            {
                "comfort": dump_comfort(scenario.comfort),
                "operation": dump_operation(scenario.operation),
            }
        )
        site = year.near.station.site
        picture = draw_year(
            YearOfPlace(
                rig=year.rig.name,
                place=f"{site.name}, {site.elevation_m:.0f} m",
                cabin_c=year.cabin_c,
                outdoor_high_c=year.outdoor_high_c,
                verdicts=year.days,
                scenario=scenario,
                reserve_fraction=year.rig.battery.reserve_fraction,
            ),
            said,
            KINDS[form],
        )
        response = picture_response(picture, form)
    response.vary.add("Accept")
    return response
