"""``POST /v1/surveys``: rigs at the stations of a list or a box, a row each, as they are ready."""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import Any, Final

from flask import Response, current_app, request, stream_with_context
from flask_smorest import Blueprint

from noonhold.documents import Loaded
from noonhold.documents.survey_document import SurveySchema, load_survey
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold.studies.survey.survey_study import (
    SurveyRequest,
    SurveyRow,
    stations_of,
    survey_station,
)
from noonhold.verdict import CAUTIONS
from noonhold.weather.catalogue import Station
from noonhold_service.answers.projection_answer import assumptions_document, number
from noonhold_service.answers.station_answer import station_entry
from noonhold_service.description.answer_schemas import NoQuerySchema
from noonhold_service.description.openapi import problems
from noonhold_service.description.study_examples import SURVEYS
from noonhold_service.http.error_handlers import problem_of
from noonhold_service.http.query import query_of
from noonhold_service.http.request_body import json_body
from noonhold_service.http.study_costs import Work, seconds_of
from noonhold_service.http.study_limits import check_survey
from noonhold_service.problems import KINDS, ProblemError, ProblemResponse, as_document
from noonhold_service.service_versions import versions
from noonhold_service.state.app_state import AppState, app_state

blueprint = Blueprint("surveys", __name__, description="Rigs at many stations.")
NDJSON: Final = "application/x-ndjson"


@blueprint.route("/surveys", methods=["POST"])
@blueprint.alt_response(
    200,
    schema={
        "type": "string",
        "description": "Lines of JSON, each as `#/components/schemas/SurveyLine` has it.",
    },
    content_type=NDJSON,
    description="One line of JSON after another.",
    success=True,
)
@blueprint.doc(
    operationId="createSurvey",
    requestBody={
        "required": True,
        "description": "The rigs, which stations, which month, and what is done every day.",
        "content": {
            "application/json": {
                "schema": SurveySchema,
                "examples": {
                    name: {"summary": each.summary, "value": each.document}
                    for name, each in SURVEYS.items()
                },
            }
        },
    },
    responses=problems(400, 406, 413, 415, 422, 503),
)
def create_survey() -> Response:
    """Run rigs through the typical year, or a month of it, at many stations.

    The answer is NDJSON: a line `begin` with the number of rows, the assumptions and the cautions;
    then, station by station as they are ready, a line `row` for each rig and a line `progress`;
    at last a line `end`. A station whose weather cannot be used, and a rig that leaves the physical
    range, is a row with its problem, and stops nothing; a survey that runs out of time ends with
    a line `problem`. The months and the year are those of `/v1/years`.
    """
    query_of(NoQuerySchema())
    held = app_state()
    _ask_for_lines()
    document, expected_s = json_body(held.settings)
    held.gate.check_fits(expected_s)
    with held.gate.turn(expected_s):
        loaded = load_survey(document, held.resolve_rig)
    asked = loaded.value
    stations = stations_of(asked, held.catalogue)
    work = check_survey(asked, len(stations), held.settings)
    each_s = sum(seconds_of(work, rig) for _, rig in asked.rigs) + READ_S
    held.gate.check_fits(each_s)
    _check_whole(each_s * len(stations), held)
    lines = _lines(held, loaded, stations, work, each_s)
    # The first station is run before the answer begins: a busy service still answers 503.
    first = [next(lines), *_of_first(lines, len(asked.rigs))]
    response: Response = current_app.response_class(
        stream_with_context(_text(first, lines)), mimetype=NDJSON
    )
    response.headers["Cache-Control"] = "no-store"
    response.headers["X-Accel-Buffering"] = "no"
    return response


INTERNAL: Final = ProblemResponse(KINDS["internal"], KINDS["internal"].meaning)
READ_S: Final = 0.15  # of parsing a station's file; one that is cached takes a hundredth


def _ask_for_lines() -> None:
    accepted = request.headers.get("Accept", "").strip()
    if accepted and request.accept_mimetypes.best_match((NDJSON,)) is None:
        raise ProblemError("not-acceptable", f"offered is {NDJSON}")


def _check_whole(expected_s: float, held: AppState) -> None:
    most = held.settings.survey_s
    if expected_s > most:
        raise ProblemError(
            "limit-exceeded",
            f"the survey is expected to take {expected_s:.0f} s; {most:g} s are allowed: ask for"
            " fewer stations or rigs, or for a month",
        )


def _of_first(lines: Iterator[dict[str, Any]], rigs: int) -> list[dict[str, Any]]:
    return [next(lines) for _ in range(rigs + 1)]


def _lines(
    held: AppState,
    loaded: Loaded[SurveyRequest],
    stations: tuple[Station, ...],
    work: Work,
    each_s: float,
) -> Iterator[dict[str, Any]]:
    """Yield the lines; each station takes a turn of its own, so that others may come between."""
    asked, until = loaded.value, time.monotonic() + held.settings.survey_s
    count = len(stations)
    yield {
        "kind": "begin",
        "rows": count * len(asked.rigs),
        "expected_s": number(each_s * count),
        "assumptions": assumptions_document(loaded.assumptions, ()),
        "cautions": list(CAUTIONS),
        "versions": versions(),
    }
    failed = 0
    for done, station in enumerate(stations, start=1):
        while True:
            try:
                with held.gate.turn(each_s):
                    began = time.perf_counter()
                    rows = survey_station(asked, station, held.weather.read, DEFAULT_STEP_S)
                    held.metrics.computation(work.run_days, time.perf_counter() - began)
                break
            except ProblemError as error:
                # Who has begun waits on; the first station answers as every request does.
                patient = error.response.kind.slug == "busy" and done > 1
                if patient and time.monotonic() < until:
                    continue
                if done == 1:
                    raise
                yield {"kind": "problem", "problem": as_document(error.response)}
                return
        for row in rows:
            failed += row.error is not None
            yield _row(row, asked.month)
        yield {"kind": "progress", "done": done, "of": count}
        if time.monotonic() > until and done < count:
            late = ProblemError("out-of-time", f"{held.settings.survey_s:g} s are over").response
            yield {"kind": "problem", "problem": as_document(late)}
            return
    yield {"kind": "end", "rows": count * len(asked.rigs), "failed": failed}


def _row(row: SurveyRow, month: int | None) -> dict[str, Any]:
    line: dict[str, Any] = {"kind": "row", "rig": row.rig, "station": station_entry(row.station)}
    if row.error is not None:
        return {**line, "problem": as_document(problem_of(row.error) or INTERNAL)}
    figures = {
        name: number(value) if isinstance(value, float) else value
        for name, value in (row.figures or {}).items()
    }
    return {**line, "month": month, **figures}


def _text(first: list[dict[str, Any]], rest: Iterator[dict[str, Any]]) -> Iterator[str]:
    for line in first:
        yield current_app.json.dumps(line) + "\n"
    for line in rest:
        yield current_app.json.dumps(line) + "\n"
