"""What the resources of all studies do: read, check the limits, wait, compute, answer."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final, Generic, TypeVar

from flask import Response
from marshmallow import Schema

from noonhold.documents import Loaded, ProjectionRequest, RigResolver
from noonhold.pictures.picture_output import KINDS, Kind
from noonhold.rig import Rig
from noonhold_service.answers.projection_answer import assumptions_document, number
from noonhold_service.description.openapi import problems
from noonhold_service.description.request_examples import Example
from noonhold_service.http.content_negotiation import JSON, acceptable, picture_response
from noonhold_service.http.field_selection import FieldsQuerySchema, only, wanted_fields
from noonhold_service.http.request_body import json_body
from noonhold_service.http.request_limits import step_of
from noonhold_service.http.study_costs import Work, seconds_of
from noonhold_service.service_versions import versions
from noonhold_service.settings import Settings
from noonhold_service.state.app_state import AppState, app_state
from noonhold_service.strict_json import json_response, plain

T = TypeVar("T")

# Documents that a request may send back: every digit of them counts.
_EXACT: Final = ("rig", "rig_patch", "operation")


@dataclass(frozen=True)
class Study(Generic[T]):
    """What distinguishes one study's resource from another's.

    Parameters
    ----------
    load : callable
        Reads its document.
    check : callable
        Refuses what is more than the settings allow, and returns what it computes.
    base : callable
        Returns the projection that the study goes out from, or the rig alone.
    compute : callable
        Returns the study's report.
    summary : tuple of str
        The parts that ``?fields=summary`` stands for.
    draw : callable, optional
        Returns the study's picture as a file of a kind; without it only JSON is offered.
    """

    load: Callable[[object, RigResolver | None], Loaded[T]]
    check: Callable[[T, Settings], Work]
    base: Callable[[T], ProjectionRequest | Rig]
    compute: Callable[[Loaded[T], AppState], Mapping[str, Any]]
    answer: type[Schema]
    summary: tuple[str, ...]
    draw: Callable[[Loaded[T], AppState, Kind], bytes] | None = None


def answer_study(study: Study[T]) -> Response:
    """Answer the current request for a study.

    Raises
    ------
    ProblemError, NoonholdError
        As the parts raise them.
    """
    state = app_state()
    form = acceptable((JSON,) if study.draw is None else (JSON, *KINDS))
    wanted = wanted_fields(study.answer, study.summary, form)
    document, expected_s = json_body(state.settings)
    state.gate.check_fits(expected_s)
    with state.gate.turn(expected_s):
        loaded = study.load(document, state.resolve_rig)
    work = study.check(loaded.value, state.settings)
    expected_s = _seconds(work, study.base(loaded.value))
    state.gate.check_fits(expected_s)
    with state.gate.turn(expected_s):
        began = time.perf_counter()
        if study.draw is not None and form != JSON:
            response = picture_response(study.draw(loaded, state, KINDS[form]), form)
        else:
            report = study.compute(loaded, state)
            response = json_response(only(study_document(report, loaded), wanted))
        state.metrics.computation(work.run_days, time.perf_counter() - began)
        if study.draw is not None:
            response.vary.add("Accept")
        return response


def _seconds(work: Work, base: ProjectionRequest | Rig) -> float:
    if isinstance(base, Rig):
        return seconds_of(work, base)
    return seconds_of(work, base.rig, step_of(base))


def study_document(report: Mapping[str, Any], loaded: Loaded[Any]) -> dict[str, Any]:
    """Return a study's answer as it is sent.

    Parameters
    ----------
    report : mapping
        Of the engine, plain.
    loaded : Loaded
        The request, for what it did not say.

    Returns
    -------
    dict
        Numbers rounded to six decimals but in documents that can be sent back.
    """
    answer = {
        name: plain(value) if name in _EXACT else _rounded(plain(value))
        for name, value in report.items()
        if name != "assumptions"
    }
    return {
        **answer,
        "assumptions": assumptions_document(loaded.assumptions, ()),
        "versions": versions(),
    }


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return number(value)
    if isinstance(value, dict):
        return {name: _rounded(each) for name, each in value.items()}
    return [_rounded(each) for each in value] if isinstance(value, list) else value


def study_doc(
    operation_id: str, schema: type[Schema], description: str, examples: Mapping[str, Example]
) -> dict[str, Any]:
    """Return how an operation of a study is described, for ``Blueprint.doc``.

    Parameters
    ----------
    description : str
        What the request says.
    examples : mapping of str to Example
        Requests to begin with.
    """
    return {
        "operationId": operation_id,
        "parameters": [{"in": "query", "schema": FieldsQuerySchema}],
        "requestBody": {
            "required": True,
            "description": description,
            "content": {
                JSON: {
                    "schema": schema,
                    "examples": {
                        name: {"summary": each.summary, "value": each.document}
                        for name, each in examples.items()
                    },
                }
            },
        },
        "responses": problems(400, 406, 413, 415, 422, 503),
    }
