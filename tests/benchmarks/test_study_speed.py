"""How long comparison, warm-up and bounds take; run with --benchmark-enable."""

from dataclasses import replace

from pytest_benchmark.fixture import BenchmarkFixture

from engine.documents.studies_bounds import load_bounds
from engine.documents.studies_comparison import load_comparison
from engine.documents.studies_warm_up import load_warm_up
from engine.scenario import Start
from engine.studies.comparison import compare
from engine.studies.uncertainty import bounds
from engine.studies.warm_up import warm_up
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
