"""How long a site-year and a day's request take; run with --benchmark-enable."""

from collections.abc import Callable
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.benchmarks.path_ratios import Pair, request_of_a_day, site_years


def test_a_site_year_from_file_to_verdicts(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    two, three, all_twins, *parts = site_years(tmp_path)
    assert benchmark(all_twins.ours).days == len(two.ours()) == len(three.ours()) == 365
    assert 300.0 * 1000.0 < two.other() < 2500.0 * 1000.0  # both sides did a year's work
    for part in parts:
        part.ours()


@pytest.mark.parametrize("inline", [False, True], ids=["by name", "written out"])
def test_a_request_for_a_day(benchmark: BenchmarkFixture, inline: bool) -> None:
    pair: Pair = request_of_a_day(inline)
    pair.other()
    work: Callable[[], bytes] = pair.ours
    assert b'"summary"' in benchmark(work)
