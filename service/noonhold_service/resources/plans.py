"""``POST /v1/plans``: the plan of a day that keeps the comfort limit with most charge left."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from flask import Response
from flask_smorest import Blueprint

from noonhold.documents import Loaded
from noonhold.documents.plan_document import PlanSchema, dump_plan, load_plan
from noonhold.studies.plan.plan_study import PlanRequest, plan_day
from noonhold_service.description.study_examples import PLANS
from noonhold_service.description.study_schemas.plan_schemas import PlanAnswerSchema
from noonhold_service.http.study_limits import check_plan, common_step_s
from noonhold_service.resources.study_resource import Study, answer_study, study_doc
from noonhold_service.state.app_state import AppState

blueprint = Blueprint("plans", __name__, description="What to do over the day.")


@blueprint.route("/plans", methods=["POST"])
@blueprint.response(200, PlanAnswerSchema, description="The plan.")
@blueprint.doc(
    **study_doc(
        "createPlan",
        PlanSchema,
        "A projection whose set points and policies may be planned, and between which set points.",
        PLANS,
    )
)
def create_plan() -> Response:
    """Find the plan that keeps the comfort limit with the highest lowest charge.

    When to start, the set point and stages hour by hour, when to drive; as an operation that a
    projection repeats exactly, beside the best fixed schedule and what perfect foresight could
    do. A plan may take some seconds.
    """
    return answer_study(_STUDY)


def _compute(loaded: Loaded[PlanRequest], state: AppState) -> Mapping[str, Any]:
    asked = loaded.value
    step_s = common_step_s([asked.base])
    return dump_plan(plan_day(asked, state.catalogue, state.weather.read, step_s))


_STUDY: Final = Study(
    load_plan,
    check_plan,
    lambda asked: asked.base,
    _compute,
    PlanAnswerSchema,
    ("outcome", "operation", "drive_start"),
)
