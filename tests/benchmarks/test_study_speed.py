"""How long the studies take; run with --benchmark-enable."""

from dataclasses import replace

from pytest_benchmark.fixture import BenchmarkFixture

from noonhold.documents.calibration_document import load_calibration
from noonhold.documents.comparison_document import load_comparison
from noonhold.documents.plan_document import load_plan
from noonhold.documents.sizing_document import load_sizing
from noonhold.documents.uncertainty_document import load_uncertainty
from noonhold.documents.warm_up_document import load_warm_up
from noonhold.scenario import Start
from noonhold.studies.calibration.calibration_study import calibrate
from noonhold.studies.comparison.comparison_study import compare
from noonhold.studies.plan.plan_study import plan_day
from noonhold.studies.sizing.sizing_study import size_rig
from noonhold.studies.uncertainty.uncertainty_study import estimate_uncertainty
from noonhold.studies.warm_up.warm_up_study import warm_up
from noonhold_service.description.study_examples import STUDY_REQUESTS
from tests.engine.studies.study_samples import example, sample_rig, sample_stations

CATALOGUE = sample_stations()


def test_ten_variants_of_a_day(benchmark: BenchmarkFixture) -> None:
    asked = load_comparison(example("comparison_slide_in"), sample_rig).value
    found = benchmark(lambda: compare(asked.base, asked.variants, CATALOGUE))
    assert len(found.variants) == 10


def test_the_worst_stop_of_a_day(benchmark: BenchmarkFixture) -> None:
    asked = load_warm_up(example("warm_up_desert"), sample_rig).value
    assert benchmark(lambda: warm_up(asked, CATALOGUE)).worst


def test_256_samples_of_a_day(benchmark: BenchmarkFixture) -> None:
    """The aim: under a second on one core."""
    asked = load_uncertainty(example("uncertainty_plateau"), sample_rig).value
    scenario = replace(asked.base.scenario, start=Start(0.7, 24.0))
    question = replace(asked.base, scenario=scenario)
    one_day = replace(asked, base=question, sensitivity_samples=0)
    assert benchmark(lambda: estimate_uncertainty(one_day, CATALOGUE)).samples == 256


def test_a_frontier_of_a_fortnight(benchmark: BenchmarkFixture) -> None:
    asked = load_sizing(STUDY_REQUESTS["sizing_frontier"][1].document, sample_rig).value
    assert len(benchmark(lambda: size_rig(asked, CATALOGUE)).frontier) == 12


def test_a_log_of_forty_hours(benchmark: BenchmarkFixture) -> None:
    asked = load_calibration(STUDY_REQUESTS["calibration"][1].document, sample_rig).value
    assert benchmark(lambda: calibrate(asked.setup, asked.log, asked.options)).estimates


def test_the_plan_of_a_day(benchmark: BenchmarkFixture) -> None:
    asked = load_plan(STUDY_REQUESTS["plan"][1].document, sample_rig).value
    assert benchmark(lambda: plan_day(asked, CATALOGUE)).runs > 400
