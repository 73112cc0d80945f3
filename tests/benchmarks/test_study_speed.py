"""How long the studies take; run with --benchmark-enable."""

from dataclasses import replace

from pytest_benchmark.fixture import BenchmarkFixture

from engine.documents.studies_bounds import load_bounds
from engine.documents.studies_calibration import load_calibration
from engine.documents.studies_comparison import load_comparison
from engine.documents.studies_sizing import load_sizing
from engine.documents.studies_strategy import load_strategy
from engine.documents.studies_warm_up import load_warm_up
from engine.scenario import Start
from engine.studies.calibration import calibrate
from engine.studies.comparison import compare
from engine.studies.sizing import size_rig
from engine.studies.strategy import plan_day
from engine.studies.uncertainty import bounds
from engine.studies.warm_up import warm_up
from service.study_examples import STUDY_REQUESTS
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
    asked = load_bounds(example("bounds_plateau"), sample_rig).value
    scenario = replace(asked.question.scenario, start=Start(0.7, 24.0))
    question = replace(asked.question, scenario=scenario)
    one_day = replace(asked, question=question, sensitivity_samples=0)
    assert benchmark(lambda: bounds(one_day, CATALOGUE)).samples == 256


def test_a_frontier_of_a_fortnight(benchmark: BenchmarkFixture) -> None:
    asked = load_sizing(STUDY_REQUESTS["sizing_frontier"][1].document, sample_rig).value
    assert len(benchmark(lambda: size_rig(asked, CATALOGUE)).frontier) == 12


def test_a_log_of_forty_hours(benchmark: BenchmarkFixture) -> None:
    asked = load_calibration(STUDY_REQUESTS["calibration"][1].document, sample_rig).value
    assert benchmark(lambda: calibrate(asked.setup, asked.log, asked.options)).estimates


def test_the_plan_of_a_day(benchmark: BenchmarkFixture) -> None:
    asked = load_strategy(STUDY_REQUESTS["plan"][1].document, sample_rig).value
    assert benchmark(lambda: plan_day(asked, CATALOGUE)).runs > 400
