"""What must hold between verdicts of drawn rigs, places and days, and between those who judge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st

from noonhold.projection_request import ProjectionRequest
from noonhold.projection_result import ProjectionResult, run_projection
from noonhold.quantities import Verdict
from noonhold.scenario import Start
from noonhold.simulation import channels as ch
from noonhold.studies.comparison.comparison_study import Variant, compare
from noonhold.studies.sizing.sizes import Scaling, size_of
from noonhold.studies.sizing.trials import Confidence, bench_for
from noonhold.studies.study_base import ProjectionCache
from noonhold.studies.uncertainty.uncertain_inputs import AS_STATED, Range
from noonhold.studies.uncertainty.uncertainty_study import UncertaintyRequest, estimate_uncertainty
from noonhold.studies.year.year_study import YearRequest, project_year
from noonhold.verdict import day_verdicts, judge
from noonhold.weather.weather_request import TypicalYear
from tests.engine.made import rig, scene
from tests.properties.sized_requests import CATALOGUE, read, sized_requests

some = settings(max_examples=15, deadline=None, phases=(Phase.explicit, Phase.generate))


def starting(request: ProjectionRequest, charge: float | None) -> ProjectionRequest:
    scenario = replace(request.scenario, start=Start(charge, None, 3))
    return replace(request, scenario=scenario)


def result_of(request: ProjectionRequest) -> ProjectionResult:
    return run_projection(request.rig, request.scenario, request.weather, CATALOGUE, read)


@given(sized_requests(), st.one_of(st.none(), st.floats(0.2, 1.0)))
@some
def test_a_day_that_holds_has_served_every_load_and_kept_its_margins(
    request: ProjectionRequest, charge: float | None
) -> None:
    days = result_of(starting(request, charge)).days
    held = days.holds
    # To the rounding of steps that land on an empty battery.
    assert (days.unmet_wh[held] < 1e-4).all()
    assert (days.hours_at_reserve[held] == 0.0).all()
    assert (days.energy_margin_wh[held] > 0.0).all()
    assert (days.comfort_margin_k[held & days.judged] >= 0.0).all()
    failed = ~held
    assert (days.first_cause[failed] > 0).all()
    assert np.isfinite(days.first_failure_hour[failed]).all()
    assert (days.first_cause[held] == 0).all()


@given(sized_requests(), st.floats(0.2, 1.0))
@some
def test_the_adverse_twin_never_outlasts_the_nominal(
    request: ProjectionRequest, charge: float
) -> None:
    """After its first failed day a twin may recover, its cooler having rested; never before."""
    done = result_of(starting(request, charge)).projection
    assert done.adverse is not None
    adverse = day_verdicts(
        done.rig, done.scenario.comfort, done.clock, done.adverse, done.uncooled,
        done.weather.interval_s,
    )  # fmt: skip
    nominal = judge(replace(done, adverse=None))
    first = [int(np.argmin(np.append(days.holds, False))) for days in (adverse, nominal)]
    assert first[0] <= first[1]


@given(sized_requests(most_days=1), st.floats(0.0, 1.0))
@some
def test_day_after_day_implies_today_from_a_settled_or_fuller_battery(
    request: ProjectionRequest, share: float
) -> None:
    sustained = result_of(starting(request, 1.0)).sustained
    assume(sustained.verdict is not None and sustained.verdict is not Verdict.FAILS)
    settled = sustained.settled_charge
    assert settled is not None
    # A cabin that is a little less settled may ask for a little more in its first morning.
    for charge in (settled, settled + share * (1.0 - settled), 1.0):
        today = result_of(starting(request, min(charge, 1.0)))
        margin = sustained.days.energy_margin_wh[0] if sustained.days is not None else 0.0
        assert today.summary.holds or margin < 0.02 * request.rig.battery.usable_energy_wh


@given(sized_requests(most_days=3))
@some
def test_comparison_sizing_and_uncertainty_agree_with_the_projection(
    request: ProjectionRequest,
) -> None:
    request = starting(request, None)
    found = result_of(request)
    compared = compare(request, (Variant("same", request),), CATALOGUE, read)
    for figures in (compared.base.figures, compared.variants[0].outcome.figures):
        assert figures.verdict is found.summary.verdict
        assert figures.first_cause is found.summary.first_cause
        assert figures.lowest_charge == found.summary.lowest_charge
    bench = bench_for(ProjectionCache(CATALOGUE, read).prepare(request), Confidence.ADVERSE)
    trial = bench.trial(request.rig, size_of(request.rig, Scaling()))
    if found.sustained.days is not None:
        needs = found.sustained.days.needs_cooling
        verdicts = found.sustained.days.verdict[needs]
        assert trial.days_needing_cooling == needs.sum()
        assert trial.holding_days == (verdicts != int(Verdict.FAILS)).sum()
        assert trial.counting_days == (verdicts == int(Verdict.HOLDS)).sum()
    elif trial.days_needing_cooling:
        assert trial.holding_days == 0
    # Ranges of no width about what was stated: every sample is the day itself.
    ranges = {name: Range(value, value + 1e-12) for name, value in AS_STATED.items()}
    asked = UncertaintyRequest(request, ranges, samples=16, sensitivity_samples=0)
    chance = estimate_uncertainty(asked, CATALOGUE, read)
    margins = found.days.energy_margin_wh
    knife_edge = (np.abs(margins) < 1.0).any() or (np.abs(found.days.comfort_margin_k) < 0.01).any()
    assert chance.holds.probability == float(found.summary.holds) or knife_edge


def test_a_year_and_a_projection_of_its_days_agree() -> None:
    """The batch's own year, and 365 days of a projection from the same settled start."""
    site = CATALOGUE.stations[4].site
    place = replace(
        scene().place, latitude=site.latitude, longitude=site.longitude,
        elevation_m=site.elevation_m,
    )  # fmt: skip
    scenario = scene(place=place, start=Start(None, None, 3))
    weather = TypicalYear(1, 1, 365, CATALOGUE.stations[4].station_id)
    year = project_year(YearRequest(rig(), scenario, weather), CATALOGUE, read)
    found = run_projection(rig(), scenario, weather, CATALOGUE, read)
    assert (year.days.verdict == found.days.verdict).all()
    assert (year.days.first_cause == found.days.first_cause).all()
    # A projection labels the year 2025, the file 2001: the sun of a date moves by minutes of arc.
    unmet_wh = found.projection.record[:, ch.UNMET].sum()
    assert year.days.unmet_wh.sum() == pytest.approx(unmet_wh, rel=0.01)
