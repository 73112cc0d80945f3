"""The baseline that .ci/nightly compares with: it must cover what the script runs."""

from pathlib import Path

import numpy as np

from noonhold_batch.results.drift import STEPS, TOLERANCES, compare
from noonhold_batch.results.result import open_result
from noonhold_batch.sweep.run_status import Status


def test_the_baseline_covers_every_sample_rig_and_zone(checkout: Path) -> None:
    baseline = open_result(checkout / "tests" / "nightly" / "baseline.nc").load()
    rigs = sorted(path.stem for path in (checkout / "sample_rigs").glob("*.json"))
    assert list(baseline["rig"].to_numpy()) == rigs
    zones = {path.name.rpartition("_")[0] for path in (checkout / "sample_weather").glob("*.gz")}
    sites = [str(name) for name in baseline["site"].to_numpy()]
    assert {name.rpartition("_")[0] for name in sites} == zones
    assert len(sites) == len(zones) == 6
    assert (baseline["status"] == int(Status.OK)).all()
    assert set(TOLERANCES) <= set(baseline.variables)


def test_the_baseline_keeps_figures_finer_than_they_may_move(checkout: Path) -> None:
    path = checkout / "tests" / "nightly" / "baseline.nc"
    assert path.stat().st_size < 300_000
    baseline = open_result(path).load()
    for name, tolerance in TOLERANCES.items():
        if tolerance:
            multiple = baseline[name].to_numpy() / (tolerance / STEPS)
            np.testing.assert_allclose(multiple, np.round(multiple), atol=0.01)
            assert len(np.unique(np.round(multiple))) > 20


def test_a_figure_that_moved_by_twice_its_tolerance_is_drift(checkout: Path) -> None:
    baseline = open_result(checkout / "tests" / "nightly" / "baseline.nc").load()
    moved = baseline.copy(deep=True)
    moved["peak_comfort"][2, 4, 17] += 2 * TOLERANCES["peak_comfort"]
    found = compare(baseline, moved, TOLERANCES)
    assert [check.variable for check in found.checks if check.drifted] == ["peak_comfort"]
    assert not compare(baseline, baseline, TOLERANCES).drifted
